"""What nothing checks yet, the smallest slip that would be noticed, and which reading to take next to change that.

A check is another reading: assumptions do not count as one, so all is worked out with the weak ones ten times weaker.
With C the covariance, a reading's whitened row a and redundancy r = 1 - a C a', one more reading with row c changes r
by (a C c')^2 / (1 + c C c'): a rank-one update, no fit. Source: the matrix inversion lemma.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
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
    alike = _Alike(fitted)
    return tuple(_watched(fitted, alike, enumerate(alike.group)))


def watched_readings(fitted: Fit) -> tuple[Watched, ...]:
    """Every reading once, by its first take: takes of one spread are watched alike, and thousands say no more."""
    alike = _Alike(fitted)
    return tuple(_watched(fitted, alike, zip(alike.first, range(len(alike.first)), strict=True)))


def unchecked(fitted: Fit) -> tuple[Watched, ...]:
    """The takes in which a usual slip would pass unseen, the blindest first."""
    alike = _Alike(fitted)
    blind = _watched(fitted, alike, enumerate(alike.group), only_unchecked=True)
    return tuple(sorted(blind, key=lambda one: -np.inf if one.smallest is None else -one.smallest))


def _watched(
    fitted: Fit, alike: _Alike, takes: Iterable[tuple[int, int]], only_unchecked: bool = False
) -> Iterator[Watched]:
    """takes: the number of each, and of its group."""
    redundancy = alike.redundancy
    notice = alike.notice(redundancy)
    units = [fitted.readings[number].kind.unit for number in alike.first]
    smallest = [
        noncentrality(LEVEL, POWER) * sd / r**0.5 if r > LEAST_REDUNDANCY else None
        for r, sd in zip(redundancy.tolist(), alike.sd.tolist(), strict=True)
    ]
    passes = [least is None or least > USUAL_SLIP[unit] for least, unit in zip(smallest, units, strict=True)]
    for number, k in takes:
        if passes[k] or not only_unchecked:
            seen = fitted.observations[number]
            yield Watched(seen.key, seen.name, units[k], smallest[k], float(notice[k]), passes[k])


def next_checks(
    fitted: Fit,
    candidates: Iterable[str] | None = None,
    minutes: Mapping[str, float] | None = None,
    wanted: Collection[str] | None = None,
) -> tuple[Check, ...]:
    """Readings worth taking next, most gain for its minutes first.

    candidates: names to choose from; all that make sense on the layout, and second takes, where None. minutes: what
    each costs, crawling included; the kind's own effort where not given. wanted: keys of the takes whose being watched
    is a gain; all where None. Errors: BadName.
    """
    setup = fitted.setup
    names = list(dict.fromkeys(possible(setup.layout, setup.worked_axle) if candidates is None else candidates))
    if not names or not fitted.observations:
        return ()
    rows = rows_of(fitted, names)
    alike = _Alike(fitted, wanted)
    along = alike.rows @ fitted.weak_covariance @ rows.T
    added = along**2 / (1.0 + np.einsum("ku,ku->k", rows @ fitted.weak_covariance, rows))
    before = alike.redundancy
    noticed, still = alike.notice(before), alike.unseen(before)
    taken = {reading.canonical for reading in fitted.readings}
    found = []
    for k, name in enumerate(names):
        after = np.minimum(before + added[:, k], 1.0)
        gain = float(alike.count @ (alike.notice(after) - noticed))
        if gain < LEAST_GAIN:
            continue
        reading = parse_name(name, setup.layout, setup.worked_axle)
        again = reading.canonical in taken
        if again and reading.kind.guessed:
            continue
        cost = (minutes or {}).get(name, reading.kind.effort)
        opened = alike.keys(still & ~alike.unseen(after))
        found.append(Check(name, gain, cost, opened, again))
    found.sort(key=lambda check: -check.gain / check.minutes)
    return tuple(found)


def telling(
    fitted: Fit, keys: Sequence[str], candidates: Iterable[str] | None = None, shares: Mapping[str, float] | None = None
) -> str | None:
    """The reading that would best tell which of these takes is the one that is off; None when none would.

    shares: how likely each take is it, by key; alike where None.
    """
    numbers = [i for i, seen in enumerate(fitted.observations) if seen.key in set(keys)]
    numbers = [i for i in numbers if fitted.redundancy[i] > LEAST_REDUNDANCY]
    if len(numbers) < 2:
        return None
    biases: Array = np.zeros((len(fitted.observations), len(numbers)))
    biases[numbers, range(len(numbers))] = (-fitted.residual / fitted.sd / fitted.redundancy)[numbers]
    likely = None if shares is None else np.array([shares[fitted.observations[i].key] for i in numbers])
    return telling_between(fitted, biases, candidates, likely)


def telling_between(
    fitted: Fit, biases: Array, candidates: Iterable[str] | None = None, shares: Array | None = None
) -> str | None:
    """The reading that would best tell which of these mistakes was made; None when none would.

    biases: (n, h) what each would have added to each take, in sds. It moves the estimate by C A' b, and what a further
    reading should show with it. shares: (h,) how likely each is; alike where None. The reading tells most that most
    likely shows two of them drawn by their shares apart; among those that do so alike, the one that shows it clearest.
    """
    setup = fitted.setup
    near = {name for i in np.flatnonzero(np.any(biases != 0.0, axis=1)) for name in fitted.readings[i].touches}
    names = [
        name
        for name in (possible(setup.layout, setup.worked_axle) if candidates is None else candidates)
        if near & set(parse_name(name, setup.layout, setup.worked_axle).touches)
    ]
    if not names:
        return None
    moves = -(fitted.covariance @ (fitted.design_matrix[: len(biases)].T @ biases))
    rows = rows_of(fitted, names)
    expected = rows @ moves
    known = 1.0 + np.einsum("ku,ku->k", rows @ fitted.covariance, rows)
    shown = expected / np.sqrt(known)[:, None]
    apart = np.ptp(shown, axis=1)
    told = np.round(_told_apart(shown, shares), 2)
    best = int(np.lexsort((-apart, -told))[0])
    return names[best] if apart[best] > TELLING else None


def _told_apart(shown: Array, shares: Array | None) -> Array:
    """How likely each of k readings tells two of h mistakes, drawn by their shares, apart: (k, h), (h,) -> (k,).

    shown: what it should show with each, in sds. Two normals d sds apart overlap by exp(-d d / 8) (Bhattacharyya).
    """
    drawn: Array = np.full(shown.shape[1], 1.0 / shown.shape[1]) if shares is None else shares / shares.sum()
    overlap = np.exp(-np.square(shown[:, :, None] - shown[:, None, :]) / 8.0)
    return np.asarray(np.einsum("kij,i,j->k", 1.0 - overlap, drawn, drawn))


def in_the_way(fitted: Fit, doubted: Iterable[str]) -> tuple[InTheWay, ...]:
    """For each link what stands in the way of cutting it. doubted: keys of readings under an unsettled doubt."""
    in_doubt, blind = set(doubted), {one.key for one in unchecked(fitted)}
    placed = fitted.placed()
    named: dict[str, list[str]] = {}
    touched: dict[str, tuple[str, ...]] = {}
    for seen, reading in zip(fitted.observations, fitted.readings, strict=True):
        named.setdefault(reading.canonical, []).append(seen.key)
        touched.setdefault(reading.canonical, reading.touches)
    found = []
    for link in layout_named(fitted.setup.layout).links:
        ends = (link.frame, *link.axle)
        near = [keys for name, keys in named.items() if set(ends) & set(touched[name])]
        touching = [key for keys in near for key in keys]
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


class _Alike:
    """The takes by groups that are watched alike: the same reading with the same sd, so thousands cost as few do.

    first: the number of each group's first take; group: (n,) of each take; rows (g, u), sd, count, usual: (g,), the
    last the usual slip in sds. wanted: keys of the takes that are counted and named; all where None.
    """

    def __init__(self, fitted: Fit, wanted: Collection[str] | None = None) -> None:
        self._fit = fitted
        self._wanted = [wanted is None or seen.key in wanted for seen in fitted.observations]
        places: dict[tuple[str, float], int] = {}
        self.first: list[int] = []
        self.group: list[int] = []
        for number, (reading, sd) in enumerate(zip(fitted.readings, fitted.sd.tolist(), strict=True)):
            place = places.setdefault((reading.canonical, sd), len(places))
            if place == len(self.first):
                self.first.append(number)
            self.group.append(place)
        self.rows: Array = fitted.design_matrix[self.first]
        self.sd: Array = fitted.sd[self.first]
        weights: Array = np.array(self._wanted, dtype=float)
        self.count: Array = np.bincount(self.group, weights, len(self.first)).astype(float)
        self.usual: Array = np.array([USUAL_SLIP[fitted.readings[k].kind.unit] for k in self.first]) / self.sd

    @property
    def redundancy(self) -> Array:
        """(g,) how well other readings check each, 0 to 1, weak assumptions hardly counting."""
        leverage: Array = np.einsum("iu,iu->i", self.rows @ self._fit.weak_covariance, self.rows)
        return np.clip(1.0 - leverage, 0.0, 1.0)

    def notice(self, redundancy: Array) -> Array:
        """(g,) how likely a usual slip passes the test."""
        normal = NormalDist()
        return np.array([normal.cdf(shift - CRITICAL) for shift in (self.usual * np.sqrt(redundancy)).tolist()])

    def unseen(self, redundancy: Array) -> NDArray[np.bool_]:
        """(g,) a usual slip is smaller than the smallest that would be noticed."""
        unseen: NDArray[np.bool_] = self.usual * np.sqrt(redundancy) < noncentrality(LEVEL, POWER)
        return unseen

    def keys(self, groups: NDArray[np.bool_]) -> tuple[str, ...]:
        """The keys of all wanted takes of these groups, in the order read."""
        if not groups.any():
            return ()
        marked = groups.tolist()
        takes = zip(self._fit.observations, self.group, self._wanted, strict=True)
        return tuple(seen.key for seen, k, counts in takes if marked[k] and counts)


def rows_of(fitted: Fit, names: Sequence[str]) -> Array:
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
