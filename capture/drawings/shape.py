"""The shape of the vehicle, true to scale: one view for the phone, three in line for the bench, every point a link."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from markupsafe import Markup

from . import drawn_words, parts
from .projection import LEFT, TOP_LEFT, Box, View, Window, ellipse_axes, fitted
from .scenes import axle_box, end_view, whole_box
from .svg import Pixel, circle, doubt_mark, drawing, element, join, number, path, text
from .vehicle import GUESSED, IN_DOUBT, MEASURED, Spot, Vehicle

WIDTH, HEIGHT, TALL = 360.0, 236.0, 300.0
MAGNIFIED = 10.0
"""Spread ellipses are drawn so many times larger, and the page says so."""
TWO = 2.0
"""Everything shown is two standard deviations."""
HIT = 24.0
SMALLEST_ELLIPSE = 4.6
LARGEST_ELLIPSE = 30.0
LARGEST_GUESS = 17.0
SCALE_BARS = {"in": (25.4, (2, 5, 10, 20, 40)), "mm": (1.0, (50, 100, 250, 500, 1000))}


@dataclass(frozen=True)
class Pick:
    """How points are linked and which one is chosen. href: a point's name -> address."""

    href: Callable[[str], str] = lambda name: f"#{name.replace('.', '-')}"
    chosen: str | None = None


def view_names(vehicle: Vehicle) -> tuple[tuple[str, str], ...]:
    """The tabs: key and word. The end view is seen from the front, or from behind for a rear axle."""
    return ("side", "Side"), ("top", "Top"), ("front", "Front" if vehicle.worked_axle == "front" else "Rear")


def view_of(vehicle: Vehicle, key: str) -> View:
    return {"side": LEFT, "top": TOP_LEFT, "front": end_view(vehicle)}[key]


def shape_view(vehicle: Vehicle, view: str, chosen: str | None = None,
               href: Callable[[str], str] | None = None) -> Markup:
    """One view, 360 wide: "side", "top" or "front". chosen: the point lit. href: where each point leads."""
    looking = view_of(vehicle, view)
    height = TALL if view == "top" else HEIGHT
    window = shape_window(vehicle, looking, height)
    pick = Pick(href or Pick.href, chosen)
    label = f"{looking.words[0].upper()}{looking.words[1:]}, to scale"
    return drawing(WIDTH, height, grid(window, vehicle.unit), parts.body(vehicle, window, "own", parts.floor(window)),
                   spots(vehicle, window, pick), scale_bar(window, vehicle.unit, (8.0, height - 12)),
                   *_sides(looking, height), label=label, role="group", preserveAspectRatio="xMidYMid meet")


def shape_window(vehicle: Vehicle, view: View, height: float) -> Window:
    """The worked axle with its links, as large as it goes; the end view fits both tyres."""
    if view.upright and view is not LEFT:
        return grounded(fitted(view, whole_box(vehicle, view), WIDTH, height, 12, 12, 22, 38))
    box = axle_box(vehicle, view)
    for name in ("driveshaft.frame", "driveshaft.axle"):
        if name in vehicle.spots:
            right, up = view.paper(vehicle.spots[name].place)
            box = box.joined(Box(right, right, up, up))
    window = fitted(view, box, WIDTH, height, 14, 26, 12, 38 if view.upright else 30)
    return grounded(window) if view.upright else window


def grounded(window: Window) -> Window:
    """The same window with the floor at the foot of the drawing, above the scale bar."""
    return replace(window, centre=(window.centre[0], (window.height / 2 - 38) / window.scale))


def _sides(view: View, height: float) -> list[Markup]:
    """Small words that say which way one looks."""
    if view is LEFT:
        return [text("tq", (352, height - 8), "front at left", "end")]
    if view is TOP_LEFT:
        return [text("tq", (352, height - 8), drawn_words.FRONT_AT_LEFT, "end")]
    here, there = ("right", "left") if view.right[1] > 0 else ("left", "right")
    return [text("tq", (8, 16), here), text("tq", (352, 16), there, "end")]


def grid(window: Window, unit: str) -> Markup:
    """Faint squares of 4 in or 100 mm, counted from the axle's centre and the floor."""
    step = (101.6 if unit == "in" else 100.0) * window.scale
    while step < 12:
        step *= 2
    x0, y0 = window.at((0.0, 0.0, 0.0))
    rights = _marks(x0 % step, window.width, step)
    downs = _marks(y0 % step, window.height, step)
    commands = "".join(f"M{number(x)} 0V{number(window.height)}" for x in rights)
    commands += "".join(f"M0 {number(y)}H{number(window.width)}" for y in downs)
    return path("grid", commands)


