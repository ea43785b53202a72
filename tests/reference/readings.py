"""What each reading would show on a vehicle whose points are known: written from the definitions, one line a kind.

A vehicle is a dict of places in the floor frame (name -> (3,) mm) and a dict of scalars (file units: mm, deg, kg).
"""

from __future__ import annotations

import math

import numpy as np

LINKS = {
    "three_link_panhard": ("lower_left", "lower_right", "upper", "panhard"),
    "four_link": ("lower_left", "lower_right", "upper_left", "upper_right"),
    "four_link_panhard": ("lower_left", "lower_right", "upper_left", "upper_right", "panhard"),
    "radius_arms_panhard": ("arm_left", "arm_right", "panhard"),
}
USUAL_SD = {
    "height": 2.0, "fore_aft": 2.5, "lateral": 2.5, "across": 2.5, "span": 1.5, "floor_span": 2.5, "rise": 2.0,
    "incline": 0.2, "floor_slope": 0.1, "wheelbase": 3.0, "caster": 0.3, "diameter": 4.0, "circumference": 4.0,
    "travel": 5.0, "cg_height": 50.0,
}  # fmt: skip
TAPED = {"height", "fore_aft", "lateral", "across", "span", "floor_span", "wheelbase", "diameter", "circumference"}
TAPE = {"I": (0.1, 0.1), "II": (0.3, 0.2), "III": (0.6, 0.4)}
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
WEIGHED = {corner: (corner,) for corner in CORNERS} | {
    "front": CORNERS[:2], "rear": CORNERS[2:], "total": CORNERS,
}  # fmt: skip


def links_of(layout: str) -> tuple[str, ...]:
    return LINKS[layout]


def link_ends(name: str) -> tuple[str, tuple[str, ...]]:
    """Frame joint, axle joints of a link."""
    if name.startswith("arm_"):
        return f"{name}.frame", (f"{name}.axle_front", f"{name}.axle_rear")
    return f"{name}.frame", (f"{name}.axle",)


def names_needed(point: str) -> tuple[tuple[str, float], ...]:
    """A point as a sum of real points: halves for a link's middle and for the axle's centre."""
    if point == "axle.centre":
        return (("wheel_left.centre", 0.5), ("wheel_right.centre", 0.5))
    if point.endswith(".middle"):
        frame, axle = link_ends(point.removesuffix(".middle"))
        return ((frame, 0.5), *((joint, 0.5 / len(axle)) for joint in axle))
    return ((point, 1.0),)


def touched(reading: str) -> tuple[str, ...]:
    """The real points a reading says something about."""
    kind, subject = reading.split(":", 1)
    if kind == "wheelbase":
        return (f"wheel_{subject}.centre", f"other_{subject}.centre")
    if kind == "caster":
        return (f"kingpin_{subject}.top", f"kingpin_{subject}.bottom")
    if "." not in subject:
        return ()
    return tuple(name for point in subject.split("~") for name, _ in names_needed(point))


def scalars_touched(reading: str) -> tuple[str, ...]:
    kind, subject = reading.split(":", 1)
    if kind == "floor_slope":
        return ({"fore_aft": "floor.pitch", "across": "floor.bank"}[subject],)
    if kind == "incline" and "." not in subject:
        return (subject, "floor.pitch", "floor.bank")
    if kind in ("diameter", "circumference"):
        return ("tyre.free_diameter",)
    if kind == "travel":
        return (f"travel.{subject}",)
    if kind == "cg_height":
        return ("cg.z",)
    if kind == "weight":
        return tuple(f"load.{corner}" for corner in WEIGHED[subject])
    return ()


def predicted(reading: str, places: dict, scalars: dict, worked_axle: str) -> float:
    """The value the tape, gauge or scale should show, in the file's unit."""
    kind, subject = reading.split(":", 1)
    pitch, bank = math.radians(scalars.get("floor.pitch", 0.0)), math.radians(scalars.get("floor.bank", 0.0))
    upward = np.array([math.tan(pitch), math.tan(bank), 1.0])
    upward = upward / np.linalg.norm(upward)

    def at(point):
        return sum(share * np.asarray(places[name], float) for name, share in names_needed(point))

    def mark(point):
        x, y, z = at(point)
        return np.array([x - z * math.tan(pitch), y - z * math.tan(bank)])

    if kind == "height":
        return float(at(subject)[2])
    if kind == "fore_aft":
        return float(mark(subject)[0])
    if kind == "lateral":
        return float(mark(subject)[1])
    if kind == "wheelbase":
        return float(np.linalg.norm((at(f"wheel_{subject}.centre") - at(f"other_{subject}.centre"))[:2]))
    if kind == "caster":
        axis = at(f"kingpin_{subject}.top") - at(f"kingpin_{subject}.bottom")
        forward = np.array([1.0, 0.0, 0.0]) - upward[0] * upward
        return math.degrees(math.atan2(-axis @ forward / np.linalg.norm(forward), axis @ upward))
    if kind == "floor_slope":
        return scalars["floor.pitch" if subject == "fore_aft" else "floor.bank"]
    if kind == "diameter":
        return scalars["tyre.free_diameter"]
    if kind == "circumference":
        return math.pi * scalars["tyre.free_diameter"]
    if kind == "travel":
        return scalars[f"travel.{subject}"]
    if kind == "cg_height":
        return scalars["cg.z"]
    if kind == "weight":
        return sum(scalars[f"load.{corner}"] for corner in WEIGHED[subject])
    if kind == "incline" and "." not in subject:
        axis = shaft_axis(subject, scalars[subject], worked_axle)
        return math.degrees(math.asin(axis @ upward))
    first, second = subject.split("~")
    along = at(second) - at(first)
    if kind == "across":
        return abs(float(along[1]))
    if kind == "span":
        return float(np.linalg.norm(along))
    if kind == "floor_span":
        return float(np.linalg.norm(mark(second) - mark(first)))
    if kind == "rise":
        return float(along[2])
    if kind == "incline":
        return math.degrees(math.asin(along @ upward / np.linalg.norm(along)))
    raise ValueError(f"no such kind: {kind}")


def shaft_axis(shaft: str, angle: float, worked_axle: str) -> np.ndarray:
    """Unit vector along a shaft towards its joint end, parallel to the centreline in plan."""
    forward = 1.0 if (shaft == "pinion") == (worked_axle == "rear") else -1.0
    return np.array([forward * math.cos(math.radians(angle)), 0.0, math.sin(math.radians(angle))])


def usual_sd(reading: str, value: float, tape_class: str = "II") -> float:
    """One standard deviation of a reading nobody stated a spread for, in its file unit."""
    kind = reading.split(":", 1)[0]
    if kind == "weight":
        return 0.01 * abs(value)
    usual = USUAL_SD[kind]
    if kind not in TAPED:
        return usual
    fixed, growing = TAPE[tape_class]
    return math.hypot(usual, (fixed + growing * math.ceil(abs(value) / 1000.0)) / math.sqrt(3.0))
