"""One reading a view: what to read, the drawing with this dimension lit, the keypad. All steps are in the page."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Response, abort, g, jsonify, redirect, render_template, request
from geometry import remark as remarks
from geometry.errors import GeometryError
from geometry.readings import ReadingName, Words, describe, parse_name
from markupsafe import Markup

from capture import entry, lengths, stage_log
from capture.log import Take
from capture.screens import give_or_take, landed, measure_pictures, plain_entry, remark_words, slips_handed_over, words
from capture.screens.plain_entry import PlainForm
from capture.screens.room import plumbtack, room_address
from capture.screens.settled_items import READ_AGAIN
from capture.screens.walking import CANNOT_REACH, Walking, walking
from capture.vehicle_file import VehicleFile
from capture.walk import Count, Station, Step, own_point_name

blueprint = Blueprint("measure", __name__, template_folder="templates")

UNIT_WORDS = {
    "in": "inches", "ft": "feet and inches", "mm": "millimetres", "cm": "centimetres", "deg": "degrees",
    "kg": "kilograms", "lb": "pounds",
}  # fmt: skip
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
    def hint(self) -> str:
        """What to do, as far as two lines hold it; the rest stands under more."""
        whole = " ".join(self.words.do_this)
        return whole if len(whole) <= TWO_LINES else self.words.do_this[0]


@dataclass(frozen=True)
class StationView:
    station: Station
    count: Count
    steps: tuple[StepView, ...]


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
    def here(self) -> str:
        return room_address(self.walking.vehicle_id, "measure")

    @property
    def vehicle(self) -> VehicleFile:
        return self.walking.vehicle

    @property
    def back(self) -> str:
        return room_address(self.walking.vehicle_id, "walk")

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
        return redirect(_elsewhere(round_), code=303)
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
    """The drawings of all steps anew, true to the newest model; ?boards: those for the bench too."""
    round_ = walking(vehicle_id, request.args, _own_points())
    return render_template("_drawings.html", page=_page(round_, None, boards="boards" in request.args))


@blueprint.get("/vehicles/<vehicle_id>/expectations")
def expectations(vehicle_id: str) -> Response | tuple[str, int]:
    """What the newest log predicts and holds, for the page in hand; 204 while it has not grown."""
    round_ = walking(vehicle_id, request.args, _own_points())
    if str(round_.version) == request.args.get("v"):
        return "", 204
    fresh = _known(round_)
    fresh["elsewhere"] = _elsewhere(round_)
    fresh["expected"] = _expected(round_)
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
    spoken = {key: describe(name) for key, name in names.items()}
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
        StationView(one, round_.progress.count(one.key), tuple(views[step.key] for step in round_.walk.at(one.key)))
        for one in round_.walk.stations
    )
    data = _for_script(round_, views, asked_for, _blind(round_, blind))
    view = views[current.key] if current else None
    if view and plain is None:
        plain = plain_entry.blank_form(round_, view.name, view.words)
    return MeasurePage(round_, stations, view, drawn.defs, data, plain)


def _name(vehicle: VehicleFile, step: Step) -> ReadingName:
    return parse_name(step.reading, vehicle.layout, vehicle.worked_axle)


def _row(spoken: Words) -> str:
    """The reading in a list: "Height, left lower link, axle bolt"."""
    return words.sentence_start(spoken.short)


def _last_value(round_: Walking, step: Step, name: ReadingName) -> str:
    takes = round_.takes_of(step.reading)
    if len(takes) < step.take:
        return ""
    return lengths.say(takes[-1].value, name.kind.unit, round_.vehicle.display_unit)


def _blind(round_: Walking, reading: str) -> dict[str, Any] | None:
    """What the script has to know of a reading taken again blind: the takes in doubt, which the new one may replace."""
    if not reading:
        return None
    view = round_.report.stage_view
    keys = [key for doubt in round_.report.doubts for key in doubt.readings if key in view.by_key]
    here = {take.id for take in round_.takes_of(reading)}
    doubted = [view.by_key[key].id for key in keys if view.by_key[key].id in here]
    return {"reading": reading, "takes": doubted, "note": READ_AGAIN}


def _for_script(
    round_: Walking, views: dict[str, StepView], asked_for: Step | None, blind: dict[str, Any] | None
) -> str:
    vehicle = round_.vehicle
    expected = _expected(round_)
    inches = vehicle.display_unit == "in"
    data = {
        "vehicle": round_.vehicle_id,
        "name": vehicle.name,
        "stage": round_.stage,
        "at": asked_for.key if asked_for else None,
        "guest": bool(g.guest),
        "blind": blind,
        "cannot_reach": CANNOT_REACH,
        "units": {"mm": vehicle.display_unit, "deg": "deg", "kg": "lb" if inches else "kg"},
        "unit_words": UNIT_WORDS,
        "stations": [{"key": one.key, "name": one.name} for one in round_.walk.stations],
        "slips": slips_handed_over.table(),
        "steps": [_step_for_script(view, expected[key]) for key, view in views.items()],
        **_known(round_),
    }
    # "<" never stands in the page's JSON, so that no name typed by a person can end the script element
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def _step_for_script(view: StepView, expected: tuple[float, float, float, float | None]) -> dict[str, Any]:
    kind = view.name.kind
    value, sd, own_sd, limit = expected
    return {
        "key": view.step.key,
        "reading": view.step.reading,
        "station": view.step.station,
        "priority": view.step.priority,
        "take": view.step.take,
        "title": view.words.title,
        "unit": kind.unit,
        "low": kind.low,
        "high": kind.high,
        "side": kind.side(view.name.subject, view.name.setting),
        "sides": list(view.words.sides) if view.words.sides else None,
        "side_keys": list(view.words.side_keys),
        "expected": value,
        "sd": sd,
        "own_sd": own_sd,
        "limit": limit,
        "slips": slips_handed_over.numbers(kind),
        "elsewhere": slips_handed_over.elsewhere(kind),
    }


def _elsewhere(round_: Walking) -> str:
    """Where a page at this stage has to go: nothing is read at a closed one, and a later one may have begun since the
    page was kept. Empty while it may stay."""
    if round_.stage in stage_log.closed(round_.vehicle):
        return f"{room_address(round_.vehicle_id, 'stage')}?{urlencode({'closed': round_.stage})}"
    if round_.stage == round_.latest:
        return ""
    return f"{room_address(round_.vehicle_id, 'measure')}?{urlencode({'stage': round_.latest})}"


def _known(round_: Walking) -> dict[str, Any]:
    """What the log holds, as the page's script wants it."""
    left_out = round_.report.stage_view.left_out
    return {
        "run": plumbtack().run,
        "version": round_.version,
        "entries": [entry.id for entry in round_.vehicle.entries],
        "withdrawn": [out.entry.id for out in left_out if out.why in ("withdrawn", "set aside")],
        "out_of_reach": list(round_.out_of_reach),
        "doubts": sorted(round_.in_doubt),
        "takes": {
            step.reading: [
                _take_for_script(take) for take in round_.takes_of(step.reading)
            ]
            for step in round_.walk.steps if round_.takes_of(step.reading)
        },
    }


def _take_for_script(take: Take) -> dict[str, Any]:
    said = {"id": take.id, "value": take.value, "text": take.text, "unit": take.unit, "at": take.at}
    return said | ({"sd": take.entry.sd} if take.entry.sd is not None else {})


def _expected(round_: Walking) -> dict[str, tuple[float, float, float, float | None]]:
    """For each step what the model predicts, how well it knows it, the spread of the reading itself, and how far off a
    reading may be without a remark (None: nothing to go by yet); file unit."""
    steps = round_.walk.steps
    bounds = remarks.bounds(round_.report.fit, [step.reading for step in steps])
    return {
        step.key: (round(one.value, 3), round(one.sd, 3), round(one.own_sd, 3), one.limit and round(one.limit, 3))
        for step, one in zip(steps, bounds, strict=True)
    }
