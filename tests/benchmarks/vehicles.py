"""The vehicles that are timed: a front three-link with its panhard bar, as many readings as asked for."""

from __future__ import annotations

import json

import numpy as np

from capture.report import build
from capture.vehicle_file import read_vehicle_file
from tests.reference.made import made
from tests.reference.readings import usual_sd

TRAVEL = 200.0
"""mm each way: 41 steps of the sweep."""


def measured(count: int) -> dict:
    """A vehicle file with `count` readings: first one of each name, in a walk's order, then takes again, scattered
    about what the others tell of it: the mistake of a first take is not in all the next ones."""
    whole = made("three_link_panhard", "front", 5)
    taken_back = {entry["of"] for entry in whole["entries"] if entry["type"] == "withdraw"}
    once: dict[str, dict] = {}
    for entry in whole["entries"]:
        if entry["type"] == "reading" and "state" not in entry and entry["id"] not in taken_back:
            once.setdefault(entry["reading"], {key: value for key, value in entry.items() if key != "sd"})
    names = [name for name in ORDER if name in once] + [name for name in once if name not in ORDER]
    scatter = np.random.default_rng(count)
    meant = _meant(whole, names) if count > len(names) else {}
    entries = []
    for number in range(count):
        name = names[number % len(names)]
        value = once[name]["value"]
        if number >= len(names):
            value = meant[name] + scatter.normal(0.0, 0.7 * usual_sd(name, value))
        entries.append(once[name] | {"id": f"timed-{number:05d}", "value": round(value, 3)})
    for entry in entries:
        if entry["reading"].startswith("travel:"):
            entry["value"] = TRAVEL
    return whole | {"entries": entries}


def _meant(whole: dict, names: list[str]) -> dict[str, float]:
    """What the fit of all readings says each of these would be, file units."""
    fitted = build(read_vehicle_file(json.dumps(whole).encode(), "made")).fit
    return dict(zip(names, fitted.predict(names)[0].tolist(), strict=True))


def _order() -> list[str]:
    """What a person reads first: both travels and the cg, heights, plumb marks, wheelbases, links' checks."""
    links = ("lower_left", "lower_right", "upper", "panhard")
    joints = [f"{link}.{end}" for link in links for end in ("axle", "frame")]
    wheels = ["wheel_left.centre", "wheel_right.centre"]
    first = ["travel:bump", "travel:droop", "cg_height:estimate", "floor_slope:fore_aft", "floor_slope:across"]
    first += [f"{kind}:{point}" for point in joints + wheels for kind in ("height", "fore_aft", "lateral")]
    first += ["wheelbase:left", "wheelbase:right"]
    first += [f"{kind}:{link}.axle~{link}.frame" for link in links for kind in ("span", "incline")]
    first += ["caster:left", "caster:right", "incline:pinion", "incline:gearbox_output"]
    ends = ("kingpin_left.top", "kingpin_left.bottom")
    return first + [f"{kind}:{point}" for point in ends for kind in ("height", "lateral")]


ORDER = _order()

