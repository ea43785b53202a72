"""Takes of one reading as one row of the adjustment: their weighted mean, as sure as all of them together.

The sum of squares of takes about what is predicted is that of their mean plus a constant (Steiner), so the estimate,
its covariance and each step to it are the same, and a log of thousands of takes costs no more than one of each name.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.adjustment import Adjustment, checked_by
from geometry.frame import Array


@dataclass(frozen=True)
class Repeated:
    """n takes as g rows. row (n,): which row a take is in; first (g,): the first take of each. read, sd (g,)."""

    row: NDArray[np.intp]
    first: tuple[int, ...]
    read: Array
    sd: Array


def repeated(alike: Sequence[Hashable], read: Array, sd: Array) -> Repeated:
    """The rows of takes that are predicted alike. alike, read, sd (n,). A take on its own stays as it is to the bit."""
    places: dict[Hashable, int] = {}
    row = np.array([places.setdefault(key, len(places)) for key in alike], dtype=np.intp)
    first = np.full(len(places), len(row), dtype=np.intp)
    np.minimum.at(first, row, np.arange(len(row)))
    weight = (sd[first][row] / sd) ** 2
    total = np.bincount(row, weight, len(first))
    beyond_first = np.bincount(row, weight * (read - read[first][row]), len(first))
    return Repeated(row, tuple(first.tolist()), read[first] + beyond_first / total, sd[first] / np.sqrt(total))


def each_take(done: Adjustment, rows: Repeated, read: Array, sd: Array) -> Adjustment:
    """The adjustment of the takes themselves, from that of their rows. read, sd (n + m,): the takes', then those of the
    m rows behind that stand for themselves."""
    behind = np.arange(len(rows.first), len(done.predicted))
    row = np.concatenate((rows.row, behind))
    share = np.concatenate((rows.sd, sd[len(rows.row) :]))[row] / sd
    predicted, redundancy = done.predicted[row], done.redundancy[row] * share**2 + (1.0 - share**2)
    misfit = (predicted - read) / sd
    w, smallest_findable = checked_by(redundancy, misfit, sd)
    design_matrix = done.design_matrix[row]
    design_matrix *= share[:, None]
    spare = len(read) - len(done.estimate)
    cost = float(misfit @ misfit)
    return Adjustment(
        estimate=done.estimate,
        covariance=done.covariance,
        predicted=predicted,
        residual=predicted - read,
        redundancy=redundancy,
        w=w,
        smallest_findable=smallest_findable,
        design_matrix=design_matrix,
        chi2=cost,
        degrees_of_freedom=spare,
        variance_factor=cost / spare if spare > 0 else None,
        steps=done.steps,
        converged=done.converged,
    )
