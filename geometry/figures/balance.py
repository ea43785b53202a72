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
    ride.wait_for(*(f"load.{corner}" for corner in CORNERS))
    loads = {corner: ride.scalar(f"load.{corner}") for corner in CORNERS}
    front = loads["front_left"] + loads["front_right"]
    rear = loads["rear_left"] + loads["rear_right"]
    total = front + rear
    if total.real[0] <= 1.0:
        raise NotYet(("weight:front", "weight:rear"), figure_words.WEIGHTS_ARE_NOTHING)
    return np.asarray(-ride.wheelbase * rear / total if ride.front else ride.wheelbase * front / total)


def cg_across(ride: Ride) -> Complex:
    """Where the weight acts across the vehicle, mm, + left of the centreline: each wheel's load at its centre.

    NotYet where no wheel of an axle was weighed by itself: axle loads say nothing of left and right.
    """
    read = {seen.name for seen in ride.fit.observations}
    lacking = [end for end in ("front", "rear") if not read & {f"weight:{end}_left", f"weight:{end}_right"}]
    if lacking:
        raise NotYet(tuple(f"weight:{end}_{side}" for end in lacking for side in ("left", "right")))
    loads = {corner: ride.scalar(f"load.{corner}") for corner in CORNERS}
    total = np.asarray(sum(loads.values()))
    if total.real[0] <= 1.0:
        raise NotYet(tuple(f"weight:{corner}" for corner in CORNERS), figure_words.WEIGHTS_ARE_NOTHING)
    stems = {"front": "wheel" if ride.front else "other", "rear": "other" if ride.front else "wheel"}
    moment = sum(loads[f"{end}_{side}"] * ride.point(f"{stem}_{side}.centre")[:, 1]
                 for end, stem in stems.items() for side in ("left", "right"))  # fmt: skip
    return np.asarray(moment / total)


def cg_height(ride: Ride) -> Complex:
    """Height above the floor, mm."""
    return ride.cg_height


def _across(value: float, sd: float) -> str:
    return figure_words.WEIGHT_IN_THE_MIDDLE if abs(value) < 2.0 * sd else figure_words.WEIGHT_ACTS_ASIDE


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
            "cg.y", "mm", "balance", "Centre of gravity, left of the centreline", cg_across, _across,
        ),
        FigureKind(
            "cg.z", "mm", "balance", "Centre of gravity, above the floor", cg_height,
            lambda value, sd: figure_words.CG_HEIGHT_IS,
        ),
    )  # fmt: skip
