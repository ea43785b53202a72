"""Which way and how far something is turned, seen from an end: a tube's hexagon, or a joint off its bolt."""

from __future__ import annotations

import math

from markupsafe import Markup

from .svg import Pixel, arrow_head, circle, drawing, join, line, path, text, through

WIDTH, HEIGHT = 336.0, 200.0
CENTRE = (168.0, 104.0)
ROUND = 46.0
"""px from the middle to a flat."""
ARC = 72.0
STEP = 5.0
"""deg between the points of the arc."""
MOST_DRAWN = 330.0
"""deg: a whole turn and more is drawn as this much of one, and its number is written beside it."""


def turning_drawing(whole: int, flats: int, clockwise: bool, hexagon: bool, label: str, count: str) -> Markup:
    """hexagon: a tube, else a joint's eye. count: the turns in words, written under the arrow."""
    sense = 1.0 if clockwise else -1.0
    angle = sense * (60.0 * flats if not whole else MOST_DRAWN)
    body = _hexagon(sense * 60.0 * flats) if hexagon else _joint()
    pieces = [path("cl", f"M{CENTRE[0] - 92} {CENTRE[1]}h184M{CENTRE[0]} {CENTRE[1] - 88}v176"), body]
    if angle:
        arc = [_at(ARC, sense * part) for part in _steps(abs(angle))]
        pieces += [line("lit", *arc[:-2]), arrow_head("litf", arc[-1], arc[-3], 15.0, 12.0)]
    pieces.append(text("tl", (CENTRE[0], HEIGHT - 3), count, "middle"))
    return drawing(WIDTH, HEIGHT + 6, *pieces, label=label, class_="d turnd")


def _steps(angle: float) -> list[float]:
    count = max(int(angle / STEP), 3)
    return [angle * part / count for part in range(count + 1)]


def _at(radius: float, degrees: float) -> Pixel:
    """A place on a circle, clockwise from the top."""
    turned = math.radians(degrees)
    return CENTRE[0] + radius * math.sin(turned), CENTRE[1] - radius * math.cos(turned)


def _hexagon(turned: float) -> Markup:
    """The hexagon with the bore of its thread; a ring on the flat that is marked, a disc where that flat comes to."""
    corners = [_at(ROUND / math.cos(math.pi / 6), 30.0 + 60.0 * corner) for corner in range(6)]
    marks = [circle("ringk", _at(ROUND - 9, 0.0), 5.0)]
    if turned % 360.0:
        marks.append(circle("litf", _at(ROUND - 9, turned), 5.0))
    outline = path("own", through(corners) + "Z")
    return join((outline, circle("ring", CENTRE, 22.0), circle("dim", CENTRE, 19.0), *marks))


def _joint() -> Markup:
    """A joint's eye seen along its shank: a bar with the bore across it."""
    x, y = CENTRE
    return join((
        path("own", f"M{x - 15} {y - 44}h30v88h-30Z"),
        path("ghost", f"M{x - 15} {y - 17}h30M{x - 15} {y + 17}h30"),
        circle("ring", CENTRE, 9.0),
        circle("ringk", (x, y - 33), 5.0),
    ))
