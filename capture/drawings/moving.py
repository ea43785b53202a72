"""The vehicle drawn so that its axle can move: every moving end of a line knows which point it follows.

The drawing stands at one pose. Beside it comes where each moving point falls on the paper at every step, so that a
small script can set the ends anew; without it the drawing is a still one of that pose. The frame holds still.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from . import drawn_words, parts
from .projection import LEFT, TOP_LEFT, Box, Place, View, Window, fitted
from .scenes import axle_box, end_view
from .shape import grid, scale_bar
from .svg import Pixel, drawing, element, join, line, number, text
from .vehicle import AXLE_TUBE, Bar, Spot, Vehicle

WIDTH = 360.0
HEIGHTS = {"side": 216.0, "end": 216.0, "top": 290.0}
LARGER = 10
"""Headings of the wheels are drawn so many times larger, and the page says so."""
NOSE = 1.25
"""How far a wheel's heading line reaches, tyre radii."""
OFF = 4000.0
"""An instant centre further off the paper than this is only a direction, px."""


@dataclass(frozen=True)
class Step:
    """The axle at one place of its way. places: of moving points, mm, vehicle frame. lean, heading: deg.

    centre: (x, z) of the instant centre, or None.
    """

    places: Mapping[str, Place]
    lean: float
    heading: tuple[float, float]
    centre: tuple[float, float] | None


@dataclass(frozen=True)
class Way:
    """The axle's way on the paper: for each step x, y of every moving point, then degrees to turn by, px and deg."""

    points: tuple[tuple[float, ...], ...]
    turns: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Moving:
    """A drawing at one pose, and the ways it can go, in the order they were given."""

    drawing: Markup
    ways: tuple[Way, ...]


def view_of(vehicle: Vehicle, key: str) -> View:
    """"side", "end" or "top"."""
    return {"side": LEFT, "top": TOP_LEFT}.get(key) or end_view(vehicle)


def moving(vehicle: Vehicle, ways: Sequence[Sequence[Step]], at: tuple[int, int], view: str = "side",
           lines: bool = False) -> Moving:
    """The vehicle at `at` (which way, which step). lines: in side view, the links' lines on to the
    instant centre; from above, where the wheels head."""
    looking = view_of(vehicle, view)
    window = window_of(vehicle, ways, looking, HEIGHTS[view])
    names = [name for name in ways[0][0].places if name in vehicle.spots]
    follow = _Follow(vehicle, window, names, ways[at[0]][at[1]], lines and looking is LEFT,
                     lines and looking is TOP_LEFT)
    pieces = [grid(window, vehicle.unit), _floor(window), *_still(vehicle, window), *_axle(follow), *_bars(follow),
              *_wheels(follow), scale_bar(window, vehicle.unit, (8.0, window.height - 12)), *_words(window)]
    shown = drawing(window.width, window.height, *pieces, label=_label(looking), class_="d moving")
    return Moving(shown, tuple(_way(follow, way) for way in ways))


def window_of(vehicle: Vehicle, ways: Sequence[Sequence[Step]], view: View, height: float) -> Window:
    """The worked axle with its links wherever it goes."""
    box = axle_box(vehicle, view)
    half, wide = vehicle.tyre_diameter / 2, vehicle.tyre_diameter * parts.TYRE_WIDTH / 2
    hubs = [spot.place for name, spot in vehicle.spots.items() if name.startswith("wheel_")]
    hubs += [place for way in ways for step in (way[0], way[-1]) for name, place in step.places.items()
             if name.startswith("wheel_")]
    for x, y, z in hubs:
        corners = [(x + a * half, y + b * wide, z + a * half) for a in (1, -1) for b in (1, -1)]
        box = box.joined(Box.around([view.paper(corner) for corner in corners]))
    if "driveshaft.frame" in vehicle.spots:
        right, up = view.paper(vehicle.spots["driveshaft.frame"].place)
        box = box.joined(Box(right, right, up, up))
    return fitted(view, box, WIDTH, height, 10, 10, 10, 26)


