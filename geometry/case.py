"""What a doubt is judged on: the rows of a fit with their names, places and units, ready for hypotheses."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geometry.evidence import CRITICAL, Evidence, critical, evidence_of, shared_level
from geometry.fit import OUT_OF_THE_FIT, Fit, fit
from geometry.frame import Array
from geometry.points import Point, combination, point_named
from geometry.readings import ReadingName
from geometry.undoing import Typed

Place = tuple[float, float, float]
CLEAN_ALARMS = 0.04
"""In which share of clean vehicles any single reading may be doubted."""
CHECKED = 0.01
"""From this redundancy on a reading counts among those tested."""


@dataclass(frozen=True)
class Row:
    """One take of a reading.

    key: "height:lower_left.frame#2". read, sd: file unit. points: what it is between. place: of its first point, mm,
    floor frame, None for a reading between no points. unit, text: as typed, where known.
    """

    key: str
    name: ReadingName
    read: float
    sd: float
    points: tuple[Point, ...] = ()
    place: Place | None = None
    unit: str = ""
    text: str = ""

    @property
    def typed(self) -> Typed:
        """As the catalogue of slips wants it."""
        return Typed(self.read, self.name.kind.unit, self.unit, self.text)


@dataclass(frozen=True)
class Case:
    """rows: the n readings. evidence: of the readings, then of the m assumptions. weak: which of those may be odd."""

    fit: Fit
    rows: tuple[Row, ...]
    evidence: Evidence
    weak: tuple[int, ...]

    @property
    def size(self) -> int:
        """n + m."""
        return len(self.evidence.excess)

    @cached_property
    def critical(self) -> float:
        """Beyond this |w| a reading is in doubt: 3.29, or more where many readings are tested at once."""
        checked = int((self.evidence.redundancy[: len(self.rows)] > CHECKED).sum())
        return max(CRITICAL, critical(shared_level(CLEAN_ALARMS, checked)))

    def whitened(self, amounts: Array) -> Array:
        """(n, k) in file units to the same over each reading's sd."""
        return np.asarray(amounts / self.fit.sd[:, None])

    def directions(self, amounts: Array) -> Array:
        """(n, k) in file units to (n + m, k) whitened."""
        padded = np.zeros((self.size, amounts.shape[1]))
        padded[: len(self.rows)] = self.whitened(amounts)
        return padded


def case_of(fitted: Fit) -> Case:
    """The case of a fit: its rows, and how every mistake would show."""
    estimate = fitted.estimate
    assumed = [
        (row.target - float(np.dot(row.factors, estimate[list(row.columns)]))) / row.sd for row in fitted.assumed
    ]
    excess = np.concatenate((-fitted.residual / fitted.sd, np.array(assumed)))
    n = len(fitted.observations)
    return Case(
        fit=fitted,
        rows=tuple(_row(fitted, number) for number in range(n)),
        evidence=evidence_of(fitted.design_matrix, excess),
        weak=tuple(n + number for number, row in enumerate(fitted.assumed) if row.weak),
    )


def _row(fitted: Fit, number: int) -> Row:
    seen, name = fitted.observations[number], fitted.readings[number]
    points = points_named(name)
    place = _place(fitted, points[0]) if points else None
    sd = float(fitted.sd[number])
    return Row(seen.key, name, float(seen.value), sd, points, place, seen.unit, seen.text)


def points_named(name: ReadingName) -> tuple[Point, ...]:
    """The points a reading is between, derived ones as named."""
    return tuple(point_named(point, name.setting.layout, name.setting.worked_axle) for point in name.points)


def _place(fitted: Fit, point: Point) -> Place:
    setup, place = fitted.setup, np.zeros(3)
    for name, share in combination(point.name, setup.layout, setup.worked_axle).items():
        slot = fitted.slot[name]
        place += share * fitted.estimate[slot : slot + 3]
    return float(place[0]), float(place[1]), float(place[2])


def without(case: Case, numbers: Iterable[int]) -> Case:
    """The case of a new fit in which these readings count for nothing, though they keep their places among the rows.

    Those that count for nothing already in the case's fit stay so.
    """
    left_out = set(numbers)
    seen = [
        replace(observation, added_sd=OUT_OF_THE_FIT) if number in left_out else observation
        for number, observation in enumerate(case.fit.observations)
    ]
    return replace(case_of(fit(case.fit.setup, seen)), rows=case.rows)
