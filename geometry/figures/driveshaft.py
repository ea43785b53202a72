"""The driveshaft's joints: their angles, how evenly they hand on the speed, and how far the slip joint must move.

Two layouts are known: a single joint at each end, yokes in line unless stated, and a double joint at the gearbox with a
single one at the pinion. A double joint is taken to hand on the speed evenly.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from geometry import hooke, motion
from geometry.complex_step import Complex, between, norm
from geometry.figures import driveline, figure_words
from geometry.figures.base import Band, FigureKind, NotYet
from geometry.figures.driveline import JOINTS
from geometry.figures.everywhere import everywhere, greatest, least
from geometry.figures.ride import SHORT_MM, Ride
from geometry.figures.taken import Taken

DEGREE = 180.0 / np.pi
FOLDED = 89.0
"""deg: a joint bent further than this hands on nothing."""
ENDS = {"frame": "gearbox", "axle": "pinion"}


def angle(ride: Ride, end: str) -> Complex:
    """Of the joint at one end at ride height, between the shaft and the flange's axis, (P,) deg."""
    return _angle_at(ride, motion.at_ride(ride.rig), end)[:, 0]


def _angle_at(ride: Ride, pose: motion.Pose, end: str) -> Complex:
    angles = driveline.angle_at_frame(ride, pose) if end == "frame" else driveline.angle_at_axle(ride, pose)
    _length(ride)
    return angles


def _length(ride: Ride) -> Complex:
    ride.wait_for(*JOINTS)
    length = norm(ride.point("driveshaft.frame") - ride.point("driveshaft.axle"))
    if not length.real[0] > SHORT_MM:
        raise NotYet((), figure_words.SHAFT_IN_ONE_PLACE)
    return length


def most_angle(ride: Ride, end: str) -> Complex:
    """The joint's greatest angle over travel and articulation, (P,) deg."""
    _angle_at(ride, motion.at_ride(ride.rig), end)
    return greatest(ride, lambda nudged, at: _angle_at(nudged, at.pose, end)).value


def off_parallel(ride: Ride) -> Complex:
    """Pinion's axis against the gearbox output's, from the side, (P,) deg: + pinion's nose higher than parallel."""
    ride.wait_for("pinion", "gearbox_output")
    return np.asarray(DEGREE * (ride.scalar("pinion") + ride.scalar("gearbox_output")))


def off_line(ride: Ride) -> Complex:
    """How far the pinion points above the gearbox joint's centre, (P,) deg, seen from the side."""
    ride.wait_for("pinion", *JOINTS)
    _length(ride)
    shaft = ride.point("driveshaft.frame") - ride.point("driveshaft.axle")
    axis = driveline.pinion_axis(ride)
    level = np.zeros_like(axis)
    level[:, 0] = np.sign(axis[0, 0].real)
    return DEGREE * (_climb(axis, level) - _climb(shaft, level))


def _climb(along: Complex, level: Complex) -> Complex:
    """How steeply a direction climbs, seen from the side, radian."""
    flat = along.copy()
    flat[:, 1] = 0.0
    steep = between(level, flat)
    return np.where(along[:, 2].real >= 0, steep, -steep)


def unevenness(ride: Ride) -> Complex:
    """Swing of the pinion's speed in a turn of the gearbox output at ride height, (P,) % of its mean."""
    return _unevenness(ride, motion.at_ride(ride.rig))[:, 0]


def _unevenness(ride: Ride, pose: motion.Pose) -> Complex:
    joints = ride.facts.driveshaft_joints
    if joints is None:
        raise NotYet((*ride.missing(*JOINTS, "pinion", "gearbox_output"), "driveshaft_joints"))
    at_pinion = _angle_at(ride, pose, "axle")
    if joints == "double":
        _refuse_folded(at_pinion)
        return 100.0 * hooke.swing(at_pinion / DEGREE)
    ride.wait_for("gearbox_output")
    _refuse_folded(at_pinion)
    _refuse_folded(_angle_at(ride, pose, "frame"))
    shaft = -driveline.shaft(ride, pose)
    along = shaft / norm(shaft)[..., None]
    first, second = _seen_along(along)
    gearbox = np.broadcast_to(driveline.gearbox_axis(ride)[:, None], along.shape)
    pinion = -np.asarray(np.einsum("ptij,pj->pti", pose.turn, driveline.pinion_axis(ride)))
    one, other = (np.stack([_dot(axis, first), _dot(axis, second)], axis=-1) for axis in (gearbox, pinion))
    return 100.0 * hooke.pair_swing(one, _turned(other, ride.facts.driveshaft_phase / DEGREE))


