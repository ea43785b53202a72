"""One reading a view: what to read, the drawing with this dimension lit, the keypad. All steps are in the page."""

from __future__ import annotations

import math
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import Blueprint, Response, abort, g, jsonify, redirect, render_template, request
from geometry import remark as remarks
from geometry.errors import GeometryError
from geometry.readings import ReadingName, Words, describe, parse_name
from markupsafe import Markup

from capture import entry, lengths, stage_log, stages, walk_words
from capture.screens import (
    give_or_take,
    landed,
    measure_data,
    measure_pictures,
    measure_words,
    plain_entry,
    remark_words,
    words,
)
from capture.screens.mark import mark_of
from capture.screens.plain_entry import PlainForm
from capture.screens.room import plumbtack, room_address
from capture.screens.walking import Walking, walking
from capture.tape_words import on_the_tape
from capture.vehicle_file import VehicleFile
from capture.walk import Count, Station, Step, own_point_name

blueprint = Blueprint("measure", __name__, template_folder="templates")

TWO_LINES = 76
"""Characters that fit below a question at 360 px in the widest usual type."""


@dataclass(frozen=True)
class StepView:
    """One step as the page has it. row: how the list of its station calls it; value: the last take, as said. board:
    its drawing for the bench, which the step in view has from the first and the others have sent after."""

    step: Step
    name: ReadingName
    words: Words
    row: str
    value: str
    figure: Markup
    key: Markup
    board: Markup | str = ""

    @property
    def drawn(self) -> str:
        """Stands for its drawings as they are, so that a page which has them is not sent them again."""
        return mark_of(self.figure + self.board + self.key)

    @property
    def hint(self) -> str:
        """What to do, as far as two lines hold it; the rest stands under more."""
        whole = " ".join(self.words.do_this)
        return whole if len(whole) <= TWO_LINES else self.words.do_this[0]


@dataclass(frozen=True)
class StationView:
    """opening: what comes before the first reading of the station, while nothing is read there."""

    station: Station
    count: Count
    steps: tuple[StepView, ...]
    opening: str = ""


@dataclass(frozen=True)
class MeasurePage:
    """What the template receives. data: the JSON the page's script works with."""

    walking: Walking
    stations: tuple[StationView, ...]
    current: StepView | None
    defs: Markup
    data: str
    plain: PlainForm | None = None

    @property
    def guest(self) -> bool:
        """Whether who looks may only look."""
        return bool(g.guest)

    @property
    def defs_drawn(self) -> str:
        """Stands for what all drawings share."""
        return mark_of(self.defs)

    @property
    def here(self) -> str:
        return room_address(self.walking.vehicle_id, "measure")

    @property
    def vehicle(self) -> VehicleFile:
        return self.walking.vehicle

    @property
    def back(self) -> str:
        return room_address(self.walking.vehicle_id, "walk")

    @property
    def onward(self) -> tuple[str, str]:
        """What the lit key says once every reading is taken, and where it leads: what a later stage is measured for is
        the comparison."""
        proving, vehicle_id = self.walking.proving, self.walking.vehicle_id
        if proving is None:
            return "Second look", room_address(vehicle_id, "second-look")
        asked = urlencode({"from": proving.before, "to": self.walking.stage})
        said = measure_words.compare_with(stages.said(proving.before))
        return said, f"{room_address(vehicle_id, 'compare')}?{asked}"

    @property
    def steps(self) -> tuple[StepView, ...]:
        return tuple(step for station in self.stations for step in station.steps)

    @property
    def station(self) -> StationView | None:
        """The station of the step in view."""
        if self.current is None:
            return None
        return next(one for one in self.stations if one.station.key == self.current.step.station)


@blueprint.get("/vehicles/<vehicle_id>/measure")
def measure(vehicle_id: str) -> str | Response:
    """The walk, with the step asked for (?at=READING) or the next one in view; nothing is read at a closed stage."""
    named = own_point_name(request.args.get("own", ""))
    round_ = walking(vehicle_id, request.args, [named] if named else [])
    if round_.stage in stage_log.closed(round_.vehicle):
        return redirect(measure_data.stage_closed(round_), code=303)
    wanted = round_.walk.find(request.args.get("at", ""))
    if wanted is None and named:
        wanted = round_.walk.find(f"height:{named}")
    asked_blind = bool(wanted and request.args.get("blind") and not g.guest)
    blind = wanted.reading if asked_blind and round_.takes_of(wanted.reading) else ""
    return render_template("measure.html", page=_page(round_, wanted or round_.progress.next(), wanted, blind=blind))


@blueprint.post("/vehicles/<vehicle_id>/measure")
def record(vehicle_id: str) -> Response | tuple[str, int]:
    """Records without the page's script, and leads to the next step; or the page again with what stands in the way."""
    round_ = walking(vehicle_id, request.form)
    step = round_.walk.find(request.form.get("at", ""))
    if step is None:
        abort(404)
    name = _name(round_.vehicle, step)
    form = plain_entry.record(round_, name, describe(name), request.form)
    if form is None:
        return redirect(f"{room_address(vehicle_id, 'measure')}?{urlencode({'stage': round_.stage})}", code=303)
    return render_template("measure.html", page=_page(round_, step, step, form)), 422


