"""Two stages of a vehicle compared: what moved and how sure that is, drawn larger, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from flask import Blueprint, render_template, request
from geometry.bring_back import Way
from geometry.compare import NOT_READ, NOT_SEEN, SURE, WITHIN
from geometry.figures import catalogue
from geometry.points import point_named
from markupsafe import Markup

from capture import advice_words, compare_words, stage_log, stages
from capture.compare_report import Compared
from capture.drawings.changed import Move, changed, factor
from capture.drawings.shape import view_names
from capture.drawings.vehicle import Vehicle
from capture.lengths import MINUS, say_length
from capture.log import NoReadings
from capture.proving import proving
from capture.screens import pictures, words
from capture.screens.compared import compare_address, stages_compared
from capture.screens.filters import bare, spread
from capture.screens.room import RoomPage, report_now, room_address, shared
from capture.screens.stage_words import shown_said

blueprint = Blueprint("compare", __name__, template_folder="templates")

VIEWS = ("side", "top", "front")
AXES = ("ahead", "left", "up")
HEADLINES = 3
"""Figures said in the opening; the table has all of them."""


@dataclass(frozen=True)
class FigureRow:
    """A figure at both stages, the change and its give or take."""

    words: str
    before: Markup
    after: Markup
    change: Markup
    spread: Markup
    sure: bool


@dataclass(frozen=True)
class PointRow:
    """A bolt that was read again: its change ahead, to the left and up, each with its give or take."""

    words: str
    parts: tuple[tuple[str, Markup, Markup], ...]
    sure: bool


@dataclass(frozen=True)
class DeedShown:
    """One thing to do; href: where a link's length is set."""

    words: str
    href: str


@dataclass(frozen=True)
class WayShown:
    title: str
    deeds: tuple[DeedShown, ...]
    how: str
    results: tuple[str, ...]


@dataclass(frozen=True)
class Choice:
    """A stage to compare from or to."""

    key: str
    words: str
    chosen_from: bool
    chosen_to: bool


@dataclass(frozen=True)
class Found:
    """A comparison as the page shows it. times: how many times larger moves are drawn."""

    before: str
    after: str
    summary: tuple[str, ...]
    drawing: Markup
    views: tuple[tuple[str, str, bool], ...]
    times: int
    opening: str
    no_way: str
    ways: tuple[WayShown, ...]
    small: tuple[str, ...]
    small_title: str
    figures: tuple[FigureRow, ...]
    points: tuple[PointRow, ...]
    untold: tuple[str, ...]
    walk: str
    walk_href: str


@dataclass(frozen=True, kw_only=True)
class ComparePage(RoomPage):
    choices: tuple[Choice, ...]
    found: Found | None
    refused: str
    stage_href: str


@blueprint.get("/vehicles/<vehicle_id>/compare")
def page(vehicle_id: str) -> str | tuple[str, int]:
    made = compare_page(vehicle_id, request.args)
    html = render_template("compare.html", page=made)
    return (html, 422) if made.refused else html


def fragment(vehicle_id: str, asked: Mapping[str, str]) -> str:
    """The page alone, for one that follows the phone."""
    return render_template("_compare.html", page=compare_page(vehicle_id, asked))


def compare_page(vehicle_id: str, asked: Mapping[str, str]) -> ComparePage:
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    measured = stage_log.measured(vehicle)
    pair = chosen(measured, asked)
    found, refused = None, ""
    if pair:
        try:
            found = shown(vehicle_id, stages_compared(vehicle_id, *pair), asked.get("view", ""))
        except NoReadings as trouble:
            refused = words.sentence_start(str(trouble))
    fields = shared(vehicle_id, "record", report, version, "Compare")
    under = f"{vehicle.name}, {found.before} to {found.after}" if found else vehicle.name
    fields["head"] = replace(fields["head"], under=under, back=room_address(vehicle_id, "record"),
                             back_words=words.TO_THE_RECORD)
    query = tuple((key, asked[key]) for key in ("from", "to", "view") if key in asked)
    return ComparePage(
        **fields | {"room": "compare", "query": query},
        choices=tuple(Choice(stage, words.sentence_start(stage_log.said(vehicle, stage)),
                             bool(pair) and stage == pair[0], bool(pair) and stage == pair[1]) for stage in measured),
        found=found,
        refused=refused,
        stage_href=room_address(vehicle_id, "stage"),
    )


def chosen(measured: tuple[str, ...], asked: Mapping[str, str]) -> tuple[str, str] | None:
    """The two stages asked for, as typed; without any the last two; None where there are not two."""
    if not asked.get("from") and not asked.get("to"):
        return (measured[-2], measured[-1]) if len(measured) > 1 else None
    after = stages.typed(asked.get("to", "")) or (measured[-1] if measured else stages.FIRST_STAGE)
    before = stages.typed(asked.get("from", "")) or (measured[-2] if len(measured) > 1 else stages.FIRST_STAGE)
    return before, after


