"""What moved from one stage to the next: the vehicle as it was, dashed, and as it is, its moves drawn larger.

Only bolts that moved for sure leave their place, by an arrow. Around every bolt that was read again stands the give or
take of its move, two sd, drawn as much larger: an arrow that leaves it is sure by eye too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from . import drawn_words, parts
from .ghosted import planned
from .projection import Matrix, Place, Window, ellipse_axes
from .shape import HEIGHT, TALL, WIDTH, ellipse, grid, mark, scale_bar, shape_window, view_of
from .svg import arrow_head, circle, drawing, join, line, text
from .vehicle import Vehicle

FACTORS = (50, 20, 10, 5, 2)
LONGEST_PX = 44.0
"""An arrow is no longer, where one of the factors allows it."""
SMALLEST_PX = 3.0
TWO = 2.0


@dataclass(frozen=True)
class Move:
    """One bolt that was read again. by: how far it went, mm; cov: of that, mm2; sure: beyond the tape."""

    name: str
    by: Place
    cov: Matrix
    sure: bool


def factor(was: Vehicle, moves: Sequence[Move]) -> int:
    """How many times larger moves are drawn in every view: as large as fits the longest in the tightest one."""
    windows = [_window(was, view) for view in ("side", "top", "front")]
    longest = max((math.dist((0.0, 0.0), window.view.paper(move.by)) * window.scale
                   for move in moves if move.sure for window in windows), default=0.0)
    return next((times for times in FACTORS if times * longest <= LONGEST_PX), FACTORS[-1]) if longest else 10


def changed(was: Vehicle, moves: Sequence[Move], view: str, times: int) -> Markup:
    """One view, 360 wide: "side", "top" or "front"; moves drawn so many times larger."""
    window = _window(was, view)
    gone = {move.name: move for move in moves if move.sure}
    places = {name: _moved(was.spots[name].place, move.by, times) for name, move in gone.items() if name in was.spots}
    now = planned(was, places)
    bars = tuple(bar for bar in was.bars if gone.keys() & set(bar.points))
    ghost = parts.bars(replace(was, bars=bars), window, "was")
    looking = view_of(was, view)
    label = drawn_words.changed(looking.words, times)
    return drawing(
        WIDTH, window.height, grid(window, was.unit), parts.body(now, window, "own", parts.floor(window)), ghost,
        *_spots(was, now, window, {move.name: move for move in moves}, times),
        scale_bar(window, was.unit, (8.0, window.height - 12)),
        text("tq", (352, window.height - 8), looking.words, "end"),
        label=label, preserveAspectRatio="xMidYMid meet",
    )  # fmt: skip


def _window(vehicle: Vehicle, view: str) -> Window:
    return shape_window(vehicle, view_of(vehicle, view), TALL if view == "top" else HEIGHT)


def _moved(place: Place, by: Place, times: int) -> Place:
    return place[0] + times * by[0], place[1] + times * by[1], place[2] + times * by[2]


def _spots(
    was: Vehicle, now: Vehicle, window: Window, moves: Mapping[str, Move], times: int
) -> list[Markup]:
    found = []
    for spot in sorted(parts.visible_spots(was, window), key=lambda spot: spot.name in moves and moves[spot.name].sure):
        move = moves.get(spot.name)
        at = window.at(spot.place)
        if move is None:
            found.append(mark(spot, at))
            continue
        long, short, turn = ellipse_axes(*window.view.covariance(move.cov))
        larger = TWO * times * window.scale
        found.append(ellipse("ell", at, max(long * larger, SMALLEST_PX), max(short * larger, SMALLEST_PX), turn))
        if move.sure:
            to = window.at(now.spots[spot.name].place)
            found.append(join((circle("wasp", at, 2.5), line("lit", at, to), arrow_head("litf", to, at))))
        else:
            found.append(mark(spot, at))
    return found
