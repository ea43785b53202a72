"""The figures of a plan beside those measured, and one of them over the travel with the measured curve behind it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from geometry.figures import Figure, FigureKind
from geometry.figures.over_travel import COLUMNS
from geometry.moves import Plan
from geometry.what_if import Difference, Measured, Outcome, what_if
from markupsafe import Markup

from capture.drawings.curve import curve
from capture.report import Report
from capture.screens import what_if_words, words
from capture.screens.figure_pictures import Shown, band_of, band_words
from capture.screens.filters import bare, spread
from capture.screens.travelled import WHOLE, own_curve, title_of

SAME = 1e-9
SHOWS = re.compile("[1-9]")
"""A change whose rounded number has no such digit is too little to be shown."""


@dataclass(frozen=True)
class Row:
    """One figure: as measured, on paper, and the difference. unit: what its bare values lack, or "".

    sure: "sure", "tape", "same", "hardly" (too little to be shown), or "" where one of the two is missing. leans: it
    stands on a guess. doubted: on a reading in doubt.
    """

    key: str
    title: str
    unit: str
    measured: Markup
    measured_spread: Markup
    now: Markup
    now_spread: Markup
    change: Markup
    change_spread: Markup
    sure: str
    leans: bool
    doubted: bool


@dataclass(frozen=True)
class Curve:
    title: str
    drawing: Markup
    reason: str = ""


def rows(report: Report, outcome: Outcome, keys: Iterable[str]) -> tuple[Row, ...]:
    """The named figures that the measured vehicle or the planned one has."""
    found = []
    for key in keys:
        before, after = report.measured.figures[key], outcome.figures[key]
        if before.value is not None or after.value is not None:
            found.append(_row(report, report.measured.kinds[key], before, after, outcome.differences.get(key)))
    return tuple(found)


def _row(report: Report, kind: FigureKind, before: Figure, after: Figure, difference: Difference | None) -> Row:
    unit, signed = report.vehicle.display_unit, words.signed(kind.key)
    none = Markup('<span aria-hidden="true">–</span><span class="sr">none</span>')
    change, sure = Markup(), ""
    if difference is not None:
        change = bare(difference.value, kind.unit, unit, True)
        sure = "same" if abs(difference.value) < SAME else "sure" if difference.sure else "tape"
        if sure != "same" and not SHOWS.search(change.striptags()):
            sure = "hardly"
    return Row(
        kind.key, kind.title, unit if kind.unit == "mm" else "° per °" if kind.unit == "deg/deg" else "",
        none if before.value is None else _value(before, kind, unit, signed),
        Markup() if before.sd is None else spread(before.sd, kind.unit, unit),
        none if after.value is None else _value(after, kind, unit, signed),
        Markup() if after.sd is None else spread(after.sd, kind.unit, unit),
        change, Markup() if difference is None else spread(difference.sd, kind.unit, unit),
        sure, before.leans or after.leans, kind.key in report.doubted,
    )  # fmt: skip


def _value(figure: Figure, kind: FigureKind, unit: str, signed: bool) -> Markup:
    """A guess is said no finer than its spread leaves it. What is measured shows the smallest step, known or not: it is
    the change that is looked at."""
    assert figure.value is not None
    if not figure.leans:
        return bare(figure.value, kind.unit, unit, signed)
    return Markup("<small>about</small> ") + bare(figure.value, kind.unit, unit, signed, figure.sd or 0.0)


def headlines(measured: Measured, first: str = "") -> tuple[str, ...]:
    """The figures people ask for first that can be had; the one that is looked at on top."""
    keys = [key for key, kind in measured.kinds.items() if kind.headline and measured.figures[key].value is not None]
    if first in measured.kinds and measured.figures[first].value is not None:
        keys = [first, *(key for key in keys if key != first)]
    return tuple(keys)


def every(measured: Measured, first: str = "") -> tuple[str, ...]:
    """All figures that can be had, the headlines on top."""
    keys = headlines(measured, first)
    return (*keys, *(key for key in measured.kinds if key not in keys and measured.figures[key].value is not None))


def travelled(report: Report, outcome: Outcome, key: str) -> Curve:
    """A figure over the travel: the plan's curve with its spread, the measured one dashed behind."""
    kind, unit = report.measured.kinds[key], report.vehicle.display_unit
    column, name = None, ""
    for name in (WHOLE.get(key, ""), COLUMNS.get(key, "")):
        column = outcome.column(name)
        if column is not None and any(value is not None for value in column.values):
            break
    else:
        return Curve(f"{kind.title} over travel", Markup(), what_if_words.NO_CURVE)
    assert column is not None
    shown, own = Shown.of(column.unit, unit), own_curve(key, column)
    was = what_if(report.measured, Plan(())).column(name) if outcome.plan.moves else None
    band = band_of(kind, shown) if own else None
    drawn = curve(report.sheet.sweep.travel, shown.all(column.values), shown.all(column.sd), unit=shown.words,
                  display_unit=unit, band=band, band_words=band_words(kind) if band else "",
                  was=shown.all(was.values) if was is not None else None, title=title_of(kind, column))
    return Curve(title_of(kind, column), drawn)
