"""How well panhard bar and drag link match: the nearer alike, the less the wheels steer themselves over bumps."""

from __future__ import annotations

import numpy as np

from geometry.complex_step import Complex, atan2, norm
from geometry.figures import figure_words
from geometry.figures.base import Band, FigureKind, NotYet
from geometry.figures.ride import SHORT_MM, Ride

DEGREE = 180.0 / np.pi


def _pair(ride: Ride) -> tuple[Complex, Complex]:
    """Panhard bar and drag link, both from axle end to frame end, (P, 3)."""
    drag = ride.point("drag_link.frame") - ride.point("drag_link.axle")
    if not float(norm(drag[:1].real)[0]) > SHORT_MM:
        raise NotYet((), figure_words.link_in_one_place("drag link"))
    return ride.long_link("panhard"), drag


def length(ride: Ride) -> Complex:
    """Drag link over panhard bar, less one, %."""
    bar, drag = _pair(ride)
    return np.asarray(100.0 * (norm(drag) / norm(bar) - 1.0))


def incline(ride: Ride) -> Complex:
    """Incline of the drag link less that of the panhard bar, both seen from the same side, deg."""
    bar, drag = _pair(ride)
    slopes = [DEGREE * atan2(part[:, 2], norm(part[:, :2])) for part in (bar, drag)]
    if not _same_side(bar, drag):
        raise NotYet((), figure_words.OPPOSITE_SIDES)
    return np.asarray(slopes[1] - slopes[0])


def plan(ride: Ride) -> Complex:
    """Angle between the two in plan, deg, + drag link swung to the left of the bar."""
    bar, drag = _pair(ride)
    cross = bar[:, 0] * drag[:, 1] - bar[:, 1] * drag[:, 0]
    return np.asarray(DEGREE * atan2(cross, bar[:, 0] * drag[:, 0] + bar[:, 1] * drag[:, 1]))


def _same_side(bar: Complex, drag: Complex) -> bool:
    return bool((bar[0, 1] * drag[0, 1]).real > 0)


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family: a front axle's with a panhard bar."""
    if worked_axle != "front" or not layout_name.endswith("panhard"):
        return ()
    return (
        FigureKind(
            "match.incline", "deg", "steering", "Drag link against panhard, incline", incline,
            lambda value, sd: figure_words.NEARER_TO_NOUGHT,
            Band(-1.0, 1.0, "usual"),
        ),
        FigureKind(
            "match.length", "%", "steering", "Drag link against panhard, length", length,
            lambda value, sd: figure_words.HOW_MUCH_LONGER, Band(-5.0, 5.0, "usual"),
        ),
        FigureKind(
            "match.plan", "deg", "steering", "Drag link against panhard, in plan", plan,
            lambda value, sd: figure_words.HOW_FAR_APART,
        ),
    )  # fmt: skip
