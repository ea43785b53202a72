"""The fit: all readings of a vehicle at once, as points with their spread.

Unknowns are the joint centres and a few scalars, in the floor frame; the rows are the readings first, then the
assumptions. A group of points or a scalar that no reading touches stays out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry import refusal_words
from geometry.adjustment import adjust, cofactor
from geometry.assumptions import TYPICAL_SD, Assumption, as_rows, assumptions, usual_scalar
from geometry.errors import BadValue
from geometry.frame import Array
from geometry.mounted import Told
from geometry.network import Equations
from geometry.placed import KNOWN_GROWTH, ORIGIN, Placed, origin_of, place_points
from geometry.points import (
    ALWAYS,
    ALWAYS_SCALARS,
    SCALARS,
    Point,
    point_named,
    points_of,
)
from geometry.readings import ReadingName, parse_name
from geometry.readings.kind import TAPE_LIMITS, Kind
from geometry.repeated import each_take, repeated
from geometry.scale import Scale, scale_of

__all__ = ["KNOWN_GROWTH", "ORIGIN", "Fit", "Observation", "Placed", "Setup", "fit"]

SMALLEST_SD = 1e-3
"""mm, deg or kg: nobody reads better, and a smaller one only costs digits."""
WEAKER = 10.0
STEEPEST = math.radians(30.0)
"""No floor is this steep; a step of the search to such a place is shortened."""
OUT_OF_THE_FIT = 1e6
"""Added to the sd of a reading, file unit, to see what the others say without it: it then places nothing either."""
LEAST_SPARE = 0.5
"""Below this redundancy a variance factor says nothing."""


@dataclass(frozen=True)
class Setup:
    """What the readings belong to. wheelbase, tyre_diameter: roughly, mm, only to start from; None when not stated."""

    layout: str
    worked_axle: str
    wheelbase: float | None = None
    tyre_diameter: float | None = None
    tape_class: str = "II"


@dataclass(frozen=True)
class Observation:
    """One reading, file units (mm, deg, kg). key: its name in reports, "height:x#2" for the second take. sd: when the
    person stated one. added_sd: what carrying it over from an earlier stage adds. id: its entry's, passed through.
    text, unit: as typed, where known; they tell which slips of reading and typing are possible."""

    name: str
    value: float
    key: str
    sd: float | None = None
    added_sd: float = 0.0
    carried: bool = False
    id: str = ""
    text: str = ""
    unit: str = ""

    def __hash__(self) -> int:
        return hash((self.key, self.value, self.id))  # enough to tell thousands apart quickly; == looks at everything


@dataclass(frozen=True, eq=False)
class Fit:
    """What the readings say together. n readings, m assumptions, u unknowns.

    Inside units (mm, radian, kg), floor frame: estimate (u,), covariance (u, u), weak_covariance (u, u) with the weak
    assumptions ten times weaker, design_matrix (n + m, u) whitened, readings first. slot: where each point's x (y and z
    follow) or each scalar stands; points: the point names among them.
    File units, (n,): read, predicted, residual = predicted - read, sd, smallest_findable (nan where nothing checks it).
    redundancy (n,) 0 to 1, w (n,). assumed: the m rows nobody read. variance_factor: None below half a spare reading.
    """

    setup: Setup
    observations: tuple[Observation, ...]
    readings: tuple[ReadingName, ...]
    points: tuple[str, ...]
    slot: Mapping[str, int]
    estimate: Array
    covariance: Array
    weak_covariance: Array
    predicted: Array
    read: Array
    residual: Array
    sd: Array
    redundancy: Array
    w: Array
    smallest_findable: Array
    design_matrix: Array
    assumed: tuple[Assumption, ...]
    assumed_redundancy: Array
    redundancy_total: float
    variance_factor: float | None
    converged: bool
    scale: Scale

    @property
    def unknowns(self) -> int:
        """u."""
        return len(self.estimate)

    @property
    def assumptions(self) -> int:
        """m: rows that nobody read."""
        return len(self.assumed)

    @property
    def pitch(self) -> float:
        """How much the floor climbs to the front, radian."""
        return float(self.estimate[self.slot["floor.pitch"]])

    @property
    def bank(self) -> float:
        """How much the floor climbs to the left, radian."""
        return float(self.estimate[self.slot["floor.bank"]])

    @property
    def tyre_radius(self) -> float:
        """Loaded radius, mm."""
        return float(self.estimate[self.slot["tyre.loaded_radius"]])

    @property
    def origin(self) -> float:
        """x of the worked axle's centre in the floor frame, mm."""
        return origin_of(self.slot, self.estimate)

    def predict(self, names: Sequence[str]) -> tuple[Array, Array]:
        """What readings of these names should show, (k,), and the sd of that alone, (k,); file units.

        Any valid name, read or not; what has not entered the fit stands on its typical place. Errors: BadName.
        """
        values, entered, outside = self._predicted_partials(names)
        variance = np.einsum("ij,jk,ik->i", entered, self.covariance, entered) + outside
        return values, np.sqrt(variance)

    def partials(self, names: Sequence[str]) -> Array:
        """Change of each reading's predicted value, file unit, per change of each unknown, inside unit: (k, u)."""
        return self._predicted_partials(names)[1]

    def _predicted_partials(self, names: Sequence[str]) -> tuple[Array, Array, Array]:
        """Values (k,), partials by the unknowns (k, u), and the variance of what is not in the fit (k,); file units."""
        readings = [parse_name(name, self.setup.layout, self.setup.worked_axle) for name in names]
        slots, more, more_sd = self._with_outsiders(readings)
        equations = Equations(readings, slots, self.unknowns + len(more), entered=self.slot)
        values, partials = equations(np.concatenate((self.estimate, more)))
        unit = np.array([reading.kind.in_file_unit for reading in readings])
        partials = partials * unit[:, None]
        outside = (partials[:, self.unknowns :] * more_sd) ** 2
        return values * unit, partials[:, : self.unknowns], outside.sum(axis=1)

    def _with_outsiders(self, readings: Iterable[ReadingName]) -> tuple[dict[str, int], Array, Array]:
        """The slots with those of points and scalars that have not entered behind them, their usual values and sds."""
        slots = dict(self.slot)
        values: list[float] = []
        sds: list[float] = []
        for name in (name for reading in readings for name in reading.touches):
            if name in slots:
                continue
            slots[name] = self.unknowns + len(values)
            if name in SCALARS:
                value, sd = usual_scalar(name, self.scale.tyre_diameter, self.scale.cg_height)
                values.append(value)
                sds.append(sd)
            else:
                values += self.scale.place(name)
                sds += [TYPICAL_SD] * 3
        return slots, np.array(values, dtype=np.float64), np.array(sds, dtype=np.float64)

    def placed(self) -> dict[str, Placed]:
        """Every point of the fit in the vehicle frame, by name."""
        return self._placed

    @cached_property
    def _placed(self) -> dict[str, Placed]:
        covariances = self.covariance, self.weak_covariance
        return place_points(self.points, self.slot, self.estimate, *covariances, self._takes())

    def _takes(self) -> dict[str, int]:
        takes: dict[str, int] = {}
        for reading in self.readings:
            for name in reading.touches:
                takes[name] = takes.get(name, 0) + 1
        return takes


