"""Readings that could all be off alike and nothing would show: a vehicle that settled between two stations.

With b what one unit of the shared amount adds to each reading, in its sds, and C the covariance with the weak
assumptions ten times weaker, b' b - b' A C A' b is what the readings tell of the amount; one more reading with row c,
taken without the mistake, adds (c C A' b)^2 / (1 + c C c'). Source: the matrix inversion lemma, as in `next_check`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.evidence import LEAST_REDUNDANCY, LEVEL, POWER, noncentrality
from geometry.fit import Fit
from geometry.next_check import USUAL_SLIP, rows_of
from geometry.readings import parse_name, possible


@dataclass(frozen=True)
class Together:
    """Readings in which a usual slip that all of them share would pass unseen. label: as the caller named them.

    smallest: the smallest that would be noticed, four times in five, file unit; None when none would. check: the
    reading not yet taken that would bring it under what is usual, None when no single one does.
    """

    label: str
    keys: tuple[str, ...]
    smallest: float | None
    check: str | None


def unseen_together(
    fitted: Fit, groups: Mapping[str, Sequence[str]], candidates: Iterable[str] | None = None
) -> tuple[Together, ...]:
    """Of the groups of keys (of one unit each) those in which a usual slip shared by all would pass unseen.

    candidates: readings to choose a check from; all that make sense on the layout where None.
    """
    setup = fitted.setup
    number = {seen.key: place for place, seen in enumerate(fitted.observations)}
    taken = {reading.canonical for reading in fitted.readings}
    names = [
        name
        for name in (possible(setup.layout, setup.worked_axle) if candidates is None else candidates)
        if parse_name(name, setup.layout, setup.worked_axle).canonical not in taken
    ]
    if not groups or not number:
        return ()
    rows = rows_of(fitted, names) if names else np.zeros((0, fitted.unknowns))
    spread = 1.0 + np.einsum("ku,ku->k", rows @ fitted.weak_covariance, rows)
    found = []
    for label, keys in groups.items():
        numbers = [number[key] for key in keys]
        shared = 1.0 / fitted.sd[numbers]
        seen = fitted.weak_covariance @ (fitted.design_matrix[numbers].T @ shared)
        told = float(shared @ shared - (fitted.design_matrix[numbers].T @ shared) @ seen)
        usual = USUAL_SLIP[fitted.readings[numbers[0]].kind.unit]
        smallest = _smallest(told, float(shared @ shared))
        if smallest is not None and smallest <= usual:
            continue
        then = told + (rows @ seen) ** 2 / spread
        best = int(np.argmax(then)) if names else -1
        after = _smallest(float(then[best]), float(shared @ shared)) if names else None
        enough = after is not None and after <= usual
        found.append(Together(label, tuple(keys), smallest, names[best] if enough else None))
    return tuple(found)


def _smallest(told: float, whole: float) -> float | None:
    """The smallest amount noticed, file unit; None where the readings tell nothing of it."""
    return noncentrality(LEVEL, POWER) / told**0.5 if told > LEAST_REDUNDANCY * whole else None
