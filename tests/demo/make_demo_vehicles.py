"""Writes the three demo vehicles: `python -m tests.demo.make_demo_vehicles`. The same files come out every time.

Each reading is what the invented shape would show, plus a seeded scatter of its usual spread, rounded the way a
person reads it (1/16 inch, whole mm, a tenth of a degree).
"""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import numpy as np

from tests.demo import invented
from tests.reference.readings import USUAL_SD, predicted

FOLDER = Path(__file__).resolve().parents[2] / "demo_vehicles"
INVENTED = "Invented vehicle: nobody measured it, the readings were made up to show how the tool works."
DEGREES = {"incline", "floor_slope", "caster"}
SLIP = "height:lower_right.frame"
"""The one reading of the orchard truck with a planted slip: an inch too much."""


def _fraction(inches: float) -> str:
    """A length as a person types it: "24 1/8"."""
    whole, rest = divmod(round(abs(inches) * 16), 16)
    part = str(Fraction(rest, 16)) if rest else ""
    words = [str(whole)] if whole or not rest else []
    return ("-" if inches < 0 else "") + " ".join(words + ([part] if part else []))


class Notebook:
    """One vehicle's log, filled reading by reading."""

    def __init__(self, prefix, places, scalars, worked_axle, unit, seed, start):
        self.prefix, self.places, self.scalars = prefix, places, scalars
        self.worked_axle, self.unit, self.time = worked_axle, unit, start
        self.scatter = np.random.default_rng(seed)
        self.entries: list[dict] = []
        self.stage = "mock_up"

    def _append(self, entry: dict) -> str:
        name = f"{self.prefix}-{len(self.entries) + 1:04d}"
        stamp = self.time.strftime("%Y-%m-%dT%H:%M:%SZ")
        self.entries.append({"id": name, "at": stamp, "stage": self.stage, **entry})
        self.time += timedelta(seconds=int(self.scatter.integers(35, 110)))
        return name

    def read(self, *names: str, slip: float = 0.0, note: str = "", state: str | None = None, moved: float = 0.0) -> str:
        """One entry a name; `slip` is added after the eye has read, `moved` before."""
        for name in names:
            value, text, unit = self._look(name, slip, moved)
            entry = {"type": "reading", "reading": name, "value": value, "text": text, "unit": unit, "note": note}
            last = self._append(entry | ({"state": state} if state else {}))
        return last

    def _look(self, name: str, slip: float, moved: float) -> tuple[float, str, str]:
        kind = name.split(":")[0]
        true = predicted(name, self.places, self.scalars, self.worked_axle) + moved
        if kind == "weight":
            kilograms = round(true + self.scatter.normal(0.0, 0.004 * true))
            return float(kilograms), str(kilograms), "kg"
        sd = 15.0 if kind == "cg_height" else USUAL_SD[kind]
        seen = true + self.scatter.normal(0.0, sd) + slip
        if kind in DEGREES:
            tenth = round(seen, 1) + 0.0
            return tenth, f"{tenth:.1f}", "deg"
        if kind == "cg_height":
            seen = round(seen / 25.4) * 25.4 if self.unit == "in" else round(seen, -1)
        if self.unit == "in":
            sixteenths = round(seen / 25.4 * 16)
            return round(sixteenths * 25.4 / 16, 5), _fraction(sixteenths / 16), "in"
        return float(round(seen)), str(round(seen)), "mm"

    def withdraw(self, of: str, note: str) -> None:
        self._append({"type": "withdraw", "of": of, "note": note})

    def file(self, name: str, layout: str, facts: dict) -> dict:
        self.entries[0]["note"] = INVENTED
        return {
            "format": "plumbtack vehicle", "version": 1, "name": name, "worked_axle": self.worked_axle,
            "layout": layout, "display_unit": self.unit, "facts": facts, "entries": self.entries,
        }  # fmt: skip


def _each(kinds: str, *points: str) -> list[str]:
    """height, fore_aft and lateral of every point ("hfl" for all three), point by point."""
    words = {"h": "height", "f": "fore_aft", "l": "lateral"}
    return [f"{words[letter]}:{point}" for point in points for letter in kinds]


