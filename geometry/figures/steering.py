"""Caster of the steering axes, and how far the road wheels steer themselves when the axle moves."""

from __future__ import annotations

from functools import partial

import numpy as np

from geometry.closure import turned
from geometry.complex_step import Complex, acos, atan2, cross, norm
from geometry.figures import figure_words
from geometry.figures.base import Band, FigureKind, NotYet
from geometry.figures.ride import SHORT_MM, Ride
from geometry.motion import Pose

DEGREE = 180.0 / np.pi
SIDES = ("left", "right")
DRAG_LINK = ("drag_link.frame", "drag_link.axle")
KINGPINS = tuple(f"kingpin_{at}.{end}" for at in SIDES for end in ("top", "bottom"))
TIE_ROD = tuple(f"tie_rod.{at}" for at in SIDES)


def kingpin(ride: Ride, at: str) -> Complex:
    """One side's steering axis, bottom to top, (P, 3) mm. NotYet where its top was not read above its bottom."""
    axis = ride.point(f"kingpin_{at}.top") - ride.point(f"kingpin_{at}.bottom")
    if not float(axis[0, 2].real) > SHORT_MM:
        raise NotYet((), figure_words.kingpin_not_upright(at))
    return axis


def caster_of(axis: Complex) -> Complex:
    """Lean of an axis in side view against the floor's normal, deg, + top rearward: (..., 3) -> (...)."""
    return DEGREE * atan2(-axis[..., 0], axis[..., 2])


def caster(ride: Ride, at: str) -> Complex:
    """Caster of one side against the floor, deg."""
    return caster_of(kingpin(ride, at))


def mean_caster(ride: Ride) -> Complex:
    """Mean of both sides, deg."""
    ride.wait_for(*KINGPINS)
    return 0.5 * (caster(ride, "left") + caster(ride, "right"))


def caster_change(ride: Ride, pose: Pose) -> Complex:
    """Change of caster from ride height, (P, T) deg: of the steering axes, or the axle's own upright where unread."""
    axes = [kingpin(ride, at) for at in SIDES if ride.has(f"kingpin_{at}.top", f"kingpin_{at}.bottom")]
    if not axes:
        upright = np.zeros_like(ride.centre)
        upright[:, 2] = 1.0
        axes = [upright]
    every = np.stack(axes, axis=1)
    change = caster_of(turned(pose.turn, every)) - caster_of(every)[:, None]
    return np.asarray(change.mean(axis=-1))


def yaw(pose: Pose) -> Complex:
    """Heading of the axle against the frame, (P, T) deg, + to the left."""
    return DEGREE * atan2(pose.turn[..., 1, 0], pose.turn[..., 0, 0])


def self_steer(ride: Ride, pose: Pose) -> Complex:
    """Turn of the knuckle about its kingpin against the axle, (P, T) deg, + left, the steering box arm held.

    The drag link keeps its length; its axle end swings about the kingpin that stands nearest to it. nan where it cannot
    reach. The ride keeps the answer for the pose in hand, as the toe of both wheels hangs on it too.
    """
    return ride.once(_self_steer, pose)


def _self_steer(ride: Ride, pose: Pose) -> Complex:
    ride.wait_for(*DRAG_LINK, *KINGPINS)
    box, ball = ride.point("drag_link.frame"), ride.point("drag_link.axle")
    off = box[:, None] - ride.centre[:, None] - pose.shift
    held = ride.centre[:, None] + np.einsum("ptji,ptj->pti", pose.turn, off)
    length = norm(box - ball)
    return DEGREE * turn_to_reach(ride, steered_side(ride), ball, held, length, box)


def steered_side(ride: Ride) -> str:
    """The side whose kingpin stands nearest to the drag link's axle end."""
    if not ride.steered:
        ball = ride.point("drag_link.axle")
        ride.steered = min(SIDES, key=lambda side: _distance_to_axis(ride, side, ball))
    return ride.steered


