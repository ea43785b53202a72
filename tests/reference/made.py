"""Made vehicles: a crooked shape of any layout, readings of every kind that fits it, with scatter; all from a seed."""

from __future__ import annotations

import numpy as np

from tests.reference.readings import CORNERS, link_ends, links_of, predicted, usual_sd

WHEELS = ("wheel_left.centre", "wheel_right.centre", "other_left.centre", "other_right.centre")
LINKED = {
    "lower_left.axle": (10.0, 500.0, 345.0), "lower_left.frame": (930.0, 420.0, 415.0),
    "upper_left.axle": (45.0, 130.0, 580.0), "upper_left.frame": (770.0, 430.0, 575.0),
    "upper.axle": (30.0, 110.0, 590.0), "upper.frame": (740.0, 130.0, 605.0),
    "panhard.axle": (-110.0, -440.0, 520.0), "panhard.frame": (-110.0, 430.0, 548.0),
    "arm_left.frame": (1010.0, 410.0, 470.0), "arm_left.axle_front": (95.0, 430.0, 395.0),
    "arm_left.axle_rear": (-85.0, 430.0, 370.0), "driveshaft.axle": (240.0, 30.0, 445.0),
    "driveshaft.frame": (1350.0, 25.0, 560.0), "kingpin_left.top": (-9.0, 690.0, 500.0),
    "kingpin_left.bottom": (8.0, 713.0, 340.0), "tie_rod.left": (-150.0, 620.0, 395.0),
    "drag_link.frame": (160.0, 430.0, 590.0), "drag_link.axle": (150.0, -560.0, 556.0),
    "wheel_left.centre": (0.0, 790.0, 410.0), "other_left.centre": (2760.0, 785.0, 411.0),
    "keep_clear.sump": (300.0, -40.0, 690.0), "mark.rail": (600.0, 440.0, 700.0),
}  # fmt: skip
"""Left and middle points of a rear axle, vehicle frame; right ones are mirrored, a front axle's turned end for end."""
STEERING = ("kingpin_left.top", "kingpin_left.bottom", "tie_rod.left", "drag_link.frame", "drag_link.axle")
TURNED_TOO = ("wheel", "lower", "upper", "arm", "panhard", "driveshaft", "other", "keep_clear", "mark")


def crooked(layout: str, worked_axle: str, scatter: np.random.Generator) -> dict[str, np.ndarray]:
    """Places in the vehicle frame, every coordinate some 10 mm off the plain shape."""
    joints = [joint for link in links_of(layout) for joint in (link_ends(link)[0], *link_ends(link)[1])]
    names = [*joints, *WHEELS, "driveshaft.axle", "driveshaft.frame", "keep_clear.sump", "mark.rail"]
    if worked_axle == "front":
        names += [each for name in STEERING for each in dict.fromkeys((name, name.replace("left", "right")))]
    places = {}
    for name in dict.fromkeys(names):
        plain = np.array(LINKED[name.replace("_right", "_left").replace(".right", ".left")])
        if name.startswith("arm_") and worked_axle == "front" and "axle" in name:
            other = {"axle_front": "axle_rear", "axle_rear": "axle_front"}[name.split(".")[1]]
            plain = np.array(LINKED[f"arm_left.{other}"])
        mirror = np.array([1.0, -1.0 if "right" in name else 1.0, 1.0])
        turn = np.array([-1.0 if worked_axle == "front" and name.startswith(TURNED_TOO) else 1.0, 1.0, 1.0])
        places[name] = plain * mirror * turn + scatter.normal(0.0, 3.0 if name in WHEELS else 9.0, 3)
    return places


