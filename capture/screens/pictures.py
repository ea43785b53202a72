"""From a report to its drawings: the one place where the screens meet `capture.drawings`."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from geometry.figures import Column, Figure, FigureKind
from geometry.figures.over_travel import over_travel
from geometry.frame import INCH
from geometry.readings import parse_name
from markupsafe import Markup

from capture.drawings.board import shape_board
from capture.drawings.construction import roll_construction, side_construction
from capture.drawings.curve import curve as draw_curve
from capture.drawings.curve import spark as draw_spark
from capture.drawings.rule import rule as draw_rule
from capture.drawings.shape import shape_view
from capture.drawings.thumbnail import thumbnail as draw_thumbnail
from capture.drawings.vehicle import MEASURED, Vehicle, vehicle_of
from capture.lengths import POUND, say_with_spread
from capture.report import Report

SIDE_VIEW = ("anti_dive", "anti_lift_braking", "anti_lift_driving", "anti_squat", "anti_geometric",
             "instant_centre.x", "instant_centre.z")
"""Figures that the side view with the links' lines explains."""

Address = Callable[[str], str]
"""From a point's name to the address that opens it."""


def vehicle(report: Report) -> Vehicle:
    """The vehicle as drawings see it, points that an open doubt touches marked."""
    tubes = {name: tube.outside_diameter for name, tube in report.vehicle.facts.tubes.items()}
    return vehicle_of(report.fit, unit=report.vehicle.display_unit, tubes=tubes, doubted=doubted_points(report))


def doubted_points(report: Report) -> frozenset[str]:
    """The points that doubted readings name; a doubt about a whole line or tape marks no point."""
    found: set[str] = set()
    for doubt in report.doubts:
        for key in doubt.readings if doubt.shared is None else ():
            name = parse_name(key.partition("#")[0], report.vehicle.layout, report.vehicle.worked_axle)
            found.update(name.points)
    return frozenset(found)


def thumbnail(report: Report) -> Markup:
    """The vehicle 112 px wide, for the list."""
    return draw_thumbnail(vehicle(report))


def shape(report: Report, view: str, point: str, address: Address) -> Markup:
    """One view to scale, every point a link."""
    return shape_view(vehicle(report), view, point or None, address)


def board(report: Report, point: str, address: Address) -> Markup:
    """Three views in line for the bench."""
    wheelbase = report.sheet.figures.get("wheelbase")
    said = None
    if wheelbase and wheelbase.value is not None and wheelbase.sd is not None and not wheelbase.leans:
        said = "wheelbase " + say_with_spread(wheelbase.value, wheelbase.sd, "mm", report.vehicle.display_unit)
    return shape_board(vehicle(report), point or None, address, said)


# ---- figures ----


def rule(figure: Figure, kind: FigureKind, unit: str) -> Markup:
    """A figure on its steel rule, with the usual band where there is one."""
    shown = Shown.of(kind.unit, unit)
    said = say_with_spread(figure.value, figure.sd, kind.unit, unit).replace("±", "give or take")
    return draw_rule(shown(figure.value), shown(2 * figure.sd), band_of(kind, shown), shown.words,
                     band_words(kind), said=said)


def spark(report: Report, kind: FigureKind) -> Markup:
    """The figure over travel, small; nothing where it has no curve or the curve leans on guesses."""
    column = over_travel(report.sheet, kind.key)
    if column is None or column.leans:
        return Markup()
    shown = Shown.of(column.unit, report.vehicle.display_unit)
    return draw_spark(report.sheet.sweep.travel, shown.all(column.values), shown.all(column.sd), shown.words)


def curve(report: Report, kind: FigureKind, column: Column) -> Markup:
    """The figure over travel with its spread; the usual band where the curve shows the figure itself."""
    unit = report.vehicle.display_unit
    shown = Shown.of(column.unit, unit)
    itself = not column.title
    figure = report.sheet.figures[kind.key]
    said = say_with_spread(figure.value, figure.sd, kind.unit, unit) if itself and figure.value is not None else ""
    return draw_curve(report.sheet.sweep.travel, shown.all(column.values), shown.all(column.sd), unit=shown.words,
                      display_unit=unit, band=band_of(kind, shown) if itself else None, band_words=band_words(kind),
                      said=said, title=column.title or kind.title)


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
    weight = [report.sheet.figures.get(f"cg.{axis}") for axis in "xz"]
    cg = tuple(figure.value for figure in weight if figure is not None and figure.value is not None)
    return side_construction(vehicle(report), (along.value, above.value), (2 * along.sd, 2 * above.sd),
                             distance_label=label, cg=cg if len(cg) == 2 else None,
                             percent=report.sheet.figures[kind.key].value if kind.unit == "%" else None)


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
    """The usual band; one that is open at an end is said in words only."""
    if kind.band is None or kind.band.low is None or kind.band.high is None:
        return None
    return shown(kind.band.low), shown(kind.band.high)


def band_words(kind: FigureKind) -> str:
    """The words beside the band on a drawing: short."""
    return kind.band.words.partition(",")[0].partition(";")[0] if kind.band else "usual"


CHECKED = 0.1
"""A reading whose redundancy number reaches this would show a mistake of its own, if a large one."""


def trust(drawn: Vehicle, report: Report, name: str) -> str:
    """How far a point is to be believed: "measured", "measured twice", "worked out", "guessed" or "in doubt".

    Measured twice: every reading that touches it is checked by others.
    """
    state = drawn.spots[name].state
    if state != MEASURED:
        return state
    own = [check for reading, check in zip(report.fit.readings, report.fit.redundancy, strict=True)
           if name in reading.touches]
    return "measured twice" if all(check >= CHECKED for check in own) else state