@blueprint.get("/vehicles/<vehicle_id>/measure/drawings")
def drawings(vehicle_id: str) -> str:
    """The drawings of all steps, true to the newest model; ?boards: those for the bench too; ?has: marks of those the
    page has already, which are left out."""
    round_ = walking(vehicle_id, request.args, _own_points())
    page = _page(round_, None, boards="boards" in request.args)
    return render_template("_drawings.html", page=page, has=frozenset(request.args.get("has", "").split(",")))


@blueprint.get("/vehicles/<vehicle_id>/expectations")
def expectations(vehicle_id: str) -> Response | tuple[str, int]:
    """What the newest log predicts and holds, for the page in hand; 204 while it has not grown. ?held, ?run: so many
    entries the page has of this run, and is told only of what came after."""
    round_ = walking(vehicle_id, request.args, _own_points())
    if str(round_.version) == request.args.get("v") and _of_this_run():
        return "", 204
    fresh = measure_data.known(round_, _held())
    fresh["elsewhere"] = measure_data.elsewhere(round_)
    fresh["closed"] = round_.stage in stage_log.closed(round_.vehicle)
    fresh["expected"] = measure_data.expected(round_)
    new = request.args.get("landed")
    if new:
        fresh["landed"] = landed.what_landed(round_, new)
    return jsonify(fresh)


@blueprint.get("/vehicles/<vehicle_id>/remark")
def remark(vehicle_id: str) -> str | tuple[str, int]:
    """What the model says to a value before it is recorded; 204 when it fits."""
    round_ = walking(vehicle_id, request.args)
    vehicle = round_.vehicle
    try:
        name = parse_name(request.args.get("reading", ""), vehicle.layout, vehicle.worked_axle)
        value = float(request.args.get("value", ""))
    except (GeometryError, ValueError):
        return "", 204
    unit = request.args.get("unit", "")
    if not math.isfinite(value) or abs(value) > entry.LARGEST or unit not in entry.UNITS:
        return "", 204
    text = request.args.get("text", "")[:entry.LONGEST]
    sd = give_or_take.asked(request.args.get("sd", ""))
    found = remarks.remark(round_.report.fit, name.text, value, unit=unit, text=text, sd=sd)
    if found is None:
        return "", 204
    return render_template("_remark.html", remark=remark_words.said(found, name, vehicle, unit))


def _held() -> int:
    """How many entries of the log the page that asks has, from the first on; 0 where they are of another run."""
    held = request.args.get("held", "")
    return int(held) if _of_this_run() and held.isdecimal() and len(held) < 10 else 0


def _of_this_run() -> bool:
    """Whether what the page knows is of this run. Of another one an equal number says nothing: an older backup may have
    been put back in between, which lacks what that page sent."""
    return request.args.get("run") == plumbtack().run


def _own_points() -> list[str]:
    named = own_point_name(request.args.get("own", ""))
    return [named] if named else []


def _page(
    round_: Walking,
    current: Step | None,
    asked_for: Step | None = None,
    plain: PlainForm | None = None,
    blind: str = "",
    boards: bool = False,
) -> MeasurePage:
    """The page with `current` in view. asked_for: the step the address names; it stays in view whatever is stored.
    blind: the reading that is read again without seeing what was read first. boards: every step's, not only that one's.
    """
    names = {step.key: _name(round_.vehicle, step) for step in round_.walk.steps}
    spoken = {key: on_the_tape(describe(name), round_.vehicle.display_unit) for key, name in names.items()}
    drawn = measure_pictures.drawn(round_, round_.walk.steps if boards else [current] if current else [])
    views = {
        step.key: StepView(
            step, names[step.key], spoken[step.key], _row(spoken[step.key]),
            "" if step.reading == blind else _last_value(round_, step, names[step.key]),
            drawn.figure[step.reading], drawn.key[step.reading], drawn.board.get(step.key, ""),
        )
        for step in round_.walk.steps
    }
    stations = tuple(
        StationView(one, round_.progress.count(one.key), tuple(views[step.key] for step in round_.walk.at(one.key)),
                    _opening(round_, one))
        for one in round_.walk.stations
    )
    data = measure_data.for_script(round_, views, asked_for, measure_data.blind(round_, blind), mark_of(drawn.defs))
    view = views[current.key] if current else None
    if view and plain is None:
        plain = plain_entry.blank_form(round_, view.name, view.words)
    return MeasurePage(round_, stations, view, drawn.defs, data, plain)


def _name(vehicle: VehicleFile, step: Step) -> ReadingName:
    return parse_name(step.reading, vehicle.layout, vehicle.worked_axle)


def _opening(round_: Walking, station: Station) -> str:
    """At a later stage the chalk lines are there, and are to stay as they were."""
    if round_.proving or round_.progress.count(station.key).done:
        return ""
    return walk_words.IN_SHORT.get(station.before, "")


def _row(spoken: Words) -> str:
    """The reading in a list: "Height, left lower link, axle bolt"."""
    return words.sentence_start(spoken.short)


def _last_value(round_: Walking, step: Step, name: ReadingName) -> str:
    takes = round_.takes_of(step.reading)
    if len(takes) < step.take:
        return ""
    return lengths.say(takes[-1].value, name.kind.unit, round_.vehicle.display_unit)
