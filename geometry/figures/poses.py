"""Where every point of the vehicle goes when the axle moves, the frame held still: what an animated drawing shows.

Frame points stay, axle points are carried by the axle, and the balls on a knuckle swing about its kingpin as well, as
the drag link makes them. The fitted vehicle alone; no spreads.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry import motion
from geometry.figures import anti, steering, travel
from geometry.figures.base import Facts, NotYet
from geometry.figures.ride import Ride
from geometry.figures.taken import Taken, take
from geometry.fit import Fit
from geometry.frame import Array
from geometry.points import point_named

DEGREE = 180.0 / np.pi
Place = tuple[float, float, float]
STILL = ("frame", "other")
"""Bodies that do not move when the axle does."""


@dataclass(frozen=True)
class Pose:
    """The vehicle at one step. Lengths mm, vehicle frame of ride height; angles deg.

    way: how far along the path, mm. places: of the points that move. lean: of the axle, + left wheel up. heading: of
    the left and right wheel, + left. instant_centre: (x, z), None where it is far away or the path is not heave.
    """

    way: float
    places: dict[str, Place]
    lean: float
    heading: tuple[float, float]
    instant_centre: tuple[float, float] | None


def poses(fit: Fit, facts: Facts, crossed: bool = False) -> tuple[Pose, ...]:
    """The steps the links reach, droop to bump (way: mm of the axle's centre, bump +); or, crossed, one wheel up and
    the other down to their stops (way: left wheel's height over the right one's).

    NotYet where the links leave the axle loose, or reach no position.
    """
    with np.errstate(all="ignore"):
        ride = Ride(fit, facts, fit.estimate[None, :].copy())
        rise, lift = travel.crossed(ride) if crossed else (travel.steps(ride), None)
        at, _ = take(ride, rise, lift)
        turns = _turns(ride, at.pose)
        places = {name: _carried(ride, at.pose, name, turns) for name in fit.points if moves(fit, name)}
        yaw, lean = steering.yaw(at.pose)[0].real, _lean(at.pose)
        centres = [None] * at.travel.size if crossed else _instant_centres(ride, at)
        way = at.lift if crossed else at.travel
        return tuple(
            Pose(
                float(way[step]),
                {name: _shown(place[step], fit.origin) for name, place in places.items()},
                float(lean[step]),
                (float(yaw[step] + DEGREE * turns[0][step]), float(yaw[step] + DEGREE * turns[1][step])),
                centres[step],
            )
            for step in range(way.size)
        )


def moves(fit: Fit, name: str) -> bool:
    """Whether a point goes with the axle."""
    return point_named(name, fit.setup.layout, fit.setup.worked_axle).body not in STILL


def _turns(ride: Ride, pose: motion.Pose) -> tuple[Array, Array]:
    """Of both knuckles about their kingpins, (T,) radian; none where the steering is not in the fit or cannot reach."""
    still = np.zeros(pose.shift.shape[1])
    if not ride.front:
        return still, still
    try:
        left, right = steering.turns(ride, pose)
    except NotYet:
        return still, still
    return np.nan_to_num(left[0].real), np.nan_to_num(right[0].real)


def _carried(ride: Ride, pose: motion.Pose, name: str, turns: tuple[Array, Array]) -> Array:
    """A point at every step, (T, 3) mm, floor frame."""
    place = ride.point(name)
    knuckle = _knuckle(ride, name)
    rest = np.broadcast_to(place[:, None], pose.shift.shape)
    if knuckle and ride.has(f"kingpin_{knuckle}.top", f"kingpin_{knuckle}.bottom"):
        rest = steering.swung(ride, knuckle, place, turns[steering.SIDES.index(knuckle)][None])
    arm = rest - ride.centre[:, None]
    return np.asarray((ride.centre[:, None] + pose.shift + np.einsum("ptij,ptj->pti", pose.turn, arm))[0].real)


def _knuckle(ride: Ride, name: str) -> str:
    """The side of the knuckle a point turns with; none for a point of the axle itself."""
    if name.startswith("tie_rod."):
        return name.partition(".")[2]
    if name.startswith("wheel_"):
        return name.removeprefix("wheel_").partition(".")[0]
    if name == "drag_link.axle":
        try:
            return steering.steered_side(ride)
        except NotYet:
            return ""
    return ""


def _lean(pose: motion.Pose) -> Array:
    """Roll of the axle, (T,) deg, + left side up."""
    turn = pose.turn[0].real
    return np.asarray(DEGREE * np.arctan2(turn[:, 2, 1], turn[:, 2, 2]))


def _instant_centres(ride: Ride, at: Taken) -> list[tuple[float, float] | None]:
    centre = ride.centre[:, None] + at.pose.shift
    x, z = (np.asarray(part)[0].real for part in anti.centre_of_heave(at.heave, centre))
    far = np.hypot(x - centre[0, :, 0].real, z - centre[0, :, 2].real)
    return [
        (float(x[k] - ride.fit.origin), float(z[k])) if far[k] <= anti.FAR_MM else None for k in range(x.size)
    ]


def _shown(place: Array, origin: float) -> Place:
    x, y, z = place.tolist()
    return x - origin, y, z