def orchard_truck() -> dict:
    """Front axle, three links and a panhard bar, inches, complete, one inch too much in one frame-end height."""
    places = invented.in_floor_frame(invented.ORCHARD_PLACES, invented.ORCHARD_CROSS_LINE)
    book = Notebook(
        "orchard", places, invented.ORCHARD_SCALARS, "front", "in", 20260502, datetime(2026, 5, 2, 9, 5, 10, tzinfo=UTC)
    )
    book.read("floor_slope:fore_aft", "floor_slope:across")
    book.read("height:mark.left_rail", note="first thing, before anything is touched")
    book.read(*_each("hfl", "mark.left_rail")[1:])
    book.read(*_each("hfl", "wheel_left.centre", "wheel_right.centre"))
    book.read(*_each("hl", "other_left.centre", "other_right.centre"))
    book.read("wheelbase:left", "wheelbase:right", "diameter:tyre")
    left, right = ("lower_left.axle", "lower_left.frame"), ("lower_right.axle", "lower_right.frame")
    book.read(*_each("h", *left), "incline:lower_left.axle~lower_left.frame")
    book.read("height:lower_right.axle")
    book.read(SLIP, slip=25.4)
    book.read("incline:lower_right.axle~lower_right.frame")
    book.read(*_each("fl", *left, *right))
    book.read(*_each("hfl", "upper.axle", "upper.frame"), "incline:upper.axle~upper.frame")
    first = book.read("height:panhard.axle", slip=50.8)
    book.withdraw(first, "read the bracket, not the bolt")
    book.read("height:panhard.axle", "height:panhard.frame")
    book.read(*_each("fl", "panhard.axle", "panhard.frame"))
    book.read("span:lower_left.axle~lower_left.frame", "span:lower_right.axle~lower_right.frame")
    book.read("span:upper.axle~upper.frame", "span:panhard.axle~panhard.frame")
    book.read("across:lower_left.axle~lower_right.axle", "across:lower_left.frame~lower_right.frame")
    book.read("height:lower_left.middle", "height:lower_right.middle", "rise:lower_left.frame~lower_right.frame")
    book.read("height:upper.middle", "rise:upper.axle~upper.frame")
    book.read(*_each("hfl", "drag_link.frame", "drag_link.axle"), "span:drag_link.axle~drag_link.frame")
    for side in ("left", "right"):
        book.read(f"caster:{side}", *_each("hl", f"kingpin_{side}.top"), *_each("hfl", f"kingpin_{side}.bottom"))
    book.read(*_each("hfl", "tie_rod.left", "tie_rod.right"), "span:tie_rod.left~tie_rod.right")
    book.read(*_each("hfl", "driveshaft.frame", "driveshaft.axle"), "incline:pinion", "incline:gearbox_output")
    book.read(*_each("hfl", "keep_clear.sump"))
    book.read("travel:bump", "travel:droop")
    book.read("weight:front_left", "weight:front_right", "weight:rear_left", "weight:rear_right", "cg_height:estimate")
    book.read("height:panhard.axle", state="full bump", moved=105.0)
    book.read("height:mark.left_rail", note="last thing, nothing has moved")
    facts = {
        "rough_wheelbase": 2641.6, "tyre_diameter": 889.0, "tyre_size": "35x12.50R15", "brake_share_front": 0.7,
        "drive_share_front": 0.5, "unsprung_mass": 245.0, "tape_class": "II",
        "tubes": {link: {"outside_diameter": 50.8, "wall": 6.35} for link in ("lower_left", "lower_right")}
        | {"upper": {"outside_diameter": 44.45, "wall": 6.35}, "panhard": {"outside_diameter": 38.1, "wall": 6.35}},
        "threads": {
            "lower_left": orchard_threads(1.25, 12, 3.0, 0.625),
            "lower_right": {"frame": {"pitch": 2.1167, "hand": "right"}, "axle": {"pitch": 2.1167, "hand": "left"}},
            "panhard": orchard_threads(0.875, 14, 2.25, 0.5),
        },
        "joints": {
            link: {end: {"standing": 25.4 * standing, "made": made} for end in ("frame", "axle")}
            for link, standing, made in (
                ("lower_left", 2.125, "joint, 1 1/4 shank"), ("panhard", 1.75, "rod end, 7/8 shank"))
        },
    }  # fmt: skip
    return book.file("Orchard truck (invented)", "three_link_panhard", facts)


def orchard_threads(size: float, turns: int, length: float, nut: float) -> dict:
    """Both ends of a link that turns, left-hand at the axle; all in inches but the turns an inch."""
    return {
        end: {"pitch": 25.4 / turns, "hand": hand, "diameter": 25.4 * size, "length": 25.4 * length,
              "jam_nut": 25.4 * nut, "lip": 25.4 * 3 / 16}
        for end, hand in (("frame", "right"), ("axle", "left"))
    }  # fmt: skip


