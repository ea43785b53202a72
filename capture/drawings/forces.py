"""Links from above with what each carries, or how long each is, lettered at it. Arrows: pulled apart or pressed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from . import drawn_words, parts
from .keep_off import drawn_bars
from .labels import Lettering, along
from .moving import window_of
from .projection import TOP_LEFT, Window
from .shape import grid, scale_bar
from .svg import Pixel, arrow_head, drawing, line, text
from .vehicle import Bar, Vehicle

WIDTH, HEIGHT = 360.0, 290.0
ARROW = 26.0


@dataclass(frozen=True)
class Lettered:
    """What is said at a link. pull: arrows apart, False: arrows together, None: none."""

    words: str
    pull: bool | None = None


def links_plan(vehicle: Vehicle, said: Mapping[str, Lettered], label: str) -> Markup:
    """360 x 290, front at left."""
    window = window_of(vehicle, (), TOP_LEFT, HEIGHT)
    pieces = [grid(window, vehicle.unit), parts.centreline(vehicle, window), parts.rails(vehicle, window),
              parts.tyres(vehicle, window), parts.axles(vehicle, window)]
    bars = [bar for bar in vehicle.bars if vehicle.entered(bar) and parts.shown(bar, window)]
    pieces += [parts.bar_shape(bar, vehicle, window, "own" if bar.name in said else "link") for bar in bars]
    told = [(said[bar.name], _ends(vehicle, window, bar)) for bar in bars if bar.name in said]
    arrows = [arrow for lettered, ends in told if lettered.pull is not None for arrow in _reaches(ends)]
    lettering = Lettering(WIDTH, HEIGHT, [*drawn_bars(vehicle, window),
                                          *(box for near, away in arrows for box in along(near, away, 5.0))])
    for lettered, ends in told:
        pieces += _arrows(ends, lettered.pull)
        pieces.append(lettering.put("t12 tb1", lettered.words, _places(ends)))
    pieces += [scale_bar(window, vehicle.unit, (8.0, HEIGHT - 12)),
               text("tq", (352, HEIGHT - 8), drawn_words.FRONT_AT_LEFT, "end")]
    return drawing(WIDTH, HEIGHT, *pieces, label=label)


def _places(ends: tuple[Pixel, Pixel]) -> list[tuple[Pixel, str | None]]:
    """Beside the middle of a link, above or below it, or further along."""
    (x0, y0), (x1, y1) = ends
    places: list[tuple[Pixel, str | None]] = []
    for share in (0.5, 0.3, 0.7, 0.15, 0.85):
        x, y = x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
        if abs(y1 - y0) > abs(x1 - x0):
            places += [((x + 10, y + 4), None), ((x - 10, y + 4), "end")]
        else:
            places += [((x, y - 11), "middle"), ((x, y + 20), "middle")]
    return places


def _ends(vehicle: Vehicle, window: Window, bar: Bar) -> tuple[Pixel, Pixel]:
    spots = vehicle.spots_of(bar)
    return window.at(spots[0].place), window.at(spots[-1].place)


def _reaches(ends: tuple[Pixel, Pixel]) -> list[tuple[Pixel, Pixel]]:
    """Where the arrows of a link lie beyond its two ends: the near point and the far one of each."""
    found = []
    for end, other in (ends, ends[::-1]):
        far = math.dist(end, other) or 1.0
        out = ((end[0] - other[0]) / far, (end[1] - other[1]) / far)
        near, away = ((end[0] + out[0] * d, end[1] + out[1] * d) for d in (9.0, 9.0 + ARROW))
        found.append((near, away))
    return found


def _arrows(ends: tuple[Pixel, Pixel], pull: bool | None) -> list[Markup]:
    """At both ends: pulled, arrows point away from the middle; pressed, towards it."""
    if pull is None:
        return []
    pieces = []
    for near, away in _reaches(ends):
        tip, tail = (away, near) if pull else (near, away)
        pieces += [line("lit", tail, tip), arrow_head("litf", tip, tail, 10, 8)]
    return pieces
