"""What a figure's spread is made of, what would make it tighter, and how it answers a moved bolt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.complex_step import STEP
from geometry.figures.base import Facts, FigureKind, NotYet
from geometry.figures.ride import Ride
from geometry.fit import Fit
from geometry.frame import Array
from geometry.readings import parse_name


@dataclass(frozen=True)
class Gain:
    """One reading's worth to a figure: its sd once this is read (again), and the share of the variance that goes."""

    reading: str
    sd_after: float
    share: float
    again: bool


@dataclass(frozen=True)
class Answer:
    """How a figure answers a point: change in its unit per mm along x, y, z."""

    point: str
    per_mm: tuple[float, float, float]


def gradient(fit: Fit, facts: Facts, kind: FigureKind) -> Array | None:
    """Change of a figure per change of each unknown, (u,); None where it cannot be had."""
    ride = Ride(fit, facts)
    try:
        answer = np.asarray(kind.of(ride)).imag / STEP
    except NotYet:
        return None
    full = np.zeros(fit.unknowns)
    full[ride.unknowns] = answer
    return full if np.isfinite(full).all() else None


def guessed_share(fit: Fit, facts: Facts, kind: FigureKind) -> float:
    """How much of a figure's variance the guesses among the readings bring into it, 0 to 1.

    A reading with whitened row a brings (g Q a)^2 into g Q g: the propagation of its own error alone.
    """
    slope = gradient(fit, facts, kind)
    if slope is None:
        return 0.0
    spread = fit.covariance @ slope
    variance = float(slope @ spread)
    rows = [row for row, reading in zip(fit.design_matrix, fit.readings, strict=False) if reading.kind.guessed]
    return sum(float(row @ spread) ** 2 for row in rows) / variance if variance > 0 else 0.0


def tighter(fit: Fit, facts: Facts, kind: FigureKind, candidates: Sequence[str]) -> tuple[Gain, ...]:
    """Readings that would tighten a figure most, best first: those taken, taken again, and `candidates` not taken.

    One more reading with row a and sd s takes (g Q a)^2 / (s^2 + a Q a) off the variance g Q g (a rank-one update
    of the covariance Q); nothing is fitted anew.
    """
    slope = gradient(fit, facts, kind)
    if slope is None:
        return ()
    taken = {reading.canonical: reading for reading in fit.readings}
    again = (name for name, reading in taken.items() if not reading.kind.guessed)
    guesses = {name for name, reading in taken.items() if reading.kind.guessed}
    names = [name for name in dict.fromkeys([*again, *candidates]) if name not in guesses]
    values, _ = fit.predict(names)
    rows = fit.partials(names)
    sds = np.array([_usual_sd(fit, name, float(value)) for name, value in zip(names, values, strict=True)])
    spread = fit.covariance @ slope
    variance = float(slope @ spread)
    if variance <= 0:
        return ()
    off = (rows @ spread) ** 2 / (sds**2 + np.einsum("ij,jk,ik->i", rows, fit.covariance, rows))
    order = np.argsort(-off, kind="stable")
    return tuple(
        Gain(names[k], float(np.sqrt(max(variance - off[k], 0.0))), float(off[k] / variance), names[k] in taken)
        for k in order
        if off[k] > 0.005 * variance
    )


def with_height(fit: Fit, facts: Facts, kind: FigureKind, sd: float) -> float | None:
    """A figure's sd once the height of the centre of gravity is known to `sd` mm besides; None where it has none."""
    slope = gradient(fit, facts, kind)
    if slope is None or "cg.z" not in fit.slot:
        return None
    spread, at = fit.covariance @ slope, fit.slot["cg.z"]
    off = spread[at] ** 2 / (sd**2 + fit.covariance[at, at])
    return float(np.sqrt(max(float(slope @ spread) - off, 0.0)))


def _usual_sd(fit: Fit, name: str, value: float) -> float:
    return parse_name(name, fit.setup.layout, fit.setup.worked_axle).kind.sd(value, fit.setup.tape_class)


def answers(fit: Fit, facts: Facts, kind: FigureKind) -> tuple[Answer, ...]:
    """How a figure answers each point, the strongest first. Points that do not matter are left out."""
    slope = gradient(fit, facts, kind)
    if slope is None:
        return ()
    found = []
    for name in fit.points:
        first = fit.slot[name]
        part = slope[first : first + 3]
        found.append(Answer(name, (float(part[0]), float(part[1]), float(part[2]))))
    strength = [max(abs(part) for part in answer.per_mm) for answer in found]
    most = max(strength, default=0.0)
    ranked = sorted(zip(strength, found, strict=True), key=lambda pair: -pair[0])
    return tuple(answer for size, answer in ranked if size > 0.01 * most)
