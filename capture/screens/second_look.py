"""Doubts worst first, what is unchecked, and whether anything stands in the way of cutting."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, render_template, request
from geometry.next_check import in_the_way, next_checks, unchecked
from markupsafe import Markup

from capture import stage_log
from capture.report import Report
from capture.screens import settle_words, words
from capture.screens.doubt_items import DoubtItem, doubt_items
from capture.screens.filters import fractions, said
from capture.screens.just_settled import JustSettled, just_settled
from capture.screens.readings_said import short_words
from capture.screens.room import RoomPage, measure_address, report_now, room_address, shared
from capture.screens.settled_items import SettledItem, settled_items
from capture.walk import walk_of

blueprint = Blueprint("second_look", __name__, template_folder="templates")

MOST_UNCHECKED = 8
MOST_CHECKS = 3


@dataclass(frozen=True)
class Unchecked:
    words: str
    sentence: Markup
    href: str


@dataclass(frozen=True)
class NextCheck:
    """A reading worth taking next, and what it would watch over."""

    words: str
    sentence: str
    href: str


@dataclass(frozen=True)
class Noticed:
    words: str
    value: Markup


@dataclass(frozen=True)
class Check:
    """Something that was looked at and holds, or is worth knowing. mark: the sign beside it."""

    mark: str
    sentence: str


@dataclass(frozen=True, kw_only=True)
class SecondLookPage(RoomPage):
    """walk: the way on while nothing is in doubt and a link has a bolt that is not read yet."""

    just_settled: JustSettled | None
    measured: bool
    clear: bool
    verdict: str
    verdict_more: str
    doubt_items: tuple[DoubtItem, ...]
    settled: tuple[SettledItem, ...]
    checks: tuple[Check, ...]
    next_checks: tuple[NextCheck, ...]
    unchecked: tuple[Unchecked, ...]
    most_unchecked: int
    noticed: tuple[Noticed, ...]
    record: str
    ready: str
    walk: str
    closed: str


@blueprint.get("/vehicles/<vehicle_id>/second-look")
def page(vehicle_id: str) -> str:
    return render_template("second_look.html", page=second_look(vehicle_id, request.args.get("settled", "")))


def fragment(vehicle_id: str, asked: Any) -> str:
    """The room alone, for a page that follows the phone."""
    return render_template("_second_look.html", page=second_look(vehicle_id, asked.get("settled", "")))


def second_look(vehicle_id: str, settled_by: str = "") -> SecondLookPage:
    """settled_by: the entry by which a doubt was settled a moment ago."""
    report, version = report_now(vehicle_id)
    measured = bool(report.stage_view.takes)
    items = tuple(doubt_items(vehicle_id, report))
    settled = tuple(settled_items(report))
    in_way = in_the_way(report.fit, [key for doubt in report.doubts for key in doubt.readings]) if measured else ()
    passing = {key for link in in_way for key in link.unchecked}
    blind = tuple(unchecked_readings(vehicle_id, report, passing))
    clear = measured and not items and all(link.ready for link in in_way)
    cell = Markup("<span><b>{}</b>{}</span>").format(len(items), "doubt" if len(items) == 1 else "doubts")
    guessed = sum(link.guessed for link in in_way)
    unread = guessed == len(in_way)
    verdict, more = words.verdict(measured, len(items), len(blind), guessed)
    return SecondLookPage(
        **shared(vehicle_id, "second-look", report, version, "Second look", cell),
        **({"query": (("settled", settled_by),)} if settled_by else {}),
        just_settled=just_settled(report, settled_by),
        measured=measured,
        clear=clear,
        verdict=verdict,
        verdict_more=more,
        doubt_items=items,
        settled=settled,
        checks=tuple(checks(report, clear)),
        next_checks=tuple(worth_taking(vehicle_id, report, passing)) if in_way and not clear and not unread else (),
        unchecked=blind,
        most_unchecked=MOST_UNCHECKED,
        noticed=tuple(noticed(report)) if clear else (),
        record=room_address(vehicle_id, "record"),
        ready=room_address(vehicle_id, "ready"),
        walk=room_address(vehicle_id, "walk") if guessed and not items else "",
        closed=stage_log.closed_sentence(report.vehicle, report.stage),
    )


# ---- what nothing checks, and what was looked at ----


def unchecked_readings(vehicle_id: str, report: Report, keys: set[str]) -> Iterator[Unchecked]:
    """Those of the readings `keys` in which a usual slip would pass unseen, the blindest first."""
    vehicle = report.vehicle
    for one in unchecked(report.fit):
        if one.key in keys:
            sentence = words.unchecked(one.smallest, one.unit, vehicle.display_unit)
            yield Unchecked(short_words(vehicle, one.name), fractions(sentence), measure_address(vehicle_id, one.name))


def worth_taking(vehicle_id: str, report: Report, passing: set[str]) -> Iterator[NextCheck]:
    """The few readings that would bring most of the unwatched ones in the way (`passing`) under watch, for the least
    work; where none is in the way, most of all."""
    vehicle = report.vehicle
    walk = walk_of(vehicle.layout, vehicle.worked_axle, tuple(report.stage_view.by_name))
    names = tuple(dict.fromkeys(step.reading for step in walk.steps))
    for check in next_checks(report.fit, names, wanted=passing or None)[:MOST_CHECKS]:
        said_as = words.sentence_start(short_words(vehicle, check.name)) + (", once more" if check.again else "")
        first = [short_words(vehicle, key) for key in check.watches[:2]]
        watched = words.listed(first, more=len(check.watches) - len(first))
        yield NextCheck(said_as, f"It would check {watched}." if watched else settle_words.WOULD_CHECK,
                        measure_address(vehicle_id, check.name))


def checks(report: Report, clear: bool) -> Iterator[Check]:
    """What holds, and what was kept against advice."""
    takes = report.stage_view.takes
    if clear:
        yield Check("tick", settle_words.fit_together(len(takes)))
    doubted = {key for doubt in report.doubts for key in doubt.readings}
    twice = [name for name, of in report.stage_view.by_name.items() if name.startswith("height:mark.") and len(of) > 1]
    if twice and not any(key.startswith("height:mark.") for key in doubted):
        yield Check("tick", settle_words.NOTHING_MOVED)
    kept = [short_words(report.vehicle, take.name) for take in takes if take.kept]
    if kept:
        named = words.listed(kept[:3], more=len(kept[3:]))
        yield Check("flag", f"{words.counted(len(kept), 'value')} kept against advice: {named}.")


def noticed(report: Report) -> Iterator[Noticed]:
    """For each kind of reading the smallest slip that would be noticed wherever it was made."""
    worst: dict[str, tuple[float, str]] = {}
    fit = report.fit
    for reading, least in zip(fit.readings, fit.smallest_findable, strict=True):
        if not math.isnan(least) and reading.points:
            before = worst.get(reading.kind.noun, (0.0, ""))[0]
            worst[reading.kind.noun] = max(before, float(least)), reading.kind.unit
    for noun, (least, unit) in worst.items():
        yield Noticed(words.sentence_start(noun), said(least, unit, report.vehicle.display_unit))
