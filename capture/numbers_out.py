"""Numbers to take away: points and lines as tables (CSV), and the views as drawings (SVG) one to one in mm.

All in the vehicle frame: x ahead of the worked axle's centre, y to the left, z above the floor. A ± is two sds.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from geometry.layouts import LAYOUTS
from geometry.points import point_named
from markupsafe import Markup

from capture import table_words
from capture.drawings.projection import FRONT, LEFT, REAR, TOP_LEFT, Box, View
from capture.drawings.svg import element, number
from capture.json_text import plain
from capture.report import Report

VIEWS = ("side", "top", "end")
MARGIN = 120.0
"""Around the drawing, mm: room for words and the axes."""
DISC, LETTER = 6.0, 22.0
INK, QUIET = "#1D2428", "#5B6468"
POINT_COLUMNS = (
    "point", "words", "x (mm)", "y (mm)", "z (mm)", "± x (mm)", "± y (mm)", "± z (mm)", "known", "readings",
)  # fmt: skip
LINE_COLUMNS = (
    "link", "words", "from", "to", "length (mm)", "± length (mm)", "incline (deg)", "± incline (deg)",
    "in plan (deg)", "± in plan (deg)",
)  # fmt: skip


def points_table(report: Report) -> str:
    """Every point of the fit, a line each."""
    vehicle = report.vehicle
    rows = []
    for point in report.fit.placed().values():
        words = point_named(point.name, vehicle.layout, vehicle.worked_axle).words
        places = [_mm(value) for value in (point.x, point.y, point.z)]
        spreads = [_mm(2 * sd) for sd in point.sd]
        rows.append((point.name, words, *places, *spreads, "yes" if point.known else "guessed", point.takes))
    return _table(POINT_COLUMNS, rows)


def lines_table(report: Report) -> str:
    """Every link with its length and angles, a line each; an arm ends in the middle of its two axle joints."""
    figures = report.sheet.figures
    rows = []
    for link in LAYOUTS[report.vehicle.layout].links:
        told = [figures[f"{key}.{link.name}"] for key in ("link_length", "link_incline", "link_plan")]
        numbers = [_mm(part) for each in told for part in (each.value, None if each.sd is None else 2 * each.sd)]
        rows.append((link.name, link.words, " and ".join(link.axle), link.frame, *numbers))
    return _table(LINE_COLUMNS, rows)


def _table(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def _mm(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


# Drawings.


def view_of(report: Report, name: str) -> View:
    """The view called "side", "top" or "end" (from the front, or from behind for a rear axle)."""
    end = FRONT if report.vehicle.worked_axle == "front" else REAR
    return {"side": LEFT, "top": TOP_LEFT, "end": end}[name]


def drawing(report: Report, name: str) -> str:
    """One view as an SVG file, one to one: a mm of the drawing is a mm of the vehicle."""
    view = view_of(report, name)
    placed = report.fit.placed()
    at = {point.name: view.paper((point.x, point.y, point.z)) for point in placed.values()}
    box = Box.around([*at.values(), (0.0, 0.0)])
    left, top = box.left - MARGIN, -box.high - MARGIN
    width, height = box.width + 2 * MARGIN, box.height + 2 * MARGIN
    lines = [_line(at[end], at[link.frame], INK, 4.0) for link in LAYOUTS[report.vehicle.layout].links
             for end in link.axle]  # fmt: skip
    floor = [_line((box.left - 60.0, 0.0), (box.right + 60.0, 0.0), QUIET, 1.0)] if view.upright else []
    name = report.vehicle.name
    title = table_words.one_to_one(plain(name, len(name)), view.words)  # XML has no place for most unprintable signs
    corner = (box.left - MARGIN + 20.0, box.high + MARGIN - 30.0)
    discs = [_point(name, at[name], placed[name].known) for name in at]
    return str(
        element(
            "svg",
            element("title", title),
            *floor, *_axes(view), *lines, *discs, _words(corner, title),
            xmlns="http://www.w3.org/2000/svg", width=f"{number(width)}mm", height=f"{number(height)}mm",
            viewBox=" ".join(number(value) for value in (left, top, width, height)),
            font_family="sans-serif",
        )
    )


def _line(start: tuple[float, float], end: tuple[float, float], colour: str, width: float) -> Markup:
    return element("line", x1=start[0], y1=-start[1], x2=end[0], y2=-end[1], stroke=colour, stroke_width=width)


def _point(name: str, at: tuple[float, float], known: bool) -> Markup:
    """A disc where it is known, a dashed ring where it is guessed in some direction; its name beside it."""
    dash = None if known else "4 3"
    disc = element("circle", cx=at[0], cy=-at[1], r=DISC, fill=INK if known else "none", stroke=INK,
                   stroke_width=1.5, stroke_dasharray=dash)  # fmt: skip
    return element("g", disc, _words((at[0] + 2 * DISC, at[1] + DISC), name), id=name)


def _words(at: tuple[float, float], said: str) -> Markup:
    return element("text", said, x=at[0], y=-at[1], font_size=LETTER, fill=QUIET)


def _axes(view: View) -> list[Markup]:
    """100 mm along each axis of the vehicle frame that this view shows, from the worked axle's centre on the floor."""
    found = []
    for name, way in (("x", (100.0, 0.0, 0.0)), ("y", (0.0, 100.0, 0.0)), ("z", (0.0, 0.0, 100.0))):
        tip = view.paper(way)
        if tip != (0.0, 0.0):
            found += [_line((0.0, 0.0), tip, QUIET, 2.0), _words(tip, f"{name} 100")]
    return found
