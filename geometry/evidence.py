"""What the rows of a fit say about mistakes, in plain arrays: every hypothesis is a small update, never a refit.

Everything is whitened (divided by each row's sd). For n rows of design matrix A (n, u) and covariance C (u, u):
cofactor = 1 - A C A', (n, n): how a mistake in one row shows in all rows; its diagonal are the redundancy numbers.
excess = read less predicted, (n,): it is `cofactor` times (mistakes + scatter).
A hypothesis is a direction b (n,): what one unit of the mistake adds to each row, whitened. Then b' cofactor b is its
information (one over the variance of its amount) and (b' excess)^2 over that is by how much the sum of squares drops
when the mistake is allowed for. Source: Baarda 1968, A testing procedure for use in geodetic networks; for groups the
same with more columns (Teunissen, Testing theory, 2006; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
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
INSEPARABLE = 0.98
"""Two hypotheses whose test values correlate more than this share their blame: no pair of amounts is estimated."""


@dataclass(frozen=True)
class Evidence:
    """excess (n,) and cofactor (n, n), both whitened; see above."""

    excess: Array
    cofactor: Array

    @property
    def redundancy(self) -> Array:
        """(n,) how well each row is checked, 0 to 1."""
        return np.clip(np.diag(self.cofactor), 0.0, 1.0)

    @property
    def test_values(self) -> Array:
        """(n,) + when read too high, so minus the report's w; 0 where nothing checks the row."""
        information = self.redundancy
        checked = information > LEAST_REDUNDANCY
        return np.where(checked, self.excess / np.sqrt(np.where(checked, information, 1.0)), 0.0)

    def amounts(self, directions: Array) -> tuple[Array, Array]:
        """For directions (n, h): how much of each, (h,), and its sd, (h,); sd inf where the rows cannot tell."""
        information = np.einsum("nh,nh->h", directions, self.cofactor @ directions)
        size = np.einsum("nh,nh->h", directions, directions)
        told = information > LEAST_REDUNDANCY * np.maximum(size, 1e-300)
        safe = np.where(told, information, 1.0)
        return np.where(told, directions.T @ self.excess / safe, 0.0), np.where(told, 1.0 / np.sqrt(safe), np.inf)

    def allowing_for(self, directions: Array) -> Evidence:
        """The evidence left when mistakes along directions (n,) or (n, h) are allowed for, as if they were unknowns."""
        columns = directions.reshape(len(self.excess), -1)
        spread = self.cofactor @ columns
        solved = np.linalg.solve(columns.T @ spread, spread.T)
        excess = self.excess - solved.T @ (columns.T @ self.excess)
        return Evidence(excess, self.cofactor - spread @ solved)

    def corrected(self, change: Array) -> Evidence:
        """The evidence if `change` (n,), whitened, were added to what was read: other numbers, no unknown added."""
        return Evidence(self.excess + self.cofactor @ change, self.cofactor)

    def correlation(self, row: int) -> Array:
        """(n,) how alike the test values of all rows and of `row` behave, -1 to 1; 0 for rows that nothing checks."""
        information = self.redundancy
        checked = information > LEAST_REDUNDANCY
        scale = np.sqrt(np.where(checked, information, 1.0))
        alike = self.cofactor[row] / scale / scale[row]
        return np.where(checked & checked[row], alike, 0.0)

    def pair_drops(self) -> Array:
        """(n, n): drop of the sum of squares when both rows are allowed for; 0 where they cannot be told apart.

        Closed form of two columns at once: (w_i^2 - 2 rho w_i w_j + w_j^2) / (1 - rho^2).
        """
        w = self.test_values
        information = self.redundancy
        scale = np.sqrt(np.where(information > LEAST_REDUNDANCY, information, 1.0))
        alike = self.cofactor / scale / scale[:, None]
        apart = 1.0 - alike * alike
        tellable = (apart > 1.0 - INSEPARABLE**2) & (w[:, None] != 0.0) & (w != 0.0)
        drop = (w[:, None] ** 2 - 2.0 * alike * w[:, None] * w + w**2) / np.where(tellable, apart, 1.0)
        return np.where(tellable, drop, 0.0)


def evidence_of(design_matrix: Array, covariance: Array, excess: Array) -> Evidence:
    """From whitened rows (n, u), the unknowns' covariance (u, u) and the whitened (read - predicted), (n,)."""
    rows = len(excess)
    return Evidence(excess, np.eye(rows) - design_matrix @ covariance @ design_matrix.T)


def unit(rows: int, row: int) -> Array:
    """(rows,) the direction of a mistake in one row."""
    direction = np.zeros(rows)
    direction[row] = 1.0
    return direction
