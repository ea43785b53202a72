"""The walk on paper: a drawing and a box for every reading, to print for a garage without a network."""

from __future__ import annotations

from dataclasses import dataclass, replace

from flask import Blueprint, render_template, request
from markupsafe import Markup

from capture.blank_walk import BlankLine, blank_walk
from capture.drawings.marks import step_of
from capture.drawings.scenes import walk_drawings
from capture.screens import pictures, words
from capture.screens.room import room_address
from capture.screens.walking import Walking, walking

blueprint = Blueprint("paper", __name__, template_folder="templates")


@dataclass(frozen=True)
class PaperLine:
    """One reading on paper. units: those to circle, the person's first; figure: its drawing."""

    line: BlankLine
    units: tuple[str, ...]
    figure: Markup


@dataclass(frozen=True)
class PaperStation:
    letter: str
    name: str
    before: str
    lines: tuple[PaperLine, ...]


@dataclass(frozen=True)
class PaperPage:
    """vehicle_name: "" on a blank one, to be written by hand. about: the stage, or the layout."""

    vehicle_name: str
    about: str
    defs: Markup
    stations: tuple[PaperStation, ...]
    readings: int
    whole: bool
    here: str = ""
    type_in: str = ""
    back: str = ""


@blueprint.get("/vehicles/<vehicle_id>/paper")
def page(vehicle_id: str) -> str:
    """The walk to print; ?whole: with the readings for whoever wants them."""
    whole, here = "whole" in request.args, room_address(vehicle_id, "paper")
    made = paper_of(walking(vehicle_id, request.args), whole)
    return render_template("paper.html", page=replace(
        made, here=here, type_in=f"{here}/in" + ("?whole" if whole else ""), back=room_address(vehicle_id, "record")))


def paper_of(round_: Walking, whole: bool) -> PaperPage:
    """The walk of a vehicle at its stage, or of none in particular."""
    vehicle = round_.vehicle
    stations = blank_walk(vehicle, round_.walk, whole)
    readings = list(dict.fromkeys(line.step.reading for one in stations for line in one.lines))
    drawn = walk_drawings(pictures.vehicle(round_.report), [
        step_of(name, vehicle.layout, vehicle.worked_axle) for name in readings])
    return PaperPage(
        vehicle.name, words.stage(round_.stage), drawn.defs,
        tuple(PaperStation(one.station.letter, one.station.name, one.station.before,
                           tuple(PaperLine(line, units_of(line, vehicle.display_unit), drawn.figure[line.step.reading])
                                 for line in one.lines)) for one in stations),
        sum(len(one.lines) for one in stations), whole,
    )


def units_of(line: BlankLine, unit: str) -> tuple[str, ...]:
    """The units printed beside a box, the person's own first."""
    if line.unit == "mm":
        return ("in", "mm") if unit == "in" else ("mm", "in")
    if line.unit == "kg":
        return ("lb", "kg") if unit == "in" else ("kg", "lb")
    return ("°",)
