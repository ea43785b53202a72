"""Doubts worst first, what is unchecked, and whether anything stands in the way of cutting."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, render_template
from markupsafe import Markup

from capture.report import Report
from capture.screens.record import Take
from capture.screens.room import RoomPage, report_now, room_address, shared

blueprint = Blueprint("second_look", __name__, template_folder="templates")


@dataclass(frozen=True)
class DoubtItem:
    """One doubt. facts: what was read and what the rest says; takes: what could be withdrawn."""

    title: str
    facts: tuple[tuple[str, Markup], ...]
    sentence: Markup
    likely: Markup
    href: str
    deed: str
    takes: tuple[Take, ...]


@dataclass(frozen=True)
class Unchecked:
    words: str
    sentence: Markup
    href: str
    deed: str


@dataclass(frozen=True)
class Check:
    """Something that was looked at and holds, or is worth knowing. mark: the sign beside it."""

    mark: str
    sentence: str


@dataclass(frozen=True, kw_only=True)
class SecondLookPage(RoomPage):
    clear: bool
    verdict: str
    verdict_more: str
    doubt_items: tuple[DoubtItem, ...]
    checks: tuple[Check, ...]
    unchecked: tuple[Unchecked, ...]
    most_unchecked: int
    noticed: tuple[Any, ...]
    record: str


@blueprint.get("/vehicles/<vehicle_id>/second-look")
def page(vehicle_id: str) -> str:
    return render_template("second_look.html", page=second_look(vehicle_id))


def fragment(vehicle_id: str, asked: Any) -> str:
    """The room alone, for a page that follows the phone."""
    return render_template("_second_look.html", page=second_look(vehicle_id))


def second_look(vehicle_id: str) -> SecondLookPage:
    report, version = report_now(vehicle_id)
    items = tuple(doubt_items(vehicle_id, report))
    unchecked: tuple[Unchecked, ...] = ()
    empty = not report.stage_view.takes
    cell = Markup("<span><b>{}</b>{}</span>").format(len(items), "doubt" if len(items) == 1 else "doubts")
    return SecondLookPage(
        **shared(vehicle_id, "second-look", report, version, "Second look", cell),
        clear=not items and not unchecked and not empty,
        verdict="x",
        verdict_more="",
        doubt_items=items,
        checks=(),
        unchecked=unchecked,
        most_unchecked=5,
        noticed=(),
        record=room_address(vehicle_id, "record"),
    )


def doubt_items(vehicle_id: str, report: Report) -> Iterator[DoubtItem]:
    yield from ()
