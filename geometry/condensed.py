"""A log with very many takes: those of one reading are judged as one, so that thousands cost no more than a few.

A take far from the middle of its own reading's takes is told by itself; the others stand together as their weighted
mean, as sure as all of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.fit import Fit, Observation, fit

MANY = 400
"""Up to here every take is weighed by itself."""
FAR = 4.0
"""sds from the middle of its reading's takes beyond which a take stands apart."""


@dataclass(frozen=True)
class Apart:
    """A take that the others of its reading do not bear out. number: its place in the fit. middle: of all takes."""

    number: int
    middle: float


def condensed(fitted: Fit) -> tuple[Fit, tuple[Apart, ...]]:
    """A fit with one reading for all takes of a name, under the first take's key, and the takes that stand apart."""
    named: dict[str, list[int]] = {}
    for number, reading in enumerate(fitted.readings):
        named.setdefault(reading.canonical, []).append(number)
    observed: list[Observation] = []
    apart: list[Apart] = []
    for numbers in named.values():
        read, sd = fitted.read[numbers], fitted.sd[numbers]
        middle = float(np.median(read))
        near = np.abs(read - middle) <= FAR * sd
        apart += [Apart(number, middle) for number, fits in zip(numbers, near, strict=True) if not fits]
        near = near if near.any() else np.ones_like(near)
        weight = np.where(near, 1.0 / sd**2, 0.0)
        first = fitted.observations[numbers[int(near.argmax())]]
        mean, spread = float(weight @ read / weight.sum()), float(1.0 / np.sqrt(weight.sum()))
        observed.append(Observation(first.name, mean, first.key, spread, id=first.id, text=first.text, unit=first.unit))
    return fit(fitted.setup, observed), tuple(apart)
