"""What a person states of the parts, as fields of a form: shown as kept, read back with one sentence for a refusal.

A field's key is its place in the file's facts, "tubes.lower_left.wall". A field left as it was shown keeps its value to
the last digit.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from geometry.frame import INCH
from geometry.layouts import LAYOUTS

from capture.entry import NotAReading, parse
from capture.lengths import POUND
from capture.screens import words
from capture.vehicle_file import VehicleFile

KSI = 6.894757
"""N/mm2 in 1000 pounds-force a square inch."""
LONGEST = 40
DIRECTIONS = {"along": [1.0, 0.0, 0.0], "across": [0.0, 1.0, 0.0], "upright": [0.0, 0.0, 1.0]}
STRESS = re.compile(r"(\d{1,4}(?:[.,]\d{1,3})?) ?(ksi|n/mm2|n/mm²|mpa)?")
PITCH = re.compile(r"(\d{1,2}(?:[.,]\d)?) ?(?:tpi|threads? (?:per|an) inch|per inch)")


@dataclass(frozen=True)
class Field:
    """sort: "share", "mass", "length", "angle", "stress", "pitch", "bolt", "choice" or "text". low, high: file unit."""

    key: str
    words: str
    sort: str
    low: float = 0.0
    high: float = 0.0
    about: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    typed: str = ""
    refused: str = ""


@dataclass(frozen=True)
class Group:
    """Fields that belong together. folded: opened on tap; said: what of them is known already."""

    key: str
    title: str
    fields: tuple[Field, ...]
    folded: bool = False
    said: str = ""


def groups_of(vehicle: VehicleFile, typed: Mapping[str, str] | None = None,
              refused: Mapping[str, str] | None = None, groups: Iterable[Group] | None = None) -> tuple[Group, ...]:
    """Every field, as kept or as typed, with what is said to those that were not taken. groups: all where None."""
    kept = kept_facts(vehicle)
    found = []
    for group in all_groups(vehicle) if groups is None else groups:
        held = {one.key: shown(one, at(kept, one.key), vehicle.display_unit) for one in group.fields}
        fields = tuple(replace(one, typed=(typed or {}).get(one.key, held[one.key]),
                               refused=(refused or {}).get(one.key, "")) for one in group.fields)
        known = sum(at(kept, one.key) is not None for one in group.fields)
        opened = any(one.refused for one in fields)
        found.append(replace(group, fields=fields, folded=group.folded and not opened,
                             said=f"{known} of {len(fields)} stated" if group.folded else ""))
    return tuple(found)


def all_groups(vehicle: VehicleFile) -> Iterator[Group]:
    front = vehicle.worked_axle == "front"
    yield Group("weight", "Braking, driving, weight", (
        Field("brake_share_front", "Front share of braking, %", "share", 0, 1, words.ABOUT_BRAKES),
        Field("drive_share_front", "Front share of driving, %", "share", 0, 1, words.ABOUT_DRIVE),
        Field("unsprung_mass", "Unsprung mass of this axle", "mass", 10, 3000, words.ABOUT_UNSPRUNG)))
    yield Group("shaft", "Driveshaft", (
        Field("driveshaft_joints", "Joint at the gearbox end", "choice", choices=(
            ("", "not said"), ("single", "single joint"), ("double", "double joint"))),
        Field("driveshaft_phase", "Yokes out of line by", "angle", -180, 180,
              "0 when the shaft’s two yokes stand in line."),
        Field("slip_travel", "Travel of the slip joint", "length", 1, 1000, "From pushed home to pulled apart.")))
    lock = Field("steer_lock", "Steering lock of a wheel", "angle", 0, 70, "Each way; 30 is common.")
    yield Group("tyres", "Tyres", (
        Field("tyre_width", "Width of a tyre", "length", 50, 2000, "At its widest, standing."),
        *((lock,) if front else ())))
    parts = [(link.name, link.words, ("frame", "axle") if link.role != "arm" else ("frame",))
             for link in LAYOUTS[vehicle.layout].links]
    rods = [("drag_link", "drag link", ()), ("tie_rod", "tie rod", ())] if front else []
    for name, said, ends in [*parts, *rods, ("driveshaft", "driveshaft", ())]:
        yield Group(f"part-{name}", words.sentence_start(said), tuple(part_fields(name, ends)), folded=True)


def part_fields(name: str, ends: tuple[str, ...]) -> Iterator[Field]:
    """A link's tube, then its joint and thread at each end; of a rod the tube alone."""
    tube = f"tubes.{name}"
    yield Field(f"{tube}.outside_diameter", "Tube, outside", "length", 5, 300)
    yield Field(f"{tube}.wall", "Tube, wall", "length", 0.5, 150, "As thick as half the outside means solid.")
    if ends:
        yield Field(f"{tube}.yield_stress", "Tube, yield", "stress", 50, 3000,
                    "As its seller states it, in N/mm² or ksi, such as 379 or 55 ksi.")
        yield Field(f"{tube}.joint_offset", "Joints beside the tube’s line by", "length", 0, 500,
                    "0 for a straight link with its joints in line.")
    for end in ends:
        yield Field(f"joints.{name}.{end}.rated", f"Joint at the {end}, leans up to", "angle", 0.1, 90,
                    "Each way, as its maker states it.")
        yield Field(f"joints.{name}.{end}.bolt", f"Bolt at the {end} lies", "bolt", choices=(
            ("", "not said"), ("across", "across the vehicle"), ("along", "along it"), ("upright", "upright")))
        yield Field(f"threads.{name}.{end}.pitch", f"Thread at the {end}, pitch", "pitch", 0.2, 10,
                    "In mm, or such as 12 per inch.")
        yield Field(f"threads.{name}.{end}.hand", f"Thread at the {end}, hand", "choice", choices=(
            ("", "not said"), ("right", "right-hand"), ("left", "left-hand")))
        yield Field(f"threads.{name}.{end}.diameter", f"Thread at the {end}, outside", "length", 2, 100)
        yield Field(f"threads.{name}.{end}.insert", f"Insert at the {end}, outside", "length", 3, 150,
                    "Of the threaded insert that is welded in; leave it out where the tube itself is threaded.")
        yield Field(f"threads.{name}.{end}.yield_stress", f"Thread at the {end}, yield", "stress", 50, 3000)


