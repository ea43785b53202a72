"""Settling one doubt: read it again blind, correct it, keep it with a reason, or set it aside.

Every way is one or two entries more in the log; nothing is changed and nothing vanishes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, redirect, render_template, request
from geometry.doubt import Doubt
from geometry.readings import parse_name
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture import stage_log
from capture.doubt_place import takes_of
from capture.entry import LONGEST, Entry, NotAReading, parse
from capture.kept_parts import as_stated
from capture.lengths import MINUS, say
from capture.log import Take
from capture.report import Report
from capture.screens import decided, settle_words, words
from capture.screens.doubt_items import DoubtItem, doubt_item, name_of
from capture.screens.filters import said
from capture.screens.readings_said import file_unit, short_words
from capture.screens.record import LONGEST_REASON, reason_trouble
from capture.screens.room import Head, plumbtack, report_now, room_address
from capture.screens.settled_items import CORRECTED
from capture.stages import place
from capture.vehicle_file import LARGEST_VALUE, Keep, SetAside, VehicleFile, Withdraw

blueprint = Blueprint("settle", __name__, template_folder="templates")

REASONS = ("I read it twice", "This vehicle is so", "The others are off", "Near enough here")
REASONS_FOR_PARTS = ("I have looked, it is so", "Measured with a caliper", "It goes together in the hand")
MOST_CORRECTED = 6
"""Readings of one doubt that are offered for correcting one by one; beyond that they share one mistake."""


@dataclass(frozen=True)
class TakeToSettle:
    """One take of the doubt: what was read, and the value that would fit, ready to be changed."""

    id: str
    words: str
    read: Markup
    text: str
    unit: str
    refused: str = ""


@dataclass(frozen=True)
class SettlePage:
    """What the template receives. refused: why the reason for keeping was not taken; typed: that reason."""

    vehicle_id: str
    vehicle_name: str
    head: Head
    item: DoubtItem
    takes: tuple[TakeToSettle, ...]
    several: int
    reasons: tuple[str, ...]
    chosen: str
    typed: str
    refused: str
    closed: str = ""
    keepable: bool = True


@dataclass(frozen=True)
class Sent:
    """A form that came back. take: whose value was not taken; text: as typed; chosen, note: the reason; why: not."""

    take: str = ""
    text: str = ""
    chosen: str = ""
    note: str = ""
    why: str = ""


@blueprint.get("/vehicles/<vehicle_id>/settle")
def page(vehicle_id: str) -> str | Answer:
    report, _ = report_now(vehicle_id)
    doubt = doubt_naming(report, request.args.get("take", ""))
    if doubt is None:
        return redirect(room_address(vehicle_id, "second-look"), code=303)
    return render_template("settle.html", page=settle_page(vehicle_id, report, doubt, Sent()))


def doubt_naming(report: Report, take_id: str) -> Doubt | None:
    """The open doubt of this name, or that names this take; None when there is none any more."""
    return next((doubt for doubt in report.doubts
                 if take_id in (name_of(report, doubt), *(take.id for take in takes_of(report, doubt)))), None)


def settle_page(vehicle_id: str, report: Report, doubt: Doubt, sent: Sent) -> SettlePage:
    vehicle, takes = report.vehicle, takes_of(report, doubt)
    shut = {take.stage for take in takes} & stage_log.closed(vehicle)
    correctable = takes if doubt.shared is None and len(takes) <= MOST_CORRECTED and not shut else ()
    under = f"{vehicle.name}, {stage_log.said(vehicle, report.stage)}"
    return SettlePage(
        vehicle_id=vehicle_id,
        vehicle_name=vehicle.name,
        head=Head("Settle a doubt", under, room_address(vehicle_id, "second-look"), words.TO_SECOND_LOOK),
        item=doubt_item(vehicle_id, report, doubt),
        takes=tuple(to_settle(report, doubt, take, sent) for take in correctable),
        several=len(takes),
        reasons=REASONS_FOR_PARTS if doubt.stated else REASONS,
        chosen=sent.chosen,
        typed=sent.note,
        refused="" if sent.take else sent.why,
        closed=stage_log.closed_sentence(vehicle, min(shut, key=place)) if shut else "",
        keepable=bool(doubt.stated) or report.stage not in stage_log.closed(vehicle),
    )


def to_settle(report: Report, doubt: Doubt, take: Take, sent: Sent) -> TakeToSettle:
    vehicle = report.vehicle
    unit = file_unit(vehicle, take.name)
    suspect = next((one for one in doubt.suspects if one.key == take.key), None)
    fits = suspect.likely[0].value if suspect and suspect.likely else None
    mine = sent.take == take.id
    return TakeToSettle(
        id=take.id,
        words=short_words(vehicle, take.name),
        read=said(take.value, unit, vehicle.display_unit),
        text=sent.text if mine else "" if fits is None else typed_as(fits, unit, vehicle.display_unit),
        unit=unit_typed(unit, vehicle.display_unit),
        refused=sent.why if mine else "",
    )


def unit_typed(unit: str, display_unit: str) -> str:
    """The unit a value is typed in on this page."""
    inches = display_unit == "in"
    return {"mm": "in" if inches else "mm", "kg": "lb" if inches else "kg"}.get(unit, unit)


def typed_as(value: float, unit: str, display_unit: str) -> str:
    """A value as a person would type it: "24 1/8", "-3.5"."""
    text = say(value, unit, display_unit).replace(MINUS, "-")
    for ending in (" in", " mm", "°", " kg", " lb"):
        text = text.removesuffix(ending)
    return text


# ---- the four ways ----


@blueprint.post("/vehicles/<vehicle_id>/settle")
def settle(vehicle_id: str) -> Answer | tuple[str, int]:
    """Takes one of the ways; a value or reason that cannot be taken comes back as it was typed."""
    onward = f"{room_address(vehicle_id, 'second-look')}?settled={decided.form_id()}"
    if decided.taken_before(vehicle_id):
        return decided.gone_on(onward, [decided.form_id()])
    report, _ = report_now(vehicle_id)
    take_id, deed = request.form.get("take", ""), request.form.get("deed", "")
    doubt = doubt_naming(report, take_id)
    if doubt is None and decided.held_by_a_phone():
        return decided.not_taken(settle_words.GONE)
    if doubt is None:
        return render_template("trouble.html", page=words.Trouble(
            settle_words.GONE_TITLE, settle_words.GONE,
            room_address(vehicle_id, "second-look"), "To second look")), 404
    bodies, sent = entries_of(deed, report, doubt)
    if sent is not None and decided.held_by_a_phone():
        return decided.not_taken(sent.why)
    if sent is not None:
        return render_template("settle.html", page=settle_page(vehicle_id, report, doubt, sent)), 422
    return decided.gone_on(onward, decided.store(vehicle_id, report.vehicle, bodies))


def entries_of(deed: str, report: Report, doubt: Doubt) -> tuple[decided.Bodies, Sent | None]:
    """The entries a form asks for, one of them under the form's own id; or the form as it goes back."""
    chosen = next((one for one in REASONS + REASONS_FOR_PARTS if one == request.form.get("reason")), "")
    note = request.form.get("note", "").strip()
    reason = ". ".join(part for part in (chosen, note) if part)
    if deed == "correct" and not doubt.stated:
        return correct(report, doubt, request.form.get("of", ""), request.form.get("text", "")[: LONGEST + 1])
    if deed == "aside" and not doubt.stated:
        return set_aside(report, doubt, request.form.get("of", "")), None
    if why := reason_trouble(reason):
        return [], Sent(chosen=chosen, note=note[:LONGEST_REASON], why=why)
    return [keep(report, doubt, reason)], None


