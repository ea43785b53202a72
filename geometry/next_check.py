"""What nothing checks yet, the smallest slip that would be noticed, and which reading to take next to change that.

A check is another reading: assumptions do not count as one, so all is worked out with the weak ones ten times weaker.
With C the covariance, a reading's whitened row a and redundancy r = 1 - a C a', one more reading with row c changes r
by (a C c')^2 / (1 + c C c'): a rank-one update, no fit. Source: the matrix inversion lemma.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from geometry.evidence import CRITICAL, LEAST_REDUNDANCY, LEVEL, POWER, noncentrality
from geometry.fit import Fit
from geometry.frame import INCH, Array
from geometry.layouts import layout_named
from geometry.readings import parse_name, possible

USUAL_SLIP = {"mm": INCH, "deg": 2.0, "kg": 50.0}
"""The slip that must not pass unseen, file unit: one inch; as many degrees as an inch of height makes in a link."""
LEAST_GAIN = 0.05
"""A check that makes it no likelier than this to notice any slip is not worth the crawl."""
TELLING = 3.0
"""Sds by which a reading must differ between two explanations to tell them apart."""


@dataclass(frozen=True)
class Watched:
    """How well one reading is watched by others. smallest: the smallest slip that would be noticed, four times in five,
    file unit, None when none would. notice: 0 to 1, how likely a usual slip is noticed. unchecked: it would pass."""

    key: str
    name: str
    unit: str
    smallest: float | None
    notice: float
    unchecked: bool


@dataclass(frozen=True)
class Check:
    """A reading worth taking. gain: by how many readings more a usual slip would be noticed. minutes: what it costs.

    watches: keys of the readings that it takes out of the unchecked ones; again: it is a second take."""

    name: str
    gain: float
    minutes: float
    watches: tuple[str, ...]
    again: bool


@dataclass(frozen=True)
class InTheWay:
    """What stands in the way of cutting one link. length_sd: mm. guessed: its ends stand on guesses in some direction.
    doubted, unchecked: keys of readings that touch its ends."""

    link: str
    words: str
    length_sd: float
    guessed: bool
    doubted: tuple[str, ...]
    unchecked: tuple[str, ...]

    @property
    def ready(self) -> bool:
        """Nothing stands in the way. Advice, never a lock."""
        return not (self.guessed or self.doubted or self.unchecked)


def watched(fitted: Fit) -> tuple[Watched, ...]:
    """Every take with how well it is watched, in the order read."""
    redundancy = _redundancy(fitted)
    notice = _notice(fitted, redundancy)
    found = []
    for number, (seen, reading) in enumerate(zip(fitted.observations, fitted.readings, strict=True)):
        r, sd = float(redundancy[number]), float(fitted.sd[number])
        smallest = noncentrality(LEVEL, POWER) * sd / r**0.5 if r > LEAST_REDUNDANCY else None
        passes = smallest is None or smallest > USUAL_SLIP[reading.kind.unit]
        found.append(Watched(seen.key, seen.name, reading.kind.unit, smallest, float(notice[number]), passes))
    return tuple(found)


def unchecked(fitted: Fit) -> tuple[Watched, ...]:
    """The takes in which a usual slip would pass unseen, the blindest first."""
    blind = [one for one in watched(fitted) if one.unchecked]
    return tuple(sorted(blind, key=lambda one: -np.inf if one.smallest is None else -one.smallest))


def next_checks(
    fitted: Fit, candidates: Iterable[str] | None = None, minutes: Mapping[str, float] | None = None
) -> tuple[Check, ...]:
    """Readings worth taking next, most gain for its minutes first.

    candidates: names to choose from; all that make sense on the layout, and second takes, where None. minutes: what
    each costs, crawling included; the kind's own effort where not given. Errors: BadName.
    """
    setup = fitted.setup
    names = list(dict.fromkeys(possible(setup.layout, setup.worked_axle) if candidates is None else candidates))
    if not names or not fitted.observations:
        return ()
    rows = _rows(fitted, names)
    own = fitted.design_matrix[: len(fitted.observations)]
    along = own @ fitted.weak_covariance @ rows.T
    added = along**2 / (1.0 + np.einsum("ku,uv,kv->k", rows, fitted.weak_covariance, rows))
    before = _redundancy(fitted)
    noticed, still = _notice(fitted, before), _unseen(fitted, before)
    taken = {reading.canonical for reading in fitted.readings}
    found = []
    for k, name in enumerate(names):
        after = np.minimum(before + added[:, k], 1.0)
        gain = float((_notice(fitted, after) - noticed).sum())
        if gain < LEAST_GAIN:
            continue
        reading = parse_name(name, setup.layout, setup.worked_axle)
        cost = (minutes or {}).get(name, reading.kind.effort)
        opened = tuple(fitted.observations[i].key for i in np.flatnonzero(still & ~_unseen(fitted, after)))
        found.append(Check(name, gain, cost, opened, reading.canonical in taken))
    found.sort(key=lambda check: -check.gain / check.minutes)
    return tuple(found)


def telling(fitted: Fit, keys: Sequence[str], candidates: Iterable[str] | None = None) -> str | None:
    """The reading that would best tell which of these takes is the one that is off; None when none would.

    If take i is off, leaving it out moves the estimate by -C a_i' e_i / r_i (e: whitened read less predicted), and what
    a further reading should show with it. The one whose expected values lie furthest apart, in sds, tells most.
    """
    numbers = [i for i, seen in enumerate(fitted.observations) if seen.key in set(keys)]
    numbers = [i for i in numbers if fitted.redundancy[i] > LEAST_REDUNDANCY]
    if len(numbers) < 2:
        return None
    setup = fitted.setup
    near = {name for i in numbers for name in fitted.readings[i].touches}
    names = [
        name
        for name in (possible(setup.layout, setup.worked_axle) if candidates is None else candidates)
        if near & set(parse_name(name, setup.layout, setup.worked_axle).touches)
    ]
    if not names:
        return None
    excess = -fitted.residual[numbers] / fitted.sd[numbers] / fitted.redundancy[numbers]
    moves = -(fitted.covariance @ fitted.design_matrix[numbers].T) * excess
    rows = _rows(fitted, names)
    expected = rows @ moves
    known = 1.0 + np.einsum("ku,uv,kv->k", rows, fitted.covariance, rows)
    apart = np.ptp(expected, axis=1) / np.sqrt(known)
    best = int(np.argmax(apart))
    return names[best] if apart[best] > TELLING else None


def in_the_way(fitted: Fit, doubted: Iterable[str]) -> tuple[InTheWay, ...]:
    """For each link what stands in the way of cutting it. doubted: keys of readings under an unsettled doubt."""
    in_doubt, blind = set(doubted), {one.key for one in unchecked(fitted)}
    placed = fitted.placed()
    found = []
    for link in layout_named(fitted.setup.layout).links:
        ends = (link.frame, *link.axle)
        pairs = zip(fitted.observations, fitted.readings, strict=True)
        touching = [seen.key for seen, reading in pairs if set(ends) & set(reading.touches)]
        spans = [f"span:{end}~{link.frame}" for end in link.axle]
        _, sds = fitted.predict(spans)
        found.append(
            InTheWay(
                link=link.name,
                words=link.words,
                length_sd=float(sds.max()),
                guessed=any(not placed[end].known for end in ends),
                doubted=tuple(key for key in touching if key in in_doubt),
                unchecked=tuple(key for key in touching if key in blind),
            )
        )
    return tuple(found)


def _redundancy(fitted: Fit) -> Array:
    """(n,) how well other readings check each, 0 to 1, weak assumptions hardly counting."""
    own = fitted.design_matrix[: len(fitted.observations)]
    leverage: Array = np.einsum("iu,uv,iv->i", own, fitted.weak_covariance, own)
    return np.clip(1.0 - leverage, 0.0, 1.0)


def _usual(fitted: Fit) -> Array:
    """(n,) the usual slip of each reading, in its sds."""
    return np.array([USUAL_SLIP[reading.kind.unit] for reading in fitted.readings]) / fitted.sd


def _notice(fitted: Fit, redundancy: Array) -> Array:
    """(n,) how likely a usual slip in each reading passes the test."""
    normal = NormalDist()
    return np.array([normal.cdf(shift - CRITICAL) for shift in _usual(fitted) * np.sqrt(redundancy)])


def _unseen(fitted: Fit, redundancy: Array) -> NDArray[np.bool_]:
    """(n,) bool: a usual slip is smaller than the smallest that would be noticed."""
    unseen: NDArray[np.bool_] = _usual(fitted) * np.sqrt(redundancy) < noncentrality(LEVEL, POWER)
    return unseen


def _rows(fitted: Fit, names: Sequence[str]) -> Array:
    """Whitened rows (k, u) of readings not yet taken; what lies outside the fit widens their sd."""
    setup = fitted.setup
    values, sds = fitted.predict(names)
    partials = fitted.partials(names)
    inside = np.einsum("ku,uv,kv->k", partials, fitted.covariance, partials)
    outside = np.maximum(sds**2 - inside, 0.0)
    kinds = [parse_name(name, setup.layout, setup.worked_axle).kind for name in names]
    own = np.array([kind.sd(float(value), setup.tape_class) for kind, value in zip(kinds, values, strict=True)])
    rows: Array = partials / np.sqrt(own**2 + outside)[:, None]
    return rows