def shown(vehicle_id: str, compared: Compared, view: str) -> Found:
    vehicle, comparison = compared.vehicle, compared.comparison
    before, after = compared.before.stage, compared.after.stage
    was = pictures.vehicle(compared.before)
    moves = moves_of(compared)
    view, times = view if view in VIEWS else best_view(was, moves), factor(was, moves)
    href = compare_address(vehicle_id, before, after)
    walk = proving(vehicle, after)
    advice = compared.advice
    return Found(
        before=stage_log.said(vehicle, before),
        after=stage_log.said(vehicle, after),
        summary=tuple(compare_words.summary(comparison, vehicle, HEADLINES)),
        drawing=changed(was, moves, view, times),
        views=tuple((said, f"{href}&{urlencode({'view': key})}", key == view) for key, said in view_names(was)),
        times=times,
        opening=advice_words.opening(advice, vehicle, before),
        no_way=advice_words.no_way(advice),
        ways=tuple(_way(vehicle_id, compared, way) for way in advice.ways),
        small=tuple(advice_words.small(advice, vehicle)),
        small_title=advice_words.NOT_WORTH,
        figures=tuple(figure_rows(compared)),
        points=tuple(point_rows(compared)),
        untold=tuple(untold(compared)),
        walk=shown_said(walk, vehicle.display_unit) if walk and walk.before == before else "",
        walk_href=f"{room_address(vehicle_id, 'walk')}?stage={after}",
    )


def moves_of(compared: Compared) -> tuple[Move, ...]:
    """The link bolts that were read again and whatever else moved for sure."""
    vehicle = compared.vehicle
    return tuple(
        Move(change.name, change.by, _matrix(change.cov), change.category == SURE)
        for change in compared.comparison.points
        if change.category == SURE or (change.category == WITHIN and point_named(
            change.name, vehicle.layout, vehicle.worked_axle).group == "links"))


def _matrix(cov: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, float, float], ...]:
    return tuple((row[0], row[1], row[2]) for row in cov)


def best_view(was: Vehicle, moves: tuple[Move, ...]) -> str:
    """The view in which the largest sure move shows best."""
    sure = [move.by for move in moves if move.sure]
    if not sure:
        return "side"
    x, y, z = max(sure, key=lambda by: sum(part * part for part in by))
    return "side" if abs(y) < max(abs(x), abs(z)) else "front" if abs(z) > abs(x) else "top"


def _way(vehicle_id: str, compared: Compared, way: Way) -> WayShown:
    vehicle, before = compared.vehicle, compared.before.stage
    return WayShown(
        advice_words.title(way, compared.after.stage),
        tuple(DeedShown(deed.words, _set_address(vehicle_id, compared, deed)) for deed in
              advice_words.deeds(way, vehicle, compared.comparison)),
        advice_words.how(way),
        tuple(advice_words.results(way, vehicle, before)),
    )


def _set_address(vehicle_id: str, compared: Compared, deed: advice_words.Deed) -> str:
    """Where a link is set, with the length wanted filled in."""
    figure = compared.after.sheet.figures.get(f"link_length.{deed.link}")
    if not deed.link or figure is None or figure.value is None:
        return ""
    unit = compared.vehicle.display_unit
    wanted = say_length(figure.value + deed.by, unit).removesuffix(f" {unit}").replace(MINUS, "-")
    return f"{room_address(vehicle_id, 'cut')}/{deed.link}/set?{urlencode({'wanted': wanted})}"


def figure_rows(compared: Compared) -> Iterator[FigureRow]:
    """Every figure both stages know, sure changes first."""
    vehicle = compared.vehicle
    kinds, unit = catalogue(vehicle.layout, vehicle.worked_axle), vehicle.display_unit
    told = [change for change in compared.comparison.figures if change.category != NOT_SEEN]
    for change in sorted(told, key=lambda change: change.category != SURE):
        kind = kinds[change.key]
        yield FigureRow(
            words.sentence_start(kind.title), bare(change.before, change.unit, unit, words.signed(change.key)),
            bare(change.after, change.unit, unit, words.signed(change.key)),
            bare(change.by, change.unit, unit, signed=True), spread(change.sd, change.unit, unit),
            change.category == SURE)


def point_rows(compared: Compared) -> Iterator[PointRow]:
    """Every bolt that was read again, sure moves first."""
    vehicle = compared.vehicle
    told = [change for change in compared.comparison.points if change.category in (SURE, WITHIN)]
    for change in sorted(told, key=lambda change: change.category != SURE):
        said = point_named(change.name, vehicle.layout, vehicle.worked_axle).words
        yield PointRow(
            words.sentence_start(said),
            tuple((axis, bare(by, "mm", vehicle.display_unit, signed=True), spread(sd, "mm", vehicle.display_unit))
                  for axis, by, sd in zip(AXES, change.by, change.sd, strict=True)),
            change.category == SURE)


def untold(compared: Compared) -> Iterator[str]:
    """The points of which nothing can be said, by why."""
    vehicle = compared.vehicle
    for category, why in ((NOT_READ, compare_words.NOT_READ_AGAIN), (NOT_SEEN, compare_words.STILL_ON_A_GUESS)):
        names = [point_named(change.name, vehicle.layout, vehicle.worked_axle).words
                 for change in compared.comparison.points if change.category == category]
        if names:
            yield f"{why}: {'; '.join(names)}."
