"""The steering axes seen from the front and where they meet the floor: inclination, scrub, trail."""

from __future__ import annotations

from functools import partial

import numpy as np

from geometry.complex_step import Complex, atan2
from geometry.figures import figure_words
from geometry.figures.base import FigureKind
from geometry.figures.ride import Ride
from geometry.figures.steering import SIDES, kingpin

DEGREE = 180.0 / np.pi


def inclination(ride: Ride, at: str) -> Complex:
    """Lean of the steering axis in front view, deg, + top inboard."""
    axis = kingpin(ride, at)
    inboard = -axis[:, 1] if at == "left" else axis[:, 1]
    return np.asarray(DEGREE * atan2(inboard, axis[:, 2]))


def on_floor(ride: Ride, at: str) -> Complex:
    """Where the steering axis meets the floor, (P, 3) mm."""
    foot, axis = ride.point(f"kingpin_{at}.bottom"), kingpin(ride, at)
    return np.asarray(foot - axis * (foot[:, 2] / axis[:, 2])[:, None])


def scrub(ride: Ride, at: str) -> Complex:
    """From the axis on the floor out to the tyre's middle, mm, + tyre outboard."""
    across = ride.point(f"wheel_{at}.centre")[:, 1] - on_floor(ride, at)[:, 1]
    return np.asarray(across if at == "left" else -across)


def trail(ride: Ride, at: str) -> Complex:
    """From the contact point ahead to the axis on the floor, mm, + axis ahead."""
    return np.asarray(on_floor(ride, at)[:, 0] - ride.point(f"wheel_{at}.centre")[:, 0])


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family: a front axle's."""
    if worked_axle != "front":
        return ()
    shapes = (
        ("kingpin_inclination", "deg", "Kingpin inclination", inclination, figure_words.STEERING_AXIS_LEANS),
        ("scrub", "mm", "Scrub", scrub, figure_words.SCRUB),
        ("trail", "mm", "Trail", trail, figure_words.TRAIL),
    )  # fmt: skip
    return tuple(
        FigureKind(f"{key}.{at}", unit, "steering", f"{title}, {at}", partial(of, at=at), _says(sentence))
        for key, unit, title, of, sentence in shapes
        for at in SIDES
    )


def _says(sentence: str) -> partial[str]:
    return partial(_same, sentence=sentence)


def _same(value: float, sd: float, sentence: str) -> str:
    return sentence
