"""The sweep: what changes as the axle goes from droop to bump."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from geometry.complex_step import Complex, norm
from geometry.figures import anti, driveline, figure_words, steering
from geometry.figures.base import Band, FigureKind, NotYet
from geometry.figures.ride import Ride
from geometry.figures.swings import ENDS, link_turns
from geometry.figures.taken import Taken, take
from geometry.frame import Array
from geometry.layouts import LAYOUTS

DEGREE = 180.0 / np.pi
STEP_MM = 10.0
CROSSED_STEPS = 10
USUAL_MM = 100.0
MOST_MM = 600.0
"""No longer travel can be read."""
ROUNDING_MM = 0.1
"""A travel read as 110 must count as 110 although the fit says 109.99; 2 3/4 in, 69.85 mm, must not count as 70."""
LOOK_MM = 75.0
"""The travel at which people compare caster change and bump steer: 3 in."""


@dataclass(frozen=True)
class ColumnKind:
    """One quantity over the travel: `of` gives it for P nudged geometries at T poses, (P, T) in `unit`. unsigned: an
    angle or a length without a sign."""

    key: str
    unit: str
    title: str
    of: Callable[[Ride, Taken], Complex]
    unsigned: bool = False


def steps(ride: Ride) -> Array:
    """Every whole 10 mm from -droop to +bump; 100 mm each way where not measured. (T,)."""
    bump, droop = (_measured(ride, end) for end in ("bump", "droop"))
    lowest = -np.floor((droop + ROUNDING_MM) / STEP_MM)
    highest = np.floor((bump + ROUNDING_MM) / STEP_MM)
    return np.asarray(STEP_MM * np.arange(lowest, highest + 1.0))


def stops(ride: Ride) -> Array:
    """The same steps, with the stops themselves where they lie between two of them. (T,)."""
    return np.unique(np.append(steps(ride), [-_measured(ride, "droop"), _measured(ride, "bump")]))


def crossed(ride: Ride) -> tuple[Array, Array]:
    """One wheel up, the other down, in steps to their stops: travel at the centre and lift, (T,) mm each."""
    bump, droop = (_measured(ride, end) for end in ("bump", "droop"))
    share = np.arange(-CROSSED_STEPS, CROSSED_STEPS + 1) / CROSSED_STEPS
    left = np.where(share > 0, bump, droop) * share
    right = -np.where(share > 0, droop, bump) * share
    return 0.5 * (left + right), left - right


def _measured(ride: Ride, end: str) -> float:
    if not ride.has(f"travel.{end}"):
        return USUAL_MM
    return float(np.clip(ride.fit.estimate[ride.fit.slot[f"travel.{end}"]], 0.0, MOST_MM))


def columns(layout_name: str, worked_axle: str) -> tuple[ColumnKind, ...]:
    """Every column for a layout, in the order people read them."""
    found = [
        ColumnKind("caster_change", "deg", "Caster change", lambda ride, at: steering.caster_change(ride, at.pose)),
        ColumnKind("pinion_change", "deg", "Pinion change", lambda ride, at: driveline.pinion_change(ride, at.pose)),
        ColumnKind("lateral_shift", "mm", "Axle moves left", lambda ride, at: at.pose.shift[..., 1]),
        ColumnKind("fore_aft_shift", "mm", "Axle moves ahead", lambda ride, at: at.pose.shift[..., 0]),
        ColumnKind("yaw", "deg", "Axle turns left", lambda ride, at: steering.yaw(at.pose)),
        ColumnKind("instant_centre.x", "mm", "Instant centre, ahead", lambda ride, at: _instant_centre(ride, at)[0]),
        ColumnKind("instant_centre.z", "mm", "Instant centre, height", lambda ride, at: _instant_centre(ride, at)[1]),
        ColumnKind("anti_geometric", "%", "Anti figure before any share", _anti),
        ColumnKind("driveshaft_length_change", "mm", "Driveshaft longer",
                   lambda ride, at: driveline.length_change(ride, at.pose)),
        ColumnKind("driveshaft_angle.frame", "deg", "Driveshaft angle at the gearbox",
                   lambda ride, at: driveline.angle_at_frame(ride, at.pose), True),
        ColumnKind("driveshaft_angle.axle", "deg", "Driveshaft angle at the pinion",
                   lambda ride, at: driveline.angle_at_axle(ride, at.pose), True),
    ]  # fmt: skip
    if worked_axle == "front":
        wheels = ColumnKind("steer", "deg", "Wheels steer left", lambda ride, at: steering.self_steer(ride, at.pose))
        toe = ColumnKind("toe_in", "deg", "Toe-in change, both wheels", lambda ride, at: steering.toe_in(ride, at.pose))
        found[5:5] = [wheels, toe]
    layout = LAYOUTS[layout_name]
    for which, link in enumerate(layout.links):
        found += [
            ColumnKind(f"joint.{link.name}.{end}", "deg", figure_words.joint_turns(link.words, end).capitalize(),
                       partial(_misalignment, which=which, at_end=at_end), True)
            for at_end, end in enumerate(ENDS)
        ]  # fmt: skip
    if len(layout.links) > 4 or any(link.role == "arm" for link in layout.links):
        found.append(ColumnKind("binding", "mm", "Length the bushings must swallow", _binding, True))
    return tuple(found)


def _instant_centre(ride: Ride, at: Taken) -> tuple[Complex, Complex]:
    x, z = at.instant_centre
    with np.errstate(all="ignore"):
        off = np.hypot((x - at.centre[..., 0]).real, (z - at.centre[..., 2]).real)
    far = ~(off <= anti.FAR_MM)
    return np.where(far, np.nan, x - ride.centre[:, None, 0]), np.where(far, np.nan, z)


def _anti(ride: Ride, at: Taken) -> Complex:
    contact = np.einsum("ptij,pj->pti", at.pose.turn, ride.rig.contact)
    return anti.percent(ride, at.heave, contact)


def _misalignment(ride: Ride, at: Taken, which: int, at_end: int) -> Complex:
    """How far a link has turned from ride height against the body of that end, deg."""
    return ride.once(link_turns, at.pose)[..., at_end, which]


def _binding(ride: Ride, at: Taken) -> Complex:
    """The greatest change of length, or miss of a held end, that the pose leaves: mm."""
    rig, pose = ride.rig, at.pose
    arm = np.swapaxes(pose.turn @ np.swapaxes(rig.axle, -1, -2)[:, None], -1, -2)
    length = norm(rig.centre[:, None, None] + pose.shift[:, :, None] + arm - rig.frame[:, None])
    change = length - rig.length[:, None]
    misses = [np.where(change.real < 0, -change, change)]
    if rig.held.shape[1]:
        arm = np.swapaxes(pose.turn @ np.swapaxes(rig.held, -1, -2)[:, None], -1, -2)
        misses.append(norm(pose.shift[:, :, None] + arm - rig.held[:, None]))
    every = np.concatenate(misses, axis=-1)
    most = every[:1].real.argmax(axis=-1)
    return np.take_along_axis(every, np.broadcast_to(most[..., None], (*every.shape[:2], 1)), axis=-1)[..., 0]


def _looked_at(ride: Ride) -> Taken:
    """At 75 mm of droop and of bump."""
    at, reached = take(ride, np.array([-LOOK_MM, LOOK_MM]))
    if not reached.all():
        raise NotYet((), figure_words.LINKS_DO_NOT_REACH)
    return at


def _caster_change(ride: Ride) -> Complex:
    return steering.caster_change(ride, _looked_at(ride).pose)[:, 1]


def _bump_steer(ride: Ride) -> Complex:
    """Heading of the road wheels at 75 mm of bump or droop, whichever turns them more, deg, + left."""
    at = _looked_at(ride)
    heading = steering.yaw(at.pose) + steering.self_steer(ride, at.pose)
    if not np.isfinite(heading[0].real).all():
        raise NotYet((), figure_words.DRAG_LINK_DOES_NOT_REACH)
    most = np.abs(heading.real).argmax(axis=1)
    return np.take_along_axis(heading, most[:, None], axis=1)[:, 0]


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """The figures people read off the sweep first: a front axle's."""
    if worked_axle != "front":
        return ()
    return (
        FigureKind(
            "caster_change_75", "deg", "steering", "Caster change", _caster_change,
            lambda value, sd: figure_words.axis_leans_more("back" if value >= 0 else "forward"),
            Band(-2.0, 2.0, "usual; radius arms go further by design"), True,
        ),
        FigureKind(
            "bump_steer_75", "deg", "steering", "Bump steer", _bump_steer,
            lambda value, sd: figure_words.bump_steer(felt=abs(value) >= 0.5),
            Band(-0.25, 0.25, "usual", other_view="up to 0.5 is accepted on the trail"), True,
        ),
    )  # fmt: skip
