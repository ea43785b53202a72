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
from geometry.evidence import LEAST_REDUNDANCY, Evidence
from geometry.figures.base import Facts
from geometry.fit import Fit
from geometry.frame import Array
from geometry.gross import exactly, gross
from geometry.likely import Likely, worth_naming
from geometry.next_check import telling, telling_between
from geometry.readings import possible
from geometry.remark import Remark, remark
from geometry.rules import Broken
from geometry.search import Finding
from geometry.suspicion import Suspicion, single

__all__ = ["Broken", "Doubt", "Likely", "Remark", "SharedFacts", "Suspect", "judge", "remark"]

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
        large, case, found = gross(case_of(fitted))
        told = [*_gross_doubts(case, large, found), *_told(case, found)]
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


def _gross_doubts(case: Case, large: list[Finding], found: list[Finding]) -> Iterator[tuple[Doubt, Finding]]:
    """Gross findings, weighed once more by a fit without any of the readings found."""
    if not large:
        return
    others = [one.suspicion.members[0] for one in found if one.suspicion.shared is None]
    if others:
        case = without(case, others)
    for one in large:
        suspicion = one.suspicion
        if others or len(large) > 1:
            suspicion = exactly(case, suspicion.members[0], suspicion.directions)
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
