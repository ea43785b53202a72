"""Which readings do not go with the rest, how the mistake was probably made, and what retake would tell.

`judge` tests every single reading (Baarda's w-test), shared mistakes (`shared_mistakes`) and pairs that hide each
other, allows for the likeliest, and looks again, until nothing stands out. Named rules (`rules`) come on top.

`Doubt.reason` is one of
  outlier          this reading does not go with the others
  tie              one of these readings; the numbers cannot tell which
  takes_disagree   takes of the same reading differ, and nothing else says which one holds
  shared           these readings share one mistake; `Doubt.shared` says which
  rule:NAME        a named rule of `rules.RULES` does not hold; `Doubt.rules` has its numbers, and w its sds beyond;
                   one about the parts themselves has no reading, and `stated` says which facts
All numbers are in file units (mm, deg, kg); w has the sign of the residual, predicted - read.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry import rules
from geometry.case import Case, case_of, without
from geometry.condensed import MANY, Apart, condensed
from geometry.evidence import LEAST_REDUNDANCY, Evidence, unit
from geometry.figures.base import Facts
from geometry.fit import Fit, fit
from geometry.frame import Array
from geometry.likely import Likely, worth_naming
from geometry.next_check import telling, telling_between
from geometry.readings import possible
from geometry.remark import Remark, remark
from geometry.rules import Broken
from geometry.search import TIE_ODDS, Finding, search
from geometry.shared_mistakes import hypotheses
from geometry.suspicion import Suspicion, single, weigh_single

__all__ = ["Broken", "Doubt", "Likely", "Remark", "SharedFacts", "Suspect", "judge", "remark"]

GROSS = 12.0
"""Beyond this |w| the readings bend the fit so far that it is worth another one without the suspect."""
MOST_GROSS = 3
MOST_TRIED = 8
"""A gross mistake is smeared over its neighbours, a bar's side mixed up even into its fore and aft: so many of those
that stand out most are left out in turn."""


@dataclass(frozen=True)
class Suspect:
    """One reading under a doubt. expected, sd: what the others say, and one sd of that, file unit. share: how much of
    this doubt falls on it, 0 to 1. likely: slips that explain it, likeliest first."""

    key: str
    name: str
    unit: str
    read: float
    expected: float
    sd: float
    w: float
    share: float
    likely: tuple[Likely, ...] = ()


@dataclass(frozen=True)
class SharedFacts:
    """A shared mistake. family, what: see `shared_mistakes`; amount, sd: of its first parameter, in `unit`; more: the
    others; first, last: keys of the first and last reading it touches, in the order they were read."""

    family: str
    what: str
    amount: float
    sd: float
    unit: str
    first: str
    last: str
    more: tuple[float, ...] = ()


@dataclass(frozen=True)
class Doubt:
    """One thing to settle. readings: keys, likeliest first. retake: the reading to take again, if any. telling: of a
    tie the reading, taken or not, that would best tell which it is.
    suspects: one for each reading, for "outlier", "tie" and "takes_disagree". rules: that do not hold either. stated:
    places of the facts to look at, where it is about the parts themselves. also: other ways to see the same numbers,
    which explain them about as well, each a doubt of its own; then `telling` tells between the ways."""

    readings: tuple[str, ...]
    reason: str
    w: float
    likely: Likely | None = None
    retake: str | None = None
    telling: str | None = None
    suspects: tuple[Suspect, ...] = ()
    shared: SharedFacts | None = None
    rules: tuple[Broken, ...] = ()
    stated: tuple[str, ...] = ()
    also: tuple[Doubt, ...] = ()


def judge(fitted: Fit, facts: Facts | None = None) -> tuple[Doubt, ...]:
    """All doubts about a fit's readings and the facts stated of its parts, worst first. () when everything goes
    together. Deterministic."""
    if len(fitted.observations) > MANY:
        return _judge_condensed(fitted, facts)
    return _judge_each(fitted, facts)


def _judge_each(fitted: Fit, facts: Facts | None) -> tuple[Doubt, ...]:
    """Every take weighed by itself."""
    doubts: list[Doubt] = []
    straight = fitted
    if fitted.observations:
        gross, case, found = _gross(case_of(fitted))
        told = [*_gross_doubts(case, gross, found), *_told(case, found)]
        doubts = [_with_telling(fitted, case, doubt, finding) for doubt, finding in told]
        straight = case.fit
    return tuple(sorted(_with_rules(fitted, straight, facts, doubts), key=lambda doubt: -abs(doubt.w)))


def _judge_condensed(fitted: Fit, facts: Facts | None) -> tuple[Doubt, ...]:
    """The same with the takes of a reading as one, and the takes that stand apart from their own."""
    fewer, apart = condensed(fitted)
    doubts = [*_judge_each(fewer, facts), *(_apart_doubt(fitted, one) for one in apart)]
    return tuple(sorted(doubts, key=lambda doubt: -abs(doubt.w)))


def _apart_doubt(fitted: Fit, apart: Apart) -> Doubt:
    seen, sd = fitted.observations[apart.number], float(fitted.sd[apart.number])
    kind = fitted.readings[apart.number].kind
    w = (apart.middle - seen.value) / sd
    suspect = Suspect(seen.key, seen.name, kind.unit, seen.value, apart.middle, sd, w, 1.0)
    return Doubt((seen.key,), "takes_disagree", w, retake=seen.name, suspects=(suspect,))


def _with_telling(fitted: Fit, case: Case, doubt: Doubt, finding: Finding) -> Doubt:
    """A tie with the reading that would tell, and with the one of its own whose retake tells most; what may be seen
    another way with the reading that tells between the ways."""
    if doubt.reason == "tie":
        shares = {suspect.key: suspect.share for suspect in doubt.suspects}
        own = telling(fitted, doubt.readings, [suspect.name for suspect in doubt.suspects], shares)
        doubt = replace(doubt, telling=telling(fitted, doubt.readings, shares=shares), retake=own or doubt.retake)
    if doubt.also:
        ways = (finding.suspicion, *finding.rivals, *finding.others)
        biases = np.stack([_bias(case, one) for one in ways], axis=1)
        weights = np.exp([min(one.log_odds - ways[0].log_odds, 50.0) for one in ways])
        doubt = replace(doubt, telling=telling_between(fitted, biases, _worth_asking(fitted, doubt), weights))
    return doubt


def _worth_asking(fitted: Fit, doubt: Doubt) -> list[str] | None:
    """Without the reading whose takes agree with each other already: one more of them would tell nothing new."""
    alike = {way.retake for way in (doubt, *doubt.also) if way.shared and way.shared.family == "same_name"}
    names = possible(fitted.setup.layout, fitted.setup.worked_axle)
    return [name for name in names if name not in alike] if alike else None


def _bias(case: Case, suspicion: Suspicion) -> Array:
    """(n,) what a mistake added to each reading, in sds."""
    bias: Array = np.zeros(len(case.rows))
    if suspicion.shared is not None:
        bias += (suspicion.directions @ np.array(suspicion.amounts))[: len(bias)]
    else:
        row = case.rows[suspicion.members[0]]
        bias[suspicion.members[0]] = (row.read - suspicion.expected) / row.sd
    return bias


def _with_rules(fitted: Fit, straight: Fit, facts: Facts | None, doubts: list[Doubt]) -> list[Doubt]:
    """The doubts with the rules that do not hold: beside the doubt that names one of a rule's readings already, or as
    doubts of their own.

    straight: the fit without the gross mistakes; a rule that holds there is broken by nothing but those.
    """
    names = {seen.key: seen.name for seen in fitted.observations}
    broken = rules.broken(fitted, facts)
    still = broken if straight is fitted else rules.broken(straight, facts)
    own = {(one.rule, one.readings, one.stated) for one in still}
    for one in broken:
        at = next((k for k, doubt in enumerate(doubts) if set(doubt.readings) & set(one.readings)), None)
        if at is not None:
            doubts[at] = replace(doubts[at], rules=(*doubts[at].rules, one))
        elif (one.rule, one.readings, one.stated) not in own:
            continue
        elif one.readings:
            retake = names[one.readings[0]]
            doubts.append(Doubt(one.readings, f"rule:{one.rule}", one.beyond, retake=retake, rules=(one,)))
        elif one.stated:
            doubts.append(Doubt((), f"rule:{one.rule}", one.beyond, rules=(one,), stated=one.stated))
    return doubts


def _gross(case: Case) -> tuple[list[Finding], Case, list[Finding]]:
    """Mistakes so large that they bend the fit, each left out of a new fit before the next look; the last case; and
    what is found in it besides."""
    shared = hypotheses(case.rows)
    gross: list[Finding] = []
    while True:
        found = search(case, shared)
        if not found or len(gross) == MOST_GROSS:
            return gross, case, found
        straight = _straightened(case, found[0])
        if straight is None:
            return gross, case, found
        finding, case = straight
        gross.append(finding)


def _straightened(case: Case, first: Finding) -> tuple[Finding, Case] | None:
    """The reading that best explains the rest by its leaving, where something is gross, and the case without it. Each
    is tried by a fit of its own, as no small update holds so far from the place.

    Where nothing is left of what was gross by one reading's leaving, it is that one, whatever the bent fit says of
    others or of a mistake they share; else the gross finding or its nearest rivals.
    """
    single = first.suspicion.shared is None
    own = single and abs(first.suspicion.w) >= GROSS
    told = [one.members[0] for one in (first.suspicion, *first.rivals)] if own else []
    tried = [_left_out(case, number) for number in dict.fromkeys([*told, *_bending(case)])]
    alone = [one for one in tried if _explains_all(case, one[2])]
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
    exact = _exactly(straight, number, unit(case.size, number)[:, None])
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


def _bending(case: Case) -> list[int]:
    """Where something is gross: the readings that stand out most, the worst first; and what was plumbed or levelled of
    points that stand where none is expected, as a fit may follow the mistake there."""
    w, n = np.abs(case.evidence.test_values), len(case.rows)
    worst = [k for k in np.argsort(-w[:n], kind="stable").tolist() if w[k] > case.critical][:MOST_TRIED]
    odd: set[str] = set()
    for row, off in zip(case.fit.assumed, w[n:], strict=True):
        if row.weak and off > GROSS:
            odd.update(row.about)
    plumbed = [k for k, row in enumerate(case.rows) if row.name.kind.datum and row.name.subject in odd]
    return (worst if w[:n].max(initial=0.0) >= GROSS else []) + plumbed


def _exactly(case: Case, number: int, directions: Array) -> Suspicion:
    """The suspicion of a reading from the case of a fit in which it does not count."""
    row = case.rows[number]
    values, sds = case.fit.predict([row.name.text])
    expected, spread = float(values[0]), math.hypot(float(sds[0]), row.sd)
    log_odds, explanations = weigh_single(row, expected, spread)
    w = (expected - row.read) / spread
    return Suspicion((number,), directions, log_odds, w, abs(w) > case.critical, expected, spread, explanations)


def _gross_doubts(case: Case, gross: list[Finding], found: list[Finding]) -> Iterator[tuple[Doubt, Finding]]:
    """Gross findings, weighed once more by a fit without any of the readings found."""
    if not gross:
        return
    others = [one.suspicion.members[0] for one in found if one.suspicion.shared is None]
    if others:
        case = without(case, others)
    for one in gross:
        suspicion = one.suspicion
        if others or len(gross) > 1:
            suspicion = _exactly(case, suspicion.members[0], suspicion.directions)
        also = tuple(_shared_doubt(case, other) for other in one.others)
        yield replace(_single_doubt(case, [suspicion, *one.rivals]), also=also), one


def _told(case: Case, found: Sequence[Finding]) -> Iterator[tuple[Doubt, Finding]]:
    """Findings as doubts, each weighed again with all the others allowed for, and with the other ways to see it."""
    for place, finding in enumerate(found):
        also = tuple(_shared_doubt(case, one) for one in finding.others)
        if finding.suspicion.shared is not None:
            also += (_single_doubt(case, finding.rivals),) if finding.rivals else ()
            yield replace(_shared_doubt(case, finding.suspicion), also=also), finding
            continue
        others = [other.suspicion.directions for number, other in enumerate(found) if number != place]
        evidence = case.evidence.allowing_for(np.hstack(others)) if others else case.evidence
        named = (finding.suspicion, *finding.rivals)
        yield replace(_single_doubt(case, [_again(case, evidence, one) for one in named]), also=also), finding


def _again(case: Case, evidence: Evidence, suspicion: Suspicion) -> Suspicion:
    number = suspicion.members[0]
    return single(case, evidence, number) if evidence.redundancy[number] > LEAST_REDUNDANCY else suspicion


def _single_doubt(case: Case, weighed: Sequence[Suspicion]) -> Doubt:
    """A doubt about one reading, or one of several; the likeliest first."""
    weights = np.exp([min(one.log_odds - weighed[0].log_odds, 50.0) for one in weighed])
    order = np.argsort(-weights, kind="stable")
    suspects = tuple(_suspect(case, weighed[k], float(weights[k] / weights.sum())) for k in order)
    names = {case.rows[one.members[0]].name.canonical for one in weighed}
    reason = "outlier" if len(suspects) == 1 else ("takes_disagree" if len(names) == 1 else "tie")
    return Doubt(
        readings=tuple(one.key for one in suspects),
        reason=reason,
        w=suspects[0].w,
        likely=suspects[0].likely[0] if suspects[0].likely else None,
        retake=suspects[0].name,
        suspects=suspects,
    )


def _suspect(case: Case, suspicion: Suspicion, share: float) -> Suspect:
    row = case.rows[suspicion.members[0]]
    likely = worth_naming(suspicion.explanations, row.name.kind.low, row.name.kind.high)
    own = min(row.sd, suspicion.spread)
    of_others = math.sqrt(suspicion.spread**2 - own**2)
    return Suspect(
        row.key, row.name.text, row.name.kind.unit, row.read, suspicion.expected, of_others, suspicion.w, share, likely
    )


def _shared_doubt(case: Case, suspicion: Suspicion) -> Doubt:
    shared = suspicion.shared
    assert shared is not None
    keys = tuple(case.rows[number].key for number in shared.members)
    facts = SharedFacts(
        shared.family, shared.what, suspicion.amounts[0], suspicion.amount_sds[0], shared.unit, keys[0], keys[-1],
        suspicion.amounts[1:],
    )
    cheapest = min(shared.members, key=lambda number: case.rows[number].name.kind.effort)
    return Doubt(keys, "shared", suspicion.w, retake=case.rows[cheapest].name.text, shared=facts)