@dataclass(frozen=True)
class _Follow:
    """What it takes to draw a line that follows its points."""

    vehicle: Vehicle
    window: Window
    names: list[str]
    step: Step
    lines: bool
    headings: bool

    def place(self, name: str) -> Place:
        return self.step.places.get(name) or self.vehicle.spots[name].place

    def pixel(self, name: str) -> Pixel:
        return self.window.at(self.place(name))

    def index(self, name: str) -> int | None:
        """The number of a moving point; None for one that holds still."""
        return self.names.index(name) if name in self.names else None

    def between(self, class_: str, one: str, two: str, **attributes: object) -> Markup:
        (x1, y1), (x2, y2) = self.pixel(one), self.pixel(two)
        return element("line", class_=class_, x1=x1, y1=y1, x2=x2, y2=y2, data_a=self.index(one),
                       data_b=self.index(two), **attributes)

    def round(self, class_: str, name: str, radius: float) -> Markup:
        x, y = self.pixel(name)
        return element("circle", class_=class_, cx=x, cy=y, r=radius, data_a=self.index(name))

    @property
    def side(self) -> int:
        return parts.near_side(self.window)


def _still(vehicle: Vehicle, window: Window) -> list[Markup]:
    """Rails, and what of the other axle is in the window."""
    others = {name: spot for name, spot in vehicle.spots.items() if name.startswith("other")}
    alone = Vehicle(vehicle.worked_axle, others, (), vehicle.tyre_diameter, vehicle.loaded_radius)
    return [parts.rails(vehicle, window), parts.tyres(alone, window)]


def _floor(window: Window) -> Markup:
    if not window.view.upright or window.floor > window.height:
        return Markup()
    wheel_at_right = not window.view.right[1] and window.at((0.0, 0.0, 0.0))[0] > window.width / 2
    at, anchor = (8.0, None) if wheel_at_right else (window.width - 8.0, "end")
    return join((line("hairl", (0.0, window.floor), (window.width, window.floor)),
                 text("tq", (at, window.floor - 4), drawn_words.FLOOR_AT_RIDE_HEIGHT, anchor)))


def _axle(follow: _Follow) -> list[Markup]:
    left, right = "wheel_left.centre", "wheel_right.centre"
    if left not in follow.names or right not in follow.names:
        return []
    if follow.side:
        return [follow.round("link", left if follow.side > 0 else right, AXLE_TUBE / 2 * follow.window.scale)]
    pins = [follow.between("quiet", f"kingpin_{side}.top", f"kingpin_{side}.bottom") for side in ("left", "right")
            if f"kingpin_{side}.top" in follow.names and f"kingpin_{side}.bottom" in follow.names]
    return [*_tube(follow, left, right, AXLE_TUBE, solid=True, quiet=True), *pins]


def _bars(follow: _Follow) -> list[Markup]:
    pieces = []
    for bar in sorted(follow.vehicle.bars, key=lambda bar: bar.side == follow.side):
        if not follow.vehicle.entered(bar) or not parts.shown(bar, follow.window):
            continue
        if follow.lines and bar.side >= 0 and bar.name not in ("panhard", "drag_link", "tie_rod", "driveshaft"):
            pieces.append(_to_centre(follow, "ghost", bar.points[0], bar))
        pieces += _bar(follow, bar)
    if follow.lines:
        pieces.append(_from_contact(follow))
    return pieces


def _bar(follow: _Follow, bar: Bar) -> list[Markup]:
    solid = follow.vehicle.solid(bar)
    pieces = [piece for one, two in zip(bar.points, bar.points[1:], strict=False)
              for piece in _tube(follow, one, two, bar.diameter, solid)]
    eye = max(bar.diameter * follow.window.scale, 3.0) * 0.52
    return pieces + [follow.round("own" if solid else "own guess", name, eye) for name in bar.points]


def _tube(follow: _Follow, one: str, two: str, diameter: float, solid: bool, quiet: bool = False) -> list[Markup]:
    """A tube as two lines, the wider one its outline; a guessed one dashed."""
    width = max(diameter * follow.window.scale, 3.0)
    if not solid:
        return [follow.between("quiet guess", one, two)]
    outer = follow.between("tube quiet-tube" if quiet else "tube", one, two, stroke_width=width + 1.6)
    return [outer, follow.between("bore", one, two, stroke_width=max(width - 1.6, 0.8))]


def _wheels(follow: _Follow) -> list[Markup]:
    pieces = []
    for number_, name in enumerate(("wheel_left.centre", "wheel_right.centre")):
        hub = follow.vehicle.spots.get(name)
        if hub is None or name not in follow.names or (follow.side and follow.side != hub.side):
            continue
        x, y = follow.pixel(name)
        turn = turns_of(follow.step, follow.window.view)[number_]
        moved = f"translate({number(x)} {number(y)}) rotate({number(turn)})"
        pieces.append(element("g", *_tyre(follow, hub), transform=moved, data_a=follow.index(name),
                              data_turn=number_))
        if follow.headings:
            pieces.append(_heading(follow, number_, (x, y), name))
    return pieces