def _marks(first: float, end: float, step: float) -> list[float]:
    return [first + step * i for i in range(int((end - first) // step) + 1)]


def scale_bar(window: Window, unit: str, at: Pixel, longest: float = 60.0) -> Markup:
    """A bar of a round length in the person's unit."""
    size, lengths = SCALE_BARS[unit if unit in SCALE_BARS else "mm"]
    fitting = [n for n in lengths if n * size * window.scale <= longest] or [lengths[0]]
    width = fitting[-1] * size * window.scale
    return join((path("dim", f"M{number(at[0])} {number(at[1])}v4h{number(width)}v-4"),
                 text("tq", (at[0] + width + 6, at[1] + 5), f"{fitting[-1]} {unit}")))


def spots(vehicle: Vehicle, window: Window, pick: Pick, hit: float = HIT) -> Markup:
    """Every point with its spread, as a link; the chosen one last, on top, the nearest to view above the others."""
    shown = sorted(parts.visible_spots(vehicle, window),
                   key=lambda spot: (spot.name == pick.chosen, _nearness(spot, window)))
    centres = {spot.name: window.at(spot.place) for spot in shown}
    return join(spot_link(spot, centres[spot.name], window, pick, hit_radius(spot.name, centres, hit), centres)
                for spot in shown)


def _nearness(spot: Spot, window: Window) -> float:
    """Larger is nearer to the eye."""
    across, up = window.view.right, window.view.up
    eye = (across[1] * up[2] - across[2] * up[1], across[2] * up[0] - across[0] * up[2],
           across[0] * up[1] - across[1] * up[0])
    return sum(a * b for a, b in zip(eye, spot.place, strict=True))


def hit_radius(name: str, centres: Mapping[str, Pixel], most: float) -> float:
    """48 px wide where there is room; crowded points share the room, but never below a finger's middle."""
    here = centres[name]
    nearest = min((math.dist(here, there) for other, there in centres.items() if other != name), default=2 * most)
    return most if nearest > most * 0.5 else max(most * 0.5, nearest)


def spot_link(spot: Spot, at: Pixel, window: Window, pick: Pick, hit: float, centres: Mapping[str, Pixel]) -> Markup:
    """A point: its target, its spread, its mark; in doubt also the diamond, set where it covers no other point."""
    pieces = [circle("hit", at, hit)]
    chosen = spot.name == pick.chosen
    if chosen:
        pieces.append(circle("glowf", at, 12))
    pieces.append(spread(spot, at, window))
    if chosen:
        pieces.append(circle("lit", at, 12))
    pieces.append(mark(spot, at, chosen))
    if spot.state == IN_DOUBT:
        pieces.append(doubt_mark(free_corner(at, centres, window)))
    name = spot.words or spot.name
    return element("a", *pieces, href=pick.href(spot.name), aria_label=f"{name[0].upper()}{name[1:]}, {spot.state}",
                   aria_current="true" if chosen else None)


def mark(spot: Spot, at: Pixel, chosen: bool = False) -> Markup:
    """Disc, ring or dashed ring by how the point is known; lit when chosen."""
    if spot.state == GUESSED:
        return circle("pg", at, 4.4)
    if chosen:
        return circle("litf", at, 3)
    if spot.state in (MEASURED, IN_DOUBT):
        return circle("pt", at, 3)
    return circle("ringk", at, 3)


def spread(spot: Spot, at: Pixel, window: Window) -> Markup:
    """Two sd: an ellipse ten times larger; for a guess a dashed circle at true size, capped to stay readable."""
    long, short, turn = ellipse_axes(*window.view.covariance(spot.cov))
    if long <= 0.0:
        return Markup()
    if spot.state == GUESSED:
        return circle("ellg", at, min(TWO * long * window.scale, LARGEST_GUESS))
    larger = TWO * MAGNIFIED * window.scale
    style = "elld" if spot.state == IN_DOUBT else "ell"
    return ellipse(style, at, min(max(long * larger, SMALLEST_ELLIPSE), LARGEST_ELLIPSE),
                   min(max(short * larger, SMALLEST_ELLIPSE), LARGEST_ELLIPSE), turn)


def ellipse(style: str, at: Pixel, long: float, short: float, turn: float) -> Markup:
    """`turn`: of the long axis, counter-clockwise on the paper, degree."""
    near_level = abs(turn) < 0.5 or abs(long - short) < 0.4
    upright = abs(abs(turn) - 90) < 0.5
    rx, ry = (short, long) if upright and not near_level else (long, short)
    turned = None if near_level or upright else f"rotate({number(-turn)} {number(at[0])} {number(at[1])})"
    return element("ellipse", class_=style, cx=float(at[0]), cy=float(at[1]), rx=float(rx), ry=float(ry),
                   transform=turned)


def free_corner(at: Pixel, centres: Mapping[str, Pixel], window: Window) -> Pixel:
    """Upper left of an 18 px diamond beside the point, where it lies furthest from other points and inside."""
    best, most = (at[0] + 8, at[1] + 6), -1e9
    for right in (8, -26, 14, -32):
        for down in (6, -24, -9):
            corner = (at[0] + right, at[1] + down)
            middle = (corner[0] + 9, corner[1] + 9)
            room = min((math.dist(middle, there) for there in centres.values()), default=99.0)
            inside = middle[0] - 9 > 4 and middle[0] + 13 < window.width and middle[1] - 9 > 2
            worth = min(room, 26.0) - (0 if inside else 60) - math.dist(middle, at) * 0.1
            if worth > most:
                best, most = corner, worth
    return best
