"""The record: stages side by side, lengths, every take with the words typed, the facts, and the file to take away."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType
from urllib.parse import urlencode

from flask import Blueprint, Response, render_template, request
from geometry.layouts import LAYOUTS
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture import cautions, stage_log
from capture.doubt_words import part_title
from capture.entry import NotAReading
from capture.kept_parts import stands
from capture.report import Report
from capture.screens import decided, facts_words, record_words, words
from capture.screens.compared import Compared, compare_address, compared
from capture.screens.facts_fields import UNSPRUNG
from capture.screens.facts_values import read_in, shown, value_of
from capture.screens.filters import bare, spread
from capture.screens.readings_said import short_words
from capture.screens.record_takes import Leaf, NotTaken, carried_over, leaf_of, withdrawals
from capture.screens.room import RoomPage, plumbtack, report_now, room_address, shared
from capture.vehicle_file import Keep, Note, Reading, VehicleFile, write_vehicle_file

blueprint = Blueprint("record", __name__, template_folder="templates")

LONGEST_REASON = 400
NOTHING_ASKED: Mapping[str, str] = MappingProxyType({})
MOST_STAGES = 3
"""Stages that stand side by side: the latest ones."""


@dataclass(frozen=True)
class Length:
    words: str
    value: Markup
    spread: Markup
    mm: str
    guessed: bool
    doubted: bool = False


@dataclass(frozen=True)
class Fact:
    """One field of what figures are counted with. reads: a bare number's unit, where it is read as a reading is."""

    key: str
    words: str
    about: str
    typed: str
    choices: tuple[tuple[str, str], ...] = ()
    refused: str = ""
    reads: str = ""


@dataclass(frozen=True)
class NoteSaid:
    words: str
    at: str


@dataclass(frozen=True, kw_only=True)
class RecordPage(RoomPage):
    said: str
    stage: str
    stages: tuple[str, ...]
    compared: tuple[Compared, ...]
    compare: str
    closed: str
    lengths: tuple[Length, ...]
    leaf: Leaf
    notes: tuple[NoteSaid, ...]
    facts: tuple[Fact, ...]
    walk: str


@dataclass(frozen=True)
class Refused(NotTaken):
    """A form that was not taken: a withdrawal, or the facts as they were typed."""

    facts: tuple[Fact, ...] = ()


@blueprint.get("/vehicles/<vehicle_id>/record")
def page(vehicle_id: str) -> str:
    return render_template("record.html", page=record(vehicle_id, request.args))


def fragment(vehicle_id: str, asked: Mapping[str, str]) -> str:
    """The room alone, for a page that follows the phone."""
    return render_template("_record.html", page=record(vehicle_id, asked))


def record(vehicle_id: str, asked: Mapping[str, str] = NOTHING_ASKED, refused: Refused | None = None) -> RecordPage:
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    measured = stage_log.measured(vehicle)
    return RecordPage(
        **shared(vehicle_id, "record", report, version, "Record"),
        said="",
        stage=stage_log.said(vehicle, report.stage),
        stages=tuple(stage_log.said(vehicle, stage) for stage in measured[-MOST_STAGES:]),
        compared=tuple(compared(vehicle_id, measured[-MOST_STAGES:])) if len(measured) > 1 else (),
        compare=compare_address(vehicle_id, *measured[-2:]) if len(measured) > 1 else "",
        closed=stage_log.closed_sentence(vehicle, report.stage),
        lengths=tuple(lengths_of(report)),
        leaf=leaf_of(vehicle_id, vehicle, asked, refused or Refused(), carried_over(report)),
        query=tuple((key, asked[key]) for key in ("take", "from") if key in asked),
        notes=tuple(notes_of(vehicle)),
        facts=(refused and refused.facts) or facts_of(vehicle),
        walk=room_address(vehicle_id, "walk"),
    )


