"""Rows of holes: every combination with its figures, the nearest to what is wanted on top, what cannot be struck."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import Blueprint, render_template, request
from geometry.errors import GeometryError
from geometry.figures import FigureKind
from geometry.holes import CLEAR_MM, Combination, Limits, Want, table
from geometry.layouts import LAYOUTS
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture import plans
from capture.drawings.ghosted import Ring, rings
from capture.drawings.shape import view_names
from capture.entry import NotAReading, parse
from capture.log_entries import Holes
from capture.report import Report, facts_of
from capture.screens import holes_form, holes_words, pictures, what_if_rows, words
from capture.screens.decided import made, take, withdrawn
from capture.screens.deciding import Choice, DecidingPage, bolts, fields_of, nothing_yet
from capture.screens.figure_entry import unit_words, value_of
from capture.screens.filters import bare, spread
from capture.screens.holes_form import DIRECTIONS
from capture.screens.on_paper import OnPaper, Word
from capture.screens.readings_said import point_words
from capture.screens.room import report_now, room_address
from capture.screens.shape import VIEWS, View
from capture.screens.words import sentence_start

blueprint = Blueprint("holes", __name__, template_folder="templates")

MOST_SHOWN = 60
SHOWN = 3
ASKED = ("figure", "near", "turn", "clear", "view")
LEAST = (("bump_steer_75", "Bump steer least"), ("driveshaft_angle_most.axle", "Driveline angle least"),
         ("link_incline.panhard", "Panhard flattest"), ("roll_steer", "Roll steer least"))
"""What people sort by without a number."""


@dataclass(frozen=True)
class HoleRow:
    """A row as kept. short: for the head of the table; ids: of all standing entries of its bolt."""

    ids: tuple[str, ...]
    words: str
    short: str
    said: str


@dataclass(frozen=True)
class Head:
    title: str
    unit: str
    spread: Markup


@dataclass(frozen=True)
class Line:
    """One combination. holes: "2 + 1"; used: as bolted now; reasons: why it cannot be, empty where it can."""

    holes: str
    spoken: str
    href: str
    used: bool
    values: tuple[Markup, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class HolesPage(DecidingPage):
    rows: tuple[HoleRow, ...]
    drawing: Markup
    view: str
    views: tuple[View, ...]
    heads: tuple[Head, ...]
    lines: tuple[Line, ...]
    more: int
    sorted_by: str
    least: tuple[Choice, ...]
    figures: tuple[Choice, ...]
    shown: tuple[Choice, ...]
    asked: dict[str, str]
    near_unit: str
    keep: bool
    refused: str
    points: tuple[Choice, ...]
    directions: tuple[Choice, ...]
    typed: Mapping[str, str]
    row_refused: str

    @property
    def lengths_said(self) -> str:
        return holes_words.LENGTHS_KEPT if self.keep else holes_words.LINKS_FITTED


@blueprint.get("/vehicles/<vehicle_id>/holes")
def page(vehicle_id: str) -> tuple[str, int]:
    report, version = report_now(vehicle_id)
    if not report.stage_view.takes:
        return nothing_yet(vehicle_id, report, version, "Holes")
    shown = holes_page(vehicle_id, report, version)
    return render_template("holes.html", page=shown), 422 if shown.refused else 200


@blueprint.post("/vehicles/<vehicle_id>/holes")
def keep(vehicle_id: str) -> Answer | tuple[str, int]:
    """Keeps a row; one of the same bolt kept before gives way."""
    report, version = report_now(vehicle_id)
    typed = {key: text[:2000] for key, text in request.form.items()}

    def again(sentence: str) -> tuple[str, int]:
        return render_template("holes.html", page=holes_page(vehicle_id, report, version, typed, sentence)), 422

    return take(vehicle_id, report.vehicle,
                lambda: [made("holes", stage=report.stage, **holes_form.row_typed(report, typed))],
                room_address(vehicle_id, "holes"), again)


@blueprint.post("/vehicles/<vehicle_id>/holes/withdraw")
def withdraw(vehicle_id: str) -> Answer:
    """Every standing row of a bolt is withdrawn."""
    return withdrawn(vehicle_id, Holes, room_address(vehicle_id, "holes"))


def holes_page(vehicle_id: str, report: Report, version: int, typed: Mapping[str, str] | None = None,
               row_refused: str = "") -> HolesPage:
    """typed, row_refused: of the form that adds a row."""
    entries = plans.rows_of_holes(report.vehicle)
    asked = {key: request.args.get(key, "")[:100] for key in ASKED}
    kinds = report.measured.kinds
    had = list(what_if_rows.every(report.measured))
    figure = asked["figure"] if asked.get("figure") in had else default_figure(had)
    asked["figure"] = figure
    chosen = [key for key in request.args.getlist("show") if key in had] or first_shown(figure, had)
    keep_lengths, refused, found = request.args.get("keep") == "1", "", ()
    if entries and had:
        try:
            want = Want(figure, value_of(asked["near"], kinds[figure], report.vehicle.display_unit)
                        if asked.get("near", "").strip() else 0.0)
            found = table(report.fit, facts_of(report.vehicle), plans.rows(report.vehicle), want,
                          limits_of(report, asked), keep_lengths)
        except (NotAReading, GeometryError) as trouble:
            refused = sentence_start(str(trouble))
    view = asked.get("view", "") if asked.get("view") in dict(VIEWS) else "side"
    address, was = room_address(vehicle_id, "holes"), pictures.vehicle(report)
    return HolesPage(
        **fields_of(vehicle_id, report, version, "Holes"),
        rows=tuple(HoleRow(ids_of(report, entry.point), sentence_start(point_words(report.vehicle, entry.point)),
                           short_of(report, entry.point), holes_form.said(entry, report.vehicle)) for entry in entries),
        drawing=rings(was, view, dict(rings_of(report, entries))),
        view=view,
        views=tuple(View(key, said, f"{address}?{_again(asked, chosen, keep_lengths, view=key)}")
                    for key, said in view_names(was)),
        heads=tuple(head_of(report, key) for key in chosen),
        lines=tuple(line_of(vehicle_id, report, entries, one, chosen, keep_lengths) for one in found[:MOST_SHOWN]),
        more=max(len(found) - MOST_SHOWN, 0),
        sorted_by=kinds[figure].title if figure else "",
        least=tuple(Choice(key, said, key == figure and not asked.get("near"),
                           f"{address}?{_again({**asked, 'figure': key, 'near': ''}, [], keep_lengths)}")
                    for key, said in LEAST if key in had),
        figures=tuple(Choice(key, kinds[key].title, key == figure) for key in had),
        shown=tuple(Choice(key, kinds[key].title, key in chosen) for key in had),
        asked=asked,
        near_unit=unit_words(kinds[figure], report.vehicle.display_unit) if figure else "",
        keep=keep_lengths,
        refused=refused,
        points=tuple(bolts(report)),
        directions=(*(Choice(key, said) for key, (said, _) in DIRECTIONS.items()), Choice("typed", "another way")),
        typed=typed or {},
        row_refused=row_refused,
    )  # fmt: skip


def _again(asked: Mapping[str, str], chosen: list[str], keep: bool, **changes: str) -> str:
    pairs = [(key, value) for key, value in {**asked, **changes}.items() if value]
    return urlencode([*pairs, *([("keep", "1")] if keep else []), *(("show", key) for key in chosen)])


def default_figure(had: list[str]) -> str:
    """What is sorted by unasked: the first of the usual wishes that can be had."""
    return next((key for key, _ in LEAST if key in had), had[0] if had else "")


def first_shown(figure: str, had: list[str]) -> list[str]:
    return [figure, *(key for key in had if key != figure)][:SHOWN] if figure else []


def limits_of(report: Report, asked: Mapping[str, str]) -> Limits:
    """How far the links can be turned, and the room beside their tubes. Raises NotAReading."""
    unit, lengths = report.vehicle.display_unit, {}
    if asked.get("turn", "").strip():
        turn = float(parse(asked["turn"], unit, "mm").value)
        if turn < 0:
            raise NotAReading(holes_words.TURNED_BY_LESS_THAN_NOTHING)
        for link in LAYOUTS[report.vehicle.layout].links:
            now = report.measured.figures[f"link_length.{link.name}"].value
            if now is not None:
                lengths[link.name] = (now - turn, now + turn)
    clear = float(parse(asked["clear"], unit, "mm").value) if asked.get("clear", "").strip() else CLEAR_MM
    tubes = {name: tube.outside_diameter for name, tube in report.vehicle.facts.tubes.items()}
    return Limits(lengths, tubes, clear)


def short_of(report: Report, point: str) -> str:
    """"Upper link, frame" for the head of a table."""
    return sentence_start(point_words(report.vehicle, point).removesuffix(" bolt"))


def ids_of(report: Report, point: str) -> tuple[str, ...]:
    return tuple(entry.id for entry in plans.standing(report.vehicle, Holes) if entry.point == point)


def rings_of(report: Report, entries: tuple[Holes, ...]) -> Iterator[tuple[str, tuple[Ring, ...]]]:
    """Where each hole is, vehicle frame."""
    placed = report.fit.placed()
    for entry in entries:
        if entry.point in placed:
            at = placed[entry.point]
            yield entry.point, tuple(Ring((at.x + x, at.y + y, at.z + z), number == entry.used)
                                     for number, (x, y, z) in enumerate(entry.places))


def head_of(report: Report, key: str) -> Head:
    kind, figure = report.measured.kinds[key], report.measured.figures[key]
    unit = report.vehicle.display_unit
    said = unit_words(kind, unit) if kind.unit in ("mm", "deg/deg") else ""
    return Head(kind.title, said, spread(figure.sd, kind.unit, unit) if figure.sd is not None else Markup())


def line_of(vehicle_id: str, report: Report, entries: tuple[Holes, ...], one: Combination, chosen: list[str],
            keep: bool) -> Line:
    names = [f"{short_of(report, entry.point)}, hole {at + 1}" for entry, at in zip(entries, one.holes, strict=True)]
    moves = tuple(Word("by", move.point, (move.x, move.y, move.z)) for move in one.moves if move.x or move.y or move.z)
    state = OnPaper(moves=moves, keep=keep, point=entries[0].point, name="; ".join(names)[:200])
    return Line(
        " + ".join(str(at + 1) for at in one.holes), "; ".join(names),
        f"{room_address(vehicle_id, 'what-if')}?{state.query()}",
        not moves,
        tuple(_value(report, report.measured.kinds[key], one.figures[key]) for key in chosen),
        one.crossed_out,
    )  # fmt: skip


def _value(report: Report, kind: FigureKind, value: float | None) -> Markup:
    if value is None:
        return Markup('<span aria-hidden="true">–</span><span class="sr">none</span>')
    return bare(value, kind.unit, report.vehicle.display_unit, words.signed(kind.key))