def possible(layout: str, places: dict) -> list[str]:
    """Readings of every kind that this vehicle can have."""
    names = [f"{kind}:{point}" for point in places for kind in ("height", "fore_aft", "lateral")]
    for link in links_of(layout):
        frame, joints = link_ends(link)
        names += [f"{kind}:{joint}~{frame}" for joint in joints for kind in ("span", "incline")]
        names += [f"height:{link}.middle", f"rise:{frame}~{joints[0]}", f"floor_span:{frame}~{joints[-1]}"]
    twins = [(name, name.replace("left", "right")) for name in places if "left" in name]
    names += [f"across:{left}~{right}" for left, right in twins] + [f"rise:{left}~{right}" for left, right in twins[:4]]
    names += ["wheelbase:left", "wheelbase:right", "height:axle.centre", "floor_slope:fore_aft", "floor_slope:across"]
    names += ["incline:pinion", "incline:gearbox_output", "travel:bump", "travel:droop", "circumference:tyre"]
    names += [f"weight:{part}" for part in (*CORNERS, "front", "total")] + ["cg_height:estimate", "diameter:tyre"]
    if "kingpin_left.top" in places:
        names += ["caster:left", "caster:right", "span:tie_rod.left~tie_rod.right"]
        names += ["span:drag_link.axle~drag_link.frame"]
    return names


def unit_of(name: str) -> str:
    if name.startswith("weight"):
        return "kg"
    return "deg" if name.startswith(("incline", "caster", "floor_slope")) else "mm"


def made(layout: str, worked_axle: str, seed: int, share: float = 1.0, carried: bool = False) -> dict:
    """A vehicle file. share: of the possible readings; carried: read at two stages, some of them at both."""
    scatter = np.random.default_rng(seed)
    places = crooked(layout, worked_axle, scatter)
    cross_line = float(scatter.uniform(-900.0, 1100.0))
    floor = {name: np.add(place, (cross_line, 0.0, 0.0)) for name, place in places.items()}
    scalars = {
        "floor.pitch": scatter.normal(0.0, 0.4), "floor.bank": scatter.normal(0.0, 0.4), "pinion": 4.5,
        "gearbox_output": -3.2, "tyre.free_diameter": 868.0, "travel.bump": 86.0, "travel.droop": 104.0, "cg.z": 755.0,
        **{f"load.{corner}": scatter.uniform(430.0, 610.0) for corner in CORNERS},
    }  # fmt: skip
    entries: list[dict] = []

    def take(name: str, stage: str = "mock_up", **more) -> None:
        value = predicted(name, floor, scalars, worked_axle)
        value += scatter.normal(0.0, usual_sd(name, value))
        number = len(entries) + 1
        at = f"2026-03-01T10:{number // 60 % 60:02d}:{number % 60:02d}Z"
        entry = {"id": f"made-{number:05d}", "at": at, "stage": stage, "type": "reading", "reading": name}
        entries.append(entry | {"value": round(value, 3), "text": f"{value:.3f}", "unit": unit_of(name), **more})

    names = possible(layout, places)
    chosen = [name for name in names if scatter.random() < share or name == "cg_height:estimate"]
    for name in chosen:
        take(name)
    for name in scatter.choice(chosen, len(chosen) // 6, replace=False):
        take(str(name), sd=round(float(scatter.uniform(0.4, 6.0)), 2) if name.startswith(("height", "span")) else 1.25)
    take(chosen[0], state="full bump")
    entries.append(
        {"id": "made-withdraw", "at": "2026-03-01T12:00:00Z", "stage": "mock_up", "type": "withdraw",
         "of": entries[3]["id"], "note": "read the other bolt"}
    )  # fmt: skip
    if carried:
        for name in chosen:
            if name.startswith(("height", "span")) and ".frame" in name and scatter.random() < 0.6:
                take(name, "tacked")
        take("height:mark.rail", "plan")
    return {
        "format": "plumbtack vehicle", "version": 1, "name": f"made {layout} {seed}", "worked_axle": worked_axle,
        "layout": layout,
        "facts": {"brake_share_front": 0.63, "drive_share_front": 0.4, "tape_class": ("I", "II", "III")[seed % 3]},
        "entries": entries,
    }  # fmt: skip

