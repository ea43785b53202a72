"""How the axle steers as the body leans, seen from above: the links, and the axle turned about its own middle."""

from __future__ import annotations

import math

from markupsafe import Markup

from . import drawn_words, parts
from .moving import window_of
from .projection import TOP_LEFT, Place, Window
from .shape import grid, scale_bar
from .svg import arrow_head, drawing, line, text
from .vehicle import Vehicle

WIDTH, HEIGHT = 360.0, 270.0
SIZES = (200, 100, 50, 20, 10, 5, 2, 1)
MOST_DRAWN = 11.0
"""A turn is drawn as large as one of SIZES makes it without passing this, deg."""


def larger(turn: float) -> int:
    """How many times larger a turn, deg, is drawn."""
    return next((size for size in SIZES if abs(turn) * size <= MOST_DRAWN), 1)


def roll_steer_plan(vehicle: Vehicle, turn: float, label: str) -> Markup:
    """360 x 270. turn: of the axle to the left for one degree of lean to the right, deg; label: the same in words."""
    window = window_of(vehicle, (), TOP_LEFT, HEIGHT)
    drawn = turn * larger(turn)
    ends = [vehicle.spot(f"wheel_{side}.centre") for side in ("left", "right")]
    pieces = [grid(window, vehicle.unit), parts.centreline(vehicle, window), parts.rails(vehicle, window),
              parts.tyres(vehicle, window), parts.axles(vehicle, window), parts.bars(vehicle, window)]
    if all(ends):
        pieces += _turned_axle(window, [turned(end.place, drawn) for end in ends if end], [e.place for e in ends if e])
    pieces += [scale_bar(window, vehicle.unit, (8.0, HEIGHT - 12)),
               text("tq", (352, HEIGHT - 8), drawn_words.FRONT_AT_LEFT, "end")]
    return drawing(WIDTH, HEIGHT, *pieces, label=drawn_words.steering(label))


def turned(place: Place, degrees: float) -> Place:
    """A place turned to the left about the axle's middle."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return place[0] * c - place[1] * s, place[0] * s + place[1] * c, place[2]


def _turned_axle(window: Window, now: list[Place], rest: list[Place]) -> list[Markup]:
    left, right = map(window.at, now)
    pieces = [line("lit", left, right)]
    for to, start in zip((left, right), map(window.at, rest), strict=True):
        if math.dist(to, start) > 9:
            pieces += [line("lit thin", start, to), arrow_head("litf", to, start)]
    return pieces
