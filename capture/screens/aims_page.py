"""Aims: what is wanted, where bolts may move for it; and the answer: places, what fights what, how sure it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture import plans
from capture.lengths import say_length
from capture.log_entries import Aims
from capture.report import Report
from capture.screens import aims_form, what_if_rows, words
from capture.screens.aims_answer import AnswerSaid, band_said, said
from capture.screens.aims_form import WAYS
from capture.screens.decided import made, take, withdrawn
from capture.screens.deciding import Choice, DecidingPage, bolts, fields_of, nothing_yet
from capture.screens.filters import said as value_said
from capture.screens.filters import spread
from capture.screens.readings_said import point_words
from capture.screens.room import report_now, room_address
from capture.screens.what_if_words import LEAST, at
from capture.screens.words import listed, sentence_start

blueprint = Blueprint("aims", __name__, template_folder="templates")


@dataclass(frozen=True)
class Aim:
    """One want, room or place to keep out of. drop: the deed that takes it out again."""

    words: str
    said: str
    drop: str


@dataclass(frozen=True)
class Offer:
    """A band of common practice, with its words; taken only when tapped."""

    deed: str
    title: str
    said: str
    now: Markup


@dataclass(frozen=True, kw_only=True)
class AimsPage(DecidingPage):
    wants: tuple[Aim, ...]
    rooms_: tuple[Aim, ...]
    keep_outs: tuple[Aim, ...]
    offers: tuple[Offer, ...]
    figures: tuple[Choice, ...]
    points: tuple[Choice, ...]
    clear: tuple[Choice, ...]
    ways: tuple[str, ...]
    typed: Mapping[str, str]
    refused: str
    refused_deed: str
    answer: AnswerSaid | None
    asks: bool
    answer_at: str
    last: str


@blueprint.get("/vehicles/<vehicle_id>/aims")
def page(vehicle_id: str) -> tuple[str, int]:
    """answer: works the places out before the page is sent, for who has no script."""
    report, version = report_now(vehicle_id)
    if not report.stage_view.takes:
        return nothing_yet(vehicle_id, report, version, "Aims")
    shown = aims_page(vehicle_id, report, version, answered="answer" in request.args)
    return render_template("aims.html", page=shown), 200


@blueprint.get("/vehicles/<vehicle_id>/aims/answer")
def answer(vehicle_id: str) -> str:
    """The answer alone: it can take a second or two, so the page is sent first."""
    report, version = report_now(vehicle_id)
    shown = aims_page(vehicle_id, report, version, answered=bool(report.stage_view.takes))
    return render_template("_aims_answer.html", page=shown)


@blueprint.post("/vehicles/<vehicle_id>/aims")
def change(vehicle_id: str) -> Answer | tuple[str, int]:
    """One deed, one entry of the log; or the last one taken back."""
    report, version = report_now(vehicle_id)
    typed = {key: text[:400] for key, text in request.form.items()}
    deed = typed.get("deed", "")
    onward = room_address(vehicle_id, "aims")
    if deed == "undo":
        return withdrawn(vehicle_id, Aims, onward)

    def again(sentence: str) -> tuple[str, int]:
        shown = aims_page(vehicle_id, report, version, typed, sentence, deed.partition(":")[0])
        return render_template("aims.html", page=shown), 422

    return take(vehicle_id, report.vehicle,
                lambda: [made("aims", stage=report.stage, **aims_form.changed(report, deed, typed))], onward, again)


def aims_page(vehicle_id: str, report: Report, version: int, typed: Mapping[str, str] | None = None, refused: str = "",
              refused_deed: str = "", answered: bool = False) -> AimsPage:
    body, kept = aims_form.body_of(report), plans.aims(report.vehicle)
    kinds, had = report.measured.kinds, what_if_rows.every(report.measured)
    wanted = {want["figure"] for want in body["wants"]}
    address = room_address(vehicle_id, "aims")
    return AimsPage(
        **fields_of(vehicle_id, report, version, "Aims"),
        wants=tuple(wants_of(report, body)),
        rooms_=tuple(rooms_of(report, body)),
        keep_outs=tuple(keep_outs_of(report, body)),
        offers=tuple(offers_of(report, [key for key in had if key not in wanted])),
        figures=tuple(Choice(key, kinds[key].title) for key in had),
        points=tuple(bolts(report)),
        clear=tuple(Choice(name, point_words(report.vehicle, name)) for name in report.fit.points
                    if name.startswith("keep_clear.")),
        ways=tuple(way for pair in zip(*WAYS, strict=True) for way in pair),
        typed=typed or {},
        refused=refused,
        refused_deed=refused_deed,
        answer=said(vehicle_id, report) if answered and kept else None,
        asks=bool(body["wants"] and body["rooms"]),
        answer_at=f"{address}/answer",
        last=kept.id if kept else "",
    )  # fmt: skip


def offers_of(report: Report, keys: Sequence[str]) -> Iterator[Offer]:
    """The bands of common practice that there are for these figures."""
    for key in keys:
        kind = report.measured.kinds[key]
        if kind.band is not None:
            usual = words.band(kind.band, kind.unit, report.vehicle.display_unit)
            yield Offer(f"offer:{key}", kind.title, usual, now_of(report, key))


def now_of(report: Report, key: str) -> Markup:
    figure, kind, unit = report.measured.figures[key], report.measured.kinds[key], report.vehicle.display_unit
    if figure.value is None or figure.sd is None:
        return Markup()
    return value_said(figure.value, kind.unit, unit, words.signed(key)) + " " + spread(figure.sd, kind.unit, unit)


def wants_of(report: Report, body: aims_form.Body) -> Iterator[Aim]:
    for want in body["wants"]:
        kind = report.measured.kinds.get(want["figure"])
        title = kind.title if kind else want["figure"]
        band = band_said(want["low"], want["high"], kind, report.vehicle.display_unit) if kind else ""
        yield Aim(title, band, f"drop_want:{want['figure']}")


def rooms_of(report: Report, body: aims_form.Body) -> Iterator[Aim]:
    """How far each bolt may go from where it is measured."""
    unit, placed = report.vehicle.display_unit, report.fit.placed()
    for room in body["rooms"]:
        point = placed.get(room["point"])
        parts = []
        for axis, here in enumerate((point.x, point.y, point.z) if point else ()):
            for far, way in zip((room["high"][axis] - here, here - room["low"][axis]), WAYS[axis], strict=True):
                if far > LEAST:
                    parts.append(f"{say_length(far, unit)} {way}")
        yield Aim(sentence_start(point_words(report.vehicle, room["point"])), f"up to {listed(parts)}" if parts else "",
                  f"drop_room:{room['point']}")


def keep_outs_of(report: Report, body: aims_form.Body) -> Iterator[Aim]:
    unit = report.vehicle.display_unit
    for keep in body["keep_outs"]:
        pairs = list(zip(keep["low"], keep["high"], strict=True))
        middle, halves = [0.5 * (low + high) for low, high in pairs], [0.5 * (high - low) for low, high in pairs]
        around = f"{say_length(halves[0], unit)} each way around {at(middle, unit)}"
        box = f"from {at(keep['low'], unit)} to {at(keep['high'], unit)}"
        alike = max(halves) - min(halves) < LEAST
        yield Aim(sentence_start(keep["name"]), around if alike else box, f"drop_keep_out:{keep['name']}")
