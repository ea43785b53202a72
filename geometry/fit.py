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
from numpy.typing import NDArray

from geometry.adjustment import adjust, cofactor
from geometry.assumptions import TYPICAL_SD, Assumption, as_rows, assumptions, usual_scalar
from geometry.errors import BadValue
from geometry.frame import Array
from geometry.layouts import Place
from geometry.network import Equations
from geometry.points import (
    ALWAYS,
    ALWAYS_SCALARS,
    SCALARS,
    USUAL_TYRE_DIAMETER,
    USUAL_WHEELBASE,
    Point,
    combination,
    own_place,
    point_named,
    points_of,
    typical_places,
)
from geometry.readings import ReadingName, parse_name
from geometry.readings.kind import TAPE_LIMITS

SMALLEST_SD = 1e-3
"""mm, deg or kg: nobody reads better, and a smaller one only costs digits."""
WEAKER = 10.0
KNOWN_GROWTH = 2.0
"""A point is known when its sd grows by less than this in every direction as the weak assumptions are weakened."""
STEEPEST = math.radians(30.0)
"""No floor is this steep; a step of the search to such a place is shortened."""
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


@dataclass(frozen=True)
class Placed:
    """A point in the vehicle frame, mm, with the doubt of the frame's origin.

    sd (3,); cov 3 x 3, mm2; known: False when it stands on an assumption alone in some direction; takes: how many
    readings touch it.
    """

    name: str
    x: float
    y: float
    z: float
    sd: tuple[float, float, float]
    cov: tuple[tuple[float, float, float], ...]
    known: bool
    takes: int


@dataclass(frozen=True)
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
        return float(np.mean([self.estimate[self.slot[name]] for name in ORIGIN]))

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
        equations = Equations(readings, slots, self.unknowns + len(more))
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
                value, sd = usual_scalar(name, self.scale.tyre_diameter)
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
        if not self.points:
            return {}
        columns = np.array([self.slot[name] for name in self.points], dtype=np.intp)[:, None] + np.arange(3)
        centres = [self.slot[name] for name in ORIGIN]
        places = self.estimate[columns]
        places[:, 0] -= self.origin
        spread = _blocks(self.covariance, columns, centres)
        known = _growth(spread, _blocks(self.weak_covariance, columns, centres)) < KNOWN_GROWTH**2
        takes = self._takes()
        return {
            name: _placed(name, places[i], spread[i], bool(known[i]), takes.get(name, 0))
            for i, name in enumerate(self.points)
        }

    def _takes(self) -> dict[str, int]:
        takes: dict[str, int] = {}
        for reading in self.readings:
            for name in reading.touches:
                takes[name] = takes.get(name, 0) + 1
        return takes


ORIGIN = ("wheel_left.centre", "wheel_right.centre")


@dataclass(frozen=True)
class Scale:
    """The size the typical places are scaled to, and where the cross line lies; mm."""

    setup: Setup
    wheelbase: float
    tyre_diameter: float
    shift: float

    @cached_property
    def places(self) -> dict[str, Place]:
        """Typical places of the fixed points, floor frame."""
        places = typical_places(self.setup.layout, self.setup.worked_axle, self.wheelbase, self.tyre_diameter)
        return {name: (x + self.shift, y, z) for name, (x, y, z) in places.items()}

    def place(self, name: str) -> Place:
        """Typical place of a fixed or own point, floor frame."""
        if name in self.places:
            return self.places[name]
        x, y, z = own_place(name, self.setup.worked_axle, self.wheelbase, self.tyre_diameter)
        return x + self.shift, y, z


def fit(setup: Setup, observations: Sequence[Observation]) -> Fit:
    """The points and scalars that fit all observations best, with their covariance; from none at all on.

    Deterministic, and finite for every finite reading. Errors: BadName, BadLayout, BadValue.
    """
    readings = [parse_name(seen.name, setup.layout, setup.worked_axle) for seen in observations]
    _check(setup, observations)
    scale = _scale(setup, readings, observations)
    points = _points_in(setup, readings)
    slots = _slots(points, readings)
    size = 3 * len(points) + sum(name in SCALARS for name in slots)
    rows = assumptions(slots, points, {name: scale.place(name) for name in points}, scale.tyre_diameter)
    factors, targets, assumed_sd, weak = as_rows(rows, size)

    unit = np.array([reading.kind.in_file_unit for reading in readings])
    read = np.array([seen.value for seen in observations], dtype=np.float64)
    sd = np.array([_sd(setup, *pair) for pair in zip(readings, observations, strict=True)], dtype=np.float64)
    equations = Equations(readings, slots, size)
    tilts = [slots["floor.pitch"], slots["floor.bank"]]

    def model(state: Array) -> tuple[Array, Array]:
        values, partials = equations(state)
        return np.concatenate((values, factors @ state)), np.concatenate((partials, factors))

    def bend(state: Array, weights: Array) -> Array:
        return equations.curvature(state, weights[: len(readings)])

    done = adjust(
        model,
        _start(slots, points, scale, size),
        np.concatenate((read / unit, targets)),
        np.concatenate((sd / unit, assumed_sd)),
        inside=lambda state: bool((np.abs(state[tilts]) < STEEPEST).all()),
        curvature=bend,
    )
    n = len(readings)
    weakened = done.design_matrix.copy()
    weakened[n:][weak] /= WEAKER
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


