"""A log with very many takes: those of one reading are judged as one, so that thousands cost no more than a few.

A take far from the middle of its own reading's takes is told by itself; the others stand together as their weighted
mean, as sure as all of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.fit import Fit, Observation, fit
from geometry.frame import Array

MANY = 400
"""Up to here every take is weighed by itself."""
FAR = 4.0
"""sds from the middle of its reading's takes beyond which a take stands apart."""


@dataclass(frozen=True)
class Apart:
    """A take that the others of its reading do not bear out. number: its place in the fit. middle: of all takes."""

    number: int
    middle: float


def few(fitted: Fit) -> Fit:
    """The fit itself, or where it has very many takes the one with a single reading for all of a name."""
    return fitted if len(fitted.observations) <= MANY else condensed(fitted)[0]


def condensed(fitted: Fit) -> tuple[Fit, tuple[Apart, ...]]:
    """A fit with one reading for all takes of a name, under the first take's key, and the takes that stand apart."""
    rows: dict[str, int] = {}
    row = np.array([rows.setdefault(reading.canonical, len(rows)) for reading in fitted.readings], dtype=np.intp)
    read, sd = fitted.read, fitted.sd
    middle = _medians(row, len(rows), read)
    near = np.abs(read - middle[row]) <= FAR * sd
    apart = tuple(Apart(number, float(middle[row[number]])) for number in np.flatnonzero(~near).tolist())
    near |= (np.bincount(row, near, len(rows)) == 0.0)[row]  # where none is near, all are
    weight = np.where(near, 1.0 / sd**2, 0.0)
    total = np.bincount(row, weight, len(rows))
    mean, spread = np.bincount(row, weight * read, len(rows)) / total, 1.0 / np.sqrt(total)
    first = np.full(len(rows), len(row), dtype=np.intp)
    np.minimum.at(first, row[near], np.flatnonzero(near))
    observed = [
        Observation(seen.name, value, seen.key, one_sd, id=seen.id, text=seen.text, unit=seen.unit)
        for seen, value, one_sd in zip(
            (fitted.observations[number] for number in first.tolist()), mean.tolist(), spread.tolist(), strict=True
        )
    ]
    return fit(fitted.setup, observed, near=fitted), apart


def _medians(row: NDArray[np.intp], rows: int, read: Array) -> Array:
    """The median of the values in each row, (rows,)."""
    ordered = read[np.lexsort((read, row))]
    count = np.bincount(row, minlength=rows)
    begin = np.cumsum(count) - count
    return np.asarray(0.5 * (ordered[begin + (count - 1) // 2] + ordered[begin + count // 2]))
