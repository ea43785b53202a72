"""The walk on paper as one HTML file that needs no network: of a vehicle file, or blank for a vehicle not met yet."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from geometry.layouts import LAYOUTS
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from capture import places
from capture.screens import words
from capture.screens.filters import bidi, fractions
from capture.screens.paper import paper_of
from capture.screens.walking import of_a_file
from capture.vehicle_file import VehicleFile


def walk_paper(vehicle: VehicleFile, whole: bool = False) -> str:
    """The HTML of a vehicle's walk. whole: with the readings for whoever wants more."""
    return _page(paper_of(of_a_file(vehicle), whole))


def blank_paper(layout: str, worked_axle: str, unit: str, whole: bool = False) -> str:
    """The HTML of the walk round any vehicle of this layout; its name is written by hand."""
    unnamed = VehicleFile.model_validate({"format": "plumbtack vehicle", "version": 1, "name": "-", "layout": layout,
                                          "worked_axle": worked_axle, "display_unit": unit, "entries": []})
    made = paper_of(of_a_file(unnamed), whole)
    return _page(replace(made, vehicle_name="", about=f"{worked_axle} axle, {LAYOUTS[layout].words}"))


def _page(page: object) -> str:
    style = (places.static_folder() / "plumbtack.css").read_text(encoding="utf-8")
    return _templates().get_template("paper_file.html").render(page=page, say=words, style=Markup(style))


@cache
def _templates() -> Environment:
    found = Environment(loader=PackageLoader("capture.screens"), autoescape=True, undefined=StrictUndefined)
    found.filters |= {"fractions": fractions, "bidi": bidi, "counted": words.counted,
                      "sentence_start": words.sentence_start}
    return found
