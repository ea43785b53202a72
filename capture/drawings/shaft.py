"""The driveshaft from the side: both shafts' axes run on as dashed lines, so that each joint's bend can be seen."""

from __future__ import annotations

import math

from markupsafe import Markup

from . import drawn_words, parts
from .labels import Lettering
from .projection import LEFT, Box, Place, Window, fitted
from .shape import grid, scale_bar
from .svg import circle, drawing, line, text
from .vehicle import Vehicle

WIDTH, HEIGHT = 360.0, 200.0
RUN_ON = 0.45
"""How far an axis is drawn past its joint, lengths of the shaft."""


def shaft_side(vehicle: Vehicle, pinion: float | None, gearbox: float | None,
               labels: tuple[str, str] = ("", "")) -> Markup:
    """360 x 200, or nothing before both joints are in the estimate.

    pinion, gearbox: of the two axes, deg, + joint end up; None leaves one out. labels: the bend of the gearbox's and
    the pinion's joint in words.
    """
    near, far = vehicle.spots.get("driveshaft.axle"), vehicle.spots.get("driveshaft.frame")
    if near is None or far is None:
        return Markup()
    window = _window(vehicle, near.place, far.place)
    rearward = -1.0 if vehicle.worked_axle == "front" else 1.0
    reach = math.dist(near.place, far.place) * RUN_ON
    pieces = [grid(window, vehicle.unit), parts.floor(window), parts.rails(vehicle, window),
              parts.tyres(vehicle, window), parts.axles(vehicle, window)]
    pieces += [parts.bar_shape(bar, vehicle, window, "link") for bar in vehicle.bars
               if bar.name != "driveshaft" and vehicle.entered(bar) and parts.shown(bar, window)]
    pieces += [_axis(window, place, angle, ahead, reach) for place, angle, ahead in
               ((near.place, pinion, rearward), (far.place, gearbox, -rearward)) if angle is not None]
    pieces += [parts.bar_shape(bar, vehicle, window, "own") for bar in vehicle.bars if bar.name == "driveshaft"]
    lettering = Lettering(WIDTH, HEIGHT)
    for place, words in ((far.place, labels[0]), (near.place, labels[1])):
        x, y = window.at(place)
        pieces.append(circle("litf", (x, y), 3.2))
        if words:
            pieces.append(lettering.put("tl t15", words, [((x, y - 16), "middle"), ((x + 10, y - 14), None),
                                                          ((x - 10, y - 14), "end"), ((x, y + 28), "middle")], 15))
    pieces += [scale_bar(window, vehicle.unit, (8.0, HEIGHT - 12)),
               text("tq", (352, HEIGHT - 8), "front at left", "end")]
    return drawing(WIDTH, HEIGHT, *pieces,
                   label=drawn_words.SHAFT)


def _window(vehicle: Vehicle, near: Place, far: Place) -> Window:
    half = vehicle.tyre_diameter / 2
    box = Box.around([LEFT.paper(place) for place in (near, far)])
    return fitted(LEFT, Box(box.left - half, box.right + 0.7 * half, -0.05 * half, max(box.high, 2 * half) + 40),
                  WIDTH, HEIGHT, 6, 6, 10, 26)


def _axis(window: Window, joint: Place, angle: float, ahead: float, reach: float) -> Markup:
    """The line of a shaft through its joint; ahead: which way the joint end points along x."""
    x, y, z = joint
    run, rise = ahead * reach * math.cos(math.radians(angle)), reach * math.sin(math.radians(angle))
    ends = [(x + share * run, y, z + share * rise) for share in (-0.35, 1.0)]
    return line("sure dash", *map(window.at, ends))
