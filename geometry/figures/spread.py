"""From nudged values to one number with its spread, for tables that stand beside the figures."""

from __future__ import annotations

import numpy as np

from geometry.complex_step import STEP, Complex
from geometry.figures.ride import Ride
from geometry.frame import Array


def covariance(ride: Ride) -> Array:
    """Of the unknowns a ride is nudged along, (P, P)."""
    return np.asarray(ride.fit.covariance[np.ix_(ride.unknowns, ride.unknowns)])


def spreads(ride: Ride, answer: Complex) -> Array:
    """One standard deviation of each of n values: (P, n) -> (n,)."""
    gradient = (answer.imag / STEP).T
    return np.asarray(np.sqrt(np.maximum(((gradient @ covariance(ride)) * gradient).sum(axis=-1), 0.0)))
