"""The vehicle as far as points know it: floor, tyres, axles, rails, brackets, bars and the marks of points."""

from __future__ import annotations

import math

from markupsafe import Markup

from .projection import Window
from .svg import Pixel, circle, join, line, number, path, rectangle
from .vehicle import AXLE_TUBE, GUESSED, HIDDEN_TWINS, MEASURED, Bar, Spot, Vehicle

RAIL_HEIGHT = 110.0
RAIL_ABOVE_BOLTS = 75.0
RAIL_OUTSIDE_BOLTS = 85.0
RAIL_WIDTH = 60.0
TYRE_WIDTH = 0.36
RIM = 0.49
SMALL = 4.0


def near_side(window: Window) -> int:
    """Which side's parts a side view shows: +1 left, -1 right, 0 in any other view."""
    return {"left": 1, "right": -1}.get(window.view.key, 0)


def shown(bar: Bar, window: Window) -> bool:
    """Whether a bar is drawn in this view: a side view leaves out the far one of a pair."""
    side = near_side(window)
    return not (side and bar.side == -side and bar.name.startswith(HIDDEN_TWINS))


def floor(window: Window, left: float = 0.0, right: float | None = None) -> Markup:
    """The floor line with its hatch, in an upright view whose window reaches down to it."""
    y, right = window.floor, window.width if right is None else right
    if not window.view.upright or y > window.height + 1:
        return Markup()
    strokes = max(int((right - left - 6) // 9), 0)
    hatch = f"M{number(left + 6)} {number(y + 1)}l-6 6" + "m15-6l-6 6" * strokes
    return join((path("hatch", hatch), line("floor", (left, y), (right, y))))


def centreline(vehicle: Vehicle, window: Window) -> Markup:
    """y = 0, dash-dotted: along the vehicle from above, upright from the front."""
    if near_side(window):
        return Markup()
    reach = vehicle.tyre_diameter
    if window.view.upright:
        ends = (window.at((0, 0, 0)), window.at((0, 0, reach * 1.15)))
    else:
        xs = [spot.x for spot in vehicle.wheels] or [0.0]
        ends = (window.at((max(xs) + reach, 0, 0)), window.at((min(xs) - reach, 0, 0)))
    return line("cl", *_clipped(ends, window)) if window.shows(ends) else Markup()


def tyres(vehicle: Vehicle, window: Window) -> Markup:
    """Tyres true to the free diameter, flat where they stand; dashed while the wheel's centre is a guess."""
    pieces = []
    side = near_side(window)
    for hub in vehicle.wheels:
        if side and hub.side != side:
            continue
        if window.view.key in ("front", "rear") and hub.name.startswith("other"):
            continue
        pieces.append(_tyre(vehicle, window, hub, side != 0))
    return join(pieces)


def _tyre(vehicle: Vehicle, window: Window, hub: Spot, sideways: bool) -> Markup:
    radius = vehicle.tyre_diameter / 2 * window.scale
    x, y = window.at(hub.place)
    if not window.shows([(x - radius, y - radius), (x + radius, y + radius)], 0):
        return Markup()
    style = "tyre" if hub.solid else "ghost"
    width = TYRE_WIDTH * 2 * radius
    if sideways:
        drop = min(max(window.floor - y, radius * 0.5), radius)
        half = math.sqrt(max(radius * radius - drop * drop, 0.0))
        outline = (f"M{number(x - half)} {number(y + drop)}A{number(radius)} {number(radius)} 0 1 1 "
                   f"{number(x + half)} {number(y + drop)}Z" if half > 0.5 else None)
        rim = circle(style, (x, y), radius * RIM) if radius > 16 and hub.solid else Markup()
        return join((path(style, outline) if outline else circle(style, (x, y), radius), rim))
    if window.view.upright:
        return rectangle(style, x - width / 2, y - radius, width, window.floor - y + radius, width / 6)
    if window.view.key == "plan":
        return rectangle(style, x - width / 2, y - radius, width, 2 * radius, width / 5)
    return rectangle(style, x - radius, y - width / 2, 2 * radius, width, width / 6)


def axles(vehicle: Vehicle, window: Window) -> Markup:
    """The axle tubes between the wheel centres; seen from the side, the tube's round."""
    pieces = []
    for name in ("other", "wheel"):
        left, right = (vehicle.spots.get(f"{name}_{side}.centre") for side in ("left", "right"))
        if left is None or right is None or (window.view.key in ("front", "rear") and name == "other"):
            continue
        guessed = "" if left.solid and right.solid else " guess"
        side = near_side(window)
        if side:
            hub = window.at((left if side > 0 else right).place)
            pieces.append(circle("quiet" + guessed, hub, AXLE_TUBE / 2 * window.scale))
        else:
            inset = vehicle.tyre_diameter * TYRE_WIDTH * 0.25
            ends = [(spot.x, spot.y - math.copysign(inset, spot.y), spot.z) for spot in (left, right)]
            pieces.append(_tube("link" + guessed, *map(window.at, ends), AXLE_TUBE * window.scale))
    return join(pieces)


def rail_line(vehicle: Vehicle, side: int) -> tuple[Spot, Spot]:
    """The lower edge of a frame rail: through two known marks of that side, else a guess above the frame bolts."""
    marks = sorted((spot for spot in vehicle.spots.values()
                    if spot.name.startswith("mark.") and spot.solid and spot.side == side), key=lambda spot: -spot.x)
    if len(marks) >= 2:
        return marks[0], marks[-1]
    bolts = [spot for bar in vehicle.bars if bar.name not in ("drag_link", "tie_rod", "driveshaft")
             for spot in vehicle.spots_of(bar)[:1]]
    high = max([spot.z for spot in bolts] + [vehicle.loaded_radius * 1.35]) + RAIL_ABOVE_BOLTS
    wide = max([abs(spot.y) for spot in bolts if not spot.name.startswith("panhard")] + [330.0]) + RAIL_OUTSIDE_BOLTS
    ends = [spot.x for spot in vehicle.wheels] or [0.0]
    return (Spot("rail", max(ends) + 480.0, side * wide, high), Spot("rail", min(ends) - 480.0, side * wide, high))


def rails(vehicle: Vehicle, window: Window) -> Markup:
    pieces = []
    for side in (1, -1):
        if near_side(window) == -side:
            continue
        fore, aft = rail_line(vehicle, side)
        known = fore.solid and aft.solid
        if window.view.key in ("front", "rear"):
            pieces.append(_rail_section(window, fore, side, known))
            continue
        shift = (0.0, 0.0, RAIL_HEIGHT) if window.view.upright else (0.0, side * RAIL_WIDTH, 0.0)
        near = (window.at(fore.place), window.at(aft.place))
        far = [window.at((p.x + shift[0], p.y + shift[1], p.z + shift[2])) for p in (fore, aft)]
        if window.shows(near):
            pieces.append(line("quiet" if known else "ghost", *_clipped(near, window)))
        if window.shows(far):
            pieces.append(line("ghost", *_clipped(far, window)))
    return join(pieces)


def _rail_section(window: Window, rail: Spot, side: int, known: bool) -> Markup:
    low, high = rail.z, rail.z + RAIL_HEIGHT
    inner, outer = rail.y, rail.y + side * RAIL_WIDTH
    corners = [window.at((0.0, y, z)) for y, z in ((inner, low), (inner, high), (outer, high), (outer, low))]
    pieces = [line("ghost", *corners, close=not known)]
    if known:
        pieces.append(line("quiet", corners[0], corners[3]))
    return join(pieces)


def brackets(vehicle: Vehicle, window: Window) -> Markup:
    """From the measured link ends to the tube and to the rail, in a side view; a guessed end carries none."""
    side = near_side(window)
    if not side:
        return Markup()
    pieces = []
    hub = vehicle.spots.get("wheel_left.centre" if side > 0 else "wheel_right.centre")
    fore, aft = rail_line(vehicle, side)
    for bar in vehicle.bars:
        if not shown(bar, window) or bar.name in ("drag_link", "tie_rod", "driveshaft", "panhard"):
            continue
        spots = vehicle.spots_of(bar)
        for spot in spots[1:]:
            if hub is not None and spot.solid:
                pieces.append(_to_tube(window, spot, hub))
        if spots and spots[0].solid:
            pieces.append(_to_rail(window, spots[0], fore, aft))
    return join(pieces)


def _to_tube(window: Window, spot: Spot, hub: Spot) -> Markup:
    one, two = window.at(hub.place), window.at(spot.place)
    dx, dy = two[0] - one[0], two[1] - one[1]
    far = math.hypot(dx, dy)
    if far < 4:
        return Markup()
    nx, ny = -dy / far, dx / far
    wide, slim = 34.0 * window.scale, 24.0 * window.scale
    return join(line("quiet", (one[0] + s * nx * wide, one[1] + s * ny * wide),
                     (two[0] + s * nx * slim, two[1] + s * ny * slim)) for s in (1, -1))


def _to_rail(window: Window, spot: Spot, fore: Spot, aft: Spot) -> Markup:
    share = (spot.x - aft.x) / ((fore.x - aft.x) or 1.0)
    edge = aft.z + (fore.z - aft.z) * share
    if not 0.0 < edge - spot.z < 400.0:
        return Markup()
    foot, eave = 26.0, 26.0 + min(edge - spot.z, 220.0) * 0.18
    return join(line("quiet", window.at((spot.x + s * foot, spot.y, spot.z + 8)),
                     window.at((spot.x + s * eave, spot.y, edge))) for s in (1, -1))


def bar_shape(bar: Bar, vehicle: Vehicle, window: Window, style: str) -> Markup:
    """A bar at its true width with an eye at each joint; dashed while an end is a guess."""
    spots = vehicle.spots_of(bar)
    ends = [window.at(spot.place) for spot in spots]
    if len(ends) < 2 or not window.shows(ends, 20):
        return Markup()
    width = max(bar.diameter * window.scale, 3.0)
    pieces = [_tube(style + ("" if a.solid and b.solid else " guess"), p, q, width)
              for (a, p), (b, q) in zip(zip(spots, ends, strict=True), zip(spots[1:], ends[1:], strict=True),
                                        strict=False)]
    pieces += [circle(style + ("" if spot.solid else " guess"), end, width * 0.52)
               for spot, end in zip(spots, ends, strict=True)]
    return join(pieces)


def bars(vehicle: Vehicle, window: Window, style: str = "link") -> Markup:
    """All bars that belong into this view: far ones first, so that the near side lies on top."""
    side = near_side(window)
    order = sorted((bar for bar in vehicle.bars if vehicle.entered(bar) and shown(bar, window)),
                   key=lambda bar: (bar.side == side) if side else 0)
    return join(bar_shape(bar, vehicle, window, style) for bar in order)


def kingpins(vehicle: Vehicle, window: Window) -> Markup:
    """The steering axes, where their points are in the estimate."""
    pieces = []
    for side, sign in (("left", 1), ("right", -1)):
        top, low = (vehicle.spots.get(f"kingpin_{side}.{end}") for end in ("top", "bottom"))
        if top is not None and low is not None and near_side(window) in (0, sign):
            pieces.append(line("quiet" if top.solid and low.solid else "ghost",
                               window.at(top.place), window.at(low.place)))
    return join(pieces)


def visible_spots(vehicle: Vehicle, window: Window) -> list[Spot]:
    """The points of the estimate this view has to show, each once, without wheel centres."""
    side = near_side(window)
    hidden = {name for bar in vehicle.bars if not shown(bar, window) for name in bar.points}
    found = []
    for spot in vehicle.within(window.view.plane).spots.values():
        if spot.name.endswith(".centre") or spot.name in hidden:
            continue
        if side and spot.side == -side and spot.name.startswith(("kingpin", "mark", "keep_clear", "tie_rod")):
            continue
        if window.shows([window.at(spot.place)], SMALL):
            found.append(spot)
    return found


def spot_mark(spot: Spot, at: Pixel, quiet: bool = True) -> Markup:
    """Filled disc: measured; ring: worked out; dashed ring: guessed."""
    if spot.state == GUESSED:
        return circle("pg", at, 4.4)
    if spot.state == MEASURED or not quiet:
        return circle("ptq" if quiet else "pt", at, 3)
    return circle("ring", at, 3)


def body(vehicle: Vehicle, window: Window, style: str, ground: Markup) -> Markup:
    """The vehicle without its points: everything quiet but the bars, which are drawn in `style`."""
    vehicle = vehicle.within(window.view.plane)
    return join((centreline(vehicle, window), ground, rails(vehicle, window), tyres(vehicle, window),
                 brackets(vehicle, window), axles(vehicle, window), kingpins(vehicle, window),
                 bars(vehicle, window, style)))


def quiet_vehicle(vehicle: Vehicle, window: Window) -> Markup:
    """Everything of the vehicle in quiet lines: the ground on which one dimension is lit."""
    dots = join(spot_mark(spot, window.at(spot.place)) for spot in visible_spots(vehicle, window))
    return body(vehicle, window, "link", floor(window)) + dots


def _tube(style: str, one: Pixel, two: Pixel, width: float) -> Markup:
    dx, dy = two[0] - one[0], two[1] - one[1]
    far = math.hypot(dx, dy)
    if far < 1.0:
        return Markup()
    nx, ny = -dy / far * width / 2, dx / far * width / 2
    return line(style, (one[0] + nx, one[1] + ny), (two[0] + nx, two[1] + ny),
                (two[0] - nx, two[1] - ny), (one[0] - nx, one[1] - ny), close=True)


def _clipped(ends: tuple[Pixel, ...] | list[Pixel], window: Window) -> tuple[Pixel, ...]:
    """A long straight line cut to a little beyond the window, so that dashes start alike and numbers stay short."""
    (x0, y0), (x1, y1) = ends
    low, high = 0.0, 1.0
    for start, change, far in ((x0, x1 - x0, window.width), (y0, y1 - y0, window.height)):
        if abs(change) < 1e-9:
            continue
        one, two = sorted(((-20.0 - start) / change, (far + 20.0 - start) / change))
        low, high = max(low, one), min(high, two)
    if low >= high:
        return tuple(ends)
    return ((x0 + (x1 - x0) * low, y0 + (y1 - y0) * low), (x0 + (x1 - x0) * high, y0 + (y1 - y0) * high))
