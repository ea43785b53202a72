"""A row of holes as it is typed: so many, so far apart, along a direction; or each measured from the one in use."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from geometry.holes import BadRow, row
from geometry.layouts import Place

from capture.entry import NotAReading, parse
from capture.log_entries import MOST_HOLES, Holes
from capture.report import Report
from capture.screens import holes_words
from capture.screens.decided import NotTaken
from capture.screens.what_if_words import by
from capture.screens.words import counted, sentence_start
from capture.vehicle_file import VehicleFile

DIRECTIONS: Mapping[str, tuple[str, Place]] = {
    "up": ("up", (0.0, 0.0, 1.0)), "along": ("forward", (1.0, 0.0, 0.0)), "across": ("to the left", (0.0, 1.0, 0.0)),
}
TYPED = "typed"
LEAST_APART = 0.05
"""mm: nearer holes are one."""


def row_typed(report: Report, form: Mapping[str, str]) -> dict[str, Any]:
    """The row as the log keeps it. Raises NotTaken."""
    unit, point = report.vehicle.display_unit, form.get("point", "")
    if point not in report.fit.points:
        raise NotTaken(holes_words.CHOOSE_A_BOLT)
    if form.get("way") == "each":
        places = _each(form.get("each", ""), unit)
        used = next((number for number, place in enumerate(places) if not any(place)), None)
        if used is None:
            raise NotTaken(holes_words.NONE_IN_USE)
        return {"point": point, "places": places, "used": used}
    count, used = _whole(form.get("count", ""), "holes"), _whole(form.get("used", "1"), holes_words.HOLE_IN_USE)
    spacing = _length(form.get("spacing", ""), unit, "Spacing") if count > 1 else 1.0
    try:
        made = row("holes", count, spacing, _direction(form, unit), used - 1)
    except BadRow as trouble:
        raise NotTaken(sentence_start(str(trouble).removeprefix("holes: "))) from None
    if count > MOST_HOLES:
        raise NotTaken(holes_words.too_many_holes(count, MOST_HOLES))
    return {"point": point, "places": [list(place) for place in made.places], "used": made.used}


def _whole(text: str, about: str) -> int:
    if not re.fullmatch(r"\s*\d{1,4}\s*", text):
        raise NotTaken(holes_words.whole_number(about))
    return int(text)


def _length(text: str, unit: str, about: str) -> float:
    try:
        return float(parse(text, unit, "mm").value)
    except NotAReading as trouble:
        raise NotTaken(f"{about}: {trouble}") from None


def _direction(form: Mapping[str, str], unit: str) -> Place:
    named = DIRECTIONS.get(form.get("direction", "up"))
    if named is not None:
        return named[1]
    x, y, z = (_length(form.get(f"d{axis}", "") or "0", unit, "Direction") for axis in "xyz")
    return x, y, z


def _each(text: str, unit: str) -> list[list[float]]:
    """One hole a line: forward, left, up from the hole in use."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if not lines:
        raise NotTaken(holes_words.NO_HOLE_TYPED)
    if len(lines) > MOST_HOLES:
        raise NotTaken(holes_words.too_many_holes(len(lines), MOST_HOLES))
    places: list[list[float]] = []
    for number, line in enumerate(lines, start=1):
        parts = [part.strip() for part in re.split("[;,]", line)]
        if len(parts) != 3:
            raise NotTaken(holes_words.three_lengths(number, counted(len(parts), "length")))
        place = [_length(part, unit, f"Line {number}") for part in parts]
        if place in places:
            raise NotTaken(holes_words.same_hole(number, places.index(place) + 1))
        places.append(place)
    return places


def said(entry: Holes, vehicle: VehicleFile) -> str:
    """"4 holes, 3/4 in apart, up; the 2nd is in use", or where each is."""
    unit, count = vehicle.display_unit, len(entry.places)
    used = holes_words.hole_in_use_is(entry.used + 1)
    if count == 1:
        return "1 hole"
    steps = {tuple(round(b - a, 2) for a, b in zip(one, two, strict=True))
             for one, two in zip(entry.places, entry.places[1:], strict=False)}
    if len(steps) == 1:
        return holes_words.row_of_holes(count, by(steps.pop(), unit) or holes_words.AT_THE_SAME_PLACE, used)
    return f"{count} holes; {used}"
