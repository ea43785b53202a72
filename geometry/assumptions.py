"""What the fit takes for granted, as readings that nobody took: they keep it solvable from the first reading on.

All are linear: a row is a few unknowns times a factor each, near a target, give or take an sd. The weak ones (typical
places, twins, middles, scalars) hold up only what no reading holds; the floor's tilt and the wheels standing at the
loaded radius are meant as they stand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.frame import Array
from geometry.layouts import Place
from geometry.points import LIFTS, LOADED_SHARE, LOADS, SCALARS, Point

TYPICAL_SD = 300.0
TWIN_SD = 40.0
MIDDLE_SD = 150.0
TILT_SD = math.radians(0.6)
RADIUS_SD = 5.0
"""mm: how far a wheel's centre may stand off the loaded radius common to all four."""
USUAL_LIFT = 500.0
"""mm one end is raised to find the height of the centre of gravity; common practice, no source."""
_WHEEL_LOAD = 2000.0 / len(LOADS)


@dataclass(frozen=True)
class Assumption:
    """sum of factor * unknown = target +- sd. about: the points or scalars. why: "typical", "twin", "middle", "tilt" or
    "radius". weak: made ten times weaker to see what leans on it."""

    why: str
    about: tuple[str, ...]
    columns: tuple[int, ...]
    factors: tuple[float, ...]
    target: float
    sd: float
    weak: bool = True


def usual_scalar(name: str, tyre_diameter: float, cg_height: float) -> tuple[float, float]:
    """Where a scalar is taken to be before it is read, and the sd of that; mm, radian, kg. Both sizes: mm, roughly."""
    if name in LOADS:
        return _WHEEL_LOAD, 1000.0
    if name in LIFTS:
        return USUAL_LIFT, 300.0
    usual = {
        "floor.pitch": (0.0, TILT_SD),
        "floor.bank": (0.0, TILT_SD),
        "tyre.loaded_radius": (LOADED_SHARE * tyre_diameter, 300.0),
        "tyre.free_diameter": (tyre_diameter, 300.0),
        "pinion": (0.0, math.radians(30.0)),
        "gearbox_output": (0.0, math.radians(30.0)),
        "travel.bump": (100.0, 300.0),
        "travel.droop": (100.0, 300.0),
        "cg.z": (cg_height, 300.0),
        "tape.offset": (0.0, 25.0),
        "gauge.offset": (0.0, math.radians(3.0)),
        "level.offset": (0.0, 25.0),
    }
    return usual[name]


def assumptions(
    slots: Mapping[str, int],
    points: Mapping[str, Point],
    places: Mapping[str, Place],
    tyre_diameter: float,
    cg_height: float,
) -> tuple[Assumption, ...]:
    """Every assumption about what is in the fit. slots: its unknowns; points, places: all points among them or more."""
    named = [points[name] for name in slots if name not in SCALARS]
    rows: list[Assumption] = []
    for point in named:
        rows += _typical(point, slots[point.name], places[point.name])
    for point in named:
        if point.side > 0 and point.twin in slots:
            rows += _twins(point, slots)
        if point.group == "driveshaft":
            rows.append(Assumption("middle", (point.name,), (slots[point.name] + 1,), (1.0,), 0.0, MIDDLE_SD))
    rows += _scalars(slots, tyre_diameter, cg_height)
    return (*rows, *_wheels_at_radius(named, slots))


def _typical(point: Point, slot: int, place: Place) -> Iterator[Assumption]:
    for axis, target in enumerate(place):
        yield Assumption("typical", (point.name,), (slot + axis,), (1.0,), target, TYPICAL_SD)


def _twins(left: Point, slots: Mapping[str, int]) -> Iterator[Assumption]:
    assert left.twin is not None
    one, other = slots[left.name], slots[left.twin]
    for axis, factor in enumerate((-1.0, 1.0, -1.0)):
        columns = (one + axis, other + axis)
        yield Assumption("twin", (left.name, left.twin), columns, (1.0, factor), 0.0, TWIN_SD)


def _scalars(slots: Mapping[str, int], tyre_diameter: float, cg_height: float) -> Iterator[Assumption]:
    for name in SCALARS:
        if name in slots:
            target, sd = usual_scalar(name, tyre_diameter, cg_height)
            tilt = name.startswith("floor.")
            why = "tilt" if tilt else "typical"
            yield Assumption(why, (name,), (slots[name],), (1.0,), target, sd, weak=not tilt)


def _wheels_at_radius(named: Sequence[Point], slots: Mapping[str, int]) -> Iterator[Assumption]:
    radius = "tyre.loaded_radius"
    for point in named:
        if point.group == "wheels":
            columns = (slots[point.name] + 2, slots[radius])
            yield Assumption("radius", (point.name, radius), columns, (1.0, -1.0), 0.0, RADIUS_SD, weak=False)


def as_rows(rows: Sequence[Assumption], size: int) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """The assumptions as factors (m, size), targets (m,), sds (m,) and which are weak (m,)."""
    factors = np.zeros((len(rows), size))
    for place, row in enumerate(rows):
        factors[place, list(row.columns)] = row.factors
    return (
        factors,
        np.array([row.target for row in rows]),
        np.array([row.sd for row in rows]),
        np.array([row.weak for row in rows]),
    )
