"""The vehicle to scale in three views; a tapped point says where it is and which readings fix it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, render_template, request
from markupsafe import Markup

from capture.report import Report
from capture.screens import pictures, words
from capture.screens.filters import bare, said, spread
from capture.screens.progress import progress_cell
from capture.screens.readings_said import file_unit, point_words, short_words, words_at_point
from capture.screens.room import RoomPage, measure_address, report_now, room_address, shared

blueprint = Blueprint("shape", __name__, template_folder="templates")

VIEWS = (("side", "Side"), ("top", "Top"), ("front", "Front"))
DIRECT = ("height", "fore_aft", "lateral")  # the kinds that place a point on their own, one direction each


@dataclass(frozen=True)
class View:
    key: str
    words: str
    href: str


@dataclass(frozen=True)
class Axis:
    words: str
    value: Markup
    spread: Markup


@dataclass(frozen=True)
class FixingReading:
    """One reading that touches the point. off: what all readings together say, less what was read."""

    words: str
    href: str
    read: Markup
    off: Markup
    doubted: bool
    carried: bool


@dataclass(frozen=True)
class Card:
    """What is known of one point. next_href: the reading that would help it most, if one is missing."""

    name: str
    words: str
    trust: str
    axes: tuple[Axis, ...]
    guess: str
    readings: tuple[FixingReading, ...]
    next_href: str
    next_words: str


@dataclass(frozen=True)
class PointRow:
    words: str
    href: str
    trust: str
    values: tuple[tuple[Markup, Markup], ...]


@dataclass(frozen=True, kw_only=True)
class ShapePage(RoomPage):
    view: str
    views: tuple[View, ...]
    drawing: Markup
    board: Markup
    card: Card | None
    table: tuple[PointRow, ...]
    unit_words: str


@blueprint.get("/vehicles/<vehicle_id>/shape")
def page(vehicle_id: str) -> str:
    return render_template("shape.html", page=shape(vehicle_id, request.args))


def fragment(vehicle_id: str, asked: Any) -> str:
    """The room alone, for a page that follows the phone."""
    return render_template("_shape.html", page=shape(vehicle_id, asked))


def shape(vehicle_id: str, asked: Any) -> ShapePage:
    """Views or points that do not exist are taken as not asked for."""
    report, version = report_now(vehicle_id)
    placed = report.fit.placed()
    view = asked.get("view", "") if asked.get("view") in dict(VIEWS) else "side"
    point = asked.get("point", "") if asked.get("point") in placed else ""
    chosen = (("view", view), *((("point", point),) if point else ()))

    def address(name: str) -> str:
        return shape_address(vehicle_id, view, name)

    return ShapePage(
        **shared(vehicle_id, "shape", report, version, "Shape", progress_cell(vehicle_id, report, version)),
        query=chosen,
        view=view,
        views=tuple(View(key, said_as, shape_address(vehicle_id, key, point)) for key, said_as in VIEWS),
        drawing=pictures.shape(report, view, point, address),
        board=pictures.board(report, point, address),
        card=card(vehicle_id, report, point) if point else None,
        table=tuple(rows(report, address)),
        unit_words="inches" if report.vehicle.display_unit == "in" else "mm",
    )


def shape_address(vehicle_id: str, view: str, point: str) -> str:
    query = {"view": view, **({"point": point} if point else {})}
    return f"{room_address(vehicle_id, 'shape')}?{urlencode(query)}{'#point' if point else ''}"


def card(vehicle_id: str, report: Report, name: str) -> Card:
    place = report.fit.placed()[name]
    missing = missing_direct(report, name)
    return Card(
        name=name,
        words=point_words(report.vehicle, name),
        trust=pictures.trust(pictures.vehicle(report), report, name),
        axes=tuple(axes(report, place)),
        guess="" if place.known else guessed_along(place.seen),
        readings=tuple(fixing(vehicle_id, report, name)),
        next_href=measure_address(vehicle_id, missing) if missing else "",
        next_words="Read next: " + short_words(report.vehicle, missing).partition(",")[0] if missing else "",
    )


def guessed_along(seen: frozenset[str]) -> str:
    """Which way a point is guessed, where one view shows nothing guessed of it."""
    return words.GUESSED_ALONG[next(iter(seen))] if len(seen) == 1 else words.GUESSED_POINT


def axes(report: Report, place: Any) -> Iterator[Axis]:
    """Where a point is, in words a person uses at the vehicle."""
    unit = report.vehicle.display_unit
    for value, sd, (forth, back) in zip((place.x, place.y, place.z), place.sd, words.SIDES, strict=True):
        yield Axis(back if value < 0 else forth, bare(abs(value), "mm", unit), spread(sd, "mm", unit))


def fixing(vehicle_id: str, report: Report, name: str) -> Iterator[FixingReading]:
    """The readings in the fit that touch a point, in the order they came."""
    vehicle, fit = report.vehicle, report.fit
    doubted = {key for doubt in report.doubts for key in doubt.readings}
    for at, observation in enumerate(fit.observations):
        if name not in fit.readings[at].touches:
            continue
        unit = file_unit(vehicle, observation.name)
        yield FixingReading(
            words_at_point(vehicle, observation.name, name),
            measure_address(vehicle_id, observation.name),
            said(observation.value, unit, vehicle.display_unit) if unit != "mm" else bare(
                observation.value, unit, vehicle.display_unit),
            bare(float(fit.residual[at]), unit, vehicle.display_unit, signed=True),
            observation.key in doubted,
            observation.carried,
        )


def missing_direct(report: Report, name: str) -> str:
    """The first direct reading of a point that nobody took yet; none for one that is known."""
    if report.fit.placed()[name].known:
        return ""
    taken = {observation.name for observation in report.fit.observations}
    return next((f"{kind}:{name}" for kind in DIRECT if f"{kind}:{name}" not in taken), "")


def rows(report: Report, address: Any) -> Iterator[PointRow]:
    unit, drawn = report.vehicle.display_unit, pictures.vehicle(report)
    for name, place in report.fit.placed().items():
        values = zip((place.x, place.y, place.z), place.sd, strict=True)
        yield PointRow(point_words(report.vehicle, name), address(name), pictures.trust(drawn, report, name),
                       tuple((bare(value, "mm", unit), spread(sd, "mm", unit)) for value, sd in values))
