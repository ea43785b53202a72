"""Refit of a 60-reading vehicle against scipy.optimize.least_squares on the same problem: same rows, same start."""

from __future__ import annotations

import json

import numpy as np
from scipy.optimize import least_squares

from capture.log import observations
from capture.report import setup_of
from capture.vehicle_file import read_vehicle_file
from geometry.assumptions import as_rows
from geometry.fit import Fit, fit
from geometry.network import Equations
from tests.benchmarks.clock import in_turn, said
from tests.benchmarks.vehicles import measured

READINGS, ROUNDS = 60, 9


class Problem:
    """The rows of a fit as scipy wants them: whitened misfits of a state, and optionally their exact derivatives."""

    def __init__(self, fitted: Fit) -> None:
        self.equations = Equations(fitted.readings, fitted.slot, fitted.unknowns)
        self.factors, self.targets, self.sd, _ = as_rows(fitted.assumed, fitted.unknowns)
        unit = np.array([reading.kind.in_file_unit for reading in fitted.readings])
        self.read, self.read_sd = fitted.read / unit, fitted.sd / unit
        self.start = self._start(fitted)

    @staticmethod
    def _start(fitted: Fit) -> np.ndarray:
        """Where a person would start: every point on its typical place, every scalar on its usual value."""
        start = np.zeros(fitted.unknowns)
        for row in fitted.assumed:
            if len(row.columns) == 1 and row.why in ("typical", "tilt"):
                start[row.columns[0]] = row.target
        return start

    def misfit(self, state: np.ndarray) -> np.ndarray:
        values, _ = self.equations(state)
        return np.concatenate([(values - self.read) / self.read_sd, (self.factors @ state - self.targets) / self.sd])

    def jacobian(self, state: np.ndarray) -> np.ndarray:
        _, partials = self.equations(state)
        return np.vstack([partials / self.read_sd[:, None], self.factors / self.sd[:, None]])


def run() -> None:
    vehicle = read_vehicle_file(json.dumps(measured(READINGS)).encode(), "timed")
    setup, seen = setup_of(vehicle), observations(vehicle).observations
    fitted = fit(setup, seen)
    problem = Problem(fitted)
    strict = {"xtol": 1e-15, "ftol": 1e-15, "gtol": 1e-12}

    def by_differences():
        return least_squares(problem.misfit, problem.start, **strict)

    def with_our_derivatives():
        return least_squares(problem.misfit, problem.start, problem.jacobian, **strict)

    lengths = [fitted.slot[name] + axis for name in fitted.points for axis in range(3)]
    print(f"Refit, {len(seen)} readings, {fitted.unknowns} unknowns, {fitted.assumptions} assumptions")
    for name, rival in (("differences", by_differences), ("our exact ones", with_our_derivatives)):
        off = np.abs(rival().x - fitted.estimate)[lengths].max()
        ours, theirs = in_turn((lambda: fit(setup, seen), rival), ROUNDS)
        print(
            f"  derivatives by {name:15s} ours {said(ours)}   scipy {said(theirs)}   {theirs / ours:6.1f} times"
            f"   largest difference of a coordinate {off:.1e} mm"
        )
    print("  ours includes names, assumptions, covariance and tests; scipy's is the search alone, rows made before")