def turn_to_reach(ride: Ride, at: str, ball: Complex, target: Complex, length: Complex, rest: Complex) -> Complex:
    """How far the knuckle at one side turns so that its ball (P, 3) stands `length` (P,) from target (P, T, 3): radian.

    All in the axle's own frame, at ride height's place. Of the two ways to close the link the one is taken that passes
    through 0 with the target at rest (P, 3). nan where the link cannot reach.
    """
    foot, axis = ride.point(f"kingpin_{at}.bottom"), kingpin(ride, at)
    axis = axis / norm(axis)[:, None]
    arm = ball - foot
    along = np.einsum("pi,pi->p", arm, axis)[:, None] * axis
    radial = arm - along
    sideways = cross(axis, radial)
    hub = foot + along
    reach = hub[:, None] - target
    by_cosine = 2.0 * np.einsum("pti,pi->pt", reach, radial)
    by_sine = 2.0 * np.einsum("pti,pi->pt", reach, sideways)
    square = length**2 - np.einsum("pi,pi->p", radial, radial)
    left = square[:, None] - np.einsum("pti,pti->pt", reach, reach)
    start = np.einsum("pi,pi->p", hub - rest, sideways)
    branch = np.where(start.real[:, None] > 0, 1.0, -1.0)
    with np.errstate(all="ignore"):
        size = np.sqrt(by_cosine**2 + by_sine**2)
        return np.asarray(atan2(by_sine, by_cosine) - branch * acos(left / size))


def _distance_to_axis(ride: Ride, at: str, ball: Complex) -> float:
    if not ride.has(f"kingpin_{at}.top", f"kingpin_{at}.bottom"):
        raise NotYet(("caster:left", "caster:right"))
    axis = kingpin(ride, at)[0].real
    arm = (ball - ride.point(f"kingpin_{at}.bottom"))[0].real
    return float(norm(cross(arm, axis)) / norm(axis))


def toe_in(ride: Ride, pose: Pose) -> Complex:
    """Change of total toe from ride height, (P, T) deg, + in: by the tie rod the other knuckle follows."""
    left, right = turns(ride, pose)
    return np.asarray(DEGREE * (right - left))


def turns(ride: Ride, pose: Pose) -> tuple[Complex, Complex]:
    """Of the left and the right knuckle about its kingpin from ride height, (P, T) radian each, + left.

    The drag link turns the one, the tie rod makes the other follow.
    """
    ride.wait_for(*DRAG_LINK, *KINGPINS, *TIE_ROD)
    steered = steered_side(ride)
    other = "right" if steered == "left" else "left"
    first = self_steer(ride, pose) / DEGREE
    balls = {at: ride.point(f"tie_rod.{at}") for at in SIDES}
    moved = swung(ride, steered, balls[steered], first)
    length = norm(balls["left"] - balls["right"])
    second = turn_to_reach(ride, other, balls[other], moved, length, balls[steered])
    return (first, second) if steered == "left" else (second, first)


def swung(ride: Ride, at: str, ball: Complex, turn: Complex) -> Complex:
    """A point (P, 3) on a knuckle swung about its kingpin by turn (P, T), radian: (P, T, 3), axle's own frame."""
    foot, axis = ride.point(f"kingpin_{at}.bottom"), kingpin(ride, at)
    axis = axis / norm(axis)[:, None]
    arm = ball - foot
    along = np.einsum("pi,pi->p", arm, axis)[:, None] * axis
    radial, sideways = (arm - along)[:, None], cross(axis, arm)[:, None]
    return np.asarray((foot + along)[:, None] + np.cos(turn)[..., None] * radial + np.sin(turn)[..., None] * sideways)


def _turned(pose: Pose, arm: Complex) -> Complex:
    """(P, 3) carried by the axle: (P, T, 3)."""
    return np.asarray(np.einsum("ptij,pj->pti", pose.turn, arm))


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family: a front axle's."""
    if worked_axle != "front":
        return ()
    usual = Band(4.0, 7.0, "usual", other_view="5 to 8 with large tyres at road speed; 3 is the floor")
    return (
        FigureKind("caster", "deg", "steering", "Caster", mean_caster, _says_caster, usual, True),
        *(
            FigureKind(f"caster.{at}", "deg", "steering", f"Caster, {at}", partial(caster, at=at), _says_caster, usual)
            for at in SIDES
        ),
    )


def _says_caster(value: float, sd: float) -> str:
    if value < -2 * sd:
        return figure_words.LEANS_FORWARD
    if value < 3.0:
        return figure_words.LEANS_A_LITTLE
    return figure_words.LEANS_ENOUGH
