"""What the axle does: every figure with its ± and one sentence, the curves over travel, and what could not be had."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from geometry.figures import FigureKind
from markupsafe import Markup

from capture.drawings.curve import curve
from capture.report import Report
from capture.screens import words
from capture.screens.figure_pictures import Shown
from capture.screens.figure_rows import give_or_take, kinds_of
from capture.screens.filters import said
from capture.screens.readings_said import FACTS, short_words
from capture.screens.travelled import CROSSED, HEAVE, Travelled
from capture.sheet import sheet_words

IN_THE_LENGTHS = ("link_length.", "link_incline.", "link_plan.")
"""Figures that stand in the table of lengths."""
CURVES = (
    (HEAVE, "caster", "Caster over travel"),
    (HEAVE, "heading.left", "Left wheel turns left over travel"),
    (HEAVE, "roll_centre", "Roll centre over travel"),
    (HEAVE, "anti_geometric", "Anti figure before any share, over travel"),
    (HEAVE, "pinion_angle", "Pinion over travel"),
    (HEAVE, "driveshaft_length_change", "Driveshaft longer over travel"),
    (HEAVE, "lateral_shift", "Axle moves left over travel"),
    (CROSSED, "yaw", "Axle turns left, one wheel up"),
)


@dataclass(frozen=True)
class FigureLine:
    """doubted: it rests on a reading in doubt. between: its spread is said by both its ends, on a line of its own."""

    title: str
    value: Markup
    spread: Markup
    between: bool
    meaning: str
    doubted: bool
    convention: bool
    headline: bool


@dataclass(frozen=True)
class FamilyLines:
    title: str
    figures: tuple[FigureLine, ...]


@dataclass(frozen=True)
class Waiting:
    """Figures that could not be had, and why."""

    titles: str
    why: str


@dataclass(frozen=True)
class CurveDrawn:
    title: str
    picture: Markup


def families(report: Report) -> Iterator[FamilyLines]:
    """The figures that can be had and stand on readings, family by family."""
    shown = [kind for kind in kinds_of(report) if not kind.key.startswith(IN_THE_LENGTHS) and _stands(report, kind)]
    for family, kinds in groupby(shown, key=lambda kind: kind.family):
        yield FamilyLines(words.FAMILIES.get(family, words.sentence_start(family)),
                          tuple(figure_line(report, kind) for kind in kinds))


def figure_line(report: Report, kind: FigureKind) -> FigureLine:
    figure, unit = report.sheet.figures[kind.key], report.vehicle.display_unit
    return FigureLine(
        words.sentence_start(kind.title), said(figure.value, kind.unit, unit, words.signed(kind.key)),
        give_or_take(figure, kind, unit), figure.interval is not None,
        kind.meaning(figure.value, figure.sd), kind.key in report.doubted,
        figure.convention, kind.headline,
    )  # fmt: skip


def headlines(report: Report, most: int) -> tuple[FigureLine, ...]:
    """The figures people ask for first."""
    return tuple(line for family in families(report) for line in family.figures if line.headline)[:most]


def waiting(report: Report) -> Iterator[Waiting]:
    """What could not be had or stands on a guess, those that wait for the same together."""
    without = [kind for kind in kinds_of(report) if not _stands(report, kind)]
    groups: dict[str, list[str]] = {}
    for kind in without:
        groups.setdefault(_why(report, kind), []).append(words.sentence_start(kind.title))
    for why, titles in groups.items():
        yield Waiting("; ".join(titles), why)


def curves(report: Report) -> Iterator[CurveDrawn]:
    """Over the travel, the ± as a band with dashed edges."""
    travelled, unit = Travelled(report), report.vehicle.display_unit
    for path, key, title in CURVES:
        column = travelled.columns[path].get(key)
        if column is None or column.leans or not any(value is not None for value in column.values):
            continue
        shown = Shown.of(column.unit, unit)
        feet = ("right up", "left up") if path == CROSSED else ("droop", "bump")
        picture = curve(travelled.travel[path], shown.all(column.values), shown.all(column.sd), unit=shown.words,
                        display_unit=unit, title=title, feet=feet)
        yield CurveDrawn(title, picture)


def _stands(report: Report, kind: FigureKind) -> bool:
    figure = report.sheet.figures[kind.key]
    return figure.value is not None and figure.sd is not None and not figure.leans


def _why(report: Report, kind: FigureKind) -> str:
    figure = report.sheet.figures[kind.key]
    needs = [FACTS[name][0] if name in FACTS else short_words(report.vehicle, name) for name in figure.needs]
    if needs:
        opening = sheet_words.ON_A_GUESS_UNTIL if figure.value is not None else "waits for"
        return f"{opening} {'; '.join(needs)}"
    return figure.reason or sheet_words.POINTS_DO_NOT_GIVE_IT
