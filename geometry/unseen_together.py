"""Readings that could all be off alike and nothing would show: a vehicle that settled between two stations.

With b what one unit of the shared amount adds to each reading, in its sds, and C the covariance with the weak
assumptions ten times weaker, b' b - b' A C A' b is what the readings tell of the amount; one more reading with row c,
taken without the mistake, adds (c C A' b)^2 / (1 + c C c'). Source: the matrix inversion lemma, as in `next_check`.
A reading from the same floor or line may hold the mistake too, so that none of them is a check; one from point to point
is free of it, and where no usual one is enough, one between a point of the group and a point outside it may be.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.evidence import LEAST_REDUNDANCY, LEVEL, POWER, noncentrality
from geometry.fit import Fit
from geometry.frame import Array
from geometry.next_check import USUAL_SLIP, rows_of
from geometry.points import point_named
from geometry.readings import parse_name, possible


@dataclass(frozen=True)
class Together:
    """Readings in which a usual slip that all of them share would pass unseen. label: as the caller named them.

    smallest: the smallest that would be noticed, four times in five, file unit; None when none would. check: the
    reading not yet taken that would bring it under what is usual, None when no single one does. datum: what the
    readings are measured from, "" where that differs.
    """

    label: str
    keys: tuple[str, ...]
    smallest: float | None
    check: str | None
    datum: str = ""


TIES = {"floor": ("rise",), "cross line": ("floor_span",), "centreline": ("across", "floor_span")}
"""Kinds of reading from point to point that show whether what was measured from there had moved, the best first."""
MOST_TIES = 8
"""The nearest pairs of points that are looked at."""


def unseen_together(
    fitted: Fit, groups: Mapping[str, Sequence[str]], candidates: Iterable[str] | None = None
) -> tuple[Together, ...]:
    """Of the groups of keys (of one unit each) those in which a usual slip shared by all would pass unseen.

    candidates: readings to choose a check from before one that ties the group is looked for; all that make sense on the
    layout where None.
    """
    setup = fitted.setup
    names = list(possible(setup.layout, setup.worked_axle) if candidates is None else candidates)
    number = {seen.key: place for place, seen in enumerate(fitted.observations)}
    if not groups or not number:
        return ()
    offered = _Offered(fitted, names)
    ties: _Ties | None = None
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
        enough = (noncentrality(LEVEL, POWER) / usual) ** 2 - told
        datum = _datum(fitted, numbers)
        check = offered.best(seen, datum, enough)
        if check is None:
            ties = ties or _Ties(fitted)
            check = ties.best(numbers, datum, seen, enough)
        found.append(Together(label, tuple(keys), smallest, check, datum))
    return tuple(found)


class _Offered:
    """Readings not yet taken, with their whitened rows, and what each would tell of a shared amount."""

    def __init__(self, fitted: Fit, names: Iterable[str]) -> None:
        setup, taken = fitted.setup, {reading.canonical for reading in fitted.readings}
        parsed = {name: parse_name(name, setup.layout, setup.worked_axle) for name in dict.fromkeys(names)}
        self.names = [name for name, reading in parsed.items() if reading.canonical not in taken]
        self.data = [parsed[name].kind.datum for name in self.names]
        self.rows: Array = rows_of(fitted, self.names) if self.names else np.zeros((0, fitted.unknowns))
        self.spread: Array = 1.0 + np.einsum("ku,ku->k", self.rows @ fitted.weak_covariance, self.rows)

    def told(self, seen: Array) -> Array:
        """(k,) what each would add to what is told of the amount; seen: C A' b, (u,)."""
        return np.asarray((self.rows @ seen) ** 2 / self.spread)

    def best(self, seen: Array, datum: str, enough: float) -> str | None:
        """The one that tells most, if that is enough; none that is measured from the same floor or line."""
        free = np.array([not datum or own != datum for own in self.data], dtype=bool)
        told = np.where(free, self.told(seen), 0.0)
        best = int(np.argmax(told)) if len(told) else -1
        return self.names[best] if len(told) and told[best] >= enough else None


class _Ties:
    """Readings from a point of a group to one outside it: of one body if there is one, as a straightedge lies there,
    and the shortest."""

    def __init__(self, fitted: Fit) -> None:
        self._fit, self._placed = fitted, fitted.placed()
        setup = fitted.setup
        self._body = {point: point_named(point, setup.layout, setup.worked_axle).body for point in fitted.points}

    def best(self, numbers: Sequence[int], datum: str, seen: Array, enough: float) -> str | None:
        """The first that tells enough; None where none does, or what they are measured from differs."""
        inside = _points_of(self._fit, numbers)
        measured = [place for place, reading in enumerate(self._fit.readings) if reading.kind.datum == datum]
        outside = [point for point in _points_of(self._fit, measured) if point not in inside]
        known = [(p, q) for p in inside for q in outside if self._placed[p].known and self._placed[q].known]
        near = sorted(known, key=lambda pair: self._reach(*pair))[:MOST_TIES]
        for kind in TIES.get(datum, ()):
            offered = _Offered(self._fit, [f"{kind}:{p}~{q}" for p, q in near])
            for name, told in zip(offered.names, offered.told(seen).tolist(), strict=True):
                if told >= enough:
                    return name
        return None

    def _reach(self, one: str, other: str) -> tuple[bool, float]:
        p, q = self._placed[one], self._placed[other]
        return self._body[one] != self._body[other], math.dist((p.x, p.y, p.z), (q.x, q.y, q.z))


def _points_of(fitted: Fit, numbers: Sequence[int]) -> list[str]:
    """The fixed points that these readings are of alone, each once; a middle is none."""
    subjects = (fitted.readings[place].subject for place in numbers)
    return list(dict.fromkeys(point for point in subjects if point in fitted.points))


def _datum(fitted: Fit, numbers: Sequence[int]) -> str:
    data = {fitted.readings[place].kind.datum for place in numbers}
    return data.pop() if len(data) == 1 else ""


def _smallest(told: float, whole: float) -> float | None:
    """The smallest amount noticed, file unit; None where the readings tell nothing of it."""
    return noncentrality(LEVEL, POWER) / told**0.5 if told > LEAST_REDUNDANCY * whole else None
