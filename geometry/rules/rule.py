"""What a named rule gets to look at, and what it says when it does not hold."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from geometry.figures.base import Facts
from geometry.fit import KNOWN_GROWTH, Fit
from geometry.frame import Array
from geometry.readings.kind import Kind

CLEAR = 3.5
"""Sds beyond a limit at which two numbers that must agree clearly do not."""
SOME = 2.0
"""Sds beyond a limit at which something that can hardly be is said."""


@dataclass(frozen=True)
class Broken:
    """A rule that does not hold. readings: keys of those it hangs on, the one to look at first in front.

    beyond: by how many sds the limit is passed. facts: the numbers of its sentence, file units, by name. points: names
    of the points it is about. about: a word for which side, axle or link, "" when there is only one. stated: places of
    the facts it hangs on, "tubes.lower_left"; then there may be no reading.
    """

    rule: str
    readings: tuple[str, ...]
    beyond: float
    facts: dict[str, float] = field(default_factory=dict)
    about: str = ""
    points: tuple[str, ...] = ()
    stated: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rule:
    """name: as in `Doubt.reason` after "rule:". says: what it holds, in plain words. check: the places it is broken."""

    name: str
    says: str
    check: Callable[[Look], Iterator[Broken]]


class Look:
    """A fit as rules want it: readings by name, means of takes, points with the spread of what is made of them; and
    the facts stated of its parts."""

    def __init__(self, fitted: Fit, facts: Facts | None = None) -> None:
        self.fit = fitted
        self.facts = facts or Facts()
        self._by_name: dict[str, list[int]] = {}
        for number, reading in enumerate(fitted.readings):
            self._by_name.setdefault(reading.canonical, []).append(number)
            if reading.text != reading.canonical:
                self._by_name.setdefault(reading.text, []).append(number)
        self.placed = fitted.placed()

    def keys(self, *names: str) -> tuple[str, ...]:
        """The keys of all takes of these readings, each once."""
        found = (self.fit.observations[number].key for name in names for number in self._by_name.get(name, ()))
        return tuple(dict.fromkeys(found))

    def read(self, name: str) -> tuple[float, float] | None:
        """Mean of the takes of a reading, rid of its instrument's offset where that is known, and its sd, file unit.

        None when it was not read.
        """
        numbers = self._by_name.get(name)
        if not numbers:
            return None
        mean = float(self.fit.read[numbers].mean())
        sd = math.sqrt(float((self.fit.sd[numbers] ** 2).sum())) / len(numbers)
        return mean - self._offset(self.fit.readings[numbers[0]].kind, mean), sd

    def _offset(self, kind: Kind, read: float) -> float:
        """What the instrument adds to a reading, file unit: a tape makes both sides of a line longer."""
        at = self.fit.slot.get(kind.offset)
        if at is None:
            return 0.0
        added = float(self.fit.estimate[at]) * kind.in_file_unit
        return -added if kind.taped and read < 0.0 else added

    def touching(self, *points: str) -> tuple[str, ...]:
        """Keys of all readings that hang on any of these points or scalars."""
        wanted = set(points)
        pairs = zip(self.fit.observations, self.fit.readings, strict=True)
        return tuple(seen.key for seen, reading in pairs if wanted & set(reading.touches))

    def known(self, *points: str) -> bool:
        """All these points are in the fit and stand on readings."""
        return all(point in self.placed and self.placed[point].known for point in points)

    def mixed(self, shares: dict[tuple[str, int], float]) -> tuple[float, float]:
        """A weighted sum of coordinates ((point, axis) or (scalar, 0)), mm or inside unit, with its sd."""
        row = self._row(shares)
        return float(row @ self.fit.estimate), math.sqrt(max(float(row @ self.fit.covariance @ row), 0.0))

    def firm(self, shares: dict[tuple[str, int], float]) -> bool:
        """Such a sum stands on readings, and hardly on weak assumptions."""
        if any(name not in self.fit.slot for name, _ in shares):
            return False
        row = self._row(shares)
        return float(row @ self.fit.weak_covariance @ row) < KNOWN_GROWTH**2 * float(row @ self.fit.covariance @ row)

    def _row(self, shares: dict[tuple[str, int], float]) -> Array:
        row: Array = np.zeros(self.fit.unknowns)
        for (name, axis), share in shares.items():
            row[self.fit.slot[name] + axis] += share
        return row


def passed(value: float, limit: float, sd: float) -> float:
    """By how many sds `value` is above `limit`; 0 when it is not."""
    return max(value - limit, 0.0) / max(sd, 1e-9)
