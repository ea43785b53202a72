"""Measuring at the bench: one reading on three views in line, top above side above the floor, the end view beside.

All three are at one scale, so that a point lies on one upright line in top and side view and on one level line in side
and end view. The dimension is lit in the view that shows it; the others show where its points are. A reading of one
side sees that half of the vehicle, so that what is asked is large.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from . import drawn_words
from .lit import Lit, Step, lit_point, own_bars, spots_of
from .marks import lights
from .parts import quiet_vehicle
from .projection import FRONT, LEFT, REAR, RIGHT, TOP_LEFT, TOP_RIGHT, Place, Window
from .scenes import axle_box, drawn, end_view, known, whole_box, wish_of
from .shape import scale_bar
from .svg import circle, drawing, element, join, line, text
from .vehicle import Vehicle

WIDTH, HEIGHT = 880.0, 736.0
PAD, GAP = 16.0, 30.0
HEAD, FOOT = 34.0, 46.0
"""px above a view for its name, and below the floor."""
PAST_MIDDLE = 110.0
"""mm of the other half that half a vehicle shows."""
ROOM = 84.0
"""px beside the end view, for a dimension and its value."""
ABOVE = 50.0
"""mm shown above the highest thing."""
BESIDE = 120.0
"""mm shown beyond either end."""


@dataclass(frozen=True)
class Region:
    """What of the vehicle is shown, mm: along, across, and how high; seen from the right or from the left."""

    x: tuple[float, float]
    y: tuple[float, float]
    high: float
    from_right: bool


@dataclass(frozen=True)
class Panel:
    """One view on the board, with its upper left corner; places fall at the window's px from there."""

    name: str
    window: Window
    left: float
    top: float

    def at(self, place: Place) -> tuple[float, float]:
        x, y = self.window.at(place)
        return x + self.left, y + self.top


@dataclass(frozen=True)
class Boards:
    """defs: once in the page, before the figures. figure: the board of each reading's name."""

    defs: Markup
    figure: dict[str, Markup]


def measure_boards(vehicle: Vehicle, steps: Iterable[Step]) -> Boards:
    """The boards of all steps; those that show the same part of the vehicle share its views."""
    names: dict[Region, str] = {}
    figure, scenes = {}, []
    for step in steps:
        region = region_of(vehicle, step)
        if region not in names:
            names[region] = f"board-{len(names) + 1}"
            scenes += [_scene(vehicle, panel) for panel in panels(vehicle, region, names[region])]
        figure[step.reading] = board(vehicle, step, panels(vehicle, region, names[region]))
    defs = element("svg", element("defs", *scenes), class_="defs", width="0", height="0", aria_hidden="true",
                   focusable="false")
    return Boards(defs, figure)


# ---- what is shown ----


def region_of(vehicle: Vehicle, step: Step) -> Region:
    """The worked axle with its links, or the whole vehicle where the reading needs it; one half where that does."""
    shape = lights(step) if known(vehicle, step) else None
    wanted = wish_of(vehicle, step).view
    places = list(shape.reach(vehicle, step).needs) if shape else []
    near = _axle_region(vehicle)
    far = shape is None or shape.whole or any(not _inside(place, near) for place in places)
    region = _whole_region(vehicle) if far else near
    region = _joined(region, places)
    from_right = wanted in (RIGHT, TOP_RIGHT)
    sides = {spot.side for spot in spots_of(vehicle, step)}
    if shape is None or shape.whole or sides not in ({1}, {-1}):
        return Region(region.x, region.y, region.high, from_right)
    across = (-PAST_MIDDLE, region.y[1]) if sides == {1} else (region.y[0], PAST_MIDDLE)
    ys = [place[1] for place in places]
    return Region(region.x, (min([across[0], *ys]), max([across[1], *ys])), region.high, sides == {-1})


def _inside(place: Place, region: Region) -> bool:
    """A cross line a little beyond is shown with the axle; another axle is not."""
    return region.x[0] - 700.0 <= place[0] <= region.x[1] + 700.0


def _axle_region(vehicle: Vehicle) -> Region:
    side, top = axle_box(vehicle, LEFT), axle_box(vehicle, TOP_LEFT)
    out = max(abs(top.low), abs(top.high)) + vehicle.tyre_diameter * 0.2
    return Region((-side.right - BESIDE, BESIDE - side.left), (-out, out), side.high + ABOVE, False)


def _whole_region(vehicle: Vehicle) -> Region:
    side, end = whole_box(vehicle, LEFT), whole_box(vehicle, TOP_LEFT)
    return Region((-side.right - BESIDE, BESIDE - side.left), (-end.high, -end.low), side.high + ABOVE, False)


def _joined(region: Region, places: Sequence[Place]) -> Region:
    xs, ys, zs = ([place[axis] for place in places] for axis in range(3))
    along = min([region.x[0], *(x - BESIDE for x in xs)]), max([region.x[1], *(x + BESIDE for x in xs)])
    across = min([region.y[0], *ys]), max([region.y[1], *ys])
    return Region(along, across, max([region.high, *(z + ABOVE for z in zs)]), region.from_right)


# ---- where it stands on the board ----


