"""One reading as the drawings see it, and the pieces every lit dimension is put together from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from markupsafe import Markup

from .parts import bar_shape, spot_mark
from .projection import Place, Window
from .svg import Pixel, arrow_head, circle, join, line, number, path, text
from .vehicle import Spot, Vehicle

VALUE_ROOM = 78.0
"""px kept free beside a vertical dimension for the typed value."""


@dataclass(frozen=True)
class Step:
    """One reading as the drawings see it. words: what is read, for a screen reader."""

    reading: str
    shape: str
    view: str
    points: tuple[str, ...]
    words: str
    subject: str = ""


@dataclass(frozen=True)
class Lit:
    """Below the vehicle and above it."""

    under: Markup
    over: Markup


@dataclass(frozen=True)
class Reach:
    """needs: places that must be in the window. asked: the two ends of the dimension, None where it has no length."""

    needs: tuple[Place, ...]
    asked: tuple[Place, Place] | None


def spots_of(vehicle: Vehicle, step: Step) -> tuple[Spot, ...]:
    return tuple(spot for spot in map(vehicle.spot, step.points) if spot is not None)


def on_floor(place: Place) -> Place:
    return place[0], place[1], 0.0


# ---- pieces ----


def value(at: Pixel, anchor: str | None = None) -> Markup:
    """The empty place the typed value is written into, digit by digit."""
    return text("tl", at, "", anchor, data_typed=True)


def dimension(one: Pixel, two: Pixel) -> Markup:
    """The lit line with a head at each end; heads shrink when they would meet."""
    far = math.dist(one, two)
    if far < 3:
        return Markup()
    head = min(9.0, far * 0.4)
    return join((line("lit", one, two), arrow_head("litf", one, two, head, head * 0.71),
                 arrow_head("litf", two, one, head, head * 0.71)))


def upright(window: Window, x: float, top: float, low: float, away: int) -> Markup:
    """A vertical dimension at x with the value beside it, on the side `away` where there is room."""
    if not VALUE_ROOM < x < window.width - VALUE_ROOM:
        away = 1 if x <= VALUE_ROOM else -1
    middle = min(max((top + low) / 2 + 6, 18.0), window.height - 8)
    return join((dimension((x, top), (x, low)), value((x + away * 9, middle), None if away > 0 else "end")))


def level(window: Window, y: float, one: float, two: float) -> Markup:
    """A horizontal dimension at y with the value above it, or before it where it is too short to carry the value."""
    left, right = sorted((one, two))
    if right - left < VALUE_ROOM and left > VALUE_ROOM + 14:
        return join((dimension((one, y), (two, y)), value((left - 14, y + 6), "end")))
    middle = min(max((one + two) / 2, VALUE_ROOM / 2), window.width - VALUE_ROOM / 2)
    return join((dimension((one, y), (two, y)), value((middle, y - 8), "middle")))


def lit_point(at: Pixel) -> Markup:
    return circle("glowf", at, 7) + circle("litf", at, 4.6)


def floor_cross(at: Pixel) -> Markup:
    """A plumb mark chalked on the floor, seen from above."""
    x, y = at
    return path("lit thin", f"M{number(x - 5)} {number(y - 5)}l10 10m0-10l-10 10")


def plumb(top: Pixel, foot: Pixel) -> Markup:
    return line("plumb", top, (foot[0], max(foot[1] - 2, top[1])))


def own_bars(vehicle: Vehicle, window: Window, names: tuple[str, ...]) -> Markup:
    """The bars the asked points belong to, redrawn in ink."""
    bars = vehicle.bars_at(names)
    dots = (spot_mark(spot, window.at(spot.place)) for bar in bars for spot in vehicle.spots_of(bar))
    return join((*(bar_shape(bar, vehicle, window, "own") for bar in bars), *dots))


def far_end(vehicle: Vehicle, window: Window, spot: Spot) -> float:
    """How far to the right of the point (px) the rest of its bar lies; 0 where it stands alone."""
    for bar in vehicle.bars_at((spot.name,)):
        ends = [window.at(other.place)[0] for other in vehicle.spots_of(bar)]
        if len(ends) > 1:
            return sum(ends) / len(ends) - window.at(spot.place)[0]
    return 0.0
