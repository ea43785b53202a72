"""Every figure, and every column of the sweep, with its slope by each unknown: what differences of figures need.

A spread alone cannot say how sure the difference of two figures is, for both hang on the same readings. Their slopes
can: the difference has the slope of one less that of the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.complex_step import STEP
from geometry.figures import figure_words, travel
from geometry.figures.base import FigureKind, NotYet
from geometry.figures.ride import Ride
from geometry.figures.taken import take
from geometry.frame import Array


@dataclass(frozen=True)
class Sloped:
    """A figure's value and its change per change of each of the ride's unknowns, (P,), inside units."""

    value: float
    slope: Array


@dataclass(frozen=True)
class SlopedColumn:
    """A column of the sweep: values (T,), nan where it cannot be had, and slopes (T, P)."""

    values: Array
    slopes: Array


def figures(ride: Ride, kinds: dict[str, FigureKind]) -> dict[str, Sloped | NotYet]:
    """Every one of `kinds` for a nudged ride, or why it cannot be had."""
    found: dict[str, Sloped | NotYet] = {}
    with np.errstate(all="ignore"):
        for key, kind in kinds.items():
            try:
                answer = np.asarray(kind.of(ride))
            except NotYet as wait:
                found[key] = _kept(wait)
                continue
            value, slope = float(answer.real[0]), answer.imag / STEP
            usable = np.isfinite(value) and np.isfinite(slope).all()
            found[key] = Sloped(value, slope) if usable else NotYet((), figure_words.FREE_TO_MOVE)
    return found


def columns(ride: Ride) -> tuple[Array, dict[str, tuple[travel.ColumnKind, SlopedColumn | NotYet]]]:
    """The sweep in heave of a nudged ride: the travel (T,) mm, and each column with its kind, or why there is none."""
    kinds = travel.columns(ride.layout.name, "front" if ride.front else "rear")
    return travel.steps(ride), {kind.key: (kind, column(ride, kind)) for kind in kinds}


def column(ride: Ride, kind: travel.ColumnKind) -> SlopedColumn | NotYet:
    """One column over the travel in heave of a nudged ride, or why there is none."""
    path = travel.steps(ride)
    with np.errstate(all="ignore"):
        try:
            at, reached = take(ride, path)
            answer = np.asarray(kind.of(ride, at))
        except NotYet as wait:
            return _kept(wait)
    values = np.full(path.size, np.nan)
    slopes = np.full((path.size, answer.shape[0]), np.nan)
    values[reached], slopes[reached] = answer[0].real, (answer.imag / STEP).T
    return SlopedColumn(values, slopes)


def _kept(wait: NotYet) -> NotYet:
    """Without its traceback, which would hold all the arrays of the functions it came through."""
    return wait.with_traceback(None)
