"""Moves and places in the words of a person at the vehicle."""

from __future__ import annotations

import re
from collections.abc import Sequence

from geometry.layouts import LAYOUTS

from capture.lengths import say_length
from capture.screens.on_paper import Word
from capture.screens.readings_said import point_words
from capture.screens.words import listed, sentence_start
from capture.vehicle_file import VehicleFile

WAYS = (("back", "forward"), ("right", "left"), ("down", "up"))
PLACES = (("behind the axle", "ahead of the axle"), ("right of centre", "left of centre"),
          ("below the floor", "above the floor"))
LEAST = 0.01
"""mm below which a bolt has not moved."""
NAMELESS = "The plan needs a name, such as: upper hole, longer lowers."
NOT_MOVED = "Nothing is moved yet: move a bolt first, then keep the plan."
MILLIMETRES = re.compile(r"(-?[\d.]+) mm\b")
LENGTHS_KEPT = ("The links keep their lengths, and the axle follows.", "Rather make links to fit")
LINKS_FITTED = ("Its link is made to fit, and the axle stays.", "Rather keep the lengths")
WITHDRAWN = "Withdrawn; it stays in the log."
NO_SUCH_PLAN_ANY_MORE = "There is no plan of that name any more; it was renamed or withdrawn."
NO_CURVE = "It has no curve over the travel."
NO_SUCH_PLAN = "There is no plan of that name; it was renamed or withdrawn."
NO_SUCH_DEED = "That is no deed of this page; start over, or go back one page."
AHEAD_OF_THE_AXLE = "Ahead of the axle"
ALONG = (AHEAD_OF_THE_AXLE, "Left of centre", "Above the floor")
RAISE_BY_HOW_MUCH = "Raise the frame: nothing is typed yet; type by how much, such as 2."
OVER_THE_OTHER_AXLE = "Over the other axle"


def in_unit(sentence: str, unit: str) -> str:
    """A sentence of geometry with its millimetres in the person's unit."""
    return MILLIMETRES.sub(lambda found: say_length(float(found[1]), unit), sentence)


def by(offset: Sequence[float | None], unit: str) -> str:
    """"3/8 in up and 1/4 in back"; nothing where nothing moved."""
    return listed([f"{say_length(abs(size), unit)} {WAYS[axis][size > 0]}"
                   for axis, size in enumerate(offset) if size is not None and abs(size) > LEAST])


def at(place: Sequence[float | None], unit: str) -> str:
    """"36 1/8 in behind the axle and 19 1/8 in above the floor"."""
    return listed([f"{say_length(abs(size), unit)} {PLACES[axis][size >= 0]}"
                   for axis, size in enumerate(place) if size is not None])


def move(word: Word, vehicle: VehicleFile) -> str:
    """One move of a plan, a line in a list."""
    unit, numbers = vehicle.display_unit, word.numbers
    if word.kind in ("by", "both", "to"):
        where = at(numbers, unit) if word.kind == "to" else by(numbers, unit)
        twin = ", its twin alike" if word.kind == "both" else ""
        return f"{sentence_start(point_words(vehicle, word.name))}: {where or 'where it was'}{twin}"
    if word.kind in ("link", "longer"):
        name = next((link.words for link in LAYOUTS[vehicle.layout].links if link.name == word.name), word.name)
        size = numbers[0] or 0.0
        if word.kind == "link":
            return f"{sentence_start(name)}: {say_length(size, unit)} long"
        return f"{sentence_start(name)}: {say_length(abs(size), unit)} {'longer' if size > 0 else 'shorter'}"
    if word.kind == "tyre":
        return f"Tyres of {say_length(numbers[0] or 0.0, unit)}"
    if word.kind == "ride":
        ends = [f"{say_length(abs(size), unit)} {'higher' if size > 0 else 'lower'} over {axle}"
                for size, axle in zip(numbers, ("this axle", "the other"), strict=True) if size]
        return f"Frame {listed(ends) or 'as it stood'}"
    height, along = numbers
    said = [f"{say_length(height, unit)} above the floor"] if height is not None else []
    said += [at((along, None, None), unit)] if along is not None else []
    return f"Centre of gravity {listed(said)}"


def plan_named_already(name: str) -> str:
    return f"There is a plan named {name} already; choose another name, or withdraw that one first."


def plan_name_too_long(number: int, most: int) -> str:
    return f"The name has {number} characters and {most} are the most; shorten it."


def type_its_height(what: str) -> str:
    return f"Centre of gravity: nothing is typed yet; type its height, such as {what}."
