"""What if: take a bolt and move it, a link, the tyres, the ride height; figures and curve follow, nothing is measured.

Everything stands in the address until the plan is given a name; then it is an entry of the log, apart from readings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, redirect, render_template, request
from geometry.layouts import LAYOUTS
from geometry.what_if import Outcome
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture import plans
from capture.drawings.ghosted import ghosted, planned
from capture.drawings.shape import view_names
from capture.lengths import say_length
from capture.report import Report
from capture.screens import pictures, what_if_rows, what_if_words
from capture.screens.deciding import Choice, DecidingPage, fields_of, nothing_yet
from capture.screens.on_paper import STEP_WORDS, OnPaper, usual_step
from capture.screens.readings_said import point_words
from capture.screens.room import report_now, room_address
from capture.screens.shape import View
from capture.screens.what_if_state import State, coordinates, state_of, twin_of, typed
from capture.screens.words import sentence_start

blueprint = Blueprint("what_if", __name__, template_folder="templates")

TITLE = "What if"
ARROWS = ("left", "right", "up", "down")
KEY_WORDS = {"x+": "forward", "x-": "back", "y+": "left", "y-": "right", "z+": "up", "z-": "down"}

FIELDS = ("x", "y", "z", "length", "tyre", "worked", "other", "height", "along")


@dataclass(frozen=True)
class Key:
    """A step. way: where it goes on the paper."""

    act: str
    words: str
    way: str


@dataclass(frozen=True, kw_only=True)
class WhatIfPage(DecidingPage):
    """hidden: the state, for forms. said: the moves so far in words. place: the typed fields of the bolt in hand.

    typed: what stood in fields that were refused.
    """

    asked: OnPaper
    address: str
    hidden: tuple[tuple[str, str], ...]
    refused: str
    refused_form: str
    views: tuple[View, ...]
    drawing: Markup
    point: str
    moved: str
    place: tuple[str, str, str]
    typed: dict[str, str]
    points: tuple[Choice, ...]
    twin_href: str
    keys: tuple[Key, ...]
    steps: tuple[Choice, ...]
    rows: tuple[what_if_rows.Row, ...]
    every_href: str
    curve_hrefs: dict[str, str]
    curve: what_if_rows.Curve | None
    said: tuple[str, ...]
    links: tuple[Choice, ...]
    tyre: str
    kept: tuple[Choice, ...]
    unchanged: bool
    name: str

    @property
    def lengths_said(self) -> tuple[str, str]:
        """What a move does to the links, and the button that changes it."""
        return what_if_words.LENGTHS_KEPT if self.asked.keep else what_if_words.LINKS_FITTED


@blueprint.get("/vehicles/<vehicle_id>/what-if")
def page(vehicle_id: str) -> Answer | tuple[str, int]:
    """The page; after a deed without script, on to the address of what came of it. part: what a script puts in."""
    report, version = report_now(vehicle_id)
    if not report.stage_view.takes:
        return nothing_yet(vehicle_id, report, version, TITLE)
    state = state_of(report, request.args)
    if state.refused is None and "act" in request.args and "part" not in request.args:
        return redirect(f"{room_address(vehicle_id, 'what-if')}?{state.asked.query()}", code=303)
    shown = what_if_page(vehicle_id, state, version)
    if "part" in request.args:
        return render_template("_what_if.html", page=shown), 200
    return render_template("what_if.html", page=shown), 422 if shown.refused else 200


def what_if_page(vehicle_id: str, state: State, version: int, refused: str = "", name: str = "") -> WhatIfPage:
    """refused, name: of the form that keeps the plan."""
    report, asked = state.report, state.asked
    unit, address = report.vehicle.display_unit, room_address(vehicle_id, "what-if")

    def to(**changes: Any) -> str:
        return f"{address}?{asked.query(**changes)}"

    was, tyre = pictures.vehicle(report), tyre_of(asked)
    places = {key: point.place for key, point in state.outcome.points.items()}
    handle = ghosted(was, planned(was, places, tyre), asked.view, asked.point, lambda key: to(point=key))
    first = asked.curve or next(iter(what_if_rows.headlines(report.measured)), "")
    keys = (what_if_rows.every if asked.every else what_if_rows.headlines)(report.measured, first)
    lengths = [f"link_length.{link.name}" for link in LAYOUTS[report.vehicle.layout].links]
    outcome = state.outcome.narrowed([*keys, *lengths])
    return WhatIfPage(
        **fields_of(vehicle_id, report, version, TITLE),
        asked=asked,
        address=to(),
        hidden=tuple(asked.pairs),
        refused=refused or (state.refused.sentence if state.refused else ""),
        refused_form="name" if refused else state.refused.form if state.refused else "",
        views=tuple(View(key, said, to(view=key)) for key, said in view_names(was)),
        drawing=handle.drawing,
        point=point_words(report.vehicle, asked.point),
        moved=what_if_words.by(state.outcome.points[asked.point].by, unit),
        place=coordinates(state.outcome, asked.point, unit),
        typed={key: request.values[key][:200] for key in FIELDS if state.refused and key in request.values},
        points=tuple(points_of(report, asked)),
        twin_href=to(both=not asked.both) if twin_of(report, asked.point) else "",
        keys=tuple(Key(act, KEY_WORDS[act], way) for act, way in zip(handle.ways, ARROWS, strict=True)),
        steps=tuple(Choice(key, said, key == (asked.step or usual_step(unit)), to(step=key))
                    for key, said in STEP_WORDS.items()),
        rows=what_if_rows.rows(report, outcome, keys),
        curve_hrefs={key: to(curve=key) for key in keys},
        every_href=to(every=not asked.every),
        curve=what_if_rows.travelled(report, outcome, first) if first else None,
        said=tuple(what_if_words.move(word, report.vehicle) for word in asked.done),
        links=tuple(links_of(report, asked, outcome)),
        tyre=typed(tyre or was.tyre_diameter, unit),
        kept=tuple(Choice(key, key, key == asked.plan, f"{address}?{OnPaper(plan=key).query()}")
                   for key in plans.plans(report.vehicle)),
        unchanged=state.unchanged,
        name=name or asked.name or asked.plan,
    )


def tyre_of(asked: OnPaper) -> float | None:
    """The tyres a plan puts on, mm; None where it leaves them."""
    put_on = [word.numbers[0] for word in asked.done if word.kind == "tyre"]
    return put_on[-1] if put_on else None


def points_of(report: Report, asked: OnPaper) -> Iterator[Choice]:
    """Every bolt that can be taken in hand."""
    for name in report.fit.points:
        if not name.endswith(".centre") and not name.startswith("mark."):
            yield Choice(name, sentence_start(point_words(report.vehicle, name)), name == asked.point)


def links_of(report: Report, asked: OnPaper, outcome: Outcome) -> Iterator[Choice]:
    """Every link with its length; the one of the bolt in hand chosen."""
    for link in LAYOUTS[report.vehicle.layout].links:
        length = outcome.figures[f"link_length.{link.name}"].value
        said = "" if length is None else f", {say_length(length, report.vehicle.display_unit)}"
        here = asked.point in (link.frame, *link.axle)
        yield Choice(link.name, f"{sentence_start(link.words)}{said}", here)
