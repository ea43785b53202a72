"""Rows of holes at bracket ends: every combination of them worked out at once, sorted by what is wanted.

Picking another hole moves that bolt; the link is made to fit, or keeps its length and the axle follows, as the plan
says. All combinations are vehicles of their own, solved side by side. The spreads are those of the measured vehicle's
figures; for those of one combination take its moves to `what_if`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from geometry import refusal_words
from geometry.complex_step import norm
from geometry.errors import GeometryError
from geometry.figures import catalogue, travel
from geometry.figures.base import Facts, FigureKind, NotYet
from geometry.figures.ride import Ride
from geometry.figures.taken import Taken, take
from geometry.fit import Fit
from geometry.frame import Array
from geometry.layouts import Place
from geometry.moves import BadMove, Plan, PointBy, distances, moved, slot_of_point

Mask = NDArray[np.bool_]
MOST_COMBINATIONS = 2_000
CLEAR_MM = 20.0
"""Between a link's middle line and what it must not touch, besides half its tube; common practice, no source."""


class BadRow(GeometryError):
    """A row of holes or a want that cannot be; one plain sentence."""


@dataclass(frozen=True)
class Row:
    """The holes a bolt may go in. places: of each from the hole in use, x, y, z in mm; used: which that is, from 0."""

    point: str
    places: tuple[Place, ...]
    used: int = 0


def row(point: str, count: int, spacing: float, direction: Place, used: int = 0) -> Row:
    """A straight row of `count` holes, `spacing` mm apart along `direction` (any length). Errors: BadRow."""
    size = math.hypot(*direction)
    if count < 1:
        raise BadRow(refusal_words.no_hole_to_use(point, count))
    if not (math.isfinite(spacing) and spacing > 0.0 and math.isfinite(size) and size > 0.0):
        raise BadRow(refusal_words.no_spacing(point))
    if not 0 <= used < count:
        raise BadRow(refusal_words.no_such_hole(point, used + 1, count))
    x, y, z = (spacing / size * part for part in direction)
    steps = [number - used for number in range(count)]
    return Row(point, tuple((step * x, step * y, step * z) for step in steps), used)


@dataclass(frozen=True)
class Want:
    """What to sort by: the figure nearest to `target`, in its unit; nearest to nought where none is named."""

    figure: str
    target: float = 0.0


@dataclass(frozen=True)
class Limits:
    """What bounds the choice. lengths: shortest and longest each link can be made, mm. tubes: their outside diameters,
    mm, for what they must clear. clear: room beside the tube, mm."""

    lengths: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    tubes: Mapping[str, float] = field(default_factory=dict)
    clear: float = CLEAR_MM


@dataclass(frozen=True)
class Combination:
    """One way to bolt it up. holes: which of each row, from 0. figures: values, None where they cannot be had.

    off: how far the wanted figure is from its target, None where it cannot be had. crossed_out: why it cannot be built
    so, a sentence each; empty where it can.
    """

    holes: tuple[int, ...]
    moves: tuple[PointBy, ...]
    figures: dict[str, float | None]
    off: float | None
    crossed_out: tuple[str, ...]


def table(
    fitted: Fit,
    facts: Facts,
    rows: Sequence[Row],
    want: Want,
    limits: Limits | None = None,
    keep_lengths: bool = False,
) -> tuple[Combination, ...]:
    """Every combination of holes, those that can be built first, the nearest to what is wanted on top.

    Errors: BadRow, BadName.
    """
    kinds = quantities(fitted)
    _check(fitted, rows, want, kinds)
    picks = list(itertools.product(*(range(len(each.places)) for each in rows)))
    moves = [tuple(PointBy(r.point, *r.places[at]) for r, at in zip(rows, pick, strict=True)) for pick in picks]
    states = _states(fitted, facts, moves, keep_lengths)
    batch = _Batch(fitted, facts, states, limits or Limits())
    figures = {key: batch.values(kind) for key, kind in kinds.items()}
    reasons = batch.reasons()
    found = []
    for number, pick in enumerate(picks):
        values = {key: _plain(column[number]) for key, column in figures.items()}
        value = values[want.figure]
        off = None if value is None else abs(value - want.target)
        found.append(Combination(pick, moves[number], values, off, tuple(reasons[number])))
    found.sort(key=lambda one: (bool(one.crossed_out), one.off is None, one.off or 0.0, one.holes))
    return tuple(found)


def quantities(fitted: Fit) -> dict[str, FigureKind]:
    """Every figure of the vehicle."""
    return catalogue(fitted.setup.layout, fitted.setup.worked_axle)


def _check(fitted: Fit, rows: Sequence[Row], want: Want, kinds: Mapping[str, FigureKind]) -> None:
    if not rows:
        raise BadRow(refusal_words.NO_ROWS)
    points = [each.point for each in rows]
    for each in rows:
        slot_of_point(fitted, each.point)
        if not each.places:
            raise BadRow(refusal_words.row_of_none(each.point))
        if points.count(each.point) > 1:
            raise BadRow(refusal_words.two_rows(each.point))
    count = math.prod(len(each.places) for each in rows)
    if count > MOST_COMBINATIONS:
        most = MOST_COMBINATIONS
        raise BadRow(refusal_words.too_many_combinations(count, most))
    if want.figure not in kinds:
        raise BadRow(refusal_words.no_figure_to_sort_by(want.figure))


