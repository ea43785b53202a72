"""Where the panhard bar's frame end would have to be for the wheels to steer least by themselves over a bump.

The heading of the road wheels (axle's yaw and what the drag link adds) is taken at equal steps from 75 mm of droop to
75 mm of bump. The frame end is then moved by damped least squares, near its present place: the damping draws back
what hardly helps, so that a direction that does not matter stays as it is. The bar's length follows its ends; the axle
stays where it is at ride height. Beside the best place of all stands the best that moving straight up or down can do,
which is what a vertical row of holes offers. Spreads by the implicit function: how the answer moves with every reading.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.complex_step import STEP
from geometry.figures import figure_words
from geometry.figures.base import Facts, NotYet
from geometry.figures.ride import Ride
from geometry.figures.steering import self_steer, yaw
from geometry.figures.taken import take
from geometry.fit import Fit
from geometry.frame import Array

LOOK = np.linspace(-75.0, 75.0, 11)
"""mm of travel at which people compare bump steer: 3 in each way."""
DRAWN_BACK = 1e-3
"""deg per mm: a move is worth its trouble when it gains more than this."""
MOST_MM = 250.0
ROUNDS = 30
SETTLED_MM = 1e-4
POINT = "panhard.frame"


@dataclass(frozen=True)
class Flatter:
    """One move of the panhard bar's frame end. by (3,): x y z, mm, with one standard deviation each.

    before, after: the most the wheels turn within 75 mm of travel each way, deg. curve: heading at each step of
    `travel`, + left, after the move. held: the answer lies at the edge of what was tried.
    """

    place: tuple[float, float, float]
    by: tuple[float, float, float]
    sd: tuple[float, float, float]
    before: float
    after: float
    travel: tuple[float, ...]
    curve: tuple[float, ...]
    held: bool
    sentence: str


@dataclass(frozen=True)
class Flattening:
    """The best move of all and the best straight up or down; None and a reason where there is nothing to move."""

    free: Flatter | None
    upright: Flatter | None
    reason: str | None = None
    needs: tuple[str, ...] = ()


def flattening(fit: Fit, facts: Facts) -> Flattening:
    """Both moves for one vehicle."""
    if not any(link.role == "panhard" for link in Ride(fit, facts).layout.links):
        return Flattening(None, None, figure_words.NO_PANHARD)
    if fit.setup.worked_axle != "front":
        return Flattening(None, None, figure_words.NO_DRAG_LINK)
    with np.errstate(all="ignore"):
        try:
            return Flattening(_flattest(fit, facts, (0, 1, 2)), _flattest(fit, facts, (2,)))
        except NotYet as wait:
            return Flattening(None, None, wait.reason, wait.needs)


def heading(ride: Ride) -> Array:
    """Of the road wheels at each step of LOOK, (P, T) deg, + left. NotYet where they are not reached."""
    at, reached = take(ride, LOOK)
    if not reached.all():
        raise NotYet((), figure_words.TOO_LITTLE_REACH)
    found = yaw(at.pose) + self_steer(ride, at.pose)
    if not np.isfinite(found.real).all():
        raise NotYet((), figure_words.TOO_LITTLE_REACH)
    return np.asarray(found)


def _curve(fit: Fit, facts: Facts, moved: Array, axes: tuple[int, ...]) -> tuple[Array, Array]:
    """Heading (T,) with the frame end moved by (3,), and its change per mm along each axis (T, k)."""
    first = fit.slot[POINT]
    estimates = np.tile(fit.estimate.astype(complex), (len(axes), 1))
    estimates[:, first : first + 3] += moved
    for row, axis in enumerate(axes):
        estimates[row, first + axis] += 1j * STEP
    answer = heading(Ride(fit, facts, estimates))
    return answer[0].real, (answer.imag / STEP).T


def _flattest(fit: Fit, facts: Facts, axes: tuple[int, ...]) -> Flatter:
    chosen = list(axes)
    moved = np.zeros(3)
    curve, slope = _curve(fit, facts, moved, axes)
    before, cost = curve, _cost(curve, moved)
    damping = 1e-6
    for _ in range(ROUNDS):
        step = np.zeros(3)
        step[chosen] = _step(curve, slope, moved[chosen], damping)
        tried = np.clip(moved + step, -MOST_MM, MOST_MM)
        try:
            next_curve, next_slope = _curve(fit, facts, tried, axes)
        except NotYet:
            damping = 10.0 * damping
            continue
        next_cost = _cost(next_curve, tried)
        if next_cost > cost:
            damping = 10.0 * damping
            continue
        settled = float(np.abs(tried - moved).max()) < SETTLED_MM
        moved, curve, slope, cost, damping = tried, next_curve, next_slope, next_cost, max(damping / 10.0, 1e-9)
        if settled:
            break
    return _answer(fit, facts, axes, moved, slope, before, curve)


def _cost(curve: Array, moved: Array) -> float:
    return float(curve @ curve + DRAWN_BACK**2 * (moved @ moved))


def _step(curve: Array, slope: Array, moved: Array, damping: float) -> Array:
    """One step of damped Gauss and Newton towards the least cost, (k,)."""
    normal = slope.T @ slope + (DRAWN_BACK**2 + damping) * np.eye(moved.size)
    return np.asarray(-np.linalg.solve(normal, slope.T @ curve + DRAWN_BACK**2 * moved))


def _answer(
    fit: Fit, facts: Facts, axes: tuple[int, ...], moved: Array, slope: Array, before: Array, curve: Array
) -> Flatter:
    first = fit.slot[POINT]
    place = fit.estimate[first : first + 3] + moved
    most, left = float(np.abs(before).max()), float(np.abs(curve).max())
    held = bool((np.abs(moved) >= MOST_MM - SETTLED_MM).any())
    sd = np.zeros(3)
    sd[list(axes)] = _spread(fit, facts, axes, moved, slope)
    return Flatter(
        _three(place - np.array([fit.origin, 0.0, 0.0])), _three(moved), _three(sd), most, left,
        tuple(LOOK.tolist()), tuple(curve.tolist()), held, _says(most, left, held, len(axes) == 1),
    )  # fmt: skip


def _three(values: Array) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])


def _spread(fit: Fit, facts: Facts, axes: tuple[int, ...], moved: Array, slope: Array) -> Array:
    """One sd of each coordinate of the move, (k,): first order, the curve's own bend left out."""
    ride = Ride(fit, facts)
    estimates = fit.estimate + 1j * STEP * np.eye(fit.unknowns)[ride.unknowns]
    first = fit.slot[POINT]
    estimates[:, first : first + 3] += moved
    by_unknown = (heading(Ride(fit, facts, estimates)).imag / STEP).T
    normal = slope.T @ slope + DRAWN_BACK**2 * np.eye(len(axes))
    answer = -np.linalg.solve(normal, slope.T @ by_unknown)
    chosen = fit.covariance[np.ix_(ride.unknowns, ride.unknowns)]
    return np.asarray(np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", answer, chosen, answer), 0.0)))


def _says(before: float, after: float, held: bool, upright: bool) -> str:
    way = figure_words.MOVED_UPRIGHT if upright else "Moved there"
    if before < 0.02:
        return figure_words.LEAVE_IT
    if after > 0.8 * before:
        return figure_words.gains_little(way)
    edge = figure_words.LIES_FURTHER if held else ""
    return figure_words.leaves(way, after, before, edge)
