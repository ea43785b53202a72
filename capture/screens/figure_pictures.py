"""Drawings of figures: each on its rule, over travel, and how it comes about on the person's own vehicle."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from geometry.figures import Column, Figure, FigureKind
from geometry.frame import INCH
from markupsafe import Markup

from capture.drawings.construction import roll_construction, side_construction
from capture.drawings.curve import Marker
from capture.drawings.curve import curve as draw_curve
from capture.drawings.curve import spark as draw_spark
from capture.drawings.rule import rule as draw_rule
from capture.lengths import POUND, say_spread, say_with_spread
from capture.report import Report
from capture.screens.pictures import vehicle

SIDE_VIEW = ("anti_dive", "anti_lift_braking", "anti_lift_driving", "anti_squat", "anti_geometric",
             "instant_centre.x", "instant_centre.z")
"""Figures that the side view with the links' lines explains."""
CENTRE_OF_GRAVITY = "centre of gravity"


def rule(figure: Figure, kind: FigureKind, unit: str) -> Markup:
    """A figure on its steel rule, with the usual band where there is one."""
    shown = Shown.of(kind.unit, unit)
    said = say_with_spread(figure.value, figure.sd, kind.unit, unit).replace("±", "give or take")
    return draw_rule(shown(figure.value), shown(2 * figure.sd), band_of(kind, shown), shown.words,
                     band_words(kind), said=said)


def spark(report: Report, column: Column | None) -> Markup:
    """A figure over travel, small; nothing where it has no curve or the curve leans on guesses."""
    if column is None or column.leans or not any(value is not None for value in column.values):
        return Markup()
    shown = Shown.of(column.unit, report.vehicle.display_unit)
    return draw_spark(report.sheet.sweep.travel, shown.all(column.values), shown.all(column.sd), shown.words)


def curve(travel: Sequence[float], column: Column, title: str, display_unit: str, *, marker: Marker,
          kind: FigureKind | None = None, said: str = "") -> Markup:
    """A column over a way through the travel with its spread. kind: the figure whose usual band belongs on it."""
    shown = Shown.of(column.unit, display_unit)
    feet = ("right up", "left up") if marker.path == "crossed" else ("droop", "bump")
    return draw_curve(travel, shown.all(column.values), shown.all(column.sd), unit=shown.words,
                      display_unit=display_unit, band=band_of(kind, shown) if kind else None,
                      band_words=band_words(kind) if kind else "", said=said, title=title, feet=feet, marker=marker,
                      least=0.0 if column.unsigned else -math.inf)


def construction(report: Report, kind: FigureKind) -> Markup:
    """How a figure comes about, drawn on the person's own vehicle; nothing where a drawing would not explain it."""
    if kind.key == "roll_centre_height":
        return _roll_construction(report)
    if kind.key in SIDE_VIEW:
        return _side_construction(report, kind)
    return Markup()


def _roll_construction(report: Report) -> Markup:
    figure = report.sheet.figures["roll_centre_height"]
    if figure.value is None or figure.sd is None:
        return Markup()
    label = say_with_spread(figure.value, figure.sd, "mm", report.vehicle.display_unit)
    return roll_construction(vehicle(report), figure.value, 2 * figure.sd, label)


def _side_construction(report: Report, kind: FigureKind) -> Markup:
    along, above = (report.sheet.figures[f"instant_centre.{axis}"] for axis in "xz")
    if along.value is None or above.value is None or along.sd is None or above.sd is None:
        return Markup()
    label = say_with_spread(abs(along.value), along.sd, "mm", report.vehicle.display_unit)
    label = f"about {label}" if along.leans else label
    weight = [report.sheet.figures.get(f"cg.{axis}") for axis in "xz"]
    cg = tuple(figure.value for figure in weight if figure is not None and figure.value is not None)
    return side_construction(vehicle(report), (along.value, above.value), (2 * along.sd, 2 * above.sd),
                             distance_label=label, cg=cg if len(cg) == 2 else None, cg_label=_gravity(report),
                             percent=report.sheet.figures[kind.key].value if kind.unit == "%" else None)


def _gravity(report: Report) -> str:
    """"centre of gravity, ± 4 in": how well its height is known, which every anti figure hangs on."""
    height, unit = report.sheet.figures["cg.z"], report.vehicle.display_unit
    return CENTRE_OF_GRAVITY if height.sd is None else (
        f"{CENTRE_OF_GRAVITY}, {say_spread(2 * height.sd, 'mm', unit)} {unit}")


@dataclass(frozen=True)
class Shown:
    """From the figures' unit to the one a person reads a scale in."""

    size: float
    words: str

    @classmethod
    def of(cls, unit: str, display_unit: str) -> Shown:
        """size: how many of the figures' unit one of the person's is."""
        inches = display_unit == "in"
        if unit == "mm" and inches:
            return cls(INCH, "in")
        if unit == "kg" and inches:
            return cls(POUND, "lb")
        return cls(1.0, {"deg": "°", "deg/deg": "° per degree"}.get(unit, unit))

    def __call__(self, value: float) -> float:
        return value / self.size

    def all(self, values: Iterable[float | None]) -> tuple[float | None, ...]:
        return tuple(None if value is None else self(value) for value in values)


def band_of(kind: FigureKind, shown: Shown) -> tuple[float, float] | None:
    """The usual band; infinite at an end that is open."""
    if kind.band is None:
        return None
    low, high = kind.band.low, kind.band.high
    return (-math.inf if low is None else shown(low)), (math.inf if high is None else shown(high))


def band_words(kind: FigureKind) -> str:
    """The words beside the band on a drawing: short."""
    return kind.band.words.partition(",")[0].partition(";")[0] if kind.band else "usual"