def _seen_along(along: Complex) -> tuple[Complex, Complex]:
    """Two directions square to the shaft and to each other, (P, T, 3) each."""
    aside = np.zeros(3)
    aside[int(np.abs(along[0, 0].real).argmin())] = 1.0
    first = np.cross(along, aside)
    first = first / norm(first)[..., None]
    return first, np.cross(along, first)


def _dot(one: Complex, other: Complex) -> Complex:
    return np.asarray(np.einsum("...i,...i->...", one, other))


def _turned(part: Complex, angle: float) -> Complex:
    x, y = part[..., 0], part[..., 1]
    return np.stack([np.cos(angle) * x - np.sin(angle) * y, np.sin(angle) * x + np.cos(angle) * y], axis=-1)


def _refuse_folded(angle: Complex) -> None:
    if not (angle[0].real < FOLDED).all():
        raise NotYet((), figure_words.JOINT_FOLDED)


def plunge(ride: Ride) -> Complex:
    """How far the slip joint moves between its longest and its shortest on the way, (P,) mm."""
    _length(ride)
    return np.asarray(greatest(ride, _longer).value - least(ride, _longer).value)


def _longer(ride: Ride, at: Taken) -> Complex:
    return driveline.length_change(ride, at.pose)


def slip_left(ride: Ride) -> Complex:
    """The slip joint's travel less what is needed, (P,) mm."""
    if ride.facts.slip_travel is None:
        raise NotYet((*ride.missing(*JOINTS), "slip_travel"))
    return np.asarray(ride.facts.slip_travel - plunge(ride))


def reached_all(ride: Ride) -> bool:
    """Whether the links let the axle go everywhere it was asked to."""
    return everywhere(ride).complete


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family."""
    road = Band(
        0.5, 3.0, "usual at road speed",
        other_view="shafts that turn only at low speed run more; the faster the shaft, the less",
    )  # fmt: skip
    droop = Band(None, 20.0, "plain yokes touch at 20 to 30; leave 2 to 3")
    found = [
        FigureKind(f"driveshaft_angle.{end}", "deg", "driveline", f"Joint at the {where}, angle",
                   partial(angle, end=end), _says_angle, road)
        for end, where in ENDS.items()
    ]  # fmt: skip
    found += [
        FigureKind(f"driveshaft_angle_most.{end}", "deg", "driveline", f"Joint at the {where}, greatest angle",
                   partial(most_angle, end=end), _same(figure_words.MOST_IT_BENDS),
                   droop)
        for end, where in ENDS.items()
    ]  # fmt: skip
    return (
        *found,
        FigureKind(
            "driveshaft_unevenness", "%", "driveline", "Uneven turning", unevenness, _says_uneven,
            Band(None, 0.3, "about what is left of a pair of joints within 1 deg at 3 deg"),
        ),
        FigureKind(
            "driveshaft_off_parallel", "deg", "driveline", "Pinion against parallel to the output", off_parallel,
            _says_parallel, Band(-1.5, 1.0, "usual with single joints at both ends", other_view=
                                 "a rear pinion often 0 to 1.5 nose down at rest; it rises under power"),
        ),
        FigureKind(
            "driveshaft_off_line", "deg", "driveline", "Pinion against the line to the gearbox joint", off_line,
            _says_line, Band(-2.0, 0.0, "usual with a double joint at the gearbox"),
        ),
        FigureKind(
            "driveshaft_plunge", "mm", "driveline", "Slip joint, travel needed", plunge,
            _same(figure_words.SLIP_NEEDED),
        ),
        FigureKind(
            "driveshaft_slip_left", "mm", "driveline", "Slip joint, travel left over", slip_left, _says_left,
            Band(65.0, None, "25 left at bump and 40 still engaged at droop"),
        ),
    )  # fmt: skip


def _same(sentence: str) -> Callable[[float, float], str]:
    return partial(_say, sentence=sentence)


def _say(value: float, sd: float, sentence: str) -> str:
    return sentence


def _says_angle(value: float, sd: float) -> str:
    if value < 0.5:
        return figure_words.NEARLY_STRAIGHT
    return figure_words.BENDS_AT_RIDE_HEIGHT


def _says_uneven(value: float, sd: float) -> str:
    return figure_words.PINION_RUNS_AHEAD


def _says_parallel(value: float, sd: float) -> str:
    if abs(value) <= 2 * sd:
        return figure_words.PARALLEL
    return figure_words.nose_points("higher" if value > 0 else "lower")


def _says_line(value: float, sd: float) -> str:
    if abs(value) <= 2 * sd:
        return figure_words.POINTS_AT_THE_JOINT
    return figure_words.points_beside("over" if value > 0 else "under")


def _says_left(value: float, sd: float) -> str:
    if value < 0:
        return figure_words.TOO_LITTLE_TRAVEL
    return figure_words.TRAVEL_LEFT
