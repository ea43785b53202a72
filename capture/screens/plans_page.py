"""The plans kept: side by side with the measured state, each renamed or withdrawn; every change is an entry."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, render_template, request
from geometry.errors import GeometryError
from geometry.what_if import Outcome, what_if
from werkzeug.wrappers import Response as Answer

from capture import plans
from capture.log_entries import MovePlan
from capture.report import Report
from capture.screens import what_if_rows, what_if_words
from capture.screens.decided import Bodies, NotTaken, made, take, withdrawals, withdrawn
from capture.screens.deciding import DecidingPage, fields_of
from capture.screens.on_paper import OnPaper, entries_of, word_of
from capture.screens.room import plumbtack, report_now, room_address
from capture.screens.what_if import what_if_page
from capture.screens.what_if_state import state_of
from capture.screens.words import sentence_start
from capture.vehicle_file import VehicleFile

blueprint = Blueprint("plans", __name__, template_folder="templates")

LONGEST_NAME = 200
MOST_SHOWN = 6
"""Plans side by side: more make a table nobody reads on a phone; the newest are shown."""


@dataclass(frozen=True)
class PlanRow:
    """A plan: what it moves, and what stands in its way now, if anything. ids: of all its standing entries."""

    name: str
    ids: tuple[str, ...]
    href: str
    cut: str
    said: tuple[str, ...]
    trouble: str


@dataclass(frozen=True)
class Line:
    """A figure as measured and under each plan shown."""

    title: str
    cells: tuple[what_if_rows.Row, ...]


@dataclass(frozen=True, kw_only=True)
class PlansPage(DecidingPage):
    plans: tuple[PlanRow, ...]
    shown: tuple[PlanRow, ...]
    lines: tuple[Line, ...]
    what_if: str
    said: str
    refused: str
    refused_of: str
    typed: str


@blueprint.get("/vehicles/<vehicle_id>/plans")
def page(vehicle_id: str) -> str:
    return render_template("plans.html", page=plans_page(vehicle_id, said=SAID.get(request.args.get("said", ""), "")))


SAID = {"renamed": "Renamed.", "withdrawn": what_if_words.WITHDRAWN}


@blueprint.post("/vehicles/<vehicle_id>/plans")
def keep(vehicle_id: str) -> Answer | tuple[str, int]:
    """Keeps the plan of the form under its name; one of that name kept before gives way."""
    report, version = report_now(vehicle_id)
    state = state_of(report, request.form)
    name = request.form.get("name", "").strip()

    def make() -> Bodies:
        refused = state.refused.sentence if state.refused else name_refused(name)
        if not refused and not state.asked.done:
            refused = what_if_words.NOT_MOVED
        if refused:
            raise NotTaken(refused)
        moves = [move.model_dump(exclude_unset=True) for move in entries_of(state.asked.done, report.vehicle)]
        lengths = {"keep_lengths": True} if state.asked.keep else {}
        return [made("move_plan", stage=report.stage, name=name, moves=moves, **lengths)]

    def again(sentence: str) -> tuple[str, int]:
        shown = what_if_page(vehicle_id, state, version, sentence, name[:LONGEST_NAME])
        return render_template("what_if.html", page=shown), 422

    kept = OnPaper(plan=name, view=state.asked.view, point=state.asked.point, step=state.asked.step)
    return take(vehicle_id, report.vehicle, make, f"{room_address(vehicle_id, 'what-if')}?{kept.query()}", again)


@blueprint.post("/vehicles/<vehicle_id>/plans/rename")
def rename(vehicle_id: str) -> Answer | tuple[str, int]:
    """The same moves under another name; the entries of the old name are withdrawn."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    old, new = request.form.get("plan", ""), request.form.get("to", "").strip()

    def make() -> Bodies:
        kept = plans.plans(vehicle)
        refused = name_refused(new)
        if not refused and old not in kept:
            refused = what_if_words.NO_SUCH_PLAN_ANY_MORE
        if not refused and new in kept and new != old:
            refused = what_if_words.plan_named_already(new)
        if refused:
            raise NotTaken(refused)
        if new == old:
            return []
        body = kept[old].model_dump(exclude_unset=True, exclude={"id", "at", "type", "name"})
        return [made("move_plan", name=new, **body), *withdrawals(ids_of(vehicle, old))]

    def again(sentence: str) -> tuple[str, int]:
        return render_template("plans.html", page=plans_page(vehicle_id, sentence, old, new[:LONGEST_NAME])), 422

    return take(vehicle_id, vehicle, make, f"{room_address(vehicle_id, 'plans')}?said=renamed", again)


@blueprint.post("/vehicles/<vehicle_id>/plans/withdraw")
def withdraw(vehicle_id: str) -> Answer | tuple[str, int]:
    """Every standing entry of a name is withdrawn, so that none of its earlier ones comes up again."""
    return withdrawn(vehicle_id, MovePlan, f"{room_address(vehicle_id, 'plans')}?said=withdrawn")


def name_refused(name: str) -> str:
    """Why a plan cannot be called so; empty where it can."""
    if not name:
        return what_if_words.NAMELESS
    if len(name) > LONGEST_NAME:
        return what_if_words.plan_name_too_long(len(name), LONGEST_NAME)
    return ""


def ids_of(vehicle: VehicleFile, name: str) -> tuple[str, ...]:
    """Of all standing entries of a plan."""
    return tuple(entry.id for entry in plans.standing(vehicle, MovePlan) if entry.name == name)


def plans_page(vehicle_id: str, refused: str = "", refused_of: str = "", typed: str = "", said: str = "") -> PlansPage:
    """refused, refused_of, typed: of the form that renames one."""
    report, version = report_now(vehicle_id)
    kept = plans.plans(report.vehicle)
    found = {name: _outcome(report, entry) for name, entry in kept.items()}
    rows = {name: _row(vehicle_id, report, entry, found[name]) for name, entry in kept.items()}
    shown = [name for name in kept if isinstance(found[name], Outcome)][-MOST_SHOWN:]
    return PlansPage(
        **fields_of(vehicle_id, report, version, "Plans"),
        plans=tuple(rows.values()),
        shown=tuple(rows[name] for name in shown),
        lines=tuple(_lines(report, [found[name] for name in shown])),
        what_if=room_address(vehicle_id, "what-if"),
        said=said, refused=refused, refused_of=refused_of, typed=typed,
    )  # fmt: skip


def _outcome(report: Report, entry: MovePlan) -> Outcome | str:
    """The plan carried out, or why it cannot be any more."""
    try:
        return what_if(report.measured, plans.plan_of(entry))
    except GeometryError as trouble:
        return what_if_words.in_unit(sentence_start(str(trouble)), report.vehicle.display_unit)


def _row(vehicle_id: str, report: Report, entry: MovePlan, outcome: Outcome | str) -> PlanRow:
    said = tuple(what_if_words.move(word_of(move), report.vehicle) for move in entry.moves)
    href = f"{room_address(vehicle_id, 'what-if')}?{OnPaper(plan=entry.name).query()}"
    trouble = outcome if isinstance(outcome, str) else ""
    cut = f"{room_address(vehicle_id, 'cut')}?{urlencode({'plan': entry.name})}"
    return PlanRow(entry.name, ids_of(report.vehicle, entry.name), href, cut, said, trouble)


def _lines(report: Report, outcomes: list[Any]) -> Iterable[Line]:
    """The headline figures of each plan; nothing without a plan."""
    for key in what_if_rows.headlines(report.measured) if outcomes else ():
        cells = tuple(row for outcome in outcomes for row in what_if_rows.rows(report, outcome, [key]))
        yield Line(cells[0].title, cells)
