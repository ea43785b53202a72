"""Bolt centres and lengths as tables: every number with its ±, and how far each is to be believed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.fit import Placed
from geometry.layouts import LAYOUTS
from geometry.points import point_named
from markupsafe import Markup

from capture.drawings.vehicle import Vehicle
from capture.lengths import MINUS
from capture.report import Report
from capture.screens.filters import bare, spread
from capture.screens.pictures import trust
from capture.screens.words import sentence_start
from capture.sheet.identity import day
from capture.sheet.views import numbered

RODS = (("drag_link", "frame", "axle"), ("tie_rod", "left", "right"), ("driveshaft", "frame", "axle"))
ROD_WORDS = {"drag_link": "drag link", "tie_rod": "tie rod", "driveshaft": "driveshaft, joint to joint"}

GUESSED_SD = 30.0
"""mm: a coordinate of a guessed point that is no better known than this is not shown as one."""


@dataclass(frozen=True)
class Coordinate:
    """One coordinate in the person's unit and in mm, each with its ±."""

    value: Markup
    spread: Markup
    mm: str
    mm_spread: str


@dataclass(frozen=True)
class PointRow:
    """number: 0 for a wheel centre, which the views do not number. places: ahead, left, up, None where only guessed.
    trust: how far it is to be believed."""

    number: int
    words: str
    places: tuple[Coordinate | None, ...]
    trust: str
    last: str
    guessed: bool


@dataclass(frozen=True)
class LengthRow:
    """A link or rod between its joint centres. incline, plan: degrees with their ±, nothing where there are none.
    doubted: one of these rests on a reading in doubt."""

    words: str
    length: Coordinate | None
    incline: str
    plan: str
    doubted: bool = False


def point_rows(report: Report, vehicle: Vehicle) -> Iterator[PointRow]:
    """The numbered points in their order, then the wheel centres."""
    numbers, placed = numbered(vehicle), report.fit.placed()
    last = last_read(report)
    for name in [*numbers, *(name for name in placed if name not in numbers)]:
        point = placed[name]
        said = point_named(name, report.vehicle.layout, report.vehicle.worked_axle).words
        yield PointRow(numbers.get(name, 0), sentence_start(said), places(point, report.vehicle.display_unit),
                       trust(vehicle, report, name), last.get(name, ""), not point.known)


def places(point: Placed, unit: str) -> tuple[Coordinate | None, ...]:
    found = zip((point.x, point.y, point.z), point.sd, (True, True, False), strict=True)
    return tuple(None if sd > GUESSED_SD and not point.known else coordinate(value, sd, unit, signed)
                 for value, sd, signed in found)


def coordinate(value: float, sd: float, unit: str, signed: bool = False) -> Coordinate:
    mm = f"{abs(value):.0f}"
    sign = MINUS if value <= -0.5 else "+" if signed and value >= 0.5 else ""
    return Coordinate(bare(value, "mm", unit, signed), spread(sd, "mm", unit), sign + mm, f"± {max(2 * sd, 1.0):.0f}")


def last_read(report: Report) -> dict[str, str]:
    """Of each point the day of the newest reading that touches it."""
    found: dict[str, str] = {}
    by_key = report.stage_view.by_key
    for seen, reading in zip(report.fit.observations, report.fit.readings, strict=True):
        at = by_key[seen.key].at
        for name in reading.touches:
            found[name] = max(found.get(name, ""), at)
    return {name: day(at) for name, at in found.items()}


def length_rows(report: Report) -> Iterator[LengthRow]:
    """The links, then the rods that were measured."""
    figures = report.sheet.figures
    unit = report.vehicle.display_unit
    for link in LAYOUTS[report.vehicle.layout].links:
        length, incline, plan = (figures.get(f"{key}.{link.name}") for key in
                                 ("link_length", "link_incline", "link_plan"))
        known = length is not None and length.value is not None and length.sd is not None and not length.leans
        row = coordinate(length.value, length.sd, unit) if known else None
        doubted = any(each is not None and each.key in report.doubted for each in (length, incline, plan))
        yield LengthRow(sentence_start(link.words), row, _angle(incline), _angle(plan), doubted)
    placed = report.fit.placed()
    for name, *ends in RODS:
        points = [f"{name}.{end}" for end in ends]
        if all(point in placed and placed[point].known for point in points):
            values, sds = report.fit.predict([f"span:{points[0]}~{points[1]}"])
            yield LengthRow(sentence_start(ROD_WORDS[name]), coordinate(float(values[0]), float(sds[0]), unit), "", "")


def _angle(figure: object) -> str:
    value, sd = getattr(figure, "value", None), getattr(figure, "sd", None)
    if value is None or sd is None or getattr(figure, "leans", True):
        return ""
    return f"{value:.1f} ± {max(2 * sd, 0.1):.1f}°".replace("-", MINUS)