def creek_wagon() -> dict:
    """Front axle, three links and a panhard bar, inches: the twelve readings of a first half hour."""
    places = invented.in_floor_frame(invented.CREEK_PLACES, invented.CREEK_CROSS_LINE)
    book = Notebook(
        "creek", places, invented.CREEK_SCALARS, "front", "in", 1107, datetime(2026, 5, 9, 13, 40, 0, tzinfo=UTC)
    )
    book.read(*_each("h", "wheel_left.centre"), *_each("f", "wheel_left.centre"), "wheelbase:left")
    book.read(*_each("hf", "lower_left.axle", "lower_left.frame", "upper.axle", "upper.frame"), "cg_height:estimate")
    facts = {"rough_wheelbase": 2463.8, "tyre_diameter": 838.2, "tyre_size": "33x12.50R15", "brake_share_front": 0.65}
    return book.file("Creek wagon (invented)", "three_link_panhard", facts)


def quarry_hauler() -> dict:
    """Rear axle, triangulated four links, mm, complete; the frame ends read again after tacking."""
    places = invented.in_floor_frame(invented.QUARRY_PLACES, invented.QUARRY_CROSS_LINE)
    book = Notebook(
        "quarry", places, invented.QUARRY_SCALARS, "rear", "mm", 20260613, datetime(2026, 6, 13, 8, 30, 0, tzinfo=UTC)
    )
    links = ("lower_left", "lower_right", "upper_left", "upper_right")
    book.read("floor_slope:fore_aft", "floor_slope:across", *_each("hfl", "mark.right_rail"))
    book.read(*_each("hfl", "wheel_left.centre", "wheel_right.centre"))
    book.read(*_each("hl", "other_left.centre", "other_right.centre"), "wheelbase:left", "wheelbase:right")
    book.read("circumference:tyre")
    for link in links:
        book.read(*_each("h", f"{link}.axle", f"{link}.frame"), f"incline:{link}.axle~{link}.frame")
    for link in links:
        book.read(*_each("fl", f"{link}.axle", f"{link}.frame"), f"span:{link}.axle~{link}.frame")
    book.read("across:upper_left.frame~upper_right.frame", "across:lower_left.axle~lower_right.axle")
    book.read("floor_span:lower_left.frame~lower_right.axle", "rise:lower_left.frame~lower_right.frame")
    book.read("height:lower_left.middle", "height:axle.centre")
    book.read(*_each("hfl", "driveshaft.frame", "driveshaft.axle"), "incline:pinion", "incline:gearbox_output")
    book.read(*_each("hfl", "keep_clear.exhaust", "keep_clear.fuel_tank"), "travel:bump", "travel:droop")
    book.read("weight:rear_left", "weight:rear_right", "weight:front", "weight:total", "cg_height:estimate")
    book.read("height:mark.right_rail", note="last thing, nothing has moved")
    _tack(book, links)
    facts = {
        "rough_wheelbase": 2850.0, "tyre_diameter": 846.0, "tyre_size": "285/75R17", "brake_share_front": 0.68,
        "drive_share_front": 0.0, "unsprung_mass": 260.0, "tape_class": "II",
        "tubes": {link: {"outside_diameter": 50.0, "wall": 6.0} for link in links},
    }  # fmt: skip
    return book.file("Quarry hauler (invented)", "four_link", facts)


def _tack(book: Notebook, links: tuple[str, ...]) -> None:
    """A week later: the frame brackets are tacked, each joint drew a millimetre or two."""
    book.stage, book.time = "tacked", book.time + timedelta(days=7)
    for link in links:
        joint = f"{link}.frame"
        book.places[joint] = book.places[joint] + book.scatter.normal(0.0, 1.2, 3)
        book.read(*_each("hfl", joint))


def all_vehicles() -> dict[str, dict]:
    return {
        "orchard_truck.json": orchard_truck(), "creek_wagon.json": creek_wagon(), "quarry_hauler.json": quarry_hauler(),
    }  # fmt: skip


def as_text(vehicle: dict) -> str:
    """The file, one entry a line, so that a person can read it."""
    head = {key: value for key, value in vehicle.items() if key != "entries"}
    entries = ",\n".join("    " + json.dumps(entry, ensure_ascii=False) for entry in vehicle["entries"])
    return json.dumps(head, indent=2, ensure_ascii=False)[:-2] + f',\n  "entries": [\n{entries}\n  ]\n}}\n'


if __name__ == "__main__":
    for file_name, vehicle in all_vehicles().items():
        (FOLDER / file_name).write_text(as_text(vehicle), encoding="utf-8")
        readings = sum(entry["type"] == "reading" for entry in vehicle["entries"])
        print(f"{file_name}: {readings} readings" + (f", slip in {SLIP}" if file_name[0] == "o" else ""))
