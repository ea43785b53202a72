"""The vehicle where two bodies come nearest: every body around the worked axle at that pose and steer, to be drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry import motion
from geometry.figures.base import Facts
from geometry.figures.bodies import Scene, Surroundings, bars, own_points, scene
from geometry.figures.clearance import Clearance, Place
from geometry.figures.everywhere import everywhere
from geometry.figures.hulls import hulls
from geometry.fit import Fit
from geometry.frame import Array
from geometry.nearest import Box

ROUND = 24
"""Points on a wheel's rim."""


@dataclass(frozen=True)
class Shape:
    """One body, vehicle frame, mm. A bar: two ends and a diameter; a solid one: points whose hull it is, diameter 0;
    a point: one place."""

    name: str
    places: tuple[Place, ...]
    diameter: float = 0.0


def shapes_at(fit: Fit, facts: Facts, spot: Clearance) -> tuple[Shape, ...]:
    """Every body at the pose and steer of a least distance; wheels first, then still bodies, bars and points."""
    with np.errstate(all="ignore"):
        ride = Surroundings(fit, facts)
        gone = everywhere(ride)
        step = int(np.argmin(np.abs(gone.at.travel - spot.travel) + np.abs(gone.at.lift - spot.lift)))
        pose = motion.Pose(*(part[:, step : step + 1] for part in (
            gone.at.pose.shift, gone.at.pose.turn, gone.at.pose.multiplier)))  # fmt: skip
        seen = scene(gone.ride, pose, np.array([spot.steer]))
        origin = float(ride.centre[0, 0].real)
        wheels = [Shape(f"tyre_{side}", _places(_rims(seen, k), origin)) for k, side in enumerate(("left", "right"))]
        still = list(_still(ride, seen, origin))
        whole = len(bars(ride))
        ends = zip(bars(ride), seen.start[0, 0, :whole].real, seen.end[0, 0, :whole].real, strict=True)
        rods = [Shape(bar.name, _places(np.stack(two), origin), bar.diameter) for bar, *two in ends]
        own = seen.own[0, 0].real
        points = [Shape(name, _places(own[k : k + 1], origin)) for k, name in enumerate(own_points(ride))]
        return (*wheels, *still, *rods, *points)


def _still(ride: Surroundings, seen: Scene, origin: float) -> list[Shape]:
    found = []
    for hull in hulls(ride).found:
        if hull.box is not None:
            found.append(Shape(f"body.{hull.name}", _places(_corners(hull.box), origin)))
        else:
            ends = np.stack([hull.start[0].real, hull.end[0].real])
            found.append(Shape(f"body.{hull.name}", _places(ends, origin), hull.diameter or 0.0))
    return found


def _corners(box: Box) -> Array:
    """The eight corners of the first vehicle's box, (8, 3)."""
    signs = np.array([(a, b, c) for a in (-1.0, 1.0) for b in (-1.0, 1.0) for c in (-1.0, 1.0)])
    halves = np.array([part[0].real for part in (box.half_length, box.half_width, box.half_height)])
    ways = np.stack([box.along[0].real, box.beside[0].real, box.up[0].real])
    return np.asarray(box.middle[0].real + (signs * halves) @ ways)


def _rims(seen: Scene, wheel: int) -> Array:
    """Points on both edges of a wheel's tread, (2 ROUND, 3)."""
    centre, spindle = seen.wheel[0, 0, wheel].real, seen.spindle[0, 0, wheel].real
    one = np.cross(spindle, [0.0, 0.0, 1.0])
    one /= np.linalg.norm(one)
    other = np.cross(spindle, one)
    angles = 2.0 * np.pi * np.arange(ROUND) / ROUND
    circle = float(seen.wheel_radius[0].real) * (np.outer(np.cos(angles), one) + np.outer(np.sin(angles), other))
    return np.concatenate([centre + side * seen.half_width * spindle + circle for side in (1.0, -1.0)])


def _places(points: Array, origin: float) -> tuple[Place, ...]:
    return tuple((x - origin, y, z) for x, y, z in points.tolist())