def panels(vehicle: Vehicle, region: Region, name: str) -> tuple[Panel, Panel, Panel]:
    """(top, side, end). The end view stands beside the end of the vehicle it shows."""
    side_view, top_view = (RIGHT, TOP_RIGHT) if region.from_right else (LEFT, TOP_LEFT)
    end = end_view(vehicle)
    long, wide = region.x[1] - region.x[0], region.y[1] - region.y[0]
    scale = min((WIDTH - 2 * PAD - GAP - ROOM) / (long + wide), (HEIGHT - 2 * HEAD - FOOT - GAP) / (wide + region.high))
    end_wide = wide * scale + PAD + ROOM
    side_wide = WIDTH - end_wide - GAP
    low_tall = region.high * scale + HEAD + FOOT
    top_tall = HEIGHT - low_tall
    at_left = (end is FRONT) != region.from_right
    side_left, end_left = (end_wide + GAP, 0.0) if at_left else (0.0, side_wide + GAP)
    ground = (low_tall / 2 - FOOT) / scale
    middle = sum(side_view.paper((x, 0.0, 0.0))[0] for x in region.x) / 2
    across = sum(end.paper((0.0, y, 0.0))[0] for y in region.y) / 2
    above = sum(top_view.paper((0.0, y, 0.0))[1] for y in region.y) / 2
    lowered = above + HEAD / 4 / scale
    return (
        Panel(f"{name}-top", Window(top_view, scale, (middle, lowered), side_wide, top_tall), side_left, 0.0),
        Panel(f"{name}-side", Window(side_view, scale, (middle, ground), side_wide, low_tall), side_left, top_tall),
        Panel(f"{name}-end", Window(end, scale, (across, ground), end_wide, low_tall), end_left, top_tall),
    )


def _scene(vehicle: Vehicle, panel: Panel) -> Markup:
    """The vehicle in quiet lines, and the edge at which its view ends."""
    window = panel.window
    edge = element("clipPath", element("rect", x=0.0, y=0.0, width=window.width, height=window.height),
                   id=f"{panel.name}-edge")
    return edge + element("g", quiet_vehicle(vehicle, window), id=panel.name, class_="d")


# ---- one reading ----


def board(vehicle: Vehicle, step: Step, three: tuple[Panel, Panel, Panel]) -> Markup:
    """The three views with the reading's dimension lit in the one that shows it; the corner above the end view is
    free, and data-corner says which it is."""
    top, side, end = three
    asked = _asked(vehicle, step, three)
    split = top.window.height
    rules = [line("hairl", (0.0, split), (WIDTH, split)),
             line("hairl", (max(side.left, end.left) - GAP / 2, split), (max(side.left, end.left) - GAP / 2, HEIGHT))]
    pieces = [*rules, *_joints(vehicle, step, three)]
    pieces += [_view(vehicle, step, panel, panel is asked) for panel in three]
    pieces += [_name(panel) for panel in three]
    bar = scale_bar(side.window, vehicle.unit, (end.left + PAD, split - 14.0), 90.0)
    words = drawn_words.three_views_lit(step.words)
    return drawing(WIDTH, HEIGHT, *pieces, bar, label=words, class_="d board wide", preserveAspectRatio="xMidYMid meet",
                   data_corner="left" if end.left < side.left else "right")


def _asked(vehicle: Vehicle, step: Step, three: tuple[Panel, Panel, Panel]) -> Panel:
    """The view that shows the dimension best."""
    wanted = wish_of(vehicle, step).view
    if wanted in (FRONT, REAR):
        return three[2]
    return three[0] if wanted in (TOP_LEFT, TOP_RIGHT) else three[1]


def _view(vehicle: Vehicle, step: Step, panel: Panel, asked: bool) -> Markup:
    lit = drawn(vehicle, step, panel.window) if asked else _elsewhere(vehicle, step, panel.window)
    return element("g", lit.under, element("use", href=f"#{panel.name}"), lit.over,
                   transform=f"translate({panel.left:.1f} {panel.top:.1f})", clip_path=f"url(#{panel.name}-edge)",
                   data_asked=asked)


def _elsewhere(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    """Where the points of the reading are in a view that does not show its dimension."""
    if not known(vehicle, step):
        return Lit(Markup(), Markup())
    ends = [window.at(spot.place) for spot in spots_of(vehicle, step)]
    return Lit(join(circle("glowf", end, 11) for end in ends),
               join((own_bars(vehicle, window, step.points), *(lit_point(end) for end in ends))))


def _joints(vehicle: Vehicle, step: Step, three: tuple[Panel, Panel, Panel]) -> list[Markup]:
    """Each point joined through the views by a thin line."""
    top, side, end = three
    if not known(vehicle, step):
        return []
    places = [spot.place for spot in spots_of(vehicle, step)]
    return [line("ext", one.at(place), two.at(place)) for place in places for one, two in ((top, side), (side, end))]


def _name(panel: Panel) -> Markup:
    return text("tq", (panel.left + PAD, panel.top + 22.0), NAMES[panel.window.view.key])


NAMES = {"left": drawn_words.LOOK_FROM_THE_LEFT, "right": drawn_words.LOOK_FROM_THE_RIGHT, "front": "From the front",
         "rear": "From behind", "top_left": "From above", "top_right": "From above"}

