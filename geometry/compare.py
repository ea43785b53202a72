"""Two fits of one vehicle, before and after: what changed, by how much, and whether the readings allow to say so.

Both fits hang in part on the same readings, carried over, and on the same assumptions. Their errors go together, and
the difference is surer than two separate fits would make it. With K = C A' (u, rows) the answer of each fit to one sd
of each of its whitened rows, the covariance between the two is K_before R K_after', where R holds for each row that
stands in both how much of its scatter is the same: the reading's own, not what was added for having been carried.

A point changed for sure when its three differences together leave the ellipsoid of their covariance: d' S^-1 d follows
chi squared with three degrees of freedom while nothing moved. A figure is tested two-sided against the normal
distribution. Both levels are shared over all that is tested (Sidak), so that nothing is called sure by numbers alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from statistics import NormalDist

import numpy as np

from geometry import refusal_words
from geometry.errors import GeometryError
from geometry.evidence import LEVEL, POWER, shared_level
from geometry.figures import slopes
from geometry.figures.base import Facts
from geometry.figures.slopes import Sloped
from geometry.fit import ORIGIN, Fit
from geometry.frame import Array
from geometry.what_if import Measured

SURE = "sure change"
WITHIN = "within the tape"
NOT_SEEN = "not seen"
NOT_READ = "not read again"
LEAST_MM = 0.1
"""Nobody sees less; keeps a place that stands on the same readings twice from being sure of nothing."""
LEAST_SHARE = 0.02
"""Of a figure's own spread: the same floor for figures."""


class NotComparable(GeometryError):
    """Two fits that are not of one vehicle."""


@dataclass(frozen=True)
class PointChange:
    """After less before, mm, in the vehicle frame of each. sd (3,), cov 3 x 3 mm2. chance: how often scatter alone
    would move it this far. category: SURE, WITHIN, NOT_SEEN where it stands on a guess at either stage, or NOT_READ
    where no reading but carried ones touches it, so that a move would not show."""

    name: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    by: tuple[float, float, float]
    sd: tuple[float, float, float]
    cov: tuple[tuple[float, ...], ...]
    chance: float
    category: str


@dataclass(frozen=True)
class FigureChange:
    """After less before in the figure's unit, with its sd; chance and category as for a point."""

    key: str
    unit: str
    before: float
    after: float
    by: float
    sd: float
    chance: float
    category: str


@dataclass(frozen=True)
class Comparison:
    """Every point and figure that both fits have. level: of each single test of points, and of figures."""

    points: tuple[PointChange, ...]
    figures: tuple[FigureChange, ...]
    point_level: float
    figure_level: float


def compare(before: Fit, after: Fit, facts: Facts) -> Comparison:
    """What changed from one fit to the other. Errors: NotComparable."""
    if (before.setup.layout, before.setup.worked_axle) != (after.setup.layout, after.setup.worked_axle):
        raise NotComparable(refusal_words.TWO_VEHICLES)
    pair = _Pair(before, after)
    points, point_level = _points(pair)
    figures, figure_level = _figures(pair, facts)
    return Comparison(points, figures, point_level, figure_level)


@dataclass(frozen=True)
class _Pair:
    before: Fit
    after: Fit

    @cached_property
    def between(self) -> Array:
        """Covariance of the two estimates with each other, (u before, u after), inside units."""
        return between(self.before, self.after)

    def difference(self, slope_before: Array, slope_after: Array) -> Array:
        """Covariance (k, k) of after less before for slopes (k, u) by each fit's unknowns."""
        crossed = slope_before @ self.between @ slope_after.T
        own = slope_before @ self.before.covariance @ slope_before.T
        new = slope_after @ self.after.covariance @ slope_after.T
        return np.asarray(own + new - crossed - crossed.T)


def between(before: Fit, after: Fit) -> Array:
    """Covariance of two estimates that share readings and assumptions, (u before, u after), inside units."""
    one, other = _rows(before), _rows(after)
    answers = [fitted.covariance @ fitted.design_matrix.T for fitted in (before, after)]
    shared = [(one[key], other[key]) for key in one if key in other]
    if not shared:
        return np.zeros((before.unknowns, after.unknowns))
    first = np.array([row for row, _ in shared])
    second = np.array([row for _, row in shared])
    same = _own_share(before)[first] * _own_share(after)[second]
    return np.asarray((answers[0][:, first] * same) @ answers[1][:, second].T)


def _rows(fitted: Fit) -> dict[tuple[object, ...], int]:
    """Every row of a fit by what it is: an entry's id, or what an assumption says. Readings without id stay apart."""
    found: dict[tuple[object, ...], int] = {}
    for number, seen in enumerate(fitted.observations):
        if seen.id:
            found["reading", seen.id] = number
    for number, row in enumerate(fitted.assumed):
        about = tuple(_place_of(fitted, column) for column in row.columns)
        found["assumed", row.why, about, row.factors] = len(fitted.observations) + number
    return found


def _place_of(fitted: Fit, column: int) -> tuple[str, int]:
    """The point or scalar an unknown belongs to, and which of its coordinates."""
    name, first = max(((name, slot) for name, slot in fitted.slot.items() if slot <= column), key=lambda each: each[1])
    return name, column - first


def _own_share(fitted: Fit) -> Array:
    """For each row the share of its sd that is the reading's own, not added for having been carried over: (rows,)."""
    added = np.array([seen.added_sd for seen in fitted.observations])
    own = np.sqrt(np.maximum(1.0 - (added / fitted.sd) ** 2, 0.0)) if len(added) else added
    return np.concatenate((own, np.ones(len(fitted.assumed))))


# Points.


