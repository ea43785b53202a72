"""What is lit for one reading: the dimension with its arrows, the plumb line, the lit points, the place of the value.

Each shape says three things of a step: which places must be seen, between which two places the asked dimension runs
(so that a window can be chosen), and how it is drawn in that window. Glow goes below the vehicle, the rest above.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from geometry.readings import describe, parse_name
from markupsafe import Markup

from .parts import bar_shape, spot_mark
from .projection import LEFT, RIGHT, Place, View, Window
from .svg import Pixel, arrow_head, circle, element, join, line, number, path, text
from .vehicle import GUESSED, Spot, Vehicle

TYRE_HALF_WIDTH = 0.18
"""Of its diameter, as drawn."""
CASTER_REACH = 1.9
"""How far a steering axis is drawn, of the distance between its ends: a small angle is seen on long legs."""
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


    @property
    def lights(self) -> Shape:
        """The shape it is drawn with: an incline between no points is a shaft's; an unknown one shows the vehicle."""
        if self.shape == "incline" and not self.points:
            return SHAPES["shaft"]
        return SHAPES.get(self.shape, SHAPES["none"])


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


def step_of(reading: str, layout: str, worked_axle: str) -> Step:
    """The step for a reading's name, with the kind's own view, shape and words. Errors: geometry's BadName."""
    name = parse_name(reading, layout, worked_axle)
    told = describe(name)
    return Step(reading, name.kind.shape, told.view, name.points, told.short, name.subject)


def spots_of(vehicle: Vehicle, step: Step) -> tuple[Spot, ...]:
    return tuple(spot for spot in map(vehicle.spot, step.points) if spot is not None)


def on_floor(place: Place) -> Place:
    return place[0], place[1], 0.0


# ---- the pieces every shape is put together from ----


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


# ---- the shapes ----


def height_reach(vehicle: Vehicle, step: Step) -> Reach:
    place = spots_of(vehicle, step)[0].place
    return Reach((place, on_floor(place)), (place, on_floor(place)))


