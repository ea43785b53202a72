"""The figures of a fitted vehicle: what the axle will do, each with its spread from the full covariance.

One module a family: links, anti, roll, steering, driveline, balance, travel (the sweep). A new figure is one function
and one FigureKind in its family's `figures`; a new column of the sweep one ColumnKind in `travel.columns`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import numpy as np

from geometry.complex_step import STEP, Complex
from geometry.figures import (
    anti,
    balance,
    curved,
    driveline,
    driveshaft,
    figure_words,
    knuckles,
    links,
    match,
    roll,
    steering,
    travel,
    wheels,
)
from geometry.figures.base import Band, Column, Facts, Figure, FigureKind, NotYet, Sheet, SweepTable
from geometry.figures.ride import ENTRY, Ride
from geometry.figures.taken import limit, take
from geometry.fit import Fit
from geometry.frame import Array
from geometry.layouts import LAYOUTS

FAMILIES = (anti, roll, steering, travel, knuckles, match, driveline, driveshaft, balance, links)
DOUBLED = 2.0
SHARE = 0.02
MOST_NEEDS = 6


@cache
def catalogue(layout: str, worked_axle: str) -> dict[str, FigureKind]:
    """Every figure that a layout can have, in the order people ask for them."""
    return {kind.key: kind for family in FAMILIES for kind in family.figures(layout, worked_axle)}


CATALOGUE: dict[str, FigureKind] = {
    key: kind
    for layout in LAYOUTS
    for axle in ("front", "rear")
    for key, kind in catalogue(layout, axle).items()
}
"""Every figure there is. Words that differ between front and rear: ask `catalogue` for the vehicle's own."""


class Spread:
    """From gradients to standard deviations, and to the assumptions a figure leans on."""

    def __init__(self, ride: Ride) -> None:
        chosen = np.ix_(ride.unknowns, ride.unknowns)
        self.covariance: Array = ride.fit.covariance[chosen]
        self.weak: Array = ride.fit.weak_covariance[chosen]
        self._readings = _entries(ride)
        self._read = frozenset(seen.name for seen in ride.fit.observations)
        own, weak = np.diag(self.covariance), np.diag(self.weak)
        self._loose = weak >= DOUBLED**2 * own

    def sd(self, gradient: Array) -> Array:
        """(..., P) -> (...), one standard deviation."""
        return _root(gradient, self.covariance)

    def leans(self, gradient: Array) -> np.ndarray:
        """Whether the spread at least doubles with the weak assumptions ten times weaker: (..., P) -> (...)."""
        return self.weigh(gradient)[1]

    def weigh(self, gradient: Array) -> tuple[Array, np.ndarray]:
        """Both at once, of many gradients at once."""
        own, weak = _root(gradient, self.covariance), _root(gradient, self.weak)
        return own, np.asarray((weak >= DOUBLED * own) & (weak > 0))

    def needs(self, gradient: Array) -> tuple[str, ...]:
        """The readings a leaning figure waits for, those that matter most first.

        One that was taken is not waited for; where all of them were, as of two weights in one, they are named still.
        """
        part = np.where(self._loose, gradient**2 * np.diag(self.weak), 0.0)
        total = part.sum()
        order = np.argsort(-part, kind="stable")
        names = [self._readings[k] for k in order if total > 0 and part[k] >= SHARE * total]
        missing = [name for name in names if name not in self._read]
        return tuple(dict.fromkeys(missing or names))[:MOST_NEEDS]


def _root(gradient: Array, covariance: Array) -> Array:
    """(..., P), (P, P) -> (...): the standard deviation of a sum of unknowns."""
    return np.asarray(np.sqrt(np.maximum(np.einsum("...i,...i->...", gradient @ covariance, gradient), 0.0)))


