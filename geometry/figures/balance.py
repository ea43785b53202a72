"""Wheelbase and centre of gravity."""

from __future__ import annotations

import numpy as np

from geometry.complex_step import Complex
from geometry.figures import figure_words
from geometry.figures.base import FigureKind, NotYet
from geometry.figures.ride import Ride

CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


def wheelbase(ride: Ride) -> Complex:
    """Mean of both sides, mm."""
    return ride.wheelbase


def cg_along(ride: Ride) -> Complex:
    """Where the weight acts along the vehicle, mm, + ahead of the worked axle: axle loads over the wheelbase."""
    loads = {corner: ride.scalar(f"load.{corner}") for corner in CORNERS}
    front = loads["front_left"] + loads["front_right"]
    rear = loads["rear_left"] + loads["rear_right"]
    total = front + rear
    if total.real[0] <= 1.0:
        raise NotYet(("weight:front", "weight:rear"), figure_words.WEIGHTS_ARE_NOTHING)
    return np.asarray(-ride.wheelbase * rear / total if ride.front else ride.wheelbase * front / total)


def cg_height(ride: Ride) -> Complex:
    """Height above the floor, mm."""
    return ride.cg_height


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family."""
    return (
        FigureKind(
            "wheelbase", "mm", "balance", "Wheelbase", wheelbase,
            lambda value, sd: figure_words.WHEELBASE_IS,
        ),
        FigureKind(
            "cg.x", "mm", "balance", "Centre of gravity, ahead of the axle", cg_along,
            lambda value, sd: figure_words.WEIGHT_ACTS,
        ),
        FigureKind(
            "cg.z", "mm", "balance", "Centre of gravity, above the floor", cg_height,
            lambda value, sd: figure_words.CG_HEIGHT_IS,
        ),
    )  # fmt: skip
