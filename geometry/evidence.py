"""What the rows of a fit say about mistakes, in plain arrays: every hypothesis is a small update, never a refit.

Everything is whitened (divided by each row's sd). For n rows of design matrix A (n, u):
cofactor = 1 - A (A'A)^-1 A', (n, n): how a mistake in one row shows in all rows; its diagonal: the redundancy numbers.
It is never written out: with A = root R by QR it is 1 - root root'; what is allowed for adds columns to root.
excess = read less predicted, (n,): it is `cofactor` times (mistakes + scatter).
A hypothesis is a direction b (n,): what one unit of the mistake adds to each row, whitened. Then b' cofactor b is its
information (one over the variance of its amount) and (b' excess)^2 over that is by how much the sum of squares drops
when the mistake is allowed for. Source: Baarda 1968, A testing procedure for use in geodetic networks; for groups the
same with more columns (Teunissen, Testing theory, 2006; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from statistics import NormalDist

import numpy as np

from geometry.frame import Array

LEVEL = 0.001
POWER = 0.80


@cache
def critical(level: float) -> float:
    """Two-sided critical value of a standard normal test value at `level`. Source: the normal distribution."""
    return NormalDist().inv_cdf(1.0 - level / 2.0)


@cache
def noncentrality(level: float, power: float) -> float:
    """How many sds large a mistake must be to pass the test at `level` with probability `power`: Baarda 1968."""
    return critical(level) + NormalDist().inv_cdf(power)


def shared_level(overall: float, tests: int) -> float:
    """The level of each of so many tests for which a clean set raises any alarm with probability `overall` at most."""
    return float(-np.expm1(np.log1p(-overall) / max(tests, 1)))


CRITICAL = critical(LEVEL)
"""3.29: beyond it a single reading is in doubt."""
LEAST_REDUNDANCY = 1e-4
"""Below this nothing checks a row, and it is never blamed: model section 9.2."""
NOTHING_LEFT = 1e-10
"""Information of a direction of unit length below which it is rounding."""
INSEPARABLE = 0.98
"""Two hypotheses whose test values correlate more than this share their blame: no pair of amounts is estimated."""


@dataclass(frozen=True)
class Evidence:
    """excess (n,) and root (n, u), both whitened; see above. A direction may stop at the last row it touches."""

    excess: Array
    root: Array

    @cached_property
    def redundancy(self) -> Array:
        """(n,) how well each row is checked, 0 to 1."""
        return np.asarray(np.clip(1.0 - np.einsum("nu,nu->n", self.root, self.root), 0.0, 1.0))

    @cached_property
    def test_values(self) -> Array:
        """(n,) + when read too high, so minus the report's w; 0 where nothing checks the row."""
        information = self.redundancy
        checked = information > LEAST_REDUNDANCY
        return np.where(checked, self.excess / np.sqrt(np.where(checked, information, 1.0)), 0.0)

    def information(self, directions: Array) -> Array:
        """Of directions (n, k) together: (k, k)."""
        shown = self.root[: len(directions)].T @ directions
        return np.asarray(directions.T @ directions - shown.T @ shown)

    def informations(self, directions: Array) -> Array:
        """Of directions (n, h) each by itself: (h,)."""
        shown = self.root[: len(directions)].T @ directions
        size = np.einsum("nh,nh->h", directions, directions)
        return np.asarray(size - np.einsum("uh,uh->h", shown, shown))

    def along(self, directions: Array) -> Array:
        """directions' excess, (k,)."""
        return np.asarray(directions.T @ self.excess[: len(directions)])

    def amounts(self, directions: Array) -> tuple[Array, Array]:
        """For directions (n, h): how much of each, (h,), and its sd, (h,); sd inf where the rows cannot tell."""
        information = self.informations(directions)
        size = np.einsum("nh,nh->h", directions, directions)
        told = information > LEAST_REDUNDANCY * np.maximum(size, 1e-300)
        safe = np.where(told, information, 1.0)
        return np.where(told, self.along(directions) / safe, 0.0), np.where(told, 1.0 / np.sqrt(safe), np.inf)

    def allowing_for(self, directions: Array) -> Evidence:
        """The evidence left when mistakes along directions (n,) or (n, h) are allowed for, as if they were unknowns."""
        columns = directions.reshape(len(directions), -1)
        columns = columns / (np.sqrt(np.einsum("nh,nh->h", columns, columns)) + 1e-300)
        shown = self._shown(columns)
        informations, ways = np.linalg.eigh(columns.T @ shown[: len(columns)])
        told = informations > NOTHING_LEFT  # what is allowed for already, or twice, is allowed for once
        more = shown @ (ways[:, told] / np.sqrt(informations[told]))
        return Evidence(self.excess - more @ (more.T @ self.excess), np.hstack([self.root, more]))

    def corrected(self, change: Array) -> Evidence:
        """The evidence if `change` (n,), whitened, were added to what was read: other numbers, no unknown added."""
        return Evidence(self.excess + self._shown(change), self.root)

    def _shown(self, directions: Array) -> Array:
        """How directions (h, ...), h <= n, show in all rows: (n, ...)."""
        shown = -self.root @ (self.root[: len(directions)].T @ directions)
        shown[: len(directions)] += directions
        return np.asarray(shown)

    def correlation(self, row: int) -> Array:
        """(n,) how alike the test values of all rows and of `row` behave, -1 to 1; 0 for rows that nothing checks."""
        information = self.redundancy
        checked = information > LEAST_REDUNDANCY
        scale = np.sqrt(np.where(checked, information, 1.0))
        alike = -(self.root @ self.root[row]) / scale / scale[row]
        alike[row] = 1.0
        return np.where(checked & checked[row], alike, 0.0)

    def pair_drops(self) -> Array:
        """(n, n): drop of the sum of squares when both rows are allowed for; 0 where they cannot be told apart.

        Closed form of two columns at once: (w_i^2 - 2 rho w_i w_j + w_j^2) / (1 - rho^2).
        """
        w = self.test_values
        information = self.redundancy
        scale = np.sqrt(np.where(information > LEAST_REDUNDANCY, information, 1.0))
        alike = -(self.root @ self.root.T) / scale / scale[:, None]
        np.fill_diagonal(alike, 1.0)
        apart = 1.0 - alike * alike
        tellable = (apart > 1.0 - INSEPARABLE**2) & (w[:, None] != 0.0) & (w != 0.0)
        drop = (w[:, None] ** 2 - 2.0 * alike * w[:, None] * w + w**2) / np.where(tellable, apart, 1.0)
        return np.where(tellable, drop, 0.0)


def evidence_of(design_matrix: Array, excess: Array) -> Evidence:
    """From whitened rows (n, u) that fix every unknown, and the whitened (read - predicted), (n,).

    What of it the unknowns could still take up, where the search for them ended short, is taken off.
    """
    root = np.linalg.qr(design_matrix)[0]
    return Evidence(excess - root @ (root.T @ excess), root)


def unit(rows: int, row: int) -> Array:
    """(rows,) the direction of a mistake in one row."""
    direction = np.zeros(rows)
    direction[row] = 1.0
    return direction
