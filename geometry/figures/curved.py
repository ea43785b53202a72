"""Where a straight-line spread would mislead: intervals from drawn vehicles.

First-order spreads assume that a figure answers in proportion. An instant centre far away does not, nor an angle folded
at zero: its interval is lopsided (JCGM 101:2008, propagation by Monte Carlo). Then the middle 95.45 % of drawn vehicles
stands beside the figure, as wide as two standard deviations would be were it straight.
"""

from __future__ import annotations

import numpy as np

from geometry.figures.base import Facts, Figure, FigureKind, NotYet
from geometry.figures.ride import Ride
from geometry.fit import Fit

DRAWS = 400
SEED = 20
MIDDLE = (2.275, 97.725)
FAR_SPREAD = 0.08
"""An instant centre whose spread is more of its distance than this is worth drawing."""


FOLDED = ("link_plan.", "driveshaft_angle.")
"""Angles without a sign: they fold at 0, and those in plan at 90 deg too."""
SQUARED = ("driveshaft_unevenness",)
"""Figures that grow with the square of an angle."""
MOST_SHARE = 0.25


def candidates(figures: dict[str, Figure]) -> tuple[str, ...]:
    """The keys whose spread may be lopsided."""
    found = []
    ahead = figures.get("instant_centre.x")
    if ahead and ahead.value is not None and ahead.sd is not None and ahead.sd > FAR_SPREAD * abs(ahead.value):
        found += ["instant_centre.x", "instant_centre.z"]
    for key, figure in figures.items():
        if figure.value is None or figure.sd is None:
            continue
        room = min(figure.value, 90.0 - figure.value if key.startswith("link_plan.") else figure.value)
        if key.startswith(FOLDED) and room < 2.0 * figure.sd:
            found.append(key)
        if key in SQUARED and figure.sd > MOST_SHARE * abs(figure.value):
            found.append(key)
    return tuple(found)


def intervals(
    fit: Fit, facts: Facts, kinds: dict[str, FigureKind], keys: tuple[str, ...]
) -> dict[str, tuple[float, float]]:
    """The middle 95.45 % of DRAWS vehicles drawn from the fit's covariance, for each key that can be drawn.

    Known figures only: the draws stand on the same covariance as the spreads. The same seed, so the same answer.
    """
    values, vectors = np.linalg.eigh(fit.covariance)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    normal = np.random.default_rng(SEED).standard_normal((DRAWS, fit.unknowns))
    ride = Ride(fit, facts, fit.estimate + normal @ root.T)
    found: dict[str, tuple[float, float]] = {}
    for key in keys:
        try:
            drawn = np.asarray(kinds[key].of(ride)).real
        except NotYet:
            continue
        drawn = drawn[np.isfinite(drawn)]
        if drawn.size > DRAWS // 2:
            low, high = np.percentile(drawn, MIDDLE)
            found[key] = (float(low), float(high))
    return found