def _tyre(follow: _Follow, hub: Spot) -> list[Markup]:
    """About its own centre."""
    style = "tyre" if hub.solid else "ghost"
    radius = follow.vehicle.tyre_diameter / 2 * follow.window.scale
    width = parts.TYRE_WIDTH * 2 * radius
    if follow.side:
        rim = [element("circle", class_=style, r=radius * parts.RIM)] if hub.solid else []
        return [element("circle", class_=style, r=radius), *rim]
    wide, high = (width, 2 * radius) if follow.window.view.upright else (2 * radius, width)
    return [element("rect", class_=style, x=-wide / 2, y=-high / 2, width=wide, height=high, rx=width / 6)]


def _heading(follow: _Follow, which: int, at: Pixel, name: str) -> Markup:
    """Where the wheel heads, its turn drawn larger."""
    reach = NOSE * follow.vehicle.tyre_diameter / 2 * follow.window.scale
    turn = turns_of(follow.step, follow.window.view)[which] * LARGER
    moved = f"translate({number(at[0])} {number(at[1])}) rotate({number(turn)})"
    return element("g", line("lit thin", (-reach, 0.0), (reach, 0.0)), transform=moved, data_a=follow.index(name),
                   data_turn=which, data_larger=LARGER)


def _to_centre(follow: _Follow, class_: str, name: str, bar: Bar) -> Markup:
    """From a link's frame end on to the instant centre."""
    centre = _centre_pixel(follow.window, follow.step)
    at = follow.pixel(name)
    there = centre or at
    return element("line", class_=class_, x1=at[0], y1=at[1], x2=there[0], y2=there[1], data_a=follow.index(name),
                   data_b=len(follow.names))


def _from_contact(follow: _Follow) -> Markup:
    """The lit line from under the wheel to the instant centre."""
    x, y = follow.pixel("wheel_left.centre")
    radius = follow.vehicle.loaded_radius * follow.window.scale
    there = _centre_pixel(follow.window, follow.step) or (x, y + radius)
    return element("line", class_="lit", x1=x, y1=y + radius, x2=there[0], y2=there[1],
                   data_a=follow.index("wheel_left.centre"), data_b=len(follow.names), data_drop=float(radius))


def _centre_pixel(window: Window, step: Step) -> Pixel | None:
    """The instant centre on the paper; one far off is drawn in along the line to it."""
    if step.centre is None:
        return None
    x, y = window.at((step.centre[0], 0.0, step.centre[1]))
    far = max(abs(x - window.width / 2), abs(y - window.height / 2)) / OFF
    if far <= 1.0:
        return x, y
    return window.width / 2 + (x - window.width / 2) / far, window.height / 2 + (y - window.height / 2) / far


def turns_of(step: Step, view: View) -> tuple[float, float]:
    """By how much the left and right tyre are turned on the paper, clockwise, deg."""
    if view is LEFT:
        return 0.0, 0.0
    if view.upright:
        sign = 1.0 if view.right[1] < 0 else -1.0
        return sign * step.lean, sign * step.lean
    return -step.heading[0], -step.heading[1]


def _way(follow: _Follow, steps: Sequence[Step]) -> Way:
    points, turns = [], []
    for step in steps:
        row = [coordinate for name in follow.names for coordinate in follow.window.at(step.places[name])]
        if follow.lines:
            row += _centre_pixel(follow.window, step) or (float("nan"), float("nan"))
        points.append(tuple(row))
        turns.append(turns_of(step, follow.window.view))
    return Way(tuple(points), tuple(turns))


def _words(window: Window) -> list[Markup]:
    if window.view is LEFT:
        return [text("tq", (352, window.height - 8), "front at left", "end")]
    if window.view is TOP_LEFT:
        return [text("tq", (352, window.height - 8), drawn_words.FRONT_AT_LEFT, "end")]
    here, there = ("right", "left") if window.view.right[1] > 0 else ("left", "right")
    return [text("tq", (8, 14), here), text("tq", (352, 14), there, "end")]


def _label(view: View) -> str:
    return drawn_words.moving(view.words)


