"""A log with very many takes: those of one reading are judged as one, so that thousands cost no more than a few.

A take far from the middle of its own reading's takes is told by itself; the others stand together as their weighted
mean, as sure as all of them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from geometry.adjustment import checked_by
from geometry.fit import LEAST_SPARE, Fit, Observation, fit
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
    if not apart and _foretold_alike(fitted, row, first):
        return _as_one(fitted, tuple(observed), first, mean, spread), ()
    return fit(fitted.setup, observed, near=fitted), apart


def _foretold_alike(fitted: Fit, row: NDArray[np.intp], first: NDArray[np.intp]) -> bool:
    """Whether all takes of a reading have the same row in the fit; the side a tape was read on, or P~Q read as Q~P, may
    make two of them. row (n,); first (g,): the first take of each."""
    met: dict[tuple[str, bool], int] = {}
    for number, seen in enumerate(fitted.observations):
        met.setdefault((seen.name, seen.value < 0.0), number)
    each = np.array(list(met.values()))
    other = first[row[each]]
    one, same = (fitted.design_matrix[takes] * fitted.sd[takes][:, None] for takes in (each, other))
    return bool(np.allclose(one, same) and np.allclose(fitted.predicted[each], fitted.predicted[other]))


def _as_one(
    fitted: Fit, observed: tuple[Observation, ...], first: NDArray[np.intp], read: Array, sd: Array
) -> Fit:
    """The fit of the means, from that of all their takes: the unknowns are the same (Steiner, see `repeated`).

    first (g,): the first take of each; read, sd (g,): their means, file units.
    """
    taken = len(fitted.observations)
    share = fitted.sd[first] / sd
    rows = fitted.design_matrix[first] * share[:, None]
    redundancy = np.clip(1.0 - np.einsum("gu,gu->g", rows @ fitted.covariance, rows), 0.0, 1.0)
    predicted = fitted.predicted[first]
    misfit = (predicted - read) / sd
    w, smallest_findable = checked_by(redundancy, misfit, sd)
    total = float(redundancy.sum())
    return replace(
        fitted,
        observations=observed,
        readings=tuple(fitted.readings[number] for number in first.tolist()),
        predicted=predicted,
        read=read,
        residual=predicted - read,
        sd=sd,
        redundancy=redundancy,
        w=w,
        smallest_findable=smallest_findable,
        design_matrix=np.concatenate((rows, fitted.design_matrix[taken:])),
        redundancy_total=total,
        variance_factor=float(misfit @ misfit) / total if total >= LEAST_SPARE else None,
    )


def _medians(row: NDArray[np.intp], rows: int, read: Array) -> Array:
    """The median of the values in each row, (rows,)."""
    ordered = read[np.lexsort((read, row))]
    count = np.bincount(row, minlength=rows)
    begin = np.cumsum(count) - count
    return np.asarray(0.5 * (ordered[begin + (count - 1) // 2] + ordered[begin + count // 2]))
