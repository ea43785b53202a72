"""Dimension lines on paper: the length between two places with its ±, drawn in rows below and columns beside a view."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup

from capture.drawings.labels import text_width
from capture.drawings.svg import Pixel, arrow_head, join, line, text

ROW = 20.0
"""Units from one row of dimensions to the next: 5 mm."""
LETTER = 12.0
CLEAR = 5.0
HEAD = 8.0
BESIDE = 0.4
"""Where the words stand along an upright line: not at its middle, through which the centreline may go."""


@dataclass(frozen=True)
class Level:
    """A dimension along the paper, from one place's x to the other's, in a row below. start, end: where each stands."""

    start: Pixel
    end: Pixel
    words: str


@dataclass(frozen=True)
class Upright(Level):
    """The same up the paper, in a column beside."""


def rows(levels: Iterable[Level], first: float) -> Markup:
    """The shortest first and nearest to the view; the first row at y = `first`."""
    pieces = []
    for number, one in enumerate(sorted(levels, key=lambda one: abs(one.end[0] - one.start[0]))):
        y = first + number * ROW
        left, right = sorted((one.start, one.end))
        pieces += [line("ext", (at[0], at[1] + CLEAR), (at[0], y + 4)) for at in (left, right)]
        room = right[0] - left[0]
        wide = text_width(one.words, LETTER)
        pieces.append(line("dim", (left[0], y), (right[0], y)))
        pieces += [arrow_head("dimf", (left[0], y), (right[0], y), HEAD, 4),
                   arrow_head("dimf", (right[0], y), (left[0], y), HEAD, 4)]  # fmt: skip
        if wide < room - 2 * HEAD:
            pieces.append(text("t12", ((left[0] + right[0]) / 2, y - 4), one.words, "middle"))
        else:
            pieces.append(text("t12", (right[0] + 6, y + 4), one.words))
    return join(pieces)


def columns(uprights: Iterable[Upright], first: float, way: int) -> Markup:
    """The shortest first and nearest to the view, at x = `first`; the others further `way` (+1 right, -1 left)."""
    pieces, x = [], first
    for one in sorted(uprights, key=lambda one: abs(one.end[1] - one.start[1])):
        low, high = sorted((one.start, one.end), key=lambda at: -at[1])
        pieces += [line("ext", (at[0] + way * CLEAR, at[1]), (x + way * 4, at[1])) for at in (low, high)]
        pieces.append(line("dim", (x, low[1]), (x, high[1])))
        pieces += [arrow_head("dimf", (x, low[1]), (x, high[1]), HEAD, 4),
                   arrow_head("dimf", (x, high[1]), (x, low[1]), HEAD, 4)]  # fmt: skip
        height = low[1] + BESIDE * (high[1] - low[1]) + 4
        pieces.append(text("t12", (x + way * 5, height), one.words, None if way > 0 else "end"))
        x += way * (text_width(one.words, LETTER) + 12)
    return join(pieces)


def columns_wide(uprights: Iterable[Upright]) -> float:
    """How much room the columns take, units."""
    return sum(text_width(one.words, LETTER) + 12 for one in uprights)