def keep(report: Report, doubt: Doubt, reason: str) -> dict[str, Any]:
    """All readings of the doubt stand as they were read; or its parts as they are stated, at every stage."""
    said = {"doubt": doubt.reason, "beyond": min(abs(doubt.w), LARGEST_VALUE), "note": reason}
    if doubt.stated:
        parts = as_stated(report.vehicle.facts, doubt.stated)
        return decided.made("keep", facts=parts, **said)
    return decided.made("keep", stage=report.stage, of=[take.id for take in takes_of(report, doubt)], **said)


def correct(report: Report, doubt: Doubt, of: str, text: str) -> tuple[decided.Bodies, Sent | None]:
    """One take withdrawn and a new one in its place, both in one go."""
    take = next((take for take in takes_of(report, doubt) if take.id == of), None)
    if take is None:
        return [], Sent(why=settle_words.CHOOSE_THE_READING)
    try:
        value, typed = read_value(report.vehicle, take, text)
    except NotAReading as trouble:
        return [], Sent(take=of, text=text, why=str(trouble))
    old, text = take.entry, typed.text.strip()
    said_first = f"{old.text or old.value} {old.unit}".strip()
    body = old.model_dump(exclude_unset=True) | decided.made(
        "reading", value=value, text=text, unit=typed.unit, note=f"{CORRECTED}, first read as {said_first}")
    body.pop("kept", None)
    gone = decided.made("withdraw", id=decided.further_id(old.id), stage=old.stage, of=old.id,
                        note=f"{CORRECTED} to {text} {typed.unit}")
    return [gone, body], None


