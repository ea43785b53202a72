"""Lengths, inclines and plan angles of the links, and how far uppers and lowers stand apart."""

from __future__ import annotations

from functools import partial

import numpy as np

from geometry.complex_step import Complex, absolute, atan2, norm
from geometry.figures import figure_words
from geometry.figures.base import Band, FigureKind, side
from geometry.figures.ride import Ride
from geometry.layouts import LAYOUTS, Layout

DEGREE = 180.0 / np.pi


def length(ride: Ride, name: str) -> Complex:
    """Joint centre to joint centre, mm."""
    return norm(ride.link(name))


def incline(ride: Ride, name: str) -> Complex:
    """Above the floor plane going from axle to frame, deg."""
    along = ride.long_link(name)
    return DEGREE * atan2(along[:, 2], norm(along[:, :2]))


def plan(ride: Ride, name: str) -> Complex:
    """Angle to the centreline in plan view, 0 to 90 deg."""
    along = ride.long_link(name)
    return DEGREE * atan2(absolute(along[:, 1]), absolute(along[:, 0]))


def separation(ride: Ride, end: str) -> Complex:
    """Mean height of the uppers less mean height of the lowers at `end` ("axle" or "frame"), mm."""
    heights = {"upper": [], "lower": []}  # type: dict[str, list[Complex]]
    for link in ride.layout.links:
        if link.role in heights:
            place = ride.point(link.frame) if end == "frame" else ride.axle_end(link.name)
            heights[link.role].append(place[:, 2])
    return np.asarray(sum(heights["upper"]) / len(heights["upper"]) - sum(heights["lower"]) / len(heights["lower"]))


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family for a layout."""
    layout = LAYOUTS[layout_name]
    front = worked_axle == "front"
    found = []
    for link in layout.links:
        found += [
            FigureKind(
                f"link_length.{link.name}", "mm", "links", f"{link.words}, length".capitalize(),
                partial(length, name=link.name), _says_length, _length_band(link.role, front),
            ),
            FigureKind(
                f"link_incline.{link.name}", "deg", "links", f"{link.words}, incline".capitalize(),
                partial(incline, name=link.name), _says_incline, _incline_band(link.role),
            ),
            FigureKind(
                f"link_plan.{link.name}", "deg", "links", f"{link.words}, angle in plan".capitalize(),
                partial(plan, name=link.name), _says_plan,
            ),
        ]  # fmt: skip
    return (*found, *_separations(layout))


def _separations(layout: Layout) -> tuple[FigureKind, ...]:
    roles = {link.role for link in layout.links}
    if not {"upper", "lower"} <= roles:
        return ()
    return (
        FigureKind(
            "separation_at_axle", "mm", "links", "Uppers above lowers at the axle", partial(separation, end="axle"),
            _says_separation, Band(180.0, 250.0, "usual, often a quarter of the tyre"),
        ),
        FigureKind(
            "separation_at_frame", "mm", "links", "Uppers above lowers at the frame", partial(separation, end="frame"),
            _says_separation, Band(100.0, 180.0, "usual, half to three quarters of that at the axle"),
        ),
    )  # fmt: skip


def _length_band(role: str, front: bool) -> Band | None:
    if role == "panhard":
        return Band(800.0, None, "the longest that fits")
    if role == "lower":
        return Band(*side_lengths(front), side(front, "usual in front", figure_words.USUAL_AT_THE_REAR))
    return None


def side_lengths(front: bool) -> tuple[float, float]:
    """Usual lengths of lower links, mm: common practice, no source."""
    return (760.0, 950.0) if front else (800.0, 1100.0)


def _incline_band(role: str) -> Band | None:
    if role == "panhard":
        return Band(-3.0, 3.0, "near level")
    if role == "lower":
        return Band(0.0, 8.0, figure_words.USUAL_FRAME_END_UP)
    return None


def _says_length(value: float, sd: float) -> str:
    return figure_words.LENGTH_IS


def _says_incline(value: float, sd: float) -> str:
    if abs(value) <= 2 * sd or abs(value) < 0.5:
        return figure_words.LIES_LEVEL
    return figure_words.STANDS_HIGHER if value > 0 else figure_words.STANDS_LOWER


def _says_plan(value: float, sd: float) -> str:
    return figure_words.SWUNG


def _says_separation(value: float, sd: float) -> str:
    if value < 0:
        return figure_words.UPPERS_BELOW
    return figure_words.SMALLER_IS_HARDER
