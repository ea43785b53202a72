"""The walk in plan: its stations with what is done, now, waiting and in doubt; below, every reading by its name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import Blueprint, redirect, render_template, request
from geometry.readings import parse_name
from markupsafe import Markup
from werkzeug.wrappers import Response

from capture import stage_log, stages
from capture.drawings.plan import PlanStation, place_of, stations_plan
from capture.drawings.vehicle import Vehicle
from capture.drawings.walktape import WIDE, Tick, walk_tape
from capture.lengths import say
from capture.screens import measure_words, pictures, words
from capture.screens.cautions_page import seen_at
from capture.screens.readings_said import short_words
from capture.screens.room import Head, RoomPage, room_address, shared
from capture.screens.walking import Walking, walking
from capture.stages import FIRST_STAGE
from capture.walk import CORE, Count, Station, Step, own_point_name

blueprint = Blueprint("walk_page", __name__, template_folder="templates")

BELOW_THE_PLAN = ("bench", "scales", "travel", "marks_again")
"""Stations that are no place round the vehicle: they stand as keys below the plan."""
LONGEST_OWN = 40
"""Letters of a point's name as it is typed."""
IN_THE_LIST = ("own", "others")
"""Stations that only some vehicles have: they stand in the list of every reading."""
STANDS_FOR = {"other_wheels": ("other_right.centre",)}
"""Where a station stands in the plan, when not in the middle of its points."""


@dataclass(frozen=True)
class Row:
    """One reading in the list. state: "done", "doubt", "away" or "open"."""

    words: str
    value: str
    state: str
    href: str


@dataclass(frozen=True)
class StationRow:
    station: Station
    count: Count
    href: str
    now: bool
    rows: tuple[Row, ...]


@dataclass(frozen=True, kw_only=True)
class WalkPage(RoomPage):
    """goon: what the lit key says; stages: name, words, address, whether it is the one in hand."""

    tape: Markup
    tape_wide: Markup
    plan: Markup
    aside: tuple[StationRow, ...]
    stations: tuple[StationRow, ...]
    goon: str
    goon_href: str
    stages: tuple[tuple[str, str, bool], ...]
    measure: str
    cautions: str = ""
    closed: str = ""
    refused: str = ""
    typed: str = ""
    """The name of a point of one's own that was refused."""


@blueprint.get("/vehicles/<vehicle_id>/walk")
def page(vehicle_id: str) -> str:
    return render_template("walk.html", page=walk_page(vehicle_id, request.args))


@blueprint.get("/vehicles/<vehicle_id>/walk/own")
def own_point(vehicle_id: str) -> Response | tuple[str, int]:
    """On to the readings of a point he names himself; a name without a letter is asked again."""
    typed = request.args.get("own", "")
    if not own_point_name(typed):
        page = walk_page(vehicle_id, request.args, measure_words.NAME_YOUR_POINT)
        return render_template("walk.html", page=page), 422
    return redirect(f"{room_address(vehicle_id, 'measure')}?{urlencode({'own': typed})}", code=303)


def fragment(vehicle_id: str, asked: Mapping[str, str]) -> str:
    """The room alone, for a page that follows the phone."""
    return render_template("_walk.html", page=walk_page(vehicle_id, asked))


def walk_page(vehicle_id: str, asked: Mapping[str, str], refused: str = "") -> WalkPage:
    round_ = walking(vehicle_id, asked)
    step = round_.progress.next()
    vehicle = pictures.vehicle(round_.report)
    rows = tuple(_station_row(round_, station, step) for station in round_.walk.stations)
    whole = round_.progress.count()
    fields = shared(vehicle_id, "walk", round_.report, round_.version, "The walk",
                    Markup("<span><b>{}</b> of {}</span>").format(whole.done, whole.of))
    under = ", ".join((round_.vehicle.name, stage_log.said(round_.vehicle, round_.stage)))
    fields["head"] = Head("The walk", under, "/", words.TO_THE_VEHICLES, fields["head"].cell)
    if "stage" in asked:
        fields["query"] = (("stage", round_.stage),)
    ticks = _ticks(round_, step)
    return WalkPage(
        **fields,
        tape=walk_tape(ticks),
        tape_wide=walk_tape(ticks, WIDE),
        plan=stations_plan(vehicle, [_on_plan(round_, vehicle, row, step) for row in rows
                                     if row.station.key not in BELOW_THE_PLAN + IN_THE_LIST and _asked(round_, row)]),
        aside=tuple(row for row in rows if row.station.key in BELOW_THE_PLAN and _asked(round_, row)),
        stations=rows,
        **_onward(round_, step, rows),
        stages=tuple((words.sentence_start(stages.said(stage)), f"?stage={stage}", stage == round_.stage)
                     for stage in round_.stages),
        measure=room_address(vehicle_id, "measure"),
        cautions=_cautions(round_),
        closed=stage_log.closed_sentence(round_.vehicle, round_.stage),
        refused=refused,
        typed=asked.get("own", "")[:LONGEST_OWN] if refused else "",
    )