def read_value(vehicle: VehicleFile, take: Take, text: str) -> tuple[float, Entry]:
    """What was typed in the take's place. Raises NotAReading, for a value this kind of reading cannot have too.

    A value without its own sign lies on the side the first one lay on.
    """
    kind = parse_name(take.name, vehicle.layout, vehicle.worked_axle).kind
    bare = text.strip()
    same_side = kind.signed and take.value < 0 and bare[:1].isdigit()
    typed = parse(f"-{bare}" if same_side else bare, unit_typed(kind.unit, vehicle.display_unit), kind.unit)
    if not kind.low <= typed.value <= kind.high:
        low, high = (say(end, kind.unit, vehicle.display_unit) for end in (kind.low, kind.high))
        raise NotAReading(settle_words.look_once_more(low, high))
    if typed.value == take.value:
        raise NotAReading(settle_words.THAT_STANDS_ALREADY)
    return typed.value, typed


def set_aside(report: Report, doubt: Doubt, of: str) -> decided.Bodies:
    """One take, or all of the doubt's when none is named, left out of the fit; they stay in the log."""
    takes = takes_of(report, doubt)
    chosen = [take for take in takes if take.id == of] or list(takes)
    note = f"in doubt: {request.form.get('note', '').strip()[:LONGEST_REASON]}".removesuffix(": ")
    bodies = [decided.made("set_aside", id=decided.further_id(take.id), stage=take.stage, of=take.id, note=note)
              for take in chosen]
    bodies[-1]["id"] = decided.form_id()
    return bodies


@blueprint.post("/vehicles/<vehicle_id>/settle/back")
def back(vehicle_id: str) -> Answer:
    """Takes a settling back: the doubt is open again, or the reading set aside counts again."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    wanted = set(request.form.getlist("of"))
    gone = {entry.of for entry in vehicle.entries if isinstance(entry, Withdraw)}
    found = [entry for entry in vehicle.entries
             if isinstance(entry, Keep | SetAside) and entry.id in wanted and entry.id not in gone]
    ids = {decided.further_id(of) for of in wanted}
    bodies = [decided.made("withdraw", id=decided.further_id(entry.id), stage=entry.stage, of=entry.id,
                           note="settling taken back") for entry in found]
    decided.store(vehicle_id, vehicle, bodies)
    there = {entry.id for entry in vehicle.entries} & ids
    return decided.gone_on(room_address(vehicle_id, "second-look"), [*there, *(body["id"] for body in bodies)])
