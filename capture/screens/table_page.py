"""Bringing in a table, and taking tables and drawings away. What comes in is looked at first, then taken whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from flask import Blueprint, Response, abort, redirect, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture import numbers_out, stage_log
from capture.blank_walk import blank_readings
from capture.log import FIRST_STAGE
from capture.report import Report
from capture.screens import table_page_words, words
from capture.screens.filters import said
from capture.screens.readings_said import file_unit, short_words
from capture.screens.record import file_name
from capture.screens.record import now as moment_now
from capture.screens.room import RoomPage, plumbtack, report_now, room_address, shared
from capture.stages import STAGES, is_setting, place
from capture.table_file import BadTable, take_table, write_blank, write_table
from capture.table_landing import Landing, landing
from capture.table_text import read_text
from capture.vehicle_file import BadFile, VehicleFile, check_entries

blueprint = Blueprint("table", __name__, template_folder="templates")

MOST_BYTES = 300_000
"""Of a table on a page: some thousands of lines; the command takes larger ones."""
ROOM = 4
"""A page's form may be so many times larger, since letters outside ASCII are sent as several."""
PASTED = "the table"


@dataclass(frozen=True)
class Out:
    """Something to take away."""

    words: str
    href: str
    about: str


@dataclass(frozen=True)
class LineSaid:
    """One line of the table as it would be taken. mark: "" new, "there" or "alike"."""

    words: str
    value: Markup
    typed: str
    stage: str
    note: str
    mark: str


@dataclass(frozen=True)
class Preview:
    """A table looked at and not taken yet. content: its text; alike: lines that say what the record says already."""

    name: str
    content: str
    stage: str
    lines: tuple[LineSaid, ...]
    new: int
    there: int
    alike: int
    empty: int
    remark: str


@dataclass(frozen=True, kw_only=True)
class TablePage(RoomPage):
    stages: tuple[tuple[str, str], ...]
    stage: str
    outs: tuple[Out, ...]
    preview: Preview | None
    refused: tuple[str, ...]
    pasted: str
    taken: str
    paper: str
    action: str


@blueprint.get("/vehicles/<vehicle_id>/table")
def page(vehicle_id: str) -> str:
    return render_template("table.html", page=table_page(vehicle_id, taken=request.args.get("taken", "")))


@blueprint.post("/vehicles/<vehicle_id>/table")
def look(vehicle_id: str) -> str | tuple[str, int]:
    """Reads what was sent and shows it line by line; nothing is stored."""
    request.max_form_memory_size = ROOM * MOST_BYTES
    upload, pasted = request.files.get("file"), request.form.get("pasted", "")
    stage = stage_asked()
    try:
        if upload is not None and upload.filename:
            name, content = words.short(upload.filename, 60), upload.stream.read(MOST_BYTES + 1)
        else:
            name, content = PASTED, pasted.encode("utf-8", "replace")
        vehicle = plumbtack().store.vehicle(vehicle_id)
        return render_template("table.html", page=table_page(vehicle_id, preview=previewed(
            vehicle, content, name, stage), stage=stage))
    except BadTable as trouble:
        return refused_page(vehicle_id, trouble.sentences, stage, pasted)
    except BadFile as trouble:
        return refused_page(vehicle_id, (str(trouble),), stage, pasted)


@blueprint.post("/vehicles/<vehicle_id>/table/take")
def take(vehicle_id: str) -> Answer | tuple[str, int]:
    """Takes all that is new of a table that was looked at, or nothing."""
    request.max_form_memory_size = ROOM * MOST_BYTES
    stage, name = stage_asked(), words.short(request.form.get("name", "") or PASTED, 60)
    content = request.form.get("content", "").encode("utf-8", "replace")
    vehicle = plumbtack().store.vehicle(vehicle_id)
    try:
        raw, there = chosen(vehicle, content, name, stage, request.form.get("alike") == "take")
        entries = check_entries(raw, vehicle, {entry.id for entry in vehicle.entries}, name)
    except BadTable as trouble:
        return refused_page(vehicle_id, trouble.sentences, stage, "")
    except BadFile as trouble:
        return refused_page(vehicle_id, (str(trouble),), stage, "")
    plumbtack().store.add_entries(vehicle_id, entries)
    return redirect(f"{room_address(vehicle_id, 'table')}?taken={len(entries)}-{there}", code=303)


def chosen(
    vehicle: VehicleFile, content: bytes, name: str, stage: str, again: bool
) -> tuple[list[dict[str, Any]], int]:
    """The entries to add, and how many lines are left out. again: values the record has already were read twice."""
    table = take_table(content, name, vehicle, stage, moment_now())
    found = landing(table.entries, vehicle, table.timed)
    left = [*found.there, *(() if again else found.alike)]
    return [entry for entry in table.entries if entry not in left], len(left)