def _entries(ride: Ride) -> list[str]:
    """For each unknown of a ride the reading that fixes it most directly: the short way in, unless it is taken and left
    the point loose. A kingpin's caster tells nothing of its place across."""
    found = []
    nudged = set(ride.unknowns.tolist())
    taken = {reading.canonical for reading in ride.fit.readings}
    for name, first in ride.fit.slot.items():
        short = [entry for entry in ENTRY.get(name, ()) if entry not in taken or name not in ride.points]
        for offset, kind in enumerate(("fore_aft", "lateral", "height")):
            if first + offset in nudged and (offset == 0 or name in ride.points):
                found.append((first + offset, short[0] if short and offset != 1 else f"{kind}:{name}"))
    place = dict(found)
    return [place[k] for k in ride.unknowns.tolist()]


def sheet(fit: Fit, facts: Facts) -> Sheet:
    """Every figure with its spread, and the sweep over travel."""
    with np.errstate(all="ignore"):
        ride = Ride(fit, facts)
        spread = Spread(ride)
        return Sheet(_figures(ride, spread), _sweep(ride, spread))


def _figures(ride: Ride, spread: Spread) -> dict[str, Figure]:
    kinds = catalogue(ride.layout.name, "front" if ride.front else "rear")
    convention = () if _determinate(ride) else roll.KEYS
    found: dict[str, Figure] = {}
    answers: dict[str, Complex] = {}
    for key, kind in kinds.items():
        found[key] = Figure(key, kind.unit, None, None, (), False, key in convention, figure_words.FREE_TO_MOVE)
        try:
            answer = np.asarray(kind.of(ride))
        except NotYet as wait:
            found[key] = replace(found[key], needs=wait.needs, reason=wait.reason)
            continue
        if np.isfinite(answer[0].real) and np.isfinite(answer.imag).all():
            answers[key] = answer
    for key, answer, gradient, sd, leans in _weighed(spread, answers):
        needs = spread.needs(gradient) if leans else ()
        say = kinds[key].remark
        remark = say(ride) if say is not None else ""
        value, unit = float(answer[0].real), kinds[key].unit
        found[key] = Figure(key, unit, value, float(sd), needs, bool(leans), key in convention, remark=remark)
    return _with_intervals(ride, kinds, found)


def _weighed(spread: Spread, answers: dict[str, Complex]) -> Iterator[tuple[str, Complex, Array, Array, np.ndarray]]:
    """Each nudged answer (P, ...) with its gradient (..., P), its spread, and whether it leans; all in one go."""
    if answers:
        gradients = np.stack([answer.imag.T for answer in answers.values()]) / STEP
        yield from zip(answers, answers.values(), gradients, *spread.weigh(gradients), strict=True)


def _with_intervals(ride: Ride, kinds: dict[str, FigureKind], found: dict[str, Figure]) -> dict[str, Figure]:
    """Lopsided spreads of figures that lean on nothing: a guess is no better for being drawn 400 times."""
    keys = tuple(key for key in curved.candidates(found) if not found[key].leans)
    if keys:
        for key, interval in curved.intervals(ride.fit, ride.facts, kinds, keys).items():
            found[key] = replace(found[key], interval=interval)
    return found


def _determinate(ride: Ride) -> bool:
    return len(ride.layout.links) == 4 and all(link.role != "arm" for link in ride.layout.links)


def articulation(fit: Fit, facts: Facts) -> SweepTable:
    """The sweep with one wheel going up, the other down, to the stops. Its `travel` is the lift, left over right.

    The anti figure and the instant centre belong to heave and stay out.
    """
    with np.errstate(all="ignore"):
        ride = Ride(fit, facts)
        rise, lift = travel.crossed(ride)
        kinds = tuple(kind for kind in _columns(ride) if not kind.key.startswith(("anti", "instant")))
        return _table(ride, Spread(ride), kinds, rise, lift)


