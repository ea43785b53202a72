"""Small pictures: a vehicle in the list, and the dashed vehicle of which nothing is known yet."""

from __future__ import annotations

from markupsafe import Markup

from . import drawn_words, parts
from .projection import LEFT, Window, fitted
from .scenes import whole_box
from .svg import arrow_head, circle, drawing, join, line, text
from .vehicle import Bar, Vehicle

WIDTH, HEIGHT = 112.0, 60.0
HERO_WIDTH, HERO_HEIGHT = 360.0, 196.0
RODS = ("drag_link", "tie_rod", "driveshaft", "panhard")
"""Bars that a small side view leaves out: seen end on, or none of the links."""


def thumbnail(vehicle: Vehicle) -> Markup:
    """The vehicle 112 x 60 for a list; its links as sticks, dashed while guessed. Decoration beside the name."""
    vehicle = vehicle.within(LEFT.plane)
    window = fitted(LEFT, whole_box(vehicle, LEFT), WIDTH, HEIGHT, 3, 3, 6, 8)
    floor = line("ink", (2, window.floor), (WIDTH - 2, window.floor))
    sticks = [_stick(vehicle, bar, window) for bar in vehicle.bars
              if bar.name not in RODS and vehicle.entered(bar) and parts.shown(bar, window)]
    return drawing(WIDTH, HEIGHT, floor, parts.tyres(vehicle, window), parts.rails(vehicle, window), *sticks)


def _stick(vehicle: Vehicle, bar: Bar, window: Window) -> Markup:
    ends = [window.at(spot.place) for spot in vehicle.spots_of(bar)]
    style = "ink" if vehicle.solid(bar) else "ink guess"
    return join((line(style, *ends), *(circle("inkf", end, 1.8) for end in ends)))


def empty_vehicle(vehicle: Vehicle, wheelbase_label: str) -> Markup:
    """All dashed: a typical vehicle of this size, with the rough wheelbase lit, 360 x 196. The label is the length
    typed; the question mark is added here."""
    window = fitted(LEFT, whole_box(vehicle, LEFT), HERO_WIDTH, HERO_HEIGHT, 16, 16, 10, 48)
    hubs = sorted((window.at((spot.x, spot.y, 0.0)) for spot in vehicle.wheels if spot.side > 0), key=lambda at: at[0])
    pieces = [parts.floor(window), parts.rails(vehicle, window), parts.tyres(vehicle, window)]
    for bar in vehicle.bars:
        if bar.name not in RODS and vehicle.entered(bar) and parts.shown(bar, window):
            pieces.append(parts.bar_shape(bar, vehicle, window, "own"))
            pieces += [parts.spot_mark(spot, window.at(spot.place)) for spot in vehicle.spots_of(bar)]
    if len(hubs) > 1:
        one, two, y = hubs[0][0], hubs[-1][0], window.floor + 36
        pieces += [line("ext", (x, window.floor + 3), (x, y + 5)) for x in (one, two)]
        pieces += [line("lit", (one, y), (two, y)), arrow_head("litf", (one, y), (two, y)),
                   arrow_head("litf", (two, y), (one, y)),
                   text("tl", ((one + two) / 2, y - 6), f"{wheelbase_label} ?", "middle")]
    return drawing(HERO_WIDTH, HERO_HEIGHT, *pieces, class_="d hero",
                   label=drawn_words.TYPICAL)
