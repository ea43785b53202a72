"""The vehicle as a plan would make it, over the measured one as a ghost: true to scale, every bolt a link.

The window is that of the measured vehicle, so that it holds still while a bolt is moved. The drawing says in data
attributes how long a mm is and which way the paper's right and up lie in the vehicle, for the script that drags.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from markupsafe import Markup

from . import drawn_words, parts
from .projection import LEFT, TOP_LEFT, Place, View, Window
from .shape import grid, hit_radius, scale_bar, shape_window, view_of
from .svg import Pixel, circle, drawing, element, join, line, text
from .vehicle import GUESSED, MEASURED, Spot, Vehicle

WIDTH = 360.0
HEIGHTS = {"side": 186.0, "top": 224.0, "front": 186.0}
HIT = 24.0
RODS = ("drag_link", "tie_rod", "driveshaft")
MOVED_PX = 1.0
"""A bolt moved by less on the paper is drawn where it was."""
AXES: Mapping[str, Place] = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


@dataclass(frozen=True)
class Handle:
    """What a person has in hand. ways: act for a step to the paper's left, right, up and down."""

    drawing: Markup
    ways: tuple[str, str, str, str]


@dataclass(frozen=True)
class Ring:
    """A hole at a bracket. used: the bolt is in it as measured."""

    place: Place
    used: bool


def planned(was: Vehicle, places: Mapping[str, Place], tyre: float | None = None) -> Vehicle:
    """The measured vehicle with its points where a plan puts them."""
    spots = {name: replace(spot, x=places[name][0], y=places[name][1], z=places[name][2]) if name in places else spot
             for name, spot in was.spots.items()}
    return replace(was, spots=spots, tyre_diameter=tyre or was.tyre_diameter)


def ghosted(was: Vehicle, now: Vehicle, view: str, chosen: str, href: Callable[[str], str]) -> Handle:
    """One view, 360 wide: "side", "top" or "front". chosen: the bolt in hand, drawn lit."""
    looking = view_of(was, view)
    window = _window(was, looking, HEIGHTS[view])
    moved = {name for name, spot in now.spots.items()
             if name in was.spots and math.dist(window.at(spot.place), window.at(was.spots[name].place)) > MOVED_PX}
    ghost = [parts.tyres(was, window) if _wheels(moved) else Markup(), parts.bars(_only(was, moved), window, "was")]
    pieces = [grid(window, was.unit), parts.floor(window), *ghost,
              parts.body(now, window, "own", Markup()), *_ways(was, now, window, moved),
              _spots(now, window, chosen, href), scale_bar(window, was.unit, (8.0, window.height - 12)),
              *_words(looking, window.height)]
    shown = drawing(WIDTH, window.height, *pieces, label=_label(looking, bool(moved)), role="group",
                    preserveAspectRatio="xMidYMid meet", data_scale=f"{window.scale:.5f}",
                    data_right=_vector(looking.right), data_up=_vector(looking.up), data_chosen=chosen or None)
    return Handle(shown, ways(looking))


def rings(was: Vehicle, view: str, rows: Mapping[str, tuple[Ring, ...]]) -> Markup:
    """The measured vehicle with every hole of its rows."""
    looking = view_of(was, view)
    window = _window(was, looking, HEIGHTS[view])
    holes = [circle("litf" if ring.used else "hole", window.at(ring.place), 3.0 if ring.used else 3.5)
             for row in rows.values() for ring in row]
    label = drawn_words.holes(looking.words)
    return drawing(WIDTH, window.height, grid(window, was.unit), parts.body(was, window, "link", parts.floor(window)),
                   *holes, scale_bar(window, was.unit, (8.0, window.height - 12)), *_words(looking, window.height),
                   label=label, preserveAspectRatio="xMidYMid meet")


def ways(view: View) -> tuple[str, str, str, str]:
    """Which axis and sign lie to the left, right, up and down of the paper: "x+", "x-", "z+", "z-"."""
    def act(direction: Place) -> str:
        axis, size = next((key, part) for key, part in zip("xyz", direction, strict=True) if part)
        return f"{axis}{'+' if size > 0 else '-'}"
    def other(direction: Place) -> Place:
        return -direction[0], -direction[1], -direction[2]
    return act(other(view.right)), act(view.right), act(view.up), act(other(view.up))


def _window(vehicle: Vehicle, view: View, height: float) -> Window:
    return shape_window(vehicle, view, height)


def _wheels(moved: set[str]) -> bool:
    return any(name.startswith("wheel_") for name in moved)


def _only(vehicle: Vehicle, names: set[str]) -> Vehicle:
    """The vehicle with only the bars that one of these points belongs to."""
    return replace(vehicle, bars=tuple(bar for bar in vehicle.bars if names.intersection(bar.points)))


def _ways(was: Vehicle, now: Vehicle, window: Window, moved: set[str]) -> list[Markup]:
    """From where each moved bolt was to where it is."""
    seen = {spot.name for spot in parts.visible_spots(now, window)}
    return [join((circle("wasp", window.at(was.spots[name].place), 2.5),
                  line("ext", window.at(was.spots[name].place), window.at(now.spots[name].place))))
            for name in sorted(moved & seen)]


def _spots(vehicle: Vehicle, window: Window, chosen: str, href: Callable[[str], str]) -> Markup:
    """Every point as a link: bolts of the links above the others, the one in hand on top."""
    bolts = {name for bar in vehicle.bars if bar.name not in RODS for name in bar.points}
    shown = sorted(parts.visible_spots(vehicle, window), key=lambda spot: (spot.name == chosen, spot.name in bolts))
    centres = {spot.name: window.at(spot.place) for spot in shown}
    return join(_spot(spot, centres, chosen, href) for spot in shown)


def _spot(spot: Spot, centres: Mapping[str, Pixel], chosen: str, href: Callable[[str], str]) -> Markup:
    at, here = centres[spot.name], spot.name == chosen
    pieces = [circle("hit", at, hit_radius(spot.name, centres, HIT))]
    if here:
        pieces += [circle("glowf", at, 13), circle("lit", at, 11), circle("litf", at, 3.5)]
    elif spot.state == GUESSED:
        pieces.append(circle("pg", at, 4.4))
    else:
        pieces.append(circle("pt" if spot.state == MEASURED else "ringk", at, 3))
    words = spot.words or spot.name
    return element("a", *pieces, href=href(spot.name), data_point=spot.name,
                   aria_label=f"{words[0].upper()}{words[1:]}, {'in hand' if here else 'take in hand'}",
                   aria_current="true" if here else None)


def _vector(direction: Place) -> str:
    return ",".join(f"{part:g}" for part in direction)


def _label(view: View, moved: bool) -> str:
    seen = f"{view.words[0].upper()}{view.words[1:]}, to scale"
    return f"{seen}; dashed: as measured" if moved else seen


def _words(view: View, height: float) -> list[Markup]:
    if view in (LEFT, TOP_LEFT):
        foot = "front at left" if view is LEFT else drawn_words.FRONT_AT_LEFT
        return [text("tq", (352, height - 8), foot, "end")]
    here, there = ("right", "left") if view.right[1] > 0 else ("left", "right")
    return [text("tq", (8, 16), here), text("tq", (352, 16), there, "end")]
