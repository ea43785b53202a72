"""The readings of one fit as equations: from the unknowns to what each reading should show, all at once.

Readings of one kind are worked out together. Derived points (a link's middle) are appended to the state as weighted
means, so that a kind sees nothing but coordinates.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.frame import Array
from geometry.points import SCALARS, combination
from geometry.readings import Kind, ReadingName

SMALL_MOVE = 1e-4
"""mm or radian: for second derivatives from the analytic first ones; they only steer the search."""
Slots = Mapping[str, int]
"""Where each fixed point's x (y and z follow) or each scalar stands in the state."""


@dataclass(frozen=True)
class Alike:
    """Readings of one kind and form: their rows (n,), the columns of their inputs (n, k), their constants (n, c)."""

    kind: Kind
    rows: NDArray[np.intp]
    columns: NDArray[np.intp]
    constants: Array


class Equations:
    """n readings as a function of a state of `size` numbers, mm, radian, kg, floor frame."""

    def __init__(
        self,
        readings: Sequence[ReadingName],
        slots: Slots,
        size: int,
        read: Sequence[float] | None = None,
        entered: Slots | None = None,
    ) -> None:
        """read: what was read, for its sign: a tape that shows too much does so on either side of a line; the sign of
        what is predicted without it. entered: the slots that are in the fit, where those given hold more: an instrument
        nobody checked is taken to be true."""
        self.rows, self.size = len(readings), size
        derived: dict[str, dict[str, float]] = {}
        alike: dict[tuple[str, int], list[tuple[int, list[int], tuple[float, ...]]]] = {}
        for row, reading in enumerate(readings):
            columns: list[int] = []
            for name in reading.terms.inputs:
                columns += self._columns(name, reading, slots, derived)
            key = (reading.kind.name, len(columns))
            alike.setdefault(key, []).append((row, columns, reading.terms.constants))
        self.groups = [self._alike(readings[members[0][0]].kind, members) for members in alike.values()]
        self.means = self._means(list(derived.values()), slots)
        self.shared = _offsets(readings, slots if entered is None else entered)
        self.sided = np.array([reading.kind.taped for reading in readings], dtype=bool)
        self.read = None if read is None else np.array(read, dtype=np.float64)

    def _columns(
        self, name: str, reading: ReadingName, slots: Slots, derived: dict[str, dict[str, float]]
    ) -> list[int]:
        if name in SCALARS:
            return [slots[name]]
        if name in slots:
            return [slots[name], slots[name] + 1, slots[name] + 2]
        if name not in derived:
            derived[name] = combination(name, reading.setting.layout, reading.setting.worked_axle)
        first = self.size + 3 * list(derived).index(name)
        return [first, first + 1, first + 2]

    @staticmethod
    def _alike(kind: Kind, members: list[tuple[int, list[int], tuple[float, ...]]]) -> Alike:
        rows, columns, constants = zip(*members, strict=True)
        return Alike(kind, np.array(rows), np.array(columns), np.array(constants, dtype=np.float64))

    def _means(self, derived: list[dict[str, float]], slots: Slots) -> Array:
        """(3 derived points, size): each derived coordinate as a weighted mean of the state."""
        means = np.zeros((3 * len(derived), self.size))
        for place, shares in enumerate(derived):
            for name, share in shares.items():
                for axis in range(3):
                    means[3 * place + axis, slots[name] + axis] = share
        return means

    def __call__(self, state: Array) -> tuple[Array, Array]:
        """What each reading should show (n,), and its partials by the state (n, size)."""
        whole = np.concatenate((state, self.means @ state)) if len(self.means) else state
        values = np.empty(self.rows)
        partials = np.zeros((self.rows, len(whole)))
        for group in self.groups:
            inputs = whole[group.columns]
            values[group.rows] = group.kind.predicted(inputs, group.constants)
            partials[group.rows[:, None], group.columns] = group.kind.partials(inputs, group.constants)
        for rows, column in self.shared:
            sign = values if self.read is None else self.read
            way = np.where(self.sided[rows] & (sign[rows] < 0.0), -1.0, 1.0)
            values[rows] += way * whole[column]
            partials[rows, column] += way
        if len(self.means):
            partials = partials[:, : self.size] + partials[:, self.size :] @ self.means
        return values, partials

    def curvature(self, state: Array, weights: Array) -> Array:
        """Sum of each reading's second derivative times its weight, (size, size): central differences of the partials.

        state (size,), weights (n,).
        """
        whole = np.concatenate((state, self.means @ state))
        total = np.zeros((len(whole), len(whole)))
        for group in self.groups:
            bend = _second(group, whole[group.columns]) * weights[group.rows, None, None]
            np.add.at(total, (group.columns[:, :, None], group.columns[:, None, :]), bend)
        spread = np.concatenate((np.eye(self.size), self.means))
        curved: Array = spread.T @ total @ spread
        return curved


def _offsets(readings: Sequence[ReadingName], slots: Slots) -> list[tuple[NDArray[np.intp], int]]:
    """For each instrument whose offset is an unknown: the rows of what was read with it, and its column."""
    read_with: dict[str, list[int]] = {}
    for row, reading in enumerate(readings):
        if reading.kind.offset in slots:
            read_with.setdefault(reading.kind.offset, []).append(row)
    return [(np.array(rows), slots[name]) for name, rows in read_with.items()]


def _second(group: Alike, inputs: Array) -> Array:
    """Second derivatives of n alike readings by their own k inputs, (n, k, k)."""
    n, k = inputs.shape
    moves = SMALL_MOVE * np.eye(k)[:, None, :]
    moved = np.concatenate((inputs + moves, inputs - moves)).reshape(2 * k * n, k)
    partials = group.kind.partials(moved, np.tile(group.constants, (2 * k, 1))).reshape(2, k, n, k)
    second: Array = (partials[0] - partials[1]).transpose(1, 0, 2) / (2.0 * SMALL_MOVE)
    return 0.5 * (second + second.transpose(0, 2, 1))