def lengths_of(report: Report) -> Iterator[Length]:
    """Every link from joint centre to joint centre, with its spread."""
    unit = report.vehicle.display_unit
    for link in LAYOUTS[report.vehicle.layout].links:
        figure = report.sheet.figures.get(f"link_length.{link.name}")
        if figure is None or figure.value is None or figure.sd is None:
            yield Length(link.words, Markup(), Markup(), "", True)
            continue
        yield Length(link.words, bare(figure.value, "mm", unit), spread(figure.sd, "mm", unit),
                     f"{figure.value:.0f}", figure.leans, figure.key in report.doubted)


def notes_of(vehicle: VehicleFile) -> Iterator[NoteSaid]:
    """The person's notes, and what he kept of doubts about stated parts."""
    gone = withdrawals(vehicle)
    for entry in vehicle.entries:
        if isinstance(entry, Note):
            about = short_words(vehicle, entry.reading) if entry.reading else ""
            if entry.note == cautions.SEEN:
                about = stage_log.said(vehicle, entry.stage)
            yield NoteSaid(f"{words.sentence_start(about)}: {entry.note}" if about else entry.note, entry.at)
        elif isinstance(entry, Keep) and entry.facts and entry.id not in gone:
            how = "kept as stated" if stands(entry, vehicle.facts) else record_words.KEPT_UNTIL
            yield NoteSaid(f"{part_title(entry.doubt, entry.facts, vehicle.layout)}: {how}, “{entry.note}”", entry.at)


# ---- withdrawing ----


