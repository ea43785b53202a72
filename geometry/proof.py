"""The shortest walk that proves a stage: which readings suffice to see a small move at every bracket.

Between two stages each bolt may have moved, d. A reading taken at the new stage with row a sees a (x + d): x as the
stage before knows it, covariance C, and d, which may be a few millimetres in any direction. Readings are chosen one by
one: the one that takes most off what is still too wide, for its minutes; each is a rank-one update, nothing is fitted.
The floor lines and the posture must be those of the stage before: read the frame marks first and last.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry import refusal_words
from geometry.errors import BadName
from geometry.fit import Fit
from geometry.frame import Array
from geometry.layouts import layout_named
from geometry.readings import parse_name, possible

MOVE_MM = 2.0
SDS = 2.0
"""A move is seen when it is beyond so many sds, as screens show plus or minus two."""
MAY_MOVE_MM = 4.0
"""How far tacking or welding may pull a bolt in each direction, one sd; common practice, no source."""
SET_MM = 50.0
"""How far a new setting (tyres, ride height, a link turned) may put a point, one sd; common practice, no source."""
RUNGS_MM = (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0)
"""Moves a walk is made for, the smallest first."""
MOST_TAKES = 4
"""Of one reading: further ones share what the eye does wrong every time."""
MOST_READINGS = 120
LEAST_SHARE = 0.005
"""Of what is still too wide, a minute: below it a further reading is not worth the walk."""


@dataclass(frozen=True)
class Step:
    """One reading of the walk. takes: how often. minutes: for all of them."""

    name: str
    takes: int
    minutes: float


@dataclass(frozen=True)
class Proof:
    """The readings that suffice, those that help most first. smallest: for each bolt the smallest move along x, y, z
    that would show, mm; enough: whether all of them are down to what was asked."""

    steps: tuple[Step, ...]
    minutes: float
    smallest: dict[str, tuple[float, float, float]]
    enough: bool


def brackets(fitted: Fit) -> tuple[str, ...]:
    """The bolts whose brackets are tacked and welded: every link's ends."""
    links = layout_named(fitted.setup.layout).links
    return tuple(dict.fromkeys(end for link in links for end in (link.frame, *link.axle)))


def readings_that_prove(
    fitted: Fit,
    points: Sequence[str] | None = None,
    move: float = MOVE_MM,
    minutes: Mapping[str, float] | None = None,
    may_move: float = MAY_MOVE_MM,
    finer: float = 1.0,
) -> Proof:
    """The fewest minutes of reading after which a move of `move` mm at any of `points` would show.

    fitted: the stage before. points: the bolts that may have moved, all brackets where None. minutes: what a reading
    costs, crawling included; the kind's own effort where not given. may_move: one sd of what may have happened, mm.
    finer: every spread is taken so many times smaller, those of the stage before too: what reading with a finer scale
    at both stages would give. Errors: BadName.
    """
    chosen = brackets(fitted) if points is None else tuple(points)
    for name in chosen:
        if name not in fitted.slot:
            raise BadName(refusal_words.not_read(name))
    search = _Search(fitted, chosen, (move / SDS) ** 2, minutes or {}, may_move, finer)
    if chosen:
        search.run()
    return search.proof()


def shortest_walks(
    fitted: Fit, points: Sequence[str] | None = None, may_move: float = MAY_MOVE_MM, finer: float = 1.0
) -> tuple[tuple[float, Proof], ...]:
    """For each of the usual moves that readings can show at all of `points`: it, mm, and the shortest walk for it.

    The smallest comes first; empty where no reading would show even the largest. Errors: BadName.
    """
    found = []
    for move in RUNGS_MM:
        proof = readings_that_prove(fitted, points, move, may_move=may_move, finer=finer)
        if not proof.steps:
            break
        if proof.enough:
            found.append((move, proof))
    return tuple(found)


class _Search:
    def __init__(
        self,
        fitted: Fit,
        points: Sequence[str],
        target: float,
        minutes: Mapping[str, float],
        may_move: float = MAY_MOVE_MM,
        finer: float = 1.0,
    ) -> None:
        self.fitted, self.points, self.target = fitted, points, target
        columns = [fitted.slot[name] + axis for name in points for axis in range(3)]
        self.moves = slice(fitted.unknowns, fitted.unknowns + len(columns))
        self.names = self._candidates()
        partials = fitted.partials(self.names)
        self.rows = np.concatenate((partials, partials[:, columns]), axis=1)
        self.variance, self.cost = self._own(minutes)
        self.variance = self.variance / finer**2
        self.covariance = np.zeros((self.rows.shape[1],) * 2)
        self.covariance[: fitted.unknowns, : fitted.unknowns] = fitted.covariance / finer**2
        self.covariance[self.moves, self.moves] = may_move**2 * np.eye(len(columns))
        self.taken = np.zeros(len(self.names), dtype=int)
        self.order: list[int] = []

    def _candidates(self) -> list[str]:
        """Readings of one of the points, between points that the fit knows."""
        setup, wanted = self.fitted.setup, set(self.points)
        found = []
        for name in possible(setup.layout, setup.worked_axle):
            touches = parse_name(name, setup.layout, setup.worked_axle).touches
            if wanted & set(touches) and all(each in self.fitted.slot for each in touches):
                found.append(name)
        return found

    def _own(self, minutes: Mapping[str, float]) -> tuple[Array, Array]:
        setup = self.fitted.setup
        values, _ = self.fitted.predict(self.names)
        kinds = [parse_name(name, setup.layout, setup.worked_axle).kind for name in self.names]
        sds = [kind.sd(float(value), setup.tape_class) for kind, value in zip(kinds, values, strict=True)]
        costs = [minutes.get(name, kind.effort) for name, kind in zip(self.names, kinds, strict=True)]
        return np.array(sds) ** 2, np.array(costs)

    def run(self) -> None:
        """Choose until every move shows, or nothing that is left helps."""
        while len(self.order) < MOST_READINGS and self._excess().max() > 0.0:
            seen = self.covariance @ self.rows.T
            spread = self.variance + np.einsum("ku,uk->k", self.rows, seen)
            off = seen[self.moves] ** 2 / spread
            gain = np.minimum(off, self._excess()[:, None]).sum(axis=0) / self.cost
            gain[self.taken >= MOST_TAKES] = 0.0
            best = int(np.argmax(gain))
            if gain[best] < LEAST_SHARE * self._excess().sum():
                return
            self.covariance -= np.outer(seen[:, best], seen[:, best]) / spread[best]
            self.taken[best] += 1
            self.order.append(best)

    def _excess(self) -> Array:
        """How much variance of each move is too much, mm2, (3 points,)."""
        return np.maximum(np.diag(self.covariance)[self.moves] - self.target, 0.0)

    def proof(self) -> Proof:
        sds = np.sqrt(np.diag(self.covariance)[self.moves]).reshape(-1, 3) * SDS
        steps = tuple(
            Step(self.names[k], int(self.taken[k]), float(self.cost[k] * self.taken[k]))
            for k in dict.fromkeys(self.order)
        )
        smallest = {name: (float(x), float(y), float(z)) for name, (x, y, z) in zip(self.points, sds, strict=True)}
        enough = bool(self.points) and bool(self._excess().max() <= 0.0)
        return Proof(steps, sum(step.minutes for step in steps), smallest, enough)
