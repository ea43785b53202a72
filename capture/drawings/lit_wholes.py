"""Lit things that belong to a wheel or the whole vehicle: wheelbase, tyre, weights, travel, centre of gravity."""

from __future__ import annotations

from markupsafe import Markup

from .lit import Lit, Reach, Step, level, lit_point, on_floor, plumb, upright, value
from .projection import Place, Window
from .svg import Pixel, arrow_head, circle, element, join, line, number, path
from .vehicle import Spot, Vehicle

TYRE_HALF_WIDTH = 0.18
"""Of its diameter, as drawn."""


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