def height(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    spot = spots_of(vehicle, step)[0]
    x, y = window.at(spot.place)
    foot = window.floor
    away = -1 if far_end(vehicle, window, spot) > 1 else 1
    if not VALUE_ROOM < x + away * 34 < window.width - VALUE_ROOM:
        away = 1 if x < window.width / 2 else -1
    out = x + away * 34
    over = join((own_bars(vehicle, window, step.points), plumb((x, y), (x, foot)),
                 line("ext", (x + away * 7, y), (out + away * 7, y)), upright(window, out, y, foot, away),
                 lit_point((x, y))))
    return Lit(line("glow", (x, y), (x, foot)), over)


def fore_aft_reach(vehicle: Vehicle, step: Step) -> Reach:
    place = spots_of(vehicle, step)[0].place
    cross = (vehicle.cross_line, place[1], 0.0)
    return Reach((place, on_floor(place), cross), (on_floor(place), cross))


def fore_aft(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    spot = spots_of(vehicle, step)[0]
    x, y = window.at(spot.place)
    foot = window.floor
    cross = window.at((vehicle.cross_line, spot.y, 0.0))[0]
    outer = 1 if cross >= x else -1
    room = window.width - cross if outer > 0 else cross
    side, raised = (outer, 0.0) if room > 64 else (-outer, 16.0)
    label = text("tq", (cross + 5 * side, foot - 32 - raised), "cross line", None if side > 0 else "end")
    over = join((own_bars(vehicle, window, step.points), plumb((x, y), (x, foot)),
                 line("ext", (cross, foot - 44 - raised), (cross, foot)), label, level(window, foot - 13, x, cross),
                 circle("litf", (cross, foot), 2.6), lit_point((x, y))))
    return Lit(line("glow", (x, y), (x, foot)), over)


def lateral_reach(vehicle: Vehicle, step: Step) -> Reach:
    place = spots_of(vehicle, step)[0].place
    middle = (place[0], 0.0, place[2])
    return Reach((place, middle), (place, middle))


def lateral(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    spot = spots_of(vehicle, step)[0]
    x, y = window.at(spot.place)
    middle = window.at((spot.x, 0.0, spot.z))[1]
    away = -1 if far_end(vehicle, window, spot) > 1 else 1
    if not VALUE_ROOM < x + away * 34 < window.width - VALUE_ROOM:
        away = 1 if x < window.width / 2 else -1
    out = x + away * 34
    words = text("tq", (6, middle - 6), "centreline") if out > window.width / 2 else \
        text("tq", (window.width - 6, middle - 6), "centreline", "end")
    over = join((own_bars(vehicle, window, step.points), line("ext", (x + away * 7, y), (out + away * 7, y)),
                 line("ext", (out - away * 12, middle), (out + away * 7, middle)), words,
                 upright(window, out, *sorted((y, middle)), away), floor_cross((x, y)), lit_point((x, y))))
    return Lit(circle("glowf", (x, y), 13), over)


def pair_reach(vehicle: Vehicle, step: Step) -> Reach:
    one, two = (spot.place for spot in spots_of(vehicle, step)[:2])
    return Reach((one, two), (one, two))


def span(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    ends = [window.at(spot.place) for spot in spots_of(vehicle, step)[:2]]
    over = join((own_bars(vehicle, window, step.points), _beside(vehicle, window, ends[0], ends[1]),
                 *(lit_point(end) for end in ends)))
    return Lit(line("glow", *ends), over)


def floor_span(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    spots = spots_of(vehicle, step)[:2]
    ends = [window.at(on_floor(spot.place)) for spot in spots]
    over = join((own_bars(vehicle, window, step.points), _beside(vehicle, window, ends[0], ends[1], 0.0),
                 *(floor_cross(end) for end in ends)))
    return Lit(join(circle("glowf", end, 13) for end in ends), over)


def _beside(vehicle: Vehicle, window: Window, one: Pixel, two: Pixel, offset: float = 26.0) -> Markup:
    """A dimension along the line from one to two, drawn beside it on the emptier side."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    far = math.hypot(dx, dy) or 1.0
    nx, ny = -dy / far, dx / far
    if _crowd(vehicle, window, one, two, (nx, ny)) > _crowd(vehicle, window, one, two, (-nx, -ny)):
        nx, ny = -nx, -ny
    a, b = ((p[0] + nx * offset, p[1] + ny * offset) for p in (one, two))
    pieces = [dimension(a, b)]
    if offset:
        pieces += [line("ext", (p[0] + nx * 7, p[1] + ny * 7), (p[0] + nx * (offset + 7), p[1] + ny * (offset + 7)))
                   for p in (one, two)]
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    steep = abs(nx) > 0.5
    anchor = ("end" if nx < 0 else None) if steep else "middle"
    at = (middle[0] + nx * 9, middle[1] + 6) if steep else (middle[0] + nx * 9, middle[1] + (-8 if ny < 0 else 20))
    room = window.width - VALUE_ROOM if anchor is None else window.width - (0 if anchor == "end" else VALUE_ROOM / 2)
    least = 6 if anchor is None else VALUE_ROOM if anchor == "end" else VALUE_ROOM / 2
    pieces.append(value((min(max(at[0], least), room), min(max(at[1], 18.0), window.height - 6)), anchor))
    return join(pieces)


def _crowd(vehicle: Vehicle, window: Window, one: Pixel, two: Pixel, normal: Pixel) -> float:
    """How many points lie near a dimension drawn 40 px out on that side; leaving the window counts much."""
    middle = ((one[0] + two[0]) / 2 + normal[0] * 44, (one[1] + two[1]) / 2 + normal[1] * 44)
    outside = sum(max(0.0, 12 - edge) for edge in (middle[0], middle[1], window.width - middle[0],
                                                   window.height - middle[1]))
    if window.view.upright:
        outside += max(0.0, middle[1] - (window.floor - 4)) * 0.5
    near = 0.0
    for spot in vehicle.spots.values():
        far = math.dist(window.at(spot.place), middle)
        near += max(0.0, 60 - far) / 60
    return near + outside


def across(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    ends = [window.at(spot.place) for spot in spots_of(vehicle, step)[:2]]
    under = join(circle("glowf", end, 13) for end in ends)
    if window.view.upright:
        y = min(end[1] for end in ends) - 24
        y = y if y > 26 else max(end[1] for end in ends) + 30
        lines = [line("ext", (x, yy + (-7 if y < yy else 7)), (x, y + (-7 if y < yy else 7))) for x, yy in ends]
        drawn = level(window, y, ends[0][0], ends[1][0])
    else:
        rightmost, leftmost = max(end[0] for end in ends), min(end[0] for end in ends)
        away = 1 if rightmost + 34 + VALUE_ROOM < window.width else -1
        out = rightmost + 34 if away > 0 else leftmost - 34
        lines = [line("ext", (x + away * 7, y), (out + away * 7, y)) for x, y in ends]
        drawn = upright(window, out, *sorted(end[1] for end in ends), away)
    over = join((own_bars(vehicle, window, step.points), *lines, drawn, *(lit_point(end) for end in ends)))
    return Lit(under, over)


def rise(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    ends = [window.at(spot.place) for spot in spots_of(vehicle, step)[:2]]
    right, left = max(end[0] for end in ends), min(end[0] for end in ends)
    places = ((right + 34, 1), (left - 34, -1), ((left + right) / 2, 1))
    out, away = next((at for at in places if VALUE_ROOM < at[0] < window.width - VALUE_ROOM), places[2])
    lines = [line("plumb", (x + math.copysign(7, out - x), y), (out + math.copysign(8, out - x), y)) for x, y in ends]
    top, low = sorted(end[1] for end in ends)
    inside = dimension((out, top), (out, low)) + value((out, top - 10), "middle")
    drawn = inside if left < out < right else upright(window, out, top, low, away)
    over = join((own_bars(vehicle, window, step.points), *lines, drawn, *(lit_point(end) for end in ends)))
    return Lit(join(circle("glowf", end, 13) for end in ends), over)


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


def wheelbase_hubs(vehicle: Vehicle, step: Step) -> tuple[Place, ...]:
    side = "right" if step.subject == "right" else "left"
    return tuple(spot.place for spot in map(vehicle.spot, (f"wheel_{side}.centre", f"other_{side}.centre")) if spot)


def wheelbase_reach(vehicle: Vehicle, step: Step) -> Reach:
    hubs = wheelbase_hubs(vehicle, step)
    return Reach((*hubs, *map(on_floor, hubs)), (hubs[0], hubs[-1]) if len(hubs) > 1 else None)


def wheelbase(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    hubs = [window.at(place) for place in wheelbase_hubs(vehicle, step)]
    y = min(window.floor + 30, window.height - 6)
    over = join((*(line("ext", (x, window.floor + 3), (x, y + 5)) for x, _ in hubs),
                 *(plumb(hub, (hub[0], window.floor)) for hub in hubs),
                 level(window, y, hubs[0][0], hubs[-1][0]), *(lit_point(hub) for hub in hubs)))
    return Lit(join(line("glow", hub, (hub[0], window.floor)) for hub in hubs), over)


def _tyre_of(vehicle: Vehicle) -> Place:
    hub = vehicle.spot("wheel_left.centre")
    return hub.place if hub else (0.0, 0.0, vehicle.loaded_radius)


def tyre_reach(vehicle: Vehicle, step: Step) -> Reach:
    x, y, z = _tyre_of(vehicle)
    half = vehicle.tyre_diameter / 2
    return Reach(((x - half, y, 0.0), (x + half, y, z + half)), ((x - half, y, z), (x + half, y, z)))


def diameter(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    x, y = window.at(_tyre_of(vehicle))
    radius = vehicle.tyre_diameter / 2 * window.scale
    over = join((circle("own bare", (x, y), radius), level(window, y, x - radius, x + radius)))
    return Lit(line("glow", (x - radius, y), (x + radius, y)), over)


def circumference(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    x, y = window.at(_tyre_of(vehicle))
    radius = vehicle.tyre_diameter / 2 * window.scale
    over = join((circle("lit", (x, y), radius), arrow_head("litf", (x + 2, y - radius), (x - 7, y - radius + 0.6)),
                 value((x, y + 6), "middle")))
    return Lit(circle("glow", (x, y), radius), over)


def weighed_hubs(vehicle: Vehicle, step: Step) -> tuple[Spot, ...]:
    """The wheels a weight stands on: a corner's, an axle's, or all four."""
    axle, _, side = step.subject.partition("_")
    stems = {"wheel": vehicle.worked_axle, "other": "rear" if vehicle.worked_axle == "front" else "front"}
    return tuple(spot for spot in vehicle.wheels
                 if axle in ("total", stems[spot.name.split("_")[0]]) and (not side or f"_{side}." in spot.name))


def weight_reach(vehicle: Vehicle, step: Step) -> Reach:
    return Reach(tuple(spot.place for spot in weighed_hubs(vehicle, step)) or ((0.0, 0.0, 0.0),), None)


def weight(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    hubs = [window.at(spot.place) for spot in weighed_hubs(vehicle, step)]
    tyre = vehicle.tyre_diameter * window.scale
    long, wide = tyre / 2 + 4, tyre * TYRE_HALF_WIDTH + 4
    pads = [(x - long, y - wide) for x, y in hubs]
    under = join(element("rect", class_="glowf", x=x, y=y, width=2 * long, height=2 * wide, rx=6.0) for x, y in pads)
    over = [element("rect", class_="lit", x=x, y=y, width=2 * long, height=2 * wide, rx=6.0) for x, y in pads]
    if hubs:
        x = sum(hub[0] for hub in hubs) / len(hubs)
        y = sum(hub[1] for hub in hubs) / len(hubs)
        inside = window.height / 2 + (y - window.height / 2) * 0.42
        over.append(value((min(max(x, 44.0), window.width - 44), inside + 6), "middle"))
    return Lit(under, join(over))


def travel_reach(vehicle: Vehicle, step: Step) -> Reach:
    x, y, z = _tyre_of(vehicle)
    move = 100.0 if step.subject == "bump" else -100.0
    top = (x, y, z + vehicle.tyre_diameter / 2)
    return Reach(((x, y, 0.0), (x, y, z + move), top), ((x, y, z), (x, y, z + move)))


def travel(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    reach = travel_reach(vehicle, step)
    assert reach.asked is not None
    one, two = (window.at(place) for place in reach.asked)
    radius = vehicle.tyre_diameter / 2 * window.scale
    out = one[0] + radius + 16
    over = join((circle("ghost", two, radius), *(line("ext", (one[0] + 7, y), (out + 7, y)) for y in (one[1], two[1])),
                 line("lit", (out, one[1]), (out, two[1])), arrow_head("litf", (out, two[1]), (out, one[1])),
                 value((out + 9, (one[1] + two[1]) / 2 + 6)), lit_point(one), circle("ring", two, 3.4)))
    return Lit(line("glow", one, two), over)


def cg_place(vehicle: Vehicle) -> Place:
    spot = vehicle.spot("cg")
    if spot is not None:
        return spot.place
    sign = -1.0 if vehicle.worked_axle == "front" else 1.0
    return sign * vehicle.wheelbase * 0.48, 0.0, vehicle.loaded_radius + 300.0


def cg_reach(vehicle: Vehicle, step: Step) -> Reach:
    place = cg_place(vehicle)
    hubs = tuple(on_floor(spot.place) for spot in vehicle.wheels if spot.side > 0)
    return Reach((place, on_floor(place), *hubs), (place, on_floor(place)))


def cg(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    x, y = window.at(cg_place(vehicle))
    out = x + 34
    over = join((plumb((x, y), (x, window.floor)), line("ext", (x + 11, y), (out + 7, y)),
                 upright(window, out, y, window.floor, 1), cg_mark((x, y))))
    return Lit(line("glow", (x, y), (x, window.floor)), over)


def cg_mark(at: Pixel) -> Markup:
    """The quartered disc of a centre of gravity."""
    return element("g", element("circle", class_="gr", r=8), element("circle", class_="ink", r=8),
                   path("inkf", "M0-8A8 8 0 0 1 8 0H0ZM0 8A8 8 0 0 1-8 0H0Z"),
                   transform=f"translate({number(at[0])} {number(at[1])})")


def nothing_reach(vehicle: Vehicle, step: Step) -> Reach:
    return Reach(tuple(on_floor(spot.place) for spot in vehicle.wheels) or ((0.0, 0.0, 0.0),), None)


def nothing(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    return Lit(Markup(), value((window.width / 2, 24), "middle"))


@dataclass(frozen=True)
class Shape:
    """A way of lighting a dimension. views: where it can be seen, best first. floor: the floor must be in the window.
    whole: the whole vehicle is shown. close: no length is asked, so the window comes close by itself."""

    reach: Callable[[Vehicle, Step], Reach]
    draw: Callable[[Vehicle, Step, Window], Lit]
    views: tuple[str, ...]
    floor: bool = True
    whole: bool = False
    close: bool = False


SHAPES: dict[str, Shape] = {
    "height": Shape(height_reach, height, ("side",)),
    "plumb": Shape(height_reach, height, ("side",)),
    "fore_aft": Shape(fore_aft_reach, fore_aft, ("side",)),
    "lateral": Shape(lateral_reach, lateral, ("top",), floor=False),
    "span": Shape(pair_reach, span, ("side", "front", "top"), floor=False),
    "across": Shape(pair_reach, across, ("top", "front"), floor=False),
    "floor_span": Shape(pair_reach, floor_span, ("top",), floor=False),
    "rise": Shape(pair_reach, rise, ("side", "front"), floor=False),
    "incline": Shape(pair_reach, incline, ("side", "front"), floor=False),
    "shaft": Shape(shaft_reach, shaft, ("side",), floor=False, close=True),
    "caster": Shape(caster_reach, caster, ("side",), floor=False, close=True),
    "floor_slope": Shape(floor_slope_reach, floor_slope, ("side",), whole=True),
    "wheelbase": Shape(wheelbase_reach, wheelbase, ("side",), whole=True),
    "diameter": Shape(tyre_reach, diameter, ("side",)),
    "circumference": Shape(tyre_reach, circumference, ("side",)),
    "weight": Shape(weight_reach, weight, ("top",), floor=False, whole=True),
    "travel": Shape(travel_reach, travel, ("side",)),
    "cg_height": Shape(cg_reach, cg, ("side",), whole=True),
    "none": Shape(nothing_reach, nothing, ("side",), whole=True),
}


def side_view(vehicle: Vehicle, step: Step) -> View:
    """Seen from the side one stands on; a point in the middle from the left."""
    sides = [spot.side for spot in spots_of(vehicle, step) if spot.side]
    if not sides and step.subject in ("left", "right"):
        sides = [1 if step.subject == "left" else -1]
    return RIGHT if sides and sides[0] < 0 else LEFT


def guessed(vehicle: Vehicle, step: Step) -> bool:
    return any(spot.state == GUESSED for spot in spots_of(vehicle, step))
