"""The figures by their definitions, each a function of places and scalars; spreads by moving every unknown a little."""

from __future__ import annotations

import math

import numpy as np

from tests.reference.motion import Axle, angle_between
from tests.reference.readings import link_ends, links_of, shaft_axis


def shape_figures(places: dict, layout: str) -> dict[str, float]:
    """Link lengths, inclines, plan angles, separations, wheelbase."""
    found: dict[str, float] = {}
    for link in links_of(layout):
        frame, joints = link_ends(link)
        along = places[frame] - sum(places[joint] for joint in joints) / len(joints)
        found[f"link_length.{link}"] = float(np.linalg.norm(along))
        found[f"link_incline.{link}"] = math.degrees(math.atan2(along[2], math.hypot(along[0], along[1])))
        found[f"link_plan.{link}"] = math.degrees(math.atan2(abs(along[1]), abs(along[0])))
    uppers = [link for link in links_of(layout) if link.startswith("upper")]
    lowers = [link for link in links_of(layout) if link.startswith("lower")]
    if uppers and lowers:
        for end in ("axle", "frame"):
            high, low = (np.mean([places[f"{link}.{end}"][2] for link in group]) for group in (uppers, lowers))
            found[f"separation_at_{end}"] = float(high - low)
    found["wheelbase"] = wheelbase(places)
    return found


def wheelbase(places: dict) -> float:
    sides = [np.linalg.norm((places[f"wheel_{s}.centre"] - places[f"other_{s}.centre"])[:2]) for s in ("left", "right")]
    return float(np.mean(sides))


def caster_of(top: np.ndarray, bottom: np.ndarray) -> float:
    return math.degrees(math.atan2(bottom[0] - top[0], top[2] - bottom[2]))


def motion_figures(axle: Axle, worked_axle: str, scalars: dict, facts: dict) -> dict[str, float | None]:
    found: dict[str, float | None] = {}
    centre = axle.instant_centre()
    found["instant_centre.x"], found["instant_centre.z"] = centre if centre else (None, None)
    found["roll_centre_height"], found["roll_axis_incline"], found["roll_steer"] = axle.roll_figures()
    found["anti_geometric"] = anti(axle, worked_axle, scalars)
    if found["anti_geometric"] is not None:
        for key, share in _shares(worked_axle, facts).items():
            found[key] = found["anti_geometric"] * share
    return found


def anti(axle: Axle, worked_axle: str, scalars: dict, travel: float = 0.0) -> float | None:
    slope = axle.contact_slope(travel)
    if slope is None or "cg.z" not in scalars:
        return None
    return 100.0 * (slope if worked_axle == "front" else -slope) * wheelbase(axle.places) / scalars["cg.z"]


def _shares(worked_axle: str, facts: dict) -> dict[str, float]:
    brake, drive = facts.get("brake_share_front"), facts.get("drive_share_front")
    keys = ("anti_dive", "anti_lift_driving") if worked_axle == "front" else ("anti_lift_braking", "anti_squat")
    shares = (brake, drive) if worked_axle == "front" else (_less(brake), _less(drive))
    return {key: share for key, share in zip(keys, shares, strict=True) if share is not None}


def _less(share: float | None) -> float | None:
    return None if share is None else 1.0 - share


def steering_figures(places: dict, scalars: dict) -> dict[str, float]:
    found: dict[str, float] = {}
    if "kingpin_left.top" in places:
        for side in ("left", "right"):
            found[f"caster.{side}"] = caster_of(places[f"kingpin_{side}.top"], places[f"kingpin_{side}.bottom"])
        found["caster"] = 0.5 * (found["caster.left"] + found["caster.right"])
    if "pinion" in scalars:
        found["pinion_angle"] = scalars["pinion"]
    return found


def cg_figures(places: dict, scalars: dict, worked_axle: str, read: set[str]) -> dict[str, float]:
    """read: the readings' names; across, each axle needs a wheel weighed by itself."""
    found = {}
    if "load.front_left" in scalars:
        front, rear = (sum(scalars[f"load.{end}_{s}"] for s in ("left", "right")) for end in ("front", "rear"))
        length = wheelbase(places)
        found["cg.x"] = (-length * rear if worked_axle == "front" else length * front) / (front + rear)
        stems = ("wheel", "other") if worked_axle == "front" else ("other", "wheel")
        sides = [(f"load.{end}_{s}", f"{stem}_{s}.centre") for end, stem in zip(("front", "rear"), stems, strict=True)
                 for s in ("left", "right")]
        if all({f"weight:{end}_left", f"weight:{end}_right"} & read for end in ("front", "rear")):
            found["cg.y"] = sum(scalars[load] * places[wheel][1] for load, wheel in sides) / (front + rear)
    if "cg.z" in scalars:
        found["cg.z"] = scalars["cg.z"]
    return found


