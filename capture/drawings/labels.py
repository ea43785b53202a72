"""Where lettering can stand: its width as far as one can tell without a screen, and the first free place of several."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from markupsafe import Markup

from .svg import Pixel, text

Rectangle = tuple[float, float, float, float]
"""left, top, right, bottom; px."""

NARROW, WIDE = "1iIlj.,:;|!' ", "mwMW%±"


def text_width(words: str, size: float = 12.0) -> float:
    """About how wide the words are set, px; a little more than the widest of the usual fonts needs."""
    ems = sum(0.34 if letter in NARROW else 0.92 if letter in WIDE else 0.6 for letter in words)
    return ems * size


def rectangle_of(words: str, at: Pixel, anchor: str | None, size: float = 12.0) -> Rectangle:
    width = text_width(words, size)
    left = at[0] - (width if anchor == "end" else width / 2 if anchor == "middle" else 0.0)
    return left, at[1] - size * 0.82, left + width, at[1] + size * 0.25


def overlap(one: Rectangle, two: Rectangle) -> float:
    """px² the two have in common."""
    return max(0.0, min(one[2], two[2]) - max(one[0], two[0])) * max(0.0, min(one[3], two[3]) - max(one[1], two[1]))


def along(one: Pixel, two: Pixel, half: float) -> list[Rectangle]:
    """A line of this half width as rectangles, so that labels keep off it."""
    pieces = max(int(math.dist(one, two) / 8.0), 1)
    middles = [(one[0] + (two[0] - one[0]) * i / pieces, one[1] + (two[1] - one[1]) * i / pieces)
               for i in range(pieces + 1)]
    return [(x - half, y - half, x + half, y + half) for x, y in middles]


class Lettering:
    """Puts labels on a drawing one after the other, each in the first place where it collides with nothing."""

    def __init__(self, width: float, height: float, taken: Iterable[Rectangle] = ()) -> None:
        self.width, self.height = width, height
        self.taken = list(taken)

    def put(self, class_: str, words: str, places: Sequence[tuple[Pixel, str | None]], size: float = 12.0) -> Markup:
        """places: (where, anchor), best first. The least bad one is taken where none is free."""
        def cost(place: tuple[Pixel, str | None]) -> float:
            box = rectangle_of(words, place[0], place[1], size)
            outside = max(0.0, 2 - box[0]) + max(0.0, box[2] - self.width + 2)
            outside += max(0.0, 1 - box[1]) + max(0.0, box[3] - self.height + 1)
            return outside * 100 + sum(overlap(box, other) for other in self.taken)
        at, anchor = min(places, key=cost)
        self.taken.append(rectangle_of(words, at, anchor, size))
        return text(class_, at, words, anchor)