@blueprint.post("/vehicles/<vehicle_id>/withdraw")
def withdraw(vehicle_id: str) -> Answer | tuple[str, int]:
    """Takes a reading back by another entry; without a reason it is asked for."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    of, reason = request.form.get("of", ""), request.form.get("note", "").strip()
    known = next((entry for entry in vehicle.entries if isinstance(entry, Reading) and entry.id == of), None)
    if known is None and not decided.held_by_a_phone():
        return render_template("trouble.html", page=words.Trouble(
            record_words.NOT_IN_THE_RECORD, record_words.CHOOSE_IT_THERE,
            room_address(vehicle_id, "record"), "To the record")), 404

    def make() -> decided.Bodies:
        if known is None:
            raise decided.NotTaken(record_words.NOT_IN_THE_RECORD)
        if sentence := reason_trouble(reason):
            raise decided.NotTaken(sentence)
        if of in withdrawals(vehicle):
            return []
        return [decided.made("withdraw", stage=known.stage, of=of, note=reason)]

    def again(sentence: str) -> tuple[str, int]:
        refused = Refused(of, reason[:LONGEST_REASON], sentence)
        return render_template("record.html", page=record(vehicle_id, refused=refused)), 422

    back = "second-look" if request.form.get("back") == "second-look" else "record"
    at = "" if back == "second-look" else f"?{urlencode({'take': of})}#take-{of}"
    return decided.take(vehicle_id, vehicle, make, room_address(vehicle_id, back) + at, again)


def reason_trouble(reason: str) -> str:
    if not reason:
        return record_words.SAY_WHY
    if len(reason) > LONGEST_REASON:
        return record_words.reason_too_long(len(reason), LONGEST_REASON)
    return ""


def now() -> str:
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


# ---- facts ----

SHARES = ("brake_share_front", "drive_share_front")
TAPES = (("I", "class I, the finest"), ("II", "class II, the usual"), ("III", "class III, a worn one"))


def facts_of(
    vehicle: VehicleFile, typed: dict[str, str] | None = None, refused: dict[str, str] | None = None
) -> tuple[Fact, ...]:
    """The fields of the form, as stored or as typed."""
    facts = vehicle.facts
    stored = {key: percent(getattr(facts, key)) for key in SHARES}
    stored["unsprung_mass"] = shown_mass(vehicle)
    stored["tape_class"] = facts.tape_class
    typed, refused = stored | (typed or {}), refused or {}
    reads = {UNSPRUNG.key: read_in(UNSPRUNG, vehicle.display_unit)}
    return tuple(Fact(key, said_as, about, typed.get(key, ""), choices, refused.get(key, ""), reads.get(key, ""))
                 for key, said_as, about, choices in (
        ("brake_share_front", facts_words.SHARE_OF_BRAKING, words.ABOUT_BRAKES, ()),
        ("drive_share_front", facts_words.SHARE_OF_DRIVING, words.ABOUT_DRIVE, ()),
        (UNSPRUNG.key, UNSPRUNG.words, UNSPRUNG.about, ()),
        ("tape_class", "Your tape", words.ABOUT_TAPE, TAPES),
    ))


def percent(share: float | None) -> str:
    return "" if share is None else f"{100 * share:.4g}"


@blueprint.post("/vehicles/<vehicle_id>/facts")
def facts(vehicle_id: str) -> Answer | tuple[str, int]:
    """Keeps what figures are counted with; a field that cannot be read comes back as it was typed."""
    vehicle = plumbtack().store.head(vehicle_id)
    fields = (*SHARES, "unsprung_mass", "tape_class")
    sent = [key for key in fields if key in request.form or not decided.held_by_a_phone()]
    typed = {key: request.form.get(key, "")[:40] for key in sent}
    changed, refused = read_facts(typed, vehicle)
    if refused and decided.held_by_a_phone():
        return decided.not_taken(*dict.fromkeys(refused.values()))
    if refused:
        form = facts_of(vehicle, typed, refused)
        return render_template("record.html", page=record(vehicle_id, refused=Refused(facts=form))), 422
    merged = {**vehicle.facts.model_dump(exclude_unset=True), **changed}
    kept = {key: value for key, value in merged.items() if value is not None}
    return decided.change_facts(vehicle_id, kept, f"{room_address(vehicle_id, 'record')}#facts")


def read_facts(
    typed: dict[str, str], vehicle: VehicleFile
) -> tuple[dict[str, float | str | None], dict[str, str]]:
    """Facts as the file keeps them, and a sentence for each field that cannot be read. What was not sent stays."""
    changed: dict[str, float | str | None] = {}
    refused: dict[str, str] = {}
    for key in (share for share in SHARES if share in typed):
        text = typed[key].strip().removesuffix("%").strip().replace(",", ".")
        if not text:
            changed[key] = None
        elif re.fullmatch(r"\d{1,3}(\.\d{1,4})?", text) and float(text) <= 100:
            changed[key] = float(text) / 100
        else:
            refused[key] = facts_words.SUCH_AS_A_SHARE
    try:
        if "unsprung_mass" in typed and typed["unsprung_mass"].strip() != shown_mass(vehicle):
            changed["unsprung_mass"] = value_of(UNSPRUNG, typed["unsprung_mass"].strip(), vehicle.display_unit)
    except NotAReading as trouble:
        refused["unsprung_mass"] = str(trouble)
    if typed.get("tape_class") in dict(TAPES):
        changed["tape_class"] = typed["tape_class"]
    elif "tape_class" in typed:
        refused["tape_class"] = record_words.CHOOSE_THE_CLASS
    return changed, refused


def shown_mass(vehicle: VehicleFile) -> str:
    """As every room shows and reads it: bare, it is in the weight that goes with the tape."""
    return shown(UNSPRUNG, vehicle.facts.unsprung_mass, vehicle.display_unit)


# ---- taking it away ----


@blueprint.get("/vehicles/<vehicle_id>/record/file")
def download(vehicle_id: str) -> Response:
    """The vehicle file under the vehicle's own name."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    answer = Response(write_vehicle_file(vehicle), content_type="application/json; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="{file_name(vehicle.name)}"'
    return answer


def file_name(name: str) -> str:
    """"Orchard truck" -> "orchard-truck.json": plain letters only, whatever the name holds."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60].strip("-")
    return f"{slug or 'vehicle'}.json"
