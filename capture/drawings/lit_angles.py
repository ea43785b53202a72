"""Lit angles: a link, a shaft, a steering axis, the floor itself, each against level or plumb."""

from __future__ import annotations

import math

from markupsafe import Markup

from .lit import Lit, Reach, Step, lit_point, on_floor, own_bars, spots_of, value
from .projection import Place, Window
from .svg import Pixel, circle, element, join, line, number, path
from .vehicle import Vehicle

CASTER_REACH = 1.9
"""How far a steering axis is drawn, of the distance between its ends: a small angle is seen on long legs."""


def incline(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    spots = spots_of(vehicle, step)[:2]
    one, two = (window.at(spot.place) for spot in spots)
    under = line("glow", one, two)
    over = join((own_bars(vehicle, window, step.points), angle(one, two, window), lit_point(one),
                 circle("litf", two, 3.4)))
    return Lit(under, over)


def angle(one: Pixel, two: Pixel, window: Window) -> Markup:
    """The angle at `one` between the level line and the line to `two`, with its arc and the value's place."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    far = math.hypot(dx, dy) or 1.0
    sign = 1 if dx >= 0 else -1
    radius = min(far * 0.72, 170.0)
    start = (one[0] + sign * radius, one[1])
    end = (one[0] + dx / far * radius, one[1] + dy / far * radius)
    turn = 0 if (dy < 0) == (sign > 0) else 1
    arc = path("lit", f"M{number(start[0])} {number(start[1])}A{number(radius)} {number(radius)} 0 0 {turn} "
                      f"{number(end[0])} {number(end[1])}")
    level_to = min(max(one[0] + sign * (radius + 26), 4.0), window.width - 4)
    below = dy <= 0
    at_x = min(max(start[0] - sign * 4, 34.0), window.width - 40)
    at_y = one[1] + 22 if below else one[1] - 10
    if at_y > window.height - 4:
        at_y = min(one[1], end[1]) - 24
    return join((line("plumb", one, (level_to, one[1])), line("lit", one, two), arc, value((at_x, at_y), "middle")))


def shaft_places(vehicle: Vehicle, step: Step) -> tuple[Place, Place]:
    """Where a shaft's axis is drawn: from inside its housing to its joint; its angle is only now being asked."""
    front = vehicle.worked_axle == "front"
    pinion = step.subject != "gearbox_output"
    spot = vehicle.spot("driveshaft.axle" if pinion else "driveshaft.frame")
    hub = vehicle.spot("axle.centre")
    joint = spot.place if spot else (-220.0 if front else 220.0, 0.0, vehicle.loaded_radius)
    inward = -1.0 if front else 1.0
    if pinion:
        return (hub.x if hub else 0.0, joint[1], hub.z if hub else vehicle.loaded_radius), joint
    return (joint[0] + inward * 240.0, joint[1], joint[2] + 14.0), joint


def shaft_reach(vehicle: Vehicle, step: Step) -> Reach:
    ends = shaft_places(vehicle, step)
    return Reach(ends, None)


def shaft(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    root, joint = (window.at(place) for place in shaft_places(vehicle, step))
    stretch = 1.9
    beyond = (root[0] + (joint[0] - root[0]) * stretch, root[1] + (joint[1] - root[1]) * stretch)
    over = join((own_bars(vehicle, window, ("driveshaft.axle",)), angle(root, beyond, window), lit_point(joint)))
    return Lit(line("glow", root, beyond), over)


def caster_axis(vehicle: Vehicle, step: Step) -> tuple[Place, Place]:
    """Bottom and top of the steering axis; where its points are not known, a usual lean through the wheel's centre."""
    side = "right" if step.subject == "right" else "left"
    low, top = (vehicle.spot(f"kingpin_{side}.{end}") for end in ("bottom", "top"))
    if low is not None and top is not None:
        return low.place, top.place
    hub = vehicle.spot(f"wheel_{side}.centre")
    x, y, z = hub.place if hub else (0.0, 0.0, vehicle.loaded_radius)
    return (x + 12.0, y, z - 105.0), (x - 12.0, y, z + 105.0)


def caster_reach(vehicle: Vehicle, step: Step) -> Reach:
    low, top = caster_axis(vehicle, step)
    return Reach((low, between(low, top, CASTER_REACH)), None)


def between(one: Place, two: Place, share: float) -> Place:
    """From one towards two, `share` of the way; beyond two where it is more than 1."""
    x, y, z = (a + (b - a) * share for a, b in zip(one, two, strict=True))
    return x, y, z


def caster(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    low, top = (window.at(place) for place in caster_axis(vehicle, step))
    dx, dy = top[0] - low[0], top[1] - low[1]
    far = math.hypot(dx, dy) or 1.0
    radius = far * CASTER_REACH
    end = (low[0] + dx / far * radius, low[1] + dy / far * radius)
    straight = (low[0], low[1] - radius)
    turn = 1 if dx > 0 else 0
    arc = path("lit", f"M{number(straight[0])} {number(straight[1])}A{number(radius)} {number(radius)} 0 0 {turn} "
                      f"{number(end[0])} {number(end[1])}")
    right = dx >= 0
    at = (max(straight[0], end[0]) + 9, straight[1] + 12) if right else (min(straight[0], end[0]) - 9, straight[1] + 12)
    over = join((line("plumb", low, straight), line("lit", low, end), arc, circle("litf", low, 3.4),
                 circle("litf", top, 3.4), value(at, None if right else "end")))
    return Lit(line("glow", low, end), over)


def floor_slope_reach(vehicle: Vehicle, step: Step) -> Reach:
    if step.subject == "across":
        return Reach((*_both_feet(vehicle),), None)
    hubs = [on_floor(spot.place) for spot in vehicle.wheels if spot.side > 0] or [(0.0, 0.0, 0.0)]
    return Reach(tuple(hubs), None)


def _both_feet(vehicle: Vehicle) -> list[Place]:
    return [on_floor(spot.place) for spot in vehicle.wheels if spot.name.startswith("wheel")] or [(0.0, 0.0, 0.0)]


def floor_slope(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    feet = sorted(window.at(place) for place in floor_slope_reach(vehicle, step).needs)
    one, two = feet[0], feet[-1]
    middle, y = (one[0] + two[0]) / 2, window.floor
    gauge = join((element("rect", class_="own", x=middle - 46, y=y - 13.0, width=92.0, height=12.0, rx=2.0),
                  element("rect", class_="litf", x=middle - 9, y=y - 10.0, width=18.0, height=6.0, rx=3.0)))
    over = join((line("lit", one, two), gauge, value((middle, y - 22), "middle")))
    return Lit(line("glow", one, two), over)
