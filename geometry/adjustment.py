"""The adjustment: weighted least squares by Gauss-Newton with Levenberg's damping, for any model.

Where the rows bend so much within their own spread that Gauss-Newton crawls, a model that knows its curvature is taken
on with full Newton steps. The answer and its covariance are the same either way.

It knows nothing of vehicles. A levelling network, a tape network or a published curve goes through the same lines.

Give it a function `x -> (predicted (n,), jacobian (n, u))`, a start, what was read and each row's sd:

    line = lambda x: (x[0] + x[1] * at, np.stack((np.ones_like(at), at), axis=1))
    result = adjust(line, start=np.zeros(2), read=heights, sd=np.ones(len(at)))
    result.estimate, result.covariance, result.variance_factor

Units are the caller's own; unknowns may differ in size by many powers of ten, as columns are scaled to length one. The
covariance is a priori: the given sds are taken at their word, not scaled by the variance factor.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from geometry import refusal_words
from geometry.errors import Underdetermined
from geometry.frame import Array

Model = Callable[[Array], tuple[Array, Array]]
"""x (u,) -> predicted (n,), jacobian (n, u)."""
Curvature = Callable[[Array, Array], Array]
"""x (u,), weights (n,) -> sum of each row's second derivative times its weight, (u, u)."""

ALPHA = 0.001
POWER = 0.80
LEAST_REDUNDANCY = 1e-4
"""Below this a row counts as unchecked: w is 0 and no mistake in it can be found."""

STEP_DONE = 1e-9
"""Converged when the next step is this small, counted in sds of the unknowns."""
STEP_SMALL = 1e-5
"""A step this small that no longer lowers the sum of squares is rounding; also converged."""
MOST_STEPS = 60
PATIENCE = 4
"""Gauss-Newton steps before the curvature is asked for, unless one was refused; most fits are done by then."""
FIRST_DAMPING = 1e-4
MOST_DAMPING = 1e12
CORRECTIONS = 2
"""How often a step along a bent valley is brought back into it before it counts as refused."""
DEPENDENT = 1e-13
"""A column this close to a sum of the others, all scaled to length one, fixes nothing."""


def non_centrality(alpha: float = ALPHA, power: float = POWER) -> float:
    """How many sds a mistake must shift w to be found with that power by a two-sided test at alpha.

    Source: Baarda, A testing procedure for use in geodetic networks, 1968; the other tail is left out.
    """
    normal = NormalDist()
    return normal.inv_cdf(1.0 - alpha / 2.0) + normal.inv_cdf(power)


NON_CENTRALITY = non_centrality()
"""4.1321 for 99.9 % and 80 %."""


@dataclass(frozen=True)
class Adjustment:
    """What came out. n rows, u unknowns; rows in the caller's units.

    estimate (u,), covariance (u, u) a priori. predicted (n,), residual (n,) = predicted - read. redundancy (n,): the
    share of a mistake that shows in its own residual, 0 to 1, together n - u. w (n,) = residual / (sd sqrt(redundancy))
    0 where nothing checks the row; smallest_findable (n,), nan there. design_matrix (n, u): the jacobian over sd.
    chi2: weighted sum of squares; variance_factor = chi2 / degrees_of_freedom, None where there are none.
    steps: how many were taken. converged: False when no step helped any more before the next one was nothing.
    """

    estimate: Array
    covariance: Array
    predicted: Array
    residual: Array
    redundancy: Array
    w: Array
    smallest_findable: Array
    design_matrix: Array
    chi2: float
    degrees_of_freedom: int
    variance_factor: float | None
    steps: int
    converged: bool


def adjust(
    predict_and_partials: Model,
    start: Array,
    read: Array,
    sd: Array,
    inside: Callable[[Array], bool] | None = None,
    curvature: Curvature | None = None,
) -> Adjustment:
    """The estimate that makes the sum of ((predicted - read) / sd) squared least, with all that follows from it.

    predict_and_partials: x (u,) -> (predicted (n,), jacobian (n, u)). start (u,); read, sd (n,), sd > 0.
    inside: tells whether a place is allowed at all; a step to a place that is not is shortened. curvature: only speeds
    up hard cases. Deterministic; the sum of squares never ends above that at the start. Errors: ValueError for shapes
    that do not agree; Underdetermined when the rows do not fix every unknown at the place found.
    """
    start, read, sd = np.asarray(start, np.float64), np.asarray(read, np.float64), np.asarray(sd, np.float64)
    if read.shape != sd.shape or read.ndim != 1 or start.ndim != 1:
        raise ValueError(f"expected start (u,), read and sd (n,); got {start.shape}, {read.shape}, {sd.shape}")
    if not (np.isfinite(read).all() and np.isfinite(sd).all() and (sd > 0.0).all()):
        raise ValueError("expected finite readings and sds above zero")
    search = _Search(predict_and_partials, read, sd, inside or (lambda _: True), curvature)
    search.run(start)
    return _evaluate(search)


@dataclass(frozen=True)
class _Place:
    """Where the search stands: the rows there, whitened, and their sum of squares."""

    estimate: Array
    predicted: Array
    misfit: Array
    design: Array
    cost: float


