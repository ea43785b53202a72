"""From a report to its drawings: the one place where the screens meet `capture.drawings`."""

from __future__ import annotations

from collections.abc import Callable

from geometry.readings import parse_name
from markupsafe import Markup

from capture.drawings.board import shape_board
from capture.drawings.shape import shape_view
from capture.drawings.thumbnail import thumbnail as draw_thumbnail
from capture.drawings.vehicle import MEASURED, Vehicle, vehicle_of
from capture.lengths import say_with_spread
from capture.report import Report

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
