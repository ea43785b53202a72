"""The paper typed in: the numbered readings of the walk on one page, taken all together or not at all."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from capture import stage_log
from capture.blank_walk import BlankLine, BlankStation, blank_walk
from capture.entry import Entry, NotAReading, parse
from capture.lengths import say
from capture.screens import measure_data, measure_words, words
from capture.screens.plain_entry import SIDES
from capture.screens.record import now as moment_now
from capture.screens.room import Head, plumbtack, room_address
from capture.screens.walking import Walking, walking
from capture.vehicle_file import BadFile, check_entries

blueprint = Blueprint("paper_in", __name__, template_folder="templates")

UNIT_WORDS = {"deg": "°"}


class OutOfRange(NotAReading):
    """A value no such reading has; taken when it is sent once more as it is."""


@dataclass(frozen=True)
class Typing:
    """One field of the typing page. read: what the record holds of it; refused: the sentence beside it."""

    line: BlankLine
    unit: str
    read: str
    text: str = ""
    side: str = ""
    refused: str = ""
    kept: str = ""


@dataclass(frozen=True)
class TypingStation:
    station: BlankStation
    fields: tuple[Typing, ...]


@dataclass(frozen=True)
class TypingPage:
    vehicle_id: str
    vehicle_name: str
    head: Head
    stations: tuple[TypingStation, ...]
    token: str
    stage: str
    whole: bool
    refused: int
    first: str
    trouble: str
    taken: str
    action: str
    print_href: str
    second_look: str
    room: str = "record"
    doubts: int = 0
    rooms: tuple[Any, ...] = ()


@blueprint.get("/vehicles/<vehicle_id>/paper/in")
def typing(vehicle_id: str) -> str | Answer:
    """Every reading of the walk with a field; nothing is typed in for a closed stage."""
    round_ = walking(vehicle_id, request.args)
    if round_.stage in stage_log.closed(round_.vehicle):
        return redirect(measure_data.stage_closed(round_), code=303)
    return render_template("paper_in.html", page=typing_page(round_, {}, {}, taken=request.args.get("taken", "")))


@blueprint.post("/vehicles/<vehicle_id>/paper/in")
def take(vehicle_id: str) -> Answer | tuple[str, int]:
    """Takes everything typed, or nothing: what cannot be read comes back as it was typed."""
    round_ = walking(vehicle_id, request.form)
    sent = {key: text[:200] for key, text in request.form.items()}
    token = sent.get("token", "")
    token = token if token.isalnum() and len(token) == 16 else secrets.token_hex(8)
    raw: list[dict[str, Any]] = []
    refused: dict[str, NotAReading] = {}
    for line in lines_asked(round_, "whole" in sent):
        text = sent.get(f"text.{line.step.key}", "").strip()
        if not text:
            continue
        try:
            raw.append(entry_of(round_, line, text, sent, token))
        except NotAReading as trouble:
            refused[line.step.key] = trouble
    if refused or not raw:
        trouble = "" if refused else measure_words.NOTHING_ON_PAPER
        return render_template("paper_in.html", page=typing_page(round_, sent, refused, trouble=trouble)), 422
    known = {entry.id for entry in round_.vehicle.entries}
    fresh = [entry for entry in raw if entry["id"] not in known]
    try:
        plumbtack().store.add_entries(vehicle_id, check_entries(fresh, round_.vehicle, known, "the paper"))
    except BadFile as trouble:
        return render_template("paper_in.html", page=typing_page(round_, sent, {}, trouble=str(trouble))), 422
    whole = "&whole" if "whole" in sent else ""
    return redirect(f"{room_address(vehicle_id, 'paper')}/in?taken={len(fresh)}{whole}", code=303)


def lines_asked(round_: Walking, whole: bool) -> list[BlankLine]:
    return [line for one in blank_walk(round_.vehicle, round_.walk, whole) for line in one.lines]


def entry_of(round_: Walking, line: BlankLine, text: str, sent: Mapping[str, str], token: str) -> dict[str, Any]:
    """The entry of one line. Raises NotAReading with what is to be said beside it."""
    kind, key = line.name.kind, line.step.key
    typed = parse(text, unit_of(line, round_.vehicle.display_unit), kind.unit)
    value = signed(line, typed, sent.get(f"side.{key}", ""))
    if not kind.low <= value <= kind.high and sent.get(f"kept.{key}") != text:
        low, high = (say(end, kind.unit, round_.vehicle.display_unit) for end in (kind.low, kind.high))
        raise OutOfRange(measure_words.look_at_the_paper(low, high))
    said = typed.text if value >= 0 or typed.value < 0 else f"-{typed.text}"
    return {
        "id": f"paper-{token}-{line.number}-{fingerprint(said, typed.unit)}", "at": moment_now(),
        "stage": round_.stage, "type": "reading", "reading": line.name.text, "value": value, "text": said,
        "unit": typed.unit,
    }


def fingerprint(text: str, unit: str) -> str:
    """The same for the same text, so that the same page sent twice makes each reading once."""
    return hashlib.sha256(f"{text} {unit}".encode()).hexdigest()[:8]


def signed(line: BlankLine, typed: Entry, side: str) -> float:
    """The value with the side it lies on. Raises NotAReading where that is not said."""
    kind = line.name.kind
    if not kind.signed or typed.value <= 0 or typed.text.lstrip().startswith(("-", "+", "−")):
        return typed.value
    if side not in SIDES:
        raise NotAReading(measure_words.SAY_WHICH_SIDE)
    return typed.value * SIDES[side]


def unit_of(line: BlankLine, unit: str) -> str:
    return {"mm": unit, "kg": "lb" if unit == "in" else "kg"}.get(line.unit, "deg")


def typing_page(round_: Walking, sent: Mapping[str, str], refused: Mapping[str, NotAReading], trouble: str = "",
                taken: str = "") -> TypingPage:
    """The numbered fields, empty or as they were typed."""
    vehicle, vehicle_id = round_.vehicle, round_.vehicle_id
    whole = "whole" in (sent or request.args)
    here = room_address(vehicle_id, "paper")
    stations = tuple(
        TypingStation(one, tuple(field_of(round_, line, sent, refused.get(line.step.key)) for line in one.lines))
        for one in blank_walk(vehicle, round_.walk, whole))
    fields = [one for station in stations for one in station.fields]
    first = next((f"text.{one.line.step.key}" for one in fields if one.refused), "")
    under = f"{vehicle.name}, {words.stage(round_.stage)}"
    head = Head(measure_words.PAPER_TITLE, under, here, measure_words.TO_THE_PAPER)
    return TypingPage(
        vehicle_id, vehicle.name, head, stations, sent.get("token") or secrets.token_hex(8), round_.stage, whole,
        len(refused), first,         trouble, taken if taken.isdecimal() and len(taken) < 6 else "", f"{here}/in",
        here + ("?whole" if whole else ""), room_address(vehicle_id, "second-look"))


def field_of(round_: Walking, line: BlankLine, sent: Mapping[str, str], refused: NotAReading | None) -> Typing:
    """One field; which side a reading lies on is chosen already where its name says so."""
    key, unit = line.step.key, round_.vehicle.display_unit
    takes = round_.takes_of(line.step.reading)
    read = say(takes[-1].value, line.unit, unit) if len(takes) >= line.step.take else ""
    usual = line.name.kind.side(line.name.subject, line.name.setting)
    side = sent.get(f"side.{key}", {1: "+", -1: "-"}.get(usual, ""))
    text = sent.get(f"text.{key}", "")
    kept = text.strip() if isinstance(refused, OutOfRange) else ""
    unit = unit_of(line, unit)
    return Typing(line, UNIT_WORDS.get(unit, unit), read, text, side, str(refused or ""), kept)
