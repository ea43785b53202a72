"""From an address to the plan it asks for, carried out on paper; a move that cannot be leaves the plan as it was."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from geometry.errors import GeometryError
from geometry.layouts import LAYOUTS
from geometry.points import point_named
from geometry.what_if import Outcome, what_if

from capture import plans
from capture.entry import NotAReading, parse
from capture.lengths import parts, say_length
from capture.log_entries import MovePlan
from capture.report import Report
from capture.screens import what_if_words
from capture.screens.on_paper import ACTS, NotAMove, OnPaper, Word, entries_of
from capture.screens.what_if_words import in_unit
from capture.screens.words import sentence_start

AXES = ("x", "y", "z")


@dataclass(frozen=True)
class Refusal:
    """Why something was not done, and which form it came from ("" for a step)."""

    sentence: str
    form: str = ""


@dataclass(frozen=True)
class State:
    """kept: the named plan as it stands in the log, if there is one."""

    report: Report
    asked: OnPaper
    outcome: Outcome
    kept: MovePlan | None
    refused: Refusal | None

    @property
    def unchanged(self) -> bool:
        """Whether the page shows the named plan as it is kept."""
        if self.kept is None:
            return False
        moves = entries_of(self.asked.done, self.report.vehicle)
        return moves == list(self.kept.moves) and self.asked.keep == self.kept.keep_lengths


def state_of(report: Report, query: Any) -> State:
    """The state an address asks for, one deed done where it names one."""
    refused: Refusal | None = None
    try:
        asked = OnPaper.of(query)
    except NotAMove as trouble:
        asked, refused = OnPaper(), Refusal(str(trouble))
    kept = plans.plans(report.vehicle).get(asked.plan)
    if asked.plan and kept is None and refused is None and asked.moves is None:
        refused = Refusal(what_if_words.NO_SUCH_PLAN)
    before = _filled_in(report, asked.with_plan(kept))
    deed = query.get("act", "")
    try:
        after = done(report, before, deed, query) if deed and refused is None else before
        return State(report, after, carried_out(report, after), kept, refused)
    except (NotAMove, GeometryError) as trouble:
        sentence = in_unit(sentence_start(str(trouble)), report.vehicle.display_unit)
        refused = refused or Refusal(sentence, deed if deed in TYPED or deed == "keep" else "")
    try:
        return State(report, before, carried_out(report, before), kept, refused)
    except (NotAMove, GeometryError):
        bare = replace(before, moves=())
        return State(report, bare, carried_out(report, bare), kept, refused)


def carried_out(report: Report, asked: OnPaper) -> Outcome:
    """Every figure is at hand. Raises NotAMove, GeometryError."""
    entry = MovePlan.model_construct(moves=entries_of(asked.done, report.vehicle), keep_lengths=asked.keep)
    return what_if(report.measured, plans.plan_of(entry))


def _filled_in(report: Report, asked: OnPaper) -> OnPaper:
    """With a bolt in hand, and a figure whose curve is shown."""
    points, kinds = report.fit.points, report.measured.kinds
    point = asked.point if asked.point in points else LAYOUTS[report.vehicle.layout].links[0].frame
    curve = asked.curve if asked.curve in kinds else ""
    return replace(asked, point=point, curve=curve, both=asked.both and bool(twin_of(report, point)))


def twin_of(report: Report, point: str) -> str | None:
    twin = point_named(point, report.vehicle.layout, report.vehicle.worked_axle).twin
    return twin if twin in report.fit.points else None


# Deeds.


def done(report: Report, asked: OnPaper, deed: str, query: Any) -> OnPaper:
    """One deed further. Raises NotAMove."""
    unit = report.vehicle.display_unit
    if deed in ACTS:
        return asked.stepped(deed, unit)
    if deed == "undo":
        return asked.undone()
    if deed == "over":
        return replace(asked, moves=())
    if deed == "keep":
        return replace(asked, keep=not asked.keep)
    if deed == "add":
        return asked.added(Word.of(query.get("add", "")))
    typed = TYPED.get(deed)
    if typed is None:
        raise NotAMove(what_if_words.NO_SUCH_DEED)
    word = typed(report, asked, query)
    return asked.added(word) if word is not None else asked


def _length(text: str, unit: str, about: str) -> float:
    try:
        return float(parse(text, unit, "mm").value)
    except NotAReading as trouble:
        raise NotAMove(f"{about}: {trouble}") from None


def _put(report: Report, asked: OnPaper, query: Any) -> Word | None:
    """The bolt put where its three fields say; a field left as it was shown moves nothing."""
    shown = coordinates(carried_out(report, asked), asked.point, report.vehicle.display_unit)
    numbers: list[float | None] = []
    for axis, was, about in zip(AXES, shown, what_if_words.ALONG, strict=True):
        text = query.get(axis, was).strip()
        same = text in (was, "")
        numbers.append(None if same else _length(text, report.vehicle.display_unit, about))
    return Word("to", asked.point, tuple(numbers)) if any(number is not None for number in numbers) else None


def _link(report: Report, asked: OnPaper, query: Any) -> Word | None:
    return Word("link", query.get("link", "")[:100],
                (_length(query.get("length", ""), report.vehicle.display_unit, "Length"),))


def _tyre(report: Report, asked: OnPaper, query: Any) -> Word | None:
    return Word("tyre", "", (_length(query.get("tyre", ""), report.vehicle.display_unit, "Tyre"),))


def _ride(report: Report, asked: OnPaper, query: Any) -> Word | None:
    unit = report.vehicle.display_unit
    here, there = (query.get(key, "").strip() for key in ("worked", "other"))
    if not here and not there:
        raise NotAMove(what_if_words.RAISE_BY_HOW_MUCH)
    return Word("ride", "", (_length(here, unit, "Over this axle") if here else 0.0,
                             _length(there, unit, what_if_words.OVER_THE_OTHER_AXLE) if there else 0.0))


def _cg(report: Report, asked: OnPaper, query: Any) -> Word | None:
    unit = report.vehicle.display_unit
    height, along = (query.get(key, "").strip() for key in ("height", "along"))
    if not height and not along:
        raise NotAMove(what_if_words.type_its_height("30" if unit == "in" else "760"))
    return Word("cg", "", (_length(height, unit, "Height") if height else None,
                           _length(along, unit, what_if_words.AHEAD_OF_THE_AXLE) if along else None))


TYPED = {"put": _put, "link": _link, "tyre": _tyre, "ride": _ride, "cg": _cg}


def coordinates(outcome: Outcome, point: str, unit: str) -> tuple[str, str, str]:
    """Where a bolt is, as its fields show it."""
    x, y, z = (typed(part, unit) for part in outcome.points[point].place)
    return x, y, z


def typed(mm: float, unit: str) -> str:
    """A length as a person would type it: "-36 1/8", "612.5"."""
    if unit == "in":
        return str(parts(mm)).replace("−", "-")
    return say_length(mm, "mm").removesuffix(" mm").replace("−", "-")