def _points(pair: _Pair) -> tuple[tuple[PointChange, ...], float]:
    old, new = pair.before.placed(), pair.after.placed()
    common = [name for name in new if name in old]
    again = _read_again(pair.after)
    looked_at = {name for name in common if name in again and old[name].known and new[name].known}
    level = shared_level(LEVEL, len(looked_at))
    found = []
    for name in common:
        first, second = old[name], new[name]
        by = np.array([second.x - first.x, second.y - first.y, second.z - first.z])
        cov = pair.difference(_place_slope(pair.before, name), _place_slope(pair.after, name))
        cov = cov + LEAST_MM**2 * np.eye(3)
        chance = chi2_beyond_of_3(float(by @ np.linalg.solve(cov, by)))
        tested = SURE if chance < level else WITHIN
        category = tested if name in looked_at else NOT_SEEN if name in again else NOT_READ
        found.append(
            PointChange(
                name, (first.x, first.y, first.z), (second.x, second.y, second.z), _three(by),
                _three(np.sqrt(np.diag(cov))), tuple(tuple(row) for row in cov.tolist()), chance, category,
            )
        )  # fmt: skip
    return tuple(found), level


@dataclass(frozen=True)
class Closeness:
    """How closely two stages tell the moves of some points, mm, the worst of them along its worst axis: its ± (two sd),
    and the move that more than four times in five would be called sure."""

    told: float
    sure: float


def closeness(before: Fit, after: Fit, names: Sequence[str]) -> Closeness:
    """For points that both fits know. With S the covariance of a move and x the critical value of chi squared, a move m
    along axis a passes when m m (S^-1)_aa > x."""
    pair, old, new = _Pair(before, after), before.placed(), after.placed()
    looked_at = [name for name in _read_again(after) if name in old and old[name].known and new[name].known]
    beyond = math.sqrt(_critical_of_3(shared_level(LEVEL, len(looked_at)))) + NormalDist().inv_cdf(POWER)
    told = sure = 0.0
    for name in names:
        cov = pair.difference(_place_slope(before, name), _place_slope(after, name)) + LEAST_MM**2 * np.eye(3)
        told = max(told, 2.0 * float(np.sqrt(np.diag(cov)).max()))
        sure = max(sure, beyond / float(np.sqrt(np.diag(np.linalg.inv(cov)).min())))
    return Closeness(told, sure)


def _critical_of_3(level: float) -> float:
    """What chi squared with three degrees of freedom passes by chance with probability `level`, by halving."""
    low, high = 0.0, 200.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if chi2_beyond_of_3(middle) > level else (low, middle)
    return low


def _place_slope(fitted: Fit, name: str) -> Array:
    """Of a point's place in the vehicle frame by the unknowns, (3, u)."""
    slope = np.zeros((3, fitted.unknowns))
    first = fitted.slot[name]
    slope[[0, 1, 2], [first, first + 1, first + 2]] = 1.0
    for wheel in ORIGIN:
        slope[0, fitted.slot[wheel]] -= 1.0 / len(ORIGIN)
    return slope


def _read_again(fitted: Fit) -> frozenset[str]:
    pairs = zip(fitted.observations, fitted.readings, strict=True)
    return frozenset(name for seen, reading in pairs if not seen.carried for name in reading.touches)


def chi2_beyond_of_3(value: float) -> float:
    """How often chi squared with three degrees of freedom is larger: erfc(sqrt(x/2)) + sqrt(2x/pi) exp(-x/2)."""
    return math.erfc(math.sqrt(value / 2.0)) + math.sqrt(2.0 * value / math.pi) * math.exp(-value / 2.0)


def normal_beyond(value: float) -> float:
    """How often a standard normal value is further from nought, either way."""
    return math.erfc(abs(value) / math.sqrt(2.0))


# Figures.


def _figures(pair: _Pair, facts: Facts) -> tuple[tuple[FigureChange, ...], float]:
    sides = [Measured(fitted, facts) for fitted in (pair.before, pair.after)]
    answers = [slopes.figures(side.ride, side.kinds) for side in sides]
    common: list[tuple[str, Sloped, Sloped]] = []
    for key, new in answers[1].items():
        old = answers[0][key]
        if isinstance(old, Sloped) and isinstance(new, Sloped):
            common.append((key, old, new))
    leans = {key: _leans(sides, (old, new)) for key, old, new in common}
    level = shared_level(LEVEL, sum(not lean for lean in leans.values()))
    found = []
    for key, old, new in common:
        slope = [_wide(side, answer.slope) for side, answer in zip(sides, (old, new), strict=True)]
        floor = LEAST_SHARE**2 * float(sides[0].spread.sd(old.slope)) ** 2
        variance = float(pair.difference(*slope)[0, 0]) + floor
        by, sd = new.value - old.value, math.sqrt(max(variance, 0.0))
        chance = normal_beyond(by / sd) if sd > 0.0 else 1.0
        category = NOT_SEEN if leans[key] else SURE if chance < level else WITHIN
        unit = sides[0].kinds[key].unit
        found.append(FigureChange(key, unit, old.value, new.value, by, sd, chance, category))
    return tuple(found), level


def _leans(sides: Sequence[Measured], answers: tuple[Sloped, Sloped]) -> bool:
    return any(bool(side.spread.leans(answer.slope)) for side, answer in zip(sides, answers, strict=True))


def _wide(side: Measured, slope: Array) -> Array:
    """A slope by a ride's unknowns as a row over all of the fit's, (1, u)."""
    found = np.zeros((1, side.fit.unknowns))
    found[0, side.unknowns.astype(int)] = slope
    return found


def _three(values: Array) -> tuple[float, float, float]:
    x, y, z = values.tolist()
    return x, y, z


def by_name(changes: Sequence[PointChange]) -> Mapping[str, PointChange]:
    """The changes of points by the point's name."""
    return {change.name: change for change in changes}
