"""Mistakes so large that they bend the fit: found by leaving readings out, each in a fit of its own.

Every other search takes the fit as it is and asks what small updates would do. A sign left out or a foot too much can
take the fit far off, a link turned about its axle or a bar across the other way round, and there such updates blame
whatever stands beside the mistake.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from geometry.assumptions import Assumption
from geometry.case import Case, case_of, without
from geometry.evidence import unit
from geometry.fit import Fit, fit
from geometry.frame import Array
from geometry.search import TIE_ODDS, Finding, search
from geometry.shared_mistakes import hypotheses
from geometry.suspicion import Suspicion, weigh_single

GROSS = 12.0
"""Beyond this |w| the readings bend the fit so far that it is worth another one without the suspect."""
MOST_GROSS = 3
MOST_TRIED = 4
"""So many of those that stand out most are left out in turn."""
BENT = 36.0
MOST_TRIED_BENT = 8
"""Beyond this |w| a mistake is smeared over its neighbours, a bar's side mixed up even into its fore and aft."""
DATUMS = ("cross line", "centreline", "floor")
"""What x, y and z are measured from."""


def gross(case: Case) -> tuple[list[Finding], Case, list[Finding]]:
    """Mistakes so large that they bend the fit, each left out of a new fit before the next look; the last case; and
    what is found in it besides."""
    shared = hypotheses(case.rows)
    large: list[Finding] = []
    while True:
        found = search(case, shared)
        if not found or len(large) == MOST_GROSS:
            return large, case, found
        straight = _straightened(case, found[0])
        if straight is None:
            return large, case, found
        finding, case = straight
        large.append(finding)


def _straightened(case: Case, first: Finding) -> tuple[Finding, Case] | None:
    """The reading that best explains the rest by its leaving, where something is gross, and the case without it. Each
    is tried by a fit of its own, as no small update holds so far from the place.

    Where nothing is left of what was gross by one reading's leaving, it is that one, whatever the bent fit says of
    others or of a mistake they share; else the gross finding or its nearest rivals.
    """
    single = first.suspicion.shared is None
    own = single and abs(first.suspicion.w) >= GROSS
    told = [one.members[0] for one in (first.suspicion, *first.rivals)] if own else []
    tried = [_left_out(case, number) for number in dict.fromkeys([*told, *_standing_out(case)])]
    alone = [one for one in tried if _explains_all(case, one[2])]
    if not alone:
        followed = [_left_out(case, number) for number in _followed(case)]
        alone = [one for one in followed if _explains_all(case, one[2])]
    if alone and not single:
        left = _misfit(_set_right(case, first.suspicion)) - GROSS**2
        alone = [one for one in alone if _misfit(one[2]) < left]
    tried = alone or (tried if own else [])
    if not tried:
        return None
    best = max(range(len(tried)), key=lambda place: tried[place][0])
    rivals = tuple(
        exact
        for place, (score, exact, _) in enumerate(tried)
        if place != best and score > tried[best][0] - TIE_ODDS
    )
    exact = tried[best][1]
    return Finding(exact, rivals, first.others if exact.members[0] in told else ()), tried[best][2]


def _left_out(case: Case, number: int) -> tuple[float, Suspicion, Case]:
    """How well a reading explains the rest by its leaving, log odds; it as a suspicion; and the case without it."""
    straight = without(case, [number])
    exact = exactly(straight, number, unit(case.size, number)[:, None])
    # Its odds against a clean reading hold the misfit of the clean reading; the rest is told by what the fit left.
    return exact.log_odds - 0.5 * exact.w**2 - 0.5 * _misfit(straight), exact, straight


def _misfit(case: Case) -> float:
    return float(case.evidence.excess @ case.evidence.excess)


def _set_right(case: Case, suspicion: Suspicion) -> Case:
    """The case of a new fit with a shared mistake taken from its readings."""
    change = (suspicion.directions @ np.array(suspicion.amounts))[: len(case.rows)] * case.fit.sd
    seen = [
        replace(one, value=one.value - float(change[number])) if change[number] else one
        for number, one in enumerate(case.fit.observations)
    ]
    return case_of(fit(case.fit.setup, seen))


def _explains_all(bent: Case, straight: Case) -> bool:
    """Whether nothing gross is left of a fit that was bent."""
    left = np.abs(straight.evidence.test_values).max(initial=0.0)
    return bool(left < GROSS and _misfit(bent) - _misfit(straight) > GROSS**2)


def _standing_out(case: Case) -> list[int]:
    """Where something is gross: the readings that stand out most, the worst first."""
    w = np.abs(case.evidence.test_values[: len(case.rows)])
    if w.max(initial=0.0) < GROSS:
        return []
    most = MOST_TRIED if w.max() < BENT else MOST_TRIED_BENT
    return [k for k in np.argsort(-w, kind="stable").tolist()[:most] if w[k] > case.critical]


def _followed(case: Case) -> list[int]:
    """The readings the fit may have followed to where no point is expected: what was plumbed or levelled along the
    direction in which an assumption is grossly off, the worst first."""
    n = len(case.rows)
    w = np.abs(case.evidence.test_values[n:])
    numbers: list[int] = []
    for number in np.argsort(-w, kind="stable").tolist():
        row = case.fit.assumed[number]
        if w[number] < GROSS or len(numbers) >= MOST_TRIED_BENT:
            break
        if row.weak:
            along = {(name, DATUMS[column - case.fit.slot[name]]) for name, column in _points_of(case.fit, row)}
            numbers += [k for k, one in enumerate(case.rows) if (one.name.subject, one.name.kind.datum) in along]
    return list(dict.fromkeys(numbers))


def _points_of(fitted: Fit, row: Assumption) -> list[tuple[str, int]]:
    """The points an assumption is about, each with its column in it."""
    points = [name for name in row.about if name in fitted.points]
    own = {name: range(fitted.slot[name], fitted.slot[name] + len(DATUMS)) for name in points}
    return [(name, column) for name in points for column in row.columns if column in own[name]]


def exactly(case: Case, number: int, directions: Array) -> Suspicion:
    """The suspicion of a reading from the case of a fit in which it does not count."""
    row = case.rows[number]
    values, sds = case.fit.predict([row.name.text])
    expected, spread = float(values[0]), math.hypot(float(sds[0]), row.sd)
    log_odds, explanations = weigh_single(row, expected, spread)
    w = (expected - row.read) / spread
    return Suspicion((number,), directions, log_odds, w, abs(w) > case.critical, expected, spread, explanations)
