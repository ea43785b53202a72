"""The remark's magnifier: the level typed, a diamond, against the level that fits with its band."""

from __future__ import annotations

import math

from markupsafe import Markup

from .svg import Pixel, circle, diamond, drawing, join, line, number, path, text

SIDE = 104.0
RADIUS = 48.0
FAR = 26.0
"""px from the middle to a value that does not fit, at most; what is further away is drawn there."""


def lens(typed_label: str, fits_label: str, difference: float = 1.0, spread: float = 0.25) -> Markup:
    """A lens of 104 px. difference: typed less fitting, in the reading's own unit, its sign above (+) or below (-);
    spread: what fits give or take, in the same unit. True to each other unless the difference runs out of the glass."""
    return drawing(SIDE, SIDE, inside((SIDE / 2, SIDE / 2), typed_label, fits_label, difference, spread),
                   label=f"typed {typed_label}, {fits_label} fits", class_="d lens")


def inside(middle: Pixel, typed_label: str, fits_label: str, difference: float, spread: float) -> Markup:
    """The lens about a middle, to be set into another drawing."""
    x, y = middle
    up = 1 if difference >= 0 else -1
    fits = y + up * 10
    scale = FAR / (abs(difference) or 1.0)
    typed = fits - up * FAR
    half = min(max(spread * scale, 4.0), 17.0)
    text_typed = (x + 4, typed - 5) if up > 0 else (x + 4, typed + 15)
    return join((
        circle("gr", middle, RADIUS + 1), _band(middle, fits - half, fits + half),
        line("bandl", _chord(middle, fits, -1), _chord(middle, fits, 1)),
        line("doubt", _chord(middle, typed, -1), _chord(middle, typed, 1)),
        diamond("doubtf", (x - 24, typed), 7), circle("ink", middle, RADIUS),
        text("td t12", text_typed, typed_label, "middle"),
        text("t12 tb1", (x, fits + (16 if up > 0 else -8)), f"{fits_label} fits", "middle"),
    ))


def _chord(middle: Pixel, y: float, side: int) -> Pixel:
    """Where a level line meets the rim."""
    high = min(abs(y - middle[1]), RADIUS)
    return middle[0] + side * math.sqrt(RADIUS * RADIUS - high * high), y


def _band(middle: Pixel, top: float, low: float) -> Markup:
    """The part of the glass between two levels."""
    (x0, y0), (x1, _) = _chord(middle, top, -1), _chord(middle, top, 1)
    (x2, y2), (x3, _) = _chord(middle, low, 1), _chord(middle, low, -1)
    r = number(RADIUS)
    return path("band", f"M{number(x0)} {number(y0)}H{number(x1)}A{r} {r} 0 0 1 {number(x2)} {number(y2)}"
                        f"H{number(x3)}A{r} {r} 0 0 1 {number(x0)} {number(y0)}Z")