class _Search:
    """Gauss-Newton from a start, damped only as far as a step would make things worse."""

    def __init__(
        self, model: Model, read: Array, sd: Array, inside: Callable[[Array], bool], curvature: Curvature | None
    ) -> None:
        self.model, self.read, self.sd, self.inside, self.curvature = model, read, sd, inside, curvature
        self.steps = 0
        self.refused = False
        self.converged = False

    def run(self, start: Array) -> None:
        """Step until the next step is nothing, or no step helps any more."""
        begin = self._look(start)
        if begin is None:
            raise ValueError("the start is outside, or the model is not finite there")
        self.here = begin
        damping = 0.0
        while self.steps < MOST_STEPS and damping < MOST_DAMPING and not self.converged:
            self.steps += 1
            damping = self._step(damping)

    def _step(self, damping: float) -> float:
        """Try damped steps from here until one helps; the damping for the next."""
        scale = column_lengths(self.here.design)
        scaled = self.here.design / scale
        normal, slope = scaled.T @ scaled, scaled.T @ self.here.misfit
        bent = normal + self._bend() / np.outer(scale, scale)
        while damping < MOST_DAMPING:
            step = _solve(bent, -slope, damping)
            if step is not None:
                length = math.sqrt(max(float(step @ normal @ step), 0.0))
                free = damping < FIRST_DAMPING
                better = None if free and length < STEP_DONE else self._better(step, scale, scaled, normal, damping)
                if better is not None:
                    self.here = better
                    return damping / 10.0 if damping > FIRST_DAMPING else 0.0
                if free and length < STEP_SMALL:
                    self.converged = True
                    return damping
                if self.curvature is not None and not self.refused:
                    self.refused = True
                    return damping
            damping = max(10.0 * damping, FIRST_DAMPING)
        return damping

    def _better(self, step: Array, scale: Array, scaled: Array, normal: Array, damping: float) -> _Place | None:
        """The place one step on, or, where the rows bend away on the way there, that place brought back to where they
        were heading; None when neither is better than here."""
        ahead = scaled @ step
        for _ in range(1 + CORRECTIONS):
            there = self._look(self.here.estimate + step / scale)
            if there is None or there.cost < self.here.cost:
                return there
            back = _solve(normal, scaled.T @ (self.here.misfit + ahead - there.misfit), damping)
            if back is None or back @ back > step @ step:
                return None
            step = step + back
        return None

    def _bend(self) -> Array:
        """What Gauss-Newton leaves out of the second derivative, (u, u); nothing while it has not lost patience."""
        if self.curvature is None or not (self.refused or self.steps > PATIENCE):
            return np.zeros((len(self.here.estimate), len(self.here.estimate)))
        return self.curvature(self.here.estimate, self.here.misfit / self.sd)

    def _look(self, place: Array) -> _Place | None:
        """The rows at a place; None where it is not allowed or not finite."""
        if not (np.isfinite(place).all() and self.inside(place)):
            return None
        predicted, jacobian = self.model(place)
        misfit = (predicted - self.read) / self.sd
        cost = float(misfit @ misfit)
        if not (math.isfinite(cost) and np.isfinite(jacobian).all()):
            return None
        return _Place(place, predicted, misfit, jacobian / self.sd[:, None], cost)


def column_lengths(matrix: Array) -> Array:
    """The length of each column, (u,); 1 for a column of nothing, so that it can be divided by."""
    lengths: Array = np.sqrt(np.einsum("ij,ij->j", matrix, matrix))
    lengths[lengths == 0.0] = 1.0
    return lengths


def _solve(matrix: Array, right: Array, damping: float) -> Array | None:
    """(matrix + damping)^-1 right; None where Cholesky finds that not positive definite and it wants more damping."""
    damped = matrix + damping * np.eye(len(right))
    try:
        np.linalg.cholesky(damped)
        return np.asarray(np.linalg.solve(damped, right), np.float64)
    except np.linalg.LinAlgError:
        return None


def cofactor(design: Array) -> tuple[Array, Array]:
    """The inverse of the normal matrix (u, u), and each row's leverage (n,), by QR of the scaled design (n, u).

    Errors: Underdetermined.
    """
    if design.shape[1] == 0:
        return np.zeros((0, 0)), np.zeros(len(design))
    if len(design) < design.shape[1]:
        raise Underdetermined(refusal_words.too_few_readings(len(design), design.shape[1]))
    scale = column_lengths(design)
    orthogonal, triangle = (np.asarray(part, np.float64) for part in np.linalg.qr(design / scale))
    loose = np.flatnonzero(np.abs(np.diag(triangle)) < DEPENDENT)
    if len(loose):
        raise Underdetermined(refusal_words.loose_unknown(loose[0] + 1))
    root: Array = np.linalg.inv(triangle) / scale[:, None]
    return root @ root.T, np.einsum("ij,ij->i", orthogonal, orthogonal)


def checked_by(redundancy: Array, misfit: Array, sd: Array) -> tuple[Array, Array]:
    """Each row's w and smallest findable mistake, see `Adjustment`; (n,) each. misfit: residual over sd."""
    root = np.sqrt(np.maximum(redundancy, LEAST_REDUNDANCY))
    checked = redundancy >= LEAST_REDUNDANCY
    return np.where(checked, misfit / root, 0.0), np.where(checked, NON_CENTRALITY * sd / root, np.nan)


def _evaluate(search: _Search) -> Adjustment:
    here = search.here
    covariance, leverage = cofactor(here.design)
    redundancy = np.clip(1.0 - leverage, 0.0, 1.0)
    w, smallest_findable = checked_by(redundancy, here.misfit, search.sd)
    rows, unknowns = here.design.shape
    spare = rows - unknowns
    return Adjustment(
        estimate=here.estimate,
        covariance=covariance,
        predicted=here.predicted,
        residual=here.predicted - search.read,
        redundancy=redundancy,
        w=w,
        smallest_findable=smallest_findable,
        design_matrix=here.design,
        chi2=here.cost,
        degrees_of_freedom=spare,
        variance_factor=here.cost / spare if spare > 0 else None,
        steps=search.steps,
        converged=search.converged,
    )
