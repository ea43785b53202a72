"""Lit lengths between named points: heights, plumb marks, spans, widths, rises."""

from __future__ import annotations

import math

from markupsafe import Markup

from .keep_off import drawn_bars
from .labels import Lettering
from .lit import (
    VALUE_ROOM,
    Lit,
    Reach,
    Step,
    dimension,
    far_end,
    floor_cross,
    level,
    lit_point,
    on_floor,
    own_bars,
    plumb,
    spots_of,
    upright,
    value,
)
from .projection import Window
from .svg import Pixel, circle, join, line
from .vehicle import Vehicle


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
    label = Lettering(window.width, window.height, drawn_bars(vehicle, window)).put("tq", "cross line", [
        ((cross + 5 * way, foot - 32 - up), None if way > 0 else "end")
        for way, up in ((side, raised), (side, 16.0), (-side, 16.0))])
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
    corners: list[tuple[float, str | None]] = [(6.0, None), (window.width - 6, "end")]
    corners.sort(key=lambda corner: (corner[1] is None) != (out > window.width / 2))
    places = [((at, middle + up), anchor) for up in (-6.0, -14.0, 18.0, -24.0, 28.0) for at, anchor in corners]
    words = Lettering(window.width, window.height, drawn_bars(vehicle, window)).put("tq", "centreline", places)
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