def fit(setup: Setup, observations: Sequence[Observation], near: Fit | None = None) -> Fit:
    """The points and scalars that fit all observations best, with their covariance; from none at all on.

    near: a fit that is known to be about the same; the search begins there. Deterministic, and finite for every finite
    reading. Errors: BadName, BadLayout, BadValue.
    """
    names = dict.fromkeys(seen.name for seen in observations)
    parsed = {name: parse_name(name, setup.layout, setup.worked_axle) for name in names}
    readings = [parsed[seen.name] for seen in observations]
    _check(setup, observations)
    values = [seen.value for seen in observations]
    told, left_out = _told(readings, observations)
    scale = scale_of(setup.layout, setup.worked_axle, setup.wheelbase, setup.tyre_diameter, told, left_out)
    points = _points_in(setup, parsed.values())
    slots = _slots(points, parsed.values())
    size = 3 * len(points) + sum(name in SCALARS for name in slots)
    places = {name: scale.place(name) for name in points}
    rows = assumptions(slots, points, places, scale.tyre_diameter, scale.cg_height)
    factors, targets, assumed_sd, weak = as_rows(rows, size)

    unit = np.array([reading.kind.in_file_unit for reading in readings])
    read = np.array(values, dtype=np.float64)
    sd = _sds(setup, readings, observations, read)
    # the side a tape was read on tells in its row
    alike = [seen.name if seen.value >= 0.0 else f"-{seen.name}" for seen in observations]
    takes = repeated(alike, read / unit, sd / unit)
    equations = Equations([readings[one] for one in takes.first], slots, size, takes.read.tolist())
    tilts = [slots["floor.pitch"], slots["floor.bank"]]

    def model(state: Array) -> tuple[Array, Array]:
        values, partials = equations(state)
        return np.concatenate((values, factors @ state)), np.concatenate((partials, factors))

    def bend(state: Array, weights: Array) -> Array:
        return equations.curvature(state, weights[: len(takes.first)])

    rowed = adjust(
        model,
        near.estimate if near and near.slot == slots else _start(slots, points, scale, size),
        np.concatenate((takes.read, targets)),
        np.concatenate((takes.sd, assumed_sd)),
        inside=lambda state: bool((np.abs(state[tilts]) < STEEPEST).all()),
        curvature=bend,
    )
    weakened = rowed.design_matrix.copy()
    weakened[len(takes.first) :][weak] /= WEAKER
    done = each_take(rowed, takes, np.concatenate((read / unit, targets)), np.concatenate((sd / unit, assumed_sd)))
    n = len(readings)
    total = float(done.redundancy[:n].sum())
    misfit = done.residual[:n] * unit / sd
    return Fit(
        setup=setup,
        observations=tuple(observations),
        readings=tuple(readings),
        points=tuple(points),
        slot=slots,
        estimate=done.estimate,
        covariance=done.covariance,
        weak_covariance=cofactor(weakened)[0],
        predicted=done.predicted[:n] * unit,
        read=read,
        residual=done.predicted[:n] * unit - read,
        sd=sd,
        redundancy=done.redundancy[:n],
        w=done.w[:n],
        smallest_findable=done.smallest_findable[:n] * unit,
        design_matrix=done.design_matrix,
        assumed=rows,
        assumed_redundancy=done.redundancy[n:],
        redundancy_total=total,
        variance_factor=float(misfit @ misfit) / total if total >= LEAST_SPARE else None,
        converged=done.converged,
        scale=scale,
    )