def _check(setup: Setup, observations: Sequence[Observation]) -> None:
    if setup.tape_class not in TAPE_LIMITS:
        raise BadValue(f"tape_class: {setup.tape_class} is not a tape class; write I, II or III.")
    for seen in observations:
        if not math.isfinite(seen.value):
            raise BadValue(f"{seen.key}: the value {seen.value} is not a number that can be read; enter it again.")
        if seen.sd is not None and not (math.isfinite(seen.sd) and seen.sd > 0.0):
            raise BadValue(f"{seen.key}: the give or take {seen.sd} must be above zero; enter it again or drop it.")
        if not (math.isfinite(seen.added_sd) and seen.added_sd >= 0.0):
            raise BadValue(f"{seen.key}: the added give or take {seen.added_sd} must not be below zero.")


def _sd(setup: Setup, reading: ReadingName, seen: Observation) -> float:
    own = reading.kind.sd(seen.value, setup.tape_class) if seen.sd is None else max(seen.sd, SMALLEST_SD)
    return math.hypot(own, seen.added_sd)


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
            start[slots[name]] = usual_scalar(name, scale.tyre_diameter)[0]
    return start


def _scale(setup: Setup, readings: Sequence[ReadingName], observations: Sequence[Observation]) -> Scale:
    """Sizes as stated, else as read, else usual; the cross line where the plumbed readings put it."""
    pairs = [(reading, seen.value) for reading, seen in zip(readings, observations, strict=True)]
    wheelbase = setup.wheelbase or _median(pairs, {"wheelbase": 1.0}, USUAL_WHEELBASE)
    round_tyre = {"diameter": 1.0, "circumference": 1.0 / math.pi}
    tyre_diameter = setup.tyre_diameter or _median(pairs, round_tyre, USUAL_TYRE_DIAMETER)
    places = typical_places(setup.layout, setup.worked_axle, wheelbase, tyre_diameter)
    shifts = []
    for reading, value in pairs:
        if reading.kind.name == "fore_aft" and all(name in places or name in SCALARS for name in reading.touches):
            shares = combination(reading.subject, setup.layout, setup.worked_axle)
            shifts.append(value - sum(share * places[name][0] for name, share in shares.items()))
    return Scale(setup, wheelbase, tyre_diameter, float(np.median(shifts)) if shifts else 0.0)


def _median(pairs: Iterable[tuple[ReadingName, float]], kinds: Mapping[str, float], usual: float) -> float:
    """The middle one of the readings of these kinds, each times its factor; the usual value where none is near it."""
    read = [value * kinds[reading.kind.name] for reading, value in pairs if reading.kind.name in kinds]
    near = [value for value in read if usual / 2.0 < value < usual * 2.0]
    return float(np.median(near)) if near else usual


def _blocks(covariance: Array, columns: NDArray[np.intp], centres: list[int]) -> Array:
    """Each point's 3 x 3 covariance in the vehicle frame, (p, 3, 3): x less the mean of the two centres' x."""
    shares = np.zeros((len(covariance), 1))
    shares[centres] = 0.5
    with_origin = (covariance @ shares)[:, 0]
    origin = float(shares[:, 0] @ with_origin)
    blocks: Array = covariance[columns[:, :, None], columns[:, None, :]]
    cross = with_origin[columns]
    blocks[:, 0, :] -= cross
    blocks[:, :, 0] -= cross
    blocks[:, 0, 0] += origin
    return blocks


def _growth(spread: Array, weak: Array) -> Array:
    """The largest growth of variance in any direction, (p,): the greatest generalised eigenvalue of weak to spread."""
    root = np.linalg.inv(np.linalg.cholesky(spread))
    values = np.linalg.eigvalsh(root @ weak @ root.transpose(0, 2, 1))
    return np.asarray(values[:, -1], dtype=np.float64)


def _placed(name: str, place: Array, spread: Array, known: bool, takes: int) -> Placed:
    x, y, z = place.tolist()
    first, second, third = np.sqrt(np.diag(spread)).tolist()
    rows = tuple((row[0], row[1], row[2]) for row in spread.tolist())
    return Placed(name, x, y, z, (first, second, third), rows, known, takes)