def standing(fit: Fit, facts: Facts) -> tuple[SweepTable, SweepTable]:
    """Where wheels, caster, pinion and roll centre stand, whole values: over travel, and crossed."""
    with np.errstate(all="ignore"):
        ride = Ride(fit, facts)
        kinds, spread = wheels.columns("front" if ride.front else "rear"), Spread(ride)
        path = travel.steps(ride)
        heave = _table(ride, spread, kinds, path, np.zeros_like(path))
        kinds = tuple(kind for kind in kinds if not kind.key.startswith("anti"))
        return heave, _table(ride, spread, kinds, *travel.crossed(ride))


def _columns(ride: Ride) -> tuple[travel.ColumnKind, ...]:
    return travel.columns(ride.layout.name, "front" if ride.front else "rear")


def _sweep(ride: Ride, spread: Spread) -> SweepTable:
    path = travel.steps(ride)
    return _table(ride, spread, _columns(ride), path, np.zeros_like(path))


def _table(ride: Ride, spread: Spread, kinds: tuple[travel.ColumnKind, ...], rise: Array, lift: Array) -> SweepTable:
    path = lift if lift.any() else rise
    try:
        at, reached = take(ride, rise, lift)
    except NotYet as wait:
        none = (None,) * path.size
        empty = {k.key: Column(k.unit, k.title, none, none, wait.needs, False, wait.reason) for k in kinds}
        return SweepTable(tuple(path.tolist()), empty)
    table: dict[str, Column] = {}
    answers: dict[str, Complex] = {}
    for kind in kinds:
        none = (None,) * path.size
        table[kind.key] = Column(kind.unit, kind.title, none, none, unsigned=kind.unsigned)
        try:
            answers[kind.key] = np.asarray(kind.of(ride, at))
        except NotYet as wait:
            table[kind.key] = replace(table[kind.key], needs=wait.needs, reason=wait.reason)
    for key, answer, gradient, sd, leans in _weighed(spread, answers):
        values = answer[0].real
        seen = np.isfinite(values)
        leaning = bool(leans[seen].any())
        needs = spread.needs(gradient[np.where(seen, np.nan_to_num(sd), -1.0).argmax()]) if leaning else ()
        shown, sds = _plain(values, reached), _plain(np.where(seen, sd, np.nan), reached)
        table[key] = replace(table[key], values=shown, sd=sds, needs=needs, leans=leaning)
    return SweepTable(tuple(path.tolist()), table, _binds(ride, rise, lift, reached))


def _plain(values: Array, reached: np.ndarray) -> tuple[float | None, ...]:
    """The values at the steps that were reached, None at the others and where there is none."""
    whole = np.full(reached.size, np.nan)
    whole[reached] = values
    return tuple(value if math.isfinite(value) else None for value in whole.tolist())


def _binds(ride: Ride, rise: Array, lift: Array, reached: np.ndarray) -> tuple[tuple[float, str], ...]:
    """Where the links stop on the way out from ride height, each way: the travel (or lift) and a sentence. More links
    than freedoms always settle somewhere: what ends there is the way to it."""
    found, say = [], figure_words.links_bind if _determinate(ride) else figure_words.snaps_over
    ride_at = int(np.abs(rise).argmin() if not lift.any() else np.abs(lift).argmin())
    for way in (1, -1):
        step = ride_at
        while 0 <= step + way < reached.size and reached[step + way]:
            step += way
        lost = step + way
        if not 0 <= lost < reached.size:
            continue
        share = limit(ride, (rise[step], lift[step]), (rise[lost], lift[lost]))
        if lift.any():
            at = float(lift[step] + share * (lift[lost] - lift[step]))
            words = figure_words.wheel_above("left" if at > 0 else "right", abs(at))
        else:
            at = float(rise[step] + share * (rise[lost] - rise[step]))
            words = f"at {abs(at):.0f} mm of {'bump' if at > 0 else 'droop'}"
        found.append((at, say(words)))
    return tuple(found)


__all__ = [
    "CATALOGUE", "Band", "Column", "Facts", "Figure", "FigureKind", "Sheet", "SweepTable", "articulation", "catalogue",
    "sheet", "standing",
]  # fmt: skip