def kept_facts(vehicle: VehicleFile) -> dict[str, Any]:
    return vehicle.facts.model_dump(exclude_unset=True)


def at(facts: Mapping[str, Any], key: str) -> Any:
    """What is kept at a place; None where nothing is."""
    found: Any = facts
    for part in key.split("."):
        found = found.get(part) if isinstance(found, Mapping) else None
    return found


def shown(field: Field, value: Any, unit: str) -> str:
    """A kept value as its field shows it."""
    if value is None:
        return ""
    if field.sort == "bolt":
        return next((name for name, axis in DIRECTIONS.items() if list(value) == axis), KEPT)
    if field.sort in ("choice", "text"):
        return str(value)
    if field.sort == "share":
        return f"{100 * value:.4g}"
    if field.sort == "length":
        return f"{value / INCH:.4g} in" if unit == "in" else f"{value:.5g} mm"
    if field.sort == "mass":
        return f"{value / POUND:.4g} lb" if unit == "in" else f"{value:.5g} kg"
    return f"{value:.5g}" + {"angle": "°", "stress": " N/mm²", "pitch": " mm"}[field.sort]


KEPT = "as kept"
"""A bolt that lies some other way, said in a vehicle file: it stays as it is."""


def read(vehicle: VehicleFile, typed: Mapping[str, str],
         groups: Iterable[Group] | None = None) -> tuple[dict[str, Any], dict[str, str]]:
    """The facts with everything typed, and a sentence for each field that cannot be taken. groups: all where None."""
    kept = kept_facts(vehicle)
    facts = _copied(kept)
    refused: dict[str, str] = {}
    for group in all_groups(vehicle) if groups is None else groups:
        for field in group.fields:
            text = typed.get(field.key, "").strip()
            if field.key not in typed or text == shown(field, at(kept, field.key), vehicle.display_unit):
                continue
            try:
                _put(facts, field.key, value_of(field, text, vehicle.display_unit))
            except NotAReading as trouble:
                refused[field.key] = str(trouble)
    refused.update(_unfinished(facts, refused))
    return _tidy(facts), refused