def _told(readings: Sequence[ReadingName], observations: Sequence[Observation]) -> tuple[list[Told], list[Told]]:
    """The readings that count, each with its value, and those that do not."""
    parts: tuple[list[Told], list[Told]] = ([], [])
    for reading, seen in zip(readings, observations, strict=True):
        parts[seen.added_sd >= OUT_OF_THE_FIT].append((reading, seen.value))
    return parts


def _check(setup: Setup, observations: Sequence[Observation]) -> None:
    if setup.tape_class not in TAPE_LIMITS:
        raise BadValue(refusal_words.no_tape_class(setup.tape_class))
    for seen in observations:
        if not math.isfinite(seen.value):
            raise BadValue(refusal_words.no_number(seen.key, seen.value))
        if seen.sd is not None and not (math.isfinite(seen.sd) and seen.sd > 0.0):
            raise BadValue(refusal_words.spread_not_above_zero(seen.key, seen.sd))
        if not (math.isfinite(seen.added_sd) and seen.added_sd >= 0.0):
            raise BadValue(refusal_words.added_below_zero(seen.key, seen.added_sd))


def _sds(setup: Setup, readings: Sequence[ReadingName], observations: Sequence[Observation], read: Array) -> Array:
    """(n,) file units: what was stated, else the kind's own, with what carrying over adds."""
    of_kind: dict[Kind, list[int]] = {}
    for number, reading in enumerate(readings):
        of_kind.setdefault(reading.kind, []).append(number)
    own = np.empty(len(read))
    for kind, numbers in of_kind.items():
        own[numbers] = kind.sds(read[numbers], setup.tape_class)
    stated = {number: max(seen.sd, SMALLEST_SD) for number, seen in enumerate(observations) if seen.sd is not None}
    own[list(stated)] = list(stated.values())
    return np.hypot(own, [seen.added_sd for seen in observations])


def _points_in(setup: Setup, readings: Iterable[ReadingName]) -> dict[str, Point]:
    """The points that enter: links and wheels, every group that a reading touches, and the person's own points."""
    fixed = points_of(setup.layout, setup.worked_axle)
    touched = dict.fromkeys(name for reading in readings for name in reading.touches if name not in SCALARS)
    groups = {fixed[name].group for name in touched if name in fixed} | set(ALWAYS)
    entered = {name: point for name, point in fixed.items() if point.group in groups}
    own = [name for name in touched if name not in fixed]
    return entered | {name: point_named(name, setup.layout, setup.worked_axle) for name in own}


def _slots(points: Iterable[str], readings: Iterable[ReadingName]) -> dict[str, int]:
    slots = {name: 3 * place for place, name in enumerate(points)}
    touched = {name for reading in readings for name in reading.touches}
    scalars = [name for name in SCALARS if name in ALWAYS_SCALARS or name in touched]
    return slots | {name: 3 * len(slots) + place for place, name in enumerate(scalars)}


def _start(slots: Mapping[str, int], points: Iterable[str], scale: Scale, size: int) -> Array:
    start = np.zeros(size)
    for name in points:
        start[slots[name] : slots[name] + 3] = scale.place(name)
    for name in SCALARS:
        if name in slots:
            start[slots[name]] = usual_scalar(name, scale.tyre_diameter, scale.cg_height)[0]
    return start