def all_figures(
    places: dict, scalars: dict, layout: str, worked_axle: str, facts: dict, read: set[str]
) -> dict[str, float | None]:
    return {
        **shape_figures(places, layout),
        **motion_figures(Axle(places, layout), worked_axle, scalars, facts),
        **steering_figures(places, scalars),
        **cg_figures(places, scalars, worked_axle, read),
    }


def sweep_step(
    places: dict, scalars: dict, layout: str, worked_axle: str, travel: float, lift: float = 0.0
) -> dict[str, float | None]:
    """One row of the sweep, or of the articulation with the left wheel `lift` over the right one; empty where the links
    bind. The instant centre and the anti figure belong to heave alone."""
    axle = Axle(places, layout)
    pose = axle.pose(travel, lift)
    if pose is None:
        return {}
    turn = axle.turned(travel, lift)
    row: dict[str, float | None] = {"fore_aft_shift": pose[0], "lateral_shift": pose[1]}
    matrix = turn.as_matrix()
    row["yaw"] = math.degrees(math.atan2(matrix[1, 0], matrix[0, 0]))
    nose = shaft_axis("pinion", scalars.get("pinion", 0.0), worked_axle)
    row["pinion_change"] = math.degrees(math.asin(turn.apply(nose)[2]) - math.asin(nose[2]))
    row["caster_change"] = caster_of(matrix[:, 2], np.zeros(3))
    if lift == 0.0:
        centre = axle.instant_centre(travel)
        row["instant_centre.x"], row["instant_centre.z"] = centre if centre else (None, None)
        row["anti_geometric"] = anti(axle, worked_axle, scalars, travel)
    if len(axle.links) > 4 or axle.held:
        row["binding"] = axle.binding(travel, lift)
    if "kingpin_left.top" in places:
        row["caster_change"] = float(np.mean([_caster_turned(places, turn, side) for side in ("left", "right")]))
        if "drag_link.frame" in places:
            row["steer"] = axle.steer(travel, lift)
            if "tie_rod.left" in places:
                row["toe_in"] = axle.toe_in(travel, lift)
    if "driveshaft.frame" in places:
        row |= _driveshaft(axle, pose, turn, scalars, worked_axle)
    for link in links_of(layout):
        frame, joints = link_ends(link)
        middle = sum(places[joint] for joint in joints) / len(joints)
        before, after = middle - places[frame], axle.carried(middle, pose) - places[frame]
        if len(joints) == 2:
            after = turn.apply(before)
        row[f"joint.{link}.frame"] = angle_between(before, after)
        row[f"joint.{link}.axle"] = angle_between(before, turn.inv().apply(after))
    return row


def _caster_turned(places: dict, turn, side: str) -> float:
    axis = places[f"kingpin_{side}.top"] - places[f"kingpin_{side}.bottom"]
    zero = np.zeros(3)
    return caster_of(turn.apply(axis), zero) - caster_of(axis, zero)


def _driveshaft(axle: Axle, pose: np.ndarray, turn, scalars: dict, worked_axle: str) -> dict[str, float]:
    frame, before = axle.places["driveshaft.frame"], axle.places["driveshaft.axle"]
    after = axle.carried(before, pose)
    row = {"driveshaft_length_change": float(np.linalg.norm(after - frame) - np.linalg.norm(before - frame))}
    if "gearbox_output" in scalars:
        flange = shaft_axis("gearbox_output", scalars["gearbox_output"], worked_axle)
        row["driveshaft_angle.frame"] = angle_between(after - frame, flange)
    if "pinion" in scalars:
        flange = turn.apply(shaft_axis("pinion", scalars["pinion"], worked_axle))
        row["driveshaft_angle.axle"] = angle_between(frame - after, flange)
    return row


def slopes(value_of, unknown: np.ndarray, columns=None, step: float = 0.05) -> tuple[list[str], np.ndarray]:
    """The figures that `value_of(unknown)` gives and their change per unknown (k, u), moving each `step` both ways."""
    keys = [key for key, value in value_of(unknown).items() if value is not None]
    columns = range(len(unknown)) if columns is None else columns
    change = np.zeros((len(keys), len(unknown)))
    for column in columns:
        ahead, behind = unknown.copy(), unknown.copy()
        ahead[column] += step
        behind[column] -= step
        there, back = value_of(ahead), value_of(behind)
        change[:, column] = [(there[key] - back[key]) / (2.0 * step) for key in keys]
    return keys, change


def spread(value_of, unknown: np.ndarray, covariance: np.ndarray, columns=None, step: float = 0.05) -> dict[str, float]:
    """First-order sd of every figure that `value_of(unknown)` gives."""
    keys, change = slopes(value_of, unknown, columns, step)
    variance = np.einsum("ij,jk,ik->i", change, covariance, change)
    return dict(zip(keys, np.sqrt(variance), strict=True))