def previewed(vehicle: VehicleFile, content: bytes, name: str, stage: str) -> Preview:
    """A table line by line. Raises BadTable, BadFile: then none of it is taken."""
    if not content.strip():
        raise BadTable([table_page_words.nothing_in_it(name)])
    if len(content) > MOST_BYTES:
        raise BadTable([table_page_words.too_large(name, MOST_BYTES // 1000)])
    table = take_table(content, name, vehicle, stage, moment_now())
    found = landing(table.entries, vehicle, table.timed)
    fresh = [entry for entry in table.entries if entry not in found.there]
    check_entries(fresh, vehicle, {entry.id for entry in vehicle.entries}, name)
    return Preview(
        name, read_text(content, name).whole, stage, tuple(line_said(vehicle, entry, found) for entry in table.entries),
        len(found.new), len(found.there), len(found.alike), table.empty, table.remark)


def line_said(vehicle: VehicleFile, entry: dict[str, Any], found: Landing) -> LineSaid:
    mark = "there" if entry in found.there else "alike" if entry in found.alike else ""
    unit = file_unit(vehicle, entry["reading"])
    return LineSaid(words.sentence_start(short_words(vehicle, entry["reading"])),
                    said(entry["value"], unit, vehicle.display_unit), f"{entry['text']} {entry['unit']}",
                    words.stage(entry["stage"]), entry["note"], mark)


def refused_page(vehicle_id: str, sentences: tuple[str, ...], stage: str, pasted: str) -> tuple[str, int]:
    made = table_page(vehicle_id, refused=sentences, stage=stage, pasted=pasted[:MOST_BYTES])
    return render_template("table.html", page=made), 422


def stage_asked() -> str:
    asked = request.form.get("stage", "")
    return asked if asked in STAGES else FIRST_STAGE


def table_page(vehicle_id: str, preview: Preview | None = None, refused: tuple[str, ...] = (), stage: str = "",
               pasted: str = "", taken: str = "") -> TablePage:
    report, version = report_now(vehicle_id)
    fields = shared(vehicle_id, "record", report, version, table_page_words.TITLE)
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "record"), back_words=words.TO_THE_RECORD)
    shut = stage_log.closed(report.vehicle)
    known = [key for key in STAGES if (not is_setting(key) or key == report.stage) and key not in shut]
    later = [key for key in known if place(key) >= place(report.stage)] or known
    return TablePage(
        **fields, stages=tuple((key, words.sentence_start(words.stage(key))) for key in known),
        stage=stage or next(iter(later), ""), outs=tuple(outs(vehicle_id)), preview=preview, refused=refused,
        pasted=pasted, taken=taken_words(taken), paper=room_address(vehicle_id, "paper"),
        action=room_address(vehicle_id, "table"))


def taken_words(taken: str) -> str:
    """"12 readings taken in; 3 were in the record already." of "12-3"."""
    count, _, left = taken.partition("-")
    if not (count.isdecimal() and left.isdecimal() and len(taken) < 12):
        return ""
    first = f"{words.counted(int(count), 'reading')} taken in" if int(count) else table_page_words.NOTHING_NEW
    return first + (table_page_words.left_out(words.counted(int(left), "line")) if int(left) else ".")


# ---- taking away ----


def outs(vehicle_id: str) -> tuple[Out, ...]:
    at = f"{room_address(vehicle_id, 'table')}/"
    return (
        Out("Readings (CSV)", f"{at}readings.csv", table_page_words.READINGS_OUT),
        Out(table_page_words.BLANK, f"{at}blank.csv", table_page_words.BLANK_HOLDS),
        Out("Points (CSV)", f"{at}points.csv", table_page_words.POINTS_OUT),
        Out("Links (CSV)", f"{at}links.csv", "Length, incline and ± of each."),
        *(Out(f"{words.sentence_start(view)} view (SVG)", f"{at}{view}.svg", table_page_words.VIEWS_OUT)
          for view in numbers_out.VIEWS),
    )


MADE: dict[str, Callable[[Report], str]] = {
    "readings.csv": lambda report: write_table(report.stage_view, report.vehicle),
    "blank.csv": lambda report: write_blank(blank_readings(report.vehicle), report.vehicle),
    "points.csv": numbers_out.points_table,
    "links.csv": numbers_out.lines_table,
}


@blueprint.get("/vehicles/<vehicle_id>/table/<name>")
def away(vehicle_id: str, name: str) -> Response:
    """A table or a drawing as a file of its own."""
    report, _ = report_now(vehicle_id)
    stem, _, ending = name.partition(".")
    if name in MADE:
        text, kind = MADE[name](report), "text/csv; charset=utf-8"
    elif ending == "svg" and stem in numbers_out.VIEWS:
        text, kind = numbers_out.drawing(report, stem), "image/svg+xml; charset=utf-8"
    else:
        abort(404)
    answer = Response(text, content_type=kind)
    called = f"{file_name(report.vehicle.name).removesuffix('.json')}-{name}"
    answer.headers["Content-Disposition"] = f'attachment; filename="{called}"'
    return answer