def _states(fitted: Fit, facts: Facts, moves: Sequence[tuple[PointBy, ...]], keep_lengths: bool) -> Array:
    """The estimates (P, u) of every combination; nan where the links do not reach."""
    states = np.repeat(fitted.estimate[None, :], len(moves), axis=0)
    if not keep_lengths:
        for number, each in enumerate(moves):
            for move in each:
                states[number, fitted.slot[move.point] :][:3] += (move.x, move.y, move.z)
        return states
    for number, each in enumerate(moves):
        try:
            states[number] = moved(fitted, facts, Plan(each, True), fitted.estimate[None, :])[0]
        except BadMove:
            states[number] = np.nan
    return states


class _Batch:
    """All combinations side by side; the first row is the vehicle as measured, which says what can be had at all."""

    def __init__(self, fitted: Fit, facts: Facts, states: Array, limits: Limits) -> None:
        self.fitted, self.facts, self.limits = fitted, facts, limits
        self.built: Mask = np.asarray(np.isfinite(states).all(axis=1))
        filled = np.where(self.built[:, None], states, fitted.estimate)
        self.states = np.concatenate((fitted.estimate[None, :], filled))
        self.ride = Ride(fitted, facts, self.states)

    def values(self, kind: FigureKind) -> Array:
        """A figure of every combination, (P,), nan where it cannot be had."""
        count = len(self.built)
        with np.errstate(all="ignore"):
            try:
                found = np.broadcast_to(np.asarray(kind.of(self.ride)).real, (count + 1,))[1:].copy()
            except NotYet as wait:
                # A waiting figure waits for all; one that the measured vehicle cannot have, others may.
                found = np.full(count, np.nan) if wait.needs else self._one_by_one(kind)
        found[~self.built | ~np.isfinite(found)] = np.nan
        return found

    def _one_by_one(self, kind: FigureKind) -> Array:
        found = np.full(len(self.built), np.nan)
        for number in np.flatnonzero(self.built):
            alone = Ride(self.fitted, self.facts, self.states[number + 1 : number + 2])
            try:
                found[number] = float(np.asarray(kind.of(alone)).real[0])
            except NotYet:
                continue
        return found

    def reasons(self) -> list[list[str]]:
        """Why each combination cannot be built, sentences; empty where it can."""
        found: list[list[str]] = [
            [] if built else [refusal_words.DOES_NOT_REACH] for built in self.built
        ]
        self._lengths(found)
        for crossed in (False, True):
            at = self._travelled(crossed)
            if at is None:
                continue
            if not crossed:
                self._reach(found, at)
            self._touching(found, at)
        return found

    def _lengths(self, found: list[list[str]]) -> None:
        for link in self.ride.layout.links:
            if link.name not in self.limits.lengths:
                continue
            shortest, longest = self.limits.lengths[link.name]
            length = norm(self.ride.link(link.name)).real[1:]
            for number in np.flatnonzero(self.built & ((length < shortest) | (length > longest))):
                way = "shorter" if length[number] < shortest else "longer"
                found[number].append(refusal_words.cannot_be_made(link.words, way))

    def _travelled(self, crossed: bool) -> Taken | None:
        """Every step of the travel, both wheels alike or one against the other; the links' way between two steps of
        10 mm is so nearly straight that nothing slips through."""
        path = travel.steps(self.ride)
        try:
            with np.errstate(all="ignore"):
                return take(self.ride, *travel.crossed(self.ride))[0] if crossed else take(self.ride, path)[0]
        except NotYet:
            return None

    def _reach(self, found: list[list[str]], at: Taken) -> None:
        lost = ~np.isfinite(at.pose.shift[1:]).all(axis=(1, 2))
        for number in np.flatnonzero(self.built & (lost | (at.travel.size < travel.steps(self.ride).size))):
            found[number].append(refusal_words.BINDS_BEFORE_THE_END)

    def _touching(self, found: list[list[str]], at: Taken) -> None:
        """Links nearer to what is to be kept clear than their tube and some room, anywhere on the way."""
        keep = [name for name in self.fitted.points if name.startswith("keep_clear.")]
        for link in self.ride.layout.links:
            arm = self.ride.axle_end(link.name) - self.ride.centre
            there = self.ride.centre[:, None] + at.pose.shift + np.einsum("ptij,pj->pti", at.pose.turn, arm)
            here = np.broadcast_to(self.ride.point(link.frame)[:, None], there.shape)
            room = 0.5 * self.limits.tubes.get(link.name, 0.0) + self.limits.clear
            for name in keep:
                point = self.ride.point(name)[:, None]
                with np.errstate(invalid="ignore"):
                    off = np.nan_to_num(distances(point, there, here)[1:], nan=np.inf)
                said = refusal_words.too_near(link.words, name.partition(".")[2].replace("_", " "))
                for number in np.flatnonzero((off.min(axis=1) < room) & self.built):
                    if not any(reason.startswith(said) for reason in found[number]):
                        worst = int(off[number].argmin())
                        found[number].append(f"{said} {_where(at.travel[worst], at.lift[worst])}.")


def _where(height: float, lift: float) -> str:
    """Which way the axle has gone."""
    if lift:
        return refusal_words.wheel_up("left" if lift > 0.0 else "right")
    return "at ride height" if height == 0.0 else "in bump" if height > 0.0 else "in droop"


def _plain(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
