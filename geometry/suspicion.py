"""How strongly the evidence speaks for one mistake: a single reading, an assumption, or several readings together.

All on one scale: the natural logarithm of posterior odds against "no mistake here", so that a single slip and a shared
mistake can be compared. Source: Bayes' rule; the parts are said at each function. The priors are guesses.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.case import Case, Row
from geometry.evidence import CRITICAL, LEAST_REDUNDANCY, Evidence, critical, shared_level, unit
from geometry.frame import Array
from geometry.shared_mistakes import Shared
from geometry.slips import Explanation, explain

SLIP_PRIOR = math.log(0.01)
"""One reading in a hundred holds a slip."""
ODD_PRIOR = math.log(0.03)
ODD_SIZE = 5.0
"""An assumption may be far from this vehicle: how often, and by how many of its sds."""
CONTENDERS = 8
"""At most so many single readings are looked at closely in one round."""
OVERALL = 0.005
"""In which share of clean vehicles any shared mistake may be seen at all."""
SHARED_ODDS = 3.0
SHARED_GAIN = 12.0
"""A shared mistake must drop the sum of squares by so much more than its best single member does."""


@dataclass(frozen=True)
class Suspicion:
    """One hypothesis weighed. members: readings (n indices). directions: (n + m, k) whitened. log_odds: see above.

    w: test value, residual's sign (predicted - read). passes: beyond its critical value. expected, spread: for a single
    reading, what the others say and one sd of the difference, file unit; its explanations, likeliest first.
    amounts, amount_sds: of a shared mistake.
    """

    members: tuple[int, ...]
    directions: Array
    log_odds: float
    w: float
    passes: bool
    expected: float = math.nan
    spread: float = math.nan
    explanations: tuple[Explanation, ...] = ()
    shared: Shared | None = None
    amounts: tuple[float, ...] = ()
    amount_sds: tuple[float, ...] = ()

    @property
    def blames_an_assumption(self) -> bool:
        """True when it is the vehicle that is unusual, and no reading."""
        return not self.members


def weigh_single(row: Row, expected: float, spread: float) -> tuple[float, tuple[Explanation, ...]]:
    """Log odds that one reading holds a mistake, and which. expected, spread: file unit.

    The density of what is expected under some mistake, over that under none.
    """
    explanations, log_density = explain(row.typed, row.name.kind.slips, expected, spread)
    off = (row.read - expected) / spread
    clean = -0.5 * off * off - math.log(spread * math.sqrt(2.0 * math.pi))
    return SLIP_PRIOR + log_density - clean, explanations


def single(case: Case, evidence: Evidence, number: int) -> Suspicion:
    """Reading `number` (checked by something) as the one that is off."""
    row, redundancy = case.rows[number], float(evidence.redundancy[number])
    expected = row.read - row.sd * float(evidence.excess[number]) / redundancy
    spread = row.sd / math.sqrt(redundancy)
    log_odds, explanations = weigh_single(row, expected, spread)
    w = (expected - row.read) / spread
    direction = unit(case.size, number)[:, None]
    return Suspicion((number,), direction, log_odds, w, abs(w) > case.critical, expected, spread, explanations)


def singles(case: Case, evidence: Evidence) -> list[Suspicion]:
    """The readings with the largest test values, as far as they stand out at all."""
    w = np.abs(evidence.test_values[: len(case.rows)])
    order = np.argsort(-w, kind="stable")[:CONTENDERS]
    return [single(case, evidence, int(number)) for number in order if w[number] > 0.75 * CRITICAL]


def odd_vehicle(case: Case, evidence: Evidence) -> list[Suspicion]:
    """The weak assumptions that stand out: this vehicle may simply not be as typical as they say."""
    w = evidence.test_values
    found = []
    for number in case.weak:
        if abs(w[number]) > 0.75 * CRITICAL:
            variance = 1.0 / float(evidence.redundancy[number])
            log_odds = ODD_PRIOR + _of_usual_size(float(w[number]), variance, ODD_SIZE)
            direction = unit(case.size, number)[:, None]
            found.append(Suspicion((), direction, log_odds, -float(w[number]), abs(w[number]) > case.critical))
    return found


def _of_usual_size(w: float, variance: float, usual: float) -> float:
    """Log of how much likelier the evidence is with an amount of the usual size, (0, usual), than with none.

    w: amount over its sd; variance: of the amount. Marginal likelihood of a normal amount.
    """
    wide = variance + usual * usual
    return 0.5 * (math.log(variance / wide) + w * w * usual * usual / wide)


class SharedMistakes:
    """The shared hypotheses of a case, weighed together again and again as evidence is allowed for."""

    def __init__(self, case: Case, hypotheses: Sequence[Shared]) -> None:
        self.case = case
        self.one = [h for h in hypotheses if not h.known and h.directions.shape[1] == 1]
        self.many = [h for h in hypotheses if not h.known and h.directions.shape[1] > 1]
        self.known = [h for h in hypotheses if h.known]
        self.columns = _side_by_side(case, self.one)
        self.changes = _side_by_side(case, self.known)
        self.usual = np.array([h.usual[0] for h in self.one])
        self.prior = np.array([h.log_prior for h in self.one])
        self.family = np.unique([h.family for h in self.one], return_inverse=True)[1]
        self.critical = critical(shared_level(OVERALL, len(hypotheses)))
        self._seen: tuple[Evidence, tuple[Array, Array, Array]] | None = None

    def weigh(self, evidence: Evidence) -> list[Suspicion]:
        """The best shared mistake of each form, where it passes."""
        odds, *_ = self._odds_of_one(evidence)
        best = [self._one(evidence, int(np.argmax(odds)))] if self.one else []
        return [suspicion for suspicion in [*best, *self._others(evidence, SHARED_ODDS)] if suspicion.passes]

    def contenders(self, evidence: Evidence, above: float) -> list[Suspicion]:
        """The best of each family, as far as its log odds are above so much, whether it passes or not."""
        odds, *_ = self._odds_of_one(evidence)
        order = np.argsort(-odds, kind="stable")
        best = order[np.sort(np.unique(self.family[order], return_index=True)[1])]
        one = [self._one(evidence, number) for number in best[odds[best] > above].tolist()]
        return [*one, *self._others(evidence, above)]

    def _others(self, evidence: Evidence, above: float) -> list[Suspicion]:
        """Those of several amounts, and those whose amount is known."""
        many = (self._of_many(evidence, h, above) for h in self.many)
        return [*(suspicion for suspicion in many if suspicion is not None), *self._of_known(evidence, above)]

    def _odds_of_one(self, evidence: Evidence) -> tuple[Array, Array, Array]:
        """Of those of one amount their log odds, -inf where nothing tells, the amounts and their sds, (h,) each."""
        if self._seen is None or self._seen[0] is not evidence:
            amount, sd = evidence.amounts(self.columns)
            told = np.isfinite(sd)
            variance = np.where(told, sd, 1.0) ** 2
            wide = variance + self.usual**2
            gain = np.log(variance / wide) + amount**2 / variance * self.usual**2 / wide
            odds = np.round(self.prior + 0.5 * gain, 6)  # so that of two alike the first is the better, not rounding
            self._seen = evidence, (np.where(told, odds, -np.inf), amount, sd)
        return self._seen[1]

    def _one(self, evidence: Evidence, number: int) -> Suspicion:
        odds, amount, sd = self._odds_of_one(evidence)
        hypothesis = self.one[number]
        directions = self.case.directions(hypothesis.directions)
        return self._suspicion(evidence, hypothesis, directions, float(odds[number]), amount[[number]], sd[[number]])

    def _of_many(self, evidence: Evidence, hypothesis: Shared, above: float) -> Suspicion | None:
        columns = self.case.directions(hypothesis.directions)
        information = evidence.information(columns)
        size = np.diag(columns.T @ columns)
        scaled = information / np.sqrt(np.outer(size, size) + 1e-300)
        if np.linalg.eigvalsh(scaled)[0] < LEAST_REDUNDANCY:
            return None
        covariance = np.linalg.inv(information)
        amounts = covariance @ evidence.along(columns)
        wide = covariance + np.diag(np.square(hypothesis.usual))
        drop = amounts @ information @ amounts - amounts @ np.linalg.solve(wide, amounts)
        log_odds = hypothesis.log_prior + 0.5 * float(
            np.linalg.slogdet(covariance)[1] - np.linalg.slogdet(wide)[1] + drop
        )
        if log_odds <= above:
            return None
        return self._suspicion(evidence, hypothesis, columns, log_odds, amounts, np.sqrt(np.diag(covariance)))

    def _of_known(self, evidence: Evidence, above: float) -> Iterator[Suspicion]:
        """Those that make the sum of squares fall by being undone as they are."""
        falls = 2.0 * evidence.along(self.changes) - evidence.informations(self.changes)
        for hypothesis, fall in zip(self.known, falls.tolist(), strict=True):
            log_odds = hypothesis.log_prior + fall / 2.0
            if fall > 0.0 and log_odds > above:
                directions = self.case.directions(hypothesis.directions)
                yield self._suspicion(evidence, hypothesis, directions, log_odds, np.ones(1), np.zeros(1))

    def _suspicion(
        self, evidence: Evidence, hypothesis: Shared, directions: Array, log_odds: float, amounts: Array, sds: Array
    ) -> Suspicion:
        fall = 2.0 * (log_odds - hypothesis.log_prior) if hypothesis.known else drop(evidence, directions)
        alone = float(np.square(evidence.test_values[list(hypothesis.members)]).max())
        beyond = fall > self.critical**2 and log_odds > SHARED_ODDS and fall > alone + SHARED_GAIN
        sign = -1.0 if amounts[0] > 0 else 1.0
        return Suspicion(
            hypothesis.members, directions, log_odds, sign * math.sqrt(max(fall, 0.0)), beyond, shared=hypothesis,
            amounts=tuple(map(float, amounts)), amount_sds=tuple(map(float, sds)),
        )


def _side_by_side(case: Case, hypotheses: Sequence[Shared]) -> Array:
    """Their directions of one column each, (n, h) whitened: the readings' rows alone."""
    columns = [h.directions for h in hypotheses]
    return case.whitened(np.hstack(columns)) if columns else np.zeros((len(case.rows), 0))


def drop(evidence: Evidence, directions: Array) -> float:
    """By how much the sum of squares drops when these (n, k) are allowed for; what nothing tells of drops nothing."""
    size = np.sqrt(np.square(directions).sum(axis=0)) + 1e-300
    scaled = directions / size
    informations, along = np.linalg.eigh(evidence.information(scaled))
    projected = along.T @ evidence.along(scaled)
    told = informations > LEAST_REDUNDANCY
    return float((projected[told] ** 2 / informations[told]).sum())


def odds_of_singles(case: Case, evidence: Evidence, numbers: Sequence[int]) -> float:
    """Log odds that all these readings are off, one after the other; -inf when one cannot be told after the others."""
    total = 0.0
    for number in numbers:
        if evidence.redundancy[number] < 10 * LEAST_REDUNDANCY:
            return -math.inf
        total += single(case, evidence, number).log_odds
        evidence = evidence.allowing_for(unit(case.size, number))
    return total
