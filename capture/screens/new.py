"""A new vehicle in six rough answers; everything else comes from the tape."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from flask import Blueprint, redirect, render_template, request
from geometry.frame import INCH
from geometry.layouts import LAYOUTS
from markupsafe import Markup
from werkzeug.wrappers import Response

from capture.entry import NotAReading, parse
from capture.screens import decided, new_words, words
from capture.screens.pictogram import pictogram
from capture.screens.room import Head, plumbtack, room_address
from capture.tyre import BadTyre, read_tyre
from capture.vehicle_file import VehicleFile

blueprint = Blueprint("new", __name__, template_folder="templates")

HEAD = Head("New vehicle", new_words.ROUGH_IS_FINE)
LONGEST_NAME = 80
LONGEST_SENT_BACK = 400
AXLES = (("front", "Front"), ("rear", "Rear"))
UNITS = (("in", "inches"), ("mm", "mm"))
LIKE = {"in": {"wheelbase": "106 in", "tyre": "35"}, "mm": {"wheelbase": "2700 mm", "tyre": "315/75R16"}}
"""Examples in the empty fields, by the unit of the tape."""
SHORTEST_WHEELBASE, LONGEST_WHEELBASE = 1200.0, 8000.0  # mm


@dataclass(frozen=True)
class Typed:
    name: str = ""
    axle: str = "front"
    layout: str = next(iter(LAYOUTS))
    unit: str = "in"
    wheelbase: str = ""
    tyre: str = ""


@dataclass(frozen=True)
class LayoutChoice:
    key: str
    words: str
    pictogram: Markup


@dataclass(frozen=True)
class NewPage:
    typed: Typed
    refused: dict[str, str] = field(default_factory=dict)
    head: Head = HEAD
    axles: tuple[tuple[str, str], ...] = AXLES
    units: tuple[tuple[str, str], ...] = UNITS
    longest_name: int = LONGEST_NAME
    examples: Mapping[str, Mapping[str, str]] = field(default_factory=lambda: LIKE)

    @property
    def like(self) -> dict[str, str]:
        """Examples in the fields, in the person's unit."""
        return LIKE["mm" if self.typed.unit == "mm" else "in"]

    @property
    def layouts(self) -> tuple[LayoutChoice, ...]:
        return tuple(LayoutChoice(key, words.sentence_start(layout.words), pictogram(key))
                     for key, layout in LAYOUTS.items())


@blueprint.get("/new")
def form() -> str:
    return render_template("new.html", page=NewPage(Typed()))


@blueprint.post("/new")
def create() -> Response | tuple[str, int]:
    """A filled-in form makes a vehicle, once, and goes on to its walk; a refused one comes back as it was typed."""
    typed = Typed(**{key: request.form.get(key, "") for key in Typed.__dataclass_fields__})
    answer = vehicle_from(typed)
    if isinstance(answer, dict):
        return render_template("new.html", page=NewPage(_short(typed), answer)), 422
    return redirect(room_address(plumbtack().store.create(answer, once=decided.form_id()), "walk"), code=303)


def vehicle_from(typed: Typed) -> VehicleFile | dict[str, str]:
    """The empty vehicle of these answers, or for each field that cannot be taken one sentence."""
    refused: dict[str, str] = {}
    facts: dict[str, float | str] = {}
    name = " ".join(typed.name.split())
    if trouble := _name_trouble(name):
        refused["name"] = trouble
    for key, allowed, sentence in (("axle", dict(AXLES), new_words.CHOOSE_THE_AXLE),
                                   ("unit", dict(UNITS), new_words.CHOOSE_THE_UNIT),
                                   ("layout", LAYOUTS, new_words.CHOOSE_THE_PICTURE)):
        if getattr(typed, key) not in allowed:
            refused[key] = sentence
    try:
        facts["rough_wheelbase"] = read_wheelbase(typed.wheelbase)
    except NotAReading as trouble_there:
        refused["wheelbase"] = str(trouble_there)
    try:
        tyre = read_tyre(typed.tyre)
        facts["tyre_diameter"] = round(tyre.diameter, 2)
        if tyre.size:
            facts["tyre_size"] = tyre.size
    except BadTyre as trouble_there:
        refused["tyre"] = str(trouble_there)
    if refused:
        return refused
    return VehicleFile.model_validate({
        "format": "plumbtack vehicle", "version": 1, "name": name, "worked_axle": typed.axle, "layout": typed.layout,
        "display_unit": typed.unit, "facts": facts, "entries": [],
    })


def read_wheelbase(text: str) -> float:
    """mm, of "106 in", "106", "2700" or "9 ft"; raises NotAReading.

    A bare number cannot be mistaken: no wheelbase in inches reaches 300, none in mm stays below it.
    """
    bare = text.strip().replace(",", ".")
    unit = "mm" if bare.replace(".", "", 1).isdecimal() and float(bare) >= 300 else "in"
    value = parse(text, unit, "mm").value
    if not SHORTEST_WHEELBASE <= value <= LONGEST_WHEELBASE:
        raise NotAReading(new_words.wheelbase_out_of_reach(value, value / INCH))
    return round(value, 2)


def _name_trouble(name: str) -> str | None:
    if not name:
        return new_words.GIVE_IT_A_NAME
    if len(name) > LONGEST_NAME:
        return new_words.name_too_long(len(name), LONGEST_NAME)
    if not all(letter.isprintable() for letter in name):
        return new_words.NAME_NOT_SHOWN
    return None


def _short(typed: Typed) -> Typed:
    """What he typed, so that he can correct it; a pasted book is not sent back whole."""
    return Typed(**{key: getattr(typed, key)[:LONGEST_SENT_BACK] for key in Typed.__dataclass_fields__})
