"""The board on the bench: top view above the side view, the end view beside it, one scale, edges in line."""

from __future__ import annotations

from collections.abc import Callable

from markupsafe import Markup

from . import drawn_words, parts
from .lit import on_floor
from .projection import LEFT, TOP_LEFT, Window
from .scenes import end_view, whole_box
from .shape import Pick, grid, scale_bar, spots
from .svg import arrow_head, drawing, join, line, text
from .vehicle import Vehicle

WIDTH, HEIGHT = 900.0, 690.0
EDGE, GAP, FOOT, HEAD = 20.0, 34.0, 62.0, 40.0
HIT = 14.0


def board_windows(vehicle: Vehicle) -> tuple[Window, Window, Window]:
    """(top, side, end): all 900 x 690 px at one scale, so that a point lies on one upright line in top and side view
    and on one level line in side and end view."""
    end = end_view(vehicle)
    long, wide, high = whole_box(vehicle, LEFT), whole_box(vehicle, end), whole_box(vehicle, TOP_LEFT)
    scale = min((WIDTH - 2 * EDGE - GAP) / (long.width + wide.width),
                (HEIGHT - HEAD - FOOT - 2 * GAP) / (long.height + high.height))
    free = (WIDTH - 2 * EDGE - GAP - (long.width + wide.width) * scale) / 2
    end_left, side_left = EDGE + free / 2, WIDTH - EDGE - free / 2 - long.width * scale
    def centre(left_px: float, left_mm: float, floor_px: float) -> tuple[float, float]:
        return left_mm + (WIDTH / 2 - left_px) / scale, (floor_px - HEIGHT / 2) / scale
    ground = HEIGHT - FOOT
    middle = HEAD + GAP / 2 + high.height * scale / 2
    side = Window(LEFT, scale, centre(side_left, long.left, ground), WIDTH, HEIGHT)
    ends = Window(end, scale, centre(end_left, wide.left, ground), WIDTH, HEIGHT)
    top = Window(TOP_LEFT, scale, (side.centre[0], (middle - HEIGHT / 2) / scale), WIDTH, HEIGHT)
    return top, side, ends


def shape_board(vehicle: Vehicle, chosen: str | None = None, href: Callable[[str], str] | None = None,
                wheelbase: str | None = None) -> Markup:
    """Three views in line, 900 x 690. wheelbase: its length with its spread, as words to letter on the dimension."""
    pick = Pick(href or Pick.href, chosen)
    top, side, end = board_windows(vehicle)
    joint = Markup()
    spot = vehicle.spots.get(chosen or "")
    if spot is not None:
        joint = join((line("ext", top.at(spot.place), side.at(spot.place)),
                      line("ext", side.at(spot.place), end.at(spot.place))))
    return drawing(WIDTH, HEIGHT, grid(side, vehicle.unit), joint, parts.body(vehicle, top, "own", Markup()),
                   parts.body(vehicle, side, "own", _ground(vehicle, side)),
                   parts.body(vehicle, end, "own", _ground(vehicle, end)), _titles(vehicle, top, side, end),
                   _wheelbase(vehicle, side, wheelbase), scale_bar(side, vehicle.unit, (16.0, HEIGHT - 16), 90.0),
                   *(spots(vehicle, window, pick, HIT) for window in (end, side, top)),
                   label=drawn_words.THREE_VIEWS, role="group", preserveAspectRatio="xMidYMid meet")


def _ground(vehicle: Vehicle, window: Window) -> Markup:
    left, right = _edges(vehicle, window)
    return parts.floor(window, max(left - 10, 0.0), min(right + 10, WIDTH))


def _titles(vehicle: Vehicle, top: Window, side: Window, end: Window) -> Markup:
    """What each view is, above it and clear of it."""
    (end_left, end_right), (side_left, side_right) = (_edges(vehicle, window) for window in (end, side))
    above = side.pixel((0.0, whole_box(vehicle, LEFT).high))[1] - 14
    here, there = ("right", "left") if end.view.right[1] > 0 else ("left", "right")
    front = vehicle.worked_axle == "front"
    return join((text("tb1", (16, 28), "Top view"), text("tq", (16, 46), drawn_words.FRONT_AT_LEFT),
                 text("tb1", (end_left, above - 20), "Front view" if front else "Rear view"),
                 text("tq", (end_left, above), here), text("tq", (end_right, above), there, "end"),
                 text("tb1", (side_right if front else side_left, above - 4), drawn_words.FROM_THE_LEFT,
                      "end" if front else None)))


def _edges(vehicle: Vehicle, window: Window) -> tuple[float, float]:
    """Left and right end of a view, px."""
    box = whole_box(vehicle, window.view)
    return window.pixel((box.left, 0.0))[0], window.pixel((box.right, 0.0))[0]


def _wheelbase(vehicle: Vehicle, side: Window, words: str | None) -> Markup:
    hubs = sorted((side.at(on_floor(spot.place)) for spot in vehicle.wheels if spot.side > 0), key=lambda at: at[0])
    if words is None or len(hubs) < 2:
        return Markup()
    one, two, y = hubs[0][0], hubs[-1][0], side.floor + 28
    return join((line("dim", (one, side.floor + 8), (one, y + 5)), line("dim", (two, side.floor + 8), (two, y + 5)),
                 line("dim", (one, y), (two, y)), arrow_head("dimf", (one, y), (two, y), 7, 5),
                 arrow_head("dimf", (two, y), (one, y), 7, 5), text("t12", ((one + two) / 2, y - 6), words, "middle")))
