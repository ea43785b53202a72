"""Mistakes looked for one after the other, each allowed for before the next look, or as a pair that hides itself."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.case import Case
from geometry.evidence import Evidence, unit
from geometry.shared_mistakes import Shared
from geometry.suspicion import SharedMistakes, Suspicion, drop, odd_vehicle, odds_of_singles, single, singles

MOST = 12
"""Rounds of one judgement. With more mistakes than that the vehicle is better measured again."""
TIE_ODDS = math.log(20.0)
"""Readings whose odds differ by less than this factor are named together."""
TIE_CORRELATION = 0.5
"""And only such whose test values go together; others are mistakes of their own."""
PAIR_ODDS = 4.0
"""A pair is preferred to what single looks found when its log odds are better by this."""
PAIRS = 6
MOST_OTHERS = 2
"""Shared mistakes named beside a doubt as other ways to see it."""


@dataclass(frozen=True)
class Finding:
    """One mistake found, with the single readings, and the shared mistakes, that would explain the numbers as well."""

    suspicion: Suspicion
    rivals: tuple[Suspicion, ...] = ()
    others: tuple[Suspicion, ...] = ()


def search(case: Case, hypotheses: Sequence[Shared]) -> list[Finding]:
    """Mistakes one after the other, each allowed for before the next look; or a pair first, if that explains more.

    hypotheses: the shared mistakes to look for.
    """
    shared = SharedMistakes(case, hypotheses)
    found = _one_by_one(case, shared, case.evidence, [])
    pair = _hidden_pair(case, found)
    if pair is not None:
        evidence = case.evidence.allowing_for(pair[0].suspicion.directions).allowing_for(pair[1].suspicion.directions)
        found = _one_by_one(case, shared, evidence, pair)
    return _still_standing(case, found)


def _one_by_one(case: Case, shared: SharedMistakes, evidence: Evidence, found: list[Finding]) -> list[Finding]:
    found = list(found)
    for _ in range(MOST):
        weighed = singles(case, evidence)
        passing = [one for one in weighed if one.passes] + odd_vehicle(case, evidence) + shared.weigh(evidence)
        passing = [one for one in passing if one.passes]
        if not any(one.members for one in passing):
            break
        best = max(passing, key=lambda one: one.log_odds)
        after = evidence.allowing_for(best.directions)
        others = tuple(_others(case, shared, evidence, best))[:MOST_OTHERS] if best.members else ()
        found.append(Finding(best, tuple(_rivals(case, evidence, after, best, weighed)), others))
        evidence = after
    return [one for one in found if one.suspicion.members]


def _rivals(
    case: Case, evidence: Evidence, after: Evidence, best: Suspicion, weighed: Sequence[Suspicion]
) -> Iterator[Suspicion]:
    """Single readings that explain the numbers about as well as the mistake named first."""
    if not best.members:
        return
    alike = np.ones(case.size) if best.shared is not None else np.abs(evidence.correlation(best.members[0]))
    left = after.test_values
    for one in sorted(weighed, key=lambda one: -one.log_odds):
        other = one.members[0]
        near = one.log_odds > best.log_odds - TIE_ODDS and alike[other] > TIE_CORRELATION
        if not near or abs(left[other]) >= case.critical or one.members == best.members:
            continue
        if best.shared is None or _gone(best, evidence.allowing_for(one.directions), case.critical):
            yield one


def _others(case: Case, shared: SharedMistakes, evidence: Evidence, best: Suspicion) -> Iterator[Suspicion]:
    """Shared mistakes of another sort that explain the numbers about as well as the mistake named first."""
    near = shared.contenders(evidence, best.log_odds - TIE_ODDS)
    for one in sorted(near, key=lambda one: -one.log_odds):
        if one.shared is None:
            continue
        same = best.shared is not None and one.shared.family == best.shared.family
        if not same and _gone(best, evidence.allowing_for(one.directions), case.critical):
            yield one


def _gone(best: Suspicion, after: Evidence, critical: float) -> bool:
    """Whether nothing of a mistake is left in the evidence after another was allowed for."""
    if best.shared is None:
        return bool(abs(after.test_values[best.members[0]]) < critical)
    return drop(after, best.directions) < critical**2


def _hidden_pair(case: Case, found: list[Finding]) -> list[Finding] | None:
    """Two single readings that together explain clearly more than what looking one by one found, or None."""
    n = len(case.rows)
    drops = case.evidence.pair_drops()[:n, :n]
    if n < 3 or drops.max(initial=0.0) < 2.0 * case.critical**2:
        return None
    so_far = [one.suspicion for one in found]
    if any(one.shared is not None for one in so_far):
        return None
    firsts = so_far[:2]
    odds = odds_of_singles(case, case.evidence, [one.members[0] for one in firsts])
    upper = np.triu(drops, 1)
    best, chosen = odds + PAIR_ODDS, None
    for flat in np.argsort(-upper, axis=None, kind="stable")[:PAIRS]:
        one, other = divmod(int(flat), n)
        if {one, other} == {s.members[0] for s in firsts} or not _both_stand_out(case, one, other):
            continue
        orders = ((one, other), (other, one))
        together = min(odds_of_singles(case, case.evidence, order) for order in orders)
        if together > best:
            best, chosen = together, (one, other)
    if chosen is None:
        return None
    return [
        Finding(single(case, case.evidence.allowing_for(unit(case.size, other)), one))
        for one, other in (chosen, chosen[::-1])
    ]


def _both_stand_out(case: Case, one: int, other: int) -> bool:
    """Each of two readings is still in doubt when the other is allowed for."""
    return all(
        abs(case.evidence.allowing_for(unit(case.size, first)).test_values[second]) > case.critical
        for first, second in ((one, other), (other, one))
    )


def _still_standing(case: Case, found: list[Finding]) -> list[Finding]:
    """The findings less those that the later ones explain as well: a mistake can make its neighbours look odd first."""
    kept = list(found)
    while len(kept) > 1:
        left = []
        for place, finding in enumerate(kept):
            others = np.hstack([other.suspicion.directions for k, other in enumerate(kept) if k != place])
            w = case.evidence.allowing_for(others).test_values
            alone = finding.suspicion.shared is None
            left.append(abs(float(w[finding.suspicion.members[0]])) if alone else np.inf)
        weakest = int(np.argmin(left))
        if left[weakest] > case.critical:
            break
        del kept[weakest]
    return kept