def value_of(field: Field, text: str, unit: str) -> Any:
    """What is kept of a typed text; None of an empty one. Raises NotAReading."""
    if not text:
        return None
    if len(text) > LONGEST:
        raise NotAReading(f"{len(text)} characters are too many here: type one number.")
    if field.choices:
        if text not in dict(field.choices):
            raise NotAReading(f"Choose one of: {', '.join(said for _, said in field.choices)}.")
        return DIRECTIONS[text] if field.sort == "bolt" else text
    if field.sort == "text":
        return text
    value = _number(field, text, unit)
    if not field.low <= value <= field.high:
        low, high = (shown(field, end, unit) or "0" for end in (field.low, field.high))
        raise NotAReading(f"{field.words}: it should lie between {low} and {high}.")
    return value


def _number(field: Field, text: str, unit: str) -> float:
    plain = text.lower().replace(",", ".")
    if field.sort == "share":
        if not re.fullmatch(r"\d{1,3}(\.\d{1,4})? ?%?", plain):
            raise NotAReading("Type a share between 0 and 100, such as 62.")
        return float(plain.rstrip(" %")) / 100
    if field.sort == "stress":
        found = STRESS.fullmatch(plain)
        if found is None:
            raise NotAReading("Type a yield stress such as 379 or 55 ksi.")
        return float(found[1].replace(",", ".")) * (KSI if found[2] == "ksi" else 1.0)
    if field.sort == "pitch" and (found := PITCH.fullmatch(plain)):
        if float(found[1]) <= 0:
            raise NotAReading("Type how many threads an inch has, such as 12 per inch.")
        return INCH / float(found[1])
    quantity = {"mass": "kg", "angle": "deg"}.get(field.sort, "mm")
    usual = {"mass": "lb" if unit == "in" else "kg", "angle": "deg", "pitch": "mm"}.get(field.sort, unit)
    return float(parse(text, usual, quantity).value)


def _unfinished(facts: Mapping[str, Any], refused: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Parts of which too little is said to keep them."""
    for name, tube in (facts.get("tubes") or {}).items():
        key = f"tubes.{name}.outside_diameter"
        if _said(tube) and tube.get("outside_diameter") is None and key not in refused:
            yield key, "Type the tube’s outside diameter too: without it the rest of the tube says nothing."
        elif (tube.get("wall") or 0.0) > 0.5 * (tube.get("outside_diameter") or 1e9):
            yield f"tubes.{name}.wall", "A wall cannot be more than half the outside: look at both again."
    for name, ends in (facts.get("threads") or {}).items():
        for end, thread in ends.items():
            for part, said in (("pitch", "Type the thread’s pitch too."), ("hand", "Choose the thread’s hand too.")):
                key = f"threads.{name}.{end}.{part}"
                if _said(thread) and thread.get(part) is None and key not in refused:
                    yield key, said


def _said(part: Mapping[str, Any]) -> bool:
    return any(value is not None for value in part.values())


def _copied(part: Any) -> Any:
    return {key: _copied(value) for key, value in part.items()} if isinstance(part, Mapping) else part


def _put(facts: dict[str, Any], key: str, value: Any) -> None:
    *way, last = key.split(".")
    for part in way:
        facts = facts.setdefault(part, {})
    facts[last] = value


def _tidy(part: dict[str, Any]) -> dict[str, Any]:
    """Without what is empty."""
    found = {key: _tidy(value) if isinstance(value, dict) else value for key, value in part.items()}
    return {key: value for key, value in found.items() if value is not None and value != {}}