def _address(round_: Walking, step: Step) -> str:
    asked = {"at": step.key}
    if round_.stage != round_.latest or round_.stage != FIRST_STAGE:
        asked["stage"] = round_.stage
    return f"{room_address(round_.vehicle_id, 'measure')}?{urlencode(asked)}"


def _asked(round_: Walking, row: StationRow) -> bool:
    """Whether a station has something to do; in a walk that proves a stage many have not, and stand in the list."""
    return round_.proving is None or row.count.of > 0


def _cautions(round_: Walking) -> str:
    """Where the cautions of this stage are read, while nobody has."""
    if round_.stage in stage_log.closed(round_.vehicle) or seen_at(round_.vehicle, round_.stage):
        return ""
    return f"{room_address(round_.vehicle_id, 'cautions')}?{urlencode({'stage': round_.stage, 'before': 'walk'})}"


def _onward(round_: Walking, step: Step | None, rows: tuple[StationRow, ...]) -> dict[str, str]:
    """What the lit key says and where it leads."""
    if round_.stage in stage_log.closed(round_.vehicle):
        return {"goon": measure_words.CLOSED_ON, "goon_href": room_address(round_.vehicle_id, "stage")}
    if step is not None:
        return {"goon": _goon(round_, step, rows), "goon_href": _address(round_, step)}
    if round_.proving is not None:
        asked = urlencode({"from": round_.proving.before, "to": round_.stage})
        said = measure_words.all_taken_compare(stages.said(round_.proving.before))
        return {"goon": said, "goon_href": f"{room_address(round_.vehicle_id, 'compare')}?{asked}"}
    return {"goon": measure_words.ALL_TAKEN, "goon_href": room_address(round_.vehicle_id, "second-look")}


def _goon(round_: Walking, step: Step, rows: tuple[StationRow, ...]) -> str:
    here = next(row for row in rows if row.station.key == step.station)
    name = here.station.name[:1].lower() + here.station.name[1:]
    begun = "Go on" if round_.takes else "Begin"
    if step.priority != CORE:
        return f"{begun}: checks, {name}"
    return f"{begun}: {name}, {here.count.done + 1} of {here.count.of}"


def _station_row(round_: Walking, station: Station, now: Step | None) -> StationRow:
    steps = round_.walk.at(station.key)
    waits = next((step for step in steps if step.priority == CORE and round_.progress.waits(step)), steps[0])
    return StationRow(
        station, round_.progress.count(station.key), _address(round_, waits),
        now is not None and now.station == station.key, tuple(_row(round_, step) for step in steps),
    )


def _row(round_: Walking, step: Step) -> Row:
    progress, vehicle = round_.progress, round_.vehicle
    takes = round_.takes_of(step.reading)
    kind = parse_name(step.reading, vehicle.layout, vehicle.worked_axle).kind
    taken = progress.taken(step)
    away = progress.beyond_reach(step)
    state = "doubt" if progress.doubted(step) else "done" if taken else "away" if away else "open"
    value = say(takes[-1].value, kind.unit, vehicle.display_unit) if taken else ""
    said = words.sentence_start(short_words(vehicle, step.reading))
    return Row(said, "not reached" if state == "away" else value, state, _address(round_, step))


def _on_plan(round_: Walking, vehicle: Vehicle, row: StationRow, now: Step | None) -> PlanStation:
    state = "doubt" if row.count.doubts else "now" if row.now else "done" if row.count.left == 0 else "waiting"
    return PlanStation(row.station.key, row.station.letter, row.station.short, row.count.done, row.count.of, state,
                       row.href, place_of(vehicle, _points(round_, row.station)), row.count.doubts)


def _points(round_: Walking, station: Station) -> list[str]:
    """The points a station's short walk speaks of; the floor has no place of its own."""
    if station.key == "floor":
        return []
    if station.key in STANDS_FOR:
        return list(STANDS_FOR[station.key])
    vehicle = round_.vehicle
    names = [parse_name(step.reading, vehicle.layout, vehicle.worked_axle)
             for step in round_.walk.at(station.key) if step.priority == CORE]
    return list(dict.fromkeys(point for name in names for point in name.points))


def _ticks(round_: Walking, now: Step | None) -> list[Tick]:
    """One tick a reading of the short walk and for whatever else was read."""
    progress = round_.progress
    ticks, station = [], ""
    for step in round_.walk.steps:
        if step.priority != CORE and not progress.taken(step) and step != now:
            continue
        done = "waiting" if progress.waits(step) else "doubt" if progress.doubted(step) else "done"
        ticks.append(Tick("now" if step == now else done, step.station != station))
        station = step.station
    return ticks
