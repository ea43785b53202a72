"""What a slip that nobody would notice does to a figure: how far it carries into what people cut by.

A slip s in reading i moves the estimate by C a_i' s / sd_i (C the covariance, a_i the reading's whitened row), and a
figure with slope g by g C a_i' s / sd_i. Source: external reliability of an adjustment, first order.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from geometry.figures.base import Facts, Figure, FigureKind, NotYet
from geometry.figures.ride import Ride
from geometry.figures.slopes import figures
from geometry.fit import Fit
from geometry.frame import Array
from geometry.next_check import USUAL_SLIP, Watched, watched

WORTH_SAYING = 2.0
"""Sds of a figure by which an unnoticed slip must move it to stand in its way."""
LENGTH_SPREAD = 3.0
"""mm: a link's length given or taken more than this (two sd) is taken up by no turn or two of its adjusters; common
practice, no source."""


@dataclass(frozen=True)
class Carried:
    """A slip in one reading that would pass unseen, and how far it moves a figure. slip: file unit; move: the figure's
    unit, without sign."""

    key: str
    name: str
    unit: str
    slip: float
    move: float


def carried(fitted: Fit, facts: Facts, kinds: Mapping[str, FigureKind]) -> dict[str, tuple[Carried, ...]]:
    """For each figure that can be had the unchecked readings in which a usual slip moves it clearly, most first."""
    if not fitted.observations:
        return {}
    blind = {number: one for number, one in enumerate(watched(fitted)) if one.unchecked}
    found: dict[str, tuple[Carried, ...]] = {}
    for key, slope in slopes(fitted, facts, kinds).items():
        spread = math.sqrt(max(float(slope @ fitted.covariance @ slope), 0.0))
        moves = moved_by(fitted, slope)
        reached = [_carried(one, float(moves[number])) for number, one in blind.items()]
        clear = [one for one in reached if one.move > WORTH_SAYING * spread]
        found[key] = tuple(sorted(clear, key=lambda one: -one.move))
    return found


def too_wide(figure: Figure, kind: FigureKind) -> bool:
    """Whether a figure's spread is too wide to cut by: of a link's length, more than its adjusters take up; of others,
    both ends of the usual band lie within it."""
    if figure.sd is None:
        return False
    if kind.key.startswith("link_length."):
        return 2.0 * figure.sd > LENGTH_SPREAD
    band = kind.band
    if band is None or band.low is None or band.high is None:
        return False
    return 4.0 * figure.sd > band.high - band.low


def moved_by(fitted: Fit, slope: Array) -> Array:
    """How far a figure of that slope (u,) goes for each unit, file unit, that a reading is off: (n,)."""
    rows = fitted.design_matrix[: len(fitted.observations)]
    return np.asarray(rows @ fitted.covariance @ slope / fitted.sd)


def slopes(fitted: Fit, facts: Facts, kinds: Mapping[str, FigureKind]) -> dict[str, Array]:
    """Change of each figure per change of each unknown of the fit, (u,); without those that cannot be had."""
    ride = Ride(fitted, facts)
    found: dict[str, Array] = {}
    for key, figure in figures(ride, dict(kinds)).items():
        if not isinstance(figure, NotYet):
            found[key] = np.zeros(fitted.unknowns)
            found[key][ride.unknowns] = figure.slope
    return found


def _carried(one: Watched, per_unit: float) -> Carried:
    slip = USUAL_SLIP[one.unit]
    return Carried(one.key, one.name, one.unit, slip, abs(per_unit) * slip)
