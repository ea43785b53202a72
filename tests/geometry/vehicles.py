"""A made vehicle for the tests of doubt: true readings from a fit's own typical places, nudged, with seeded scatter."""

from __future__ import annotations

import numpy as np

from geometry.fit import Fit, Observation, Setup, fit

SETUP = Setup("three_link_panhard", "front", 2700.0, 840.0)
ENDS = ("frame", "axle")
LINKS = ("lower_left", "lower_right", "upper", "panhard")
WHEELS = ("wheel_left", "wheel_right", "other_left", "other_right")
BOLTS = tuple(f"{link}.{end}" for link in LINKS for end in ENDS)
READINGS = (
    *(f"{kind}:{bolt}" for bolt in BOLTS for kind in ("height", "fore_aft", "lateral")),
    *(f"{kind}:{wheel}.centre" for wheel in WHEELS for kind in ("height", "fore_aft", "lateral")),
    *(f"{kind}:{link}.axle~{link}.frame" for link in LINKS for kind in ("span", "incline")),
    *(f"height:{link}.middle" for link in LINKS),
    "across:lower_left.frame~lower_right.frame",
    "across:lower_left.axle~lower_right.axle",
    "floor_span:lower_left.axle~lower_right.frame",
    "floor_span:lower_right.axle~lower_left.frame",
    "wheelbase:left",
    "wheelbase:right",
)
"""56 readings of a front three-link with panhard bar: heights, plumb marks, lengths, inclines, middles, diagonals."""


def _nudge(point: str) -> float:
    """mm: how far a point stands from its usual place; an axle is straight to a few mm."""
    return 2.0 if point.startswith(("wheel", "other")) else 25.0


def clean(seed: int = 1, names: tuple[str, ...] = READINGS, setup: Setup = SETUP) -> list[Observation]:
    """Readings of a vehicle near the typical one, each with the scatter of its kind."""
    rng = np.random.default_rng(seed)
    start = fit(setup, [])
    moved = [
        Observation(f"{kind}:{point}", float(value + rng.normal(0.0, _nudge(point))), f"{kind}:{point}", sd=0.01)
        for point in start.points
        for kind, value in zip(
            ("height", "fore_aft", "lateral"),
            start.predict([f"{kind}:{point}" for kind in ("height", "fore_aft", "lateral")])[0],
            strict=True,
        )
        if not point.startswith(("wheel", "other")) or kind != "height"
    ]
    truth = fit(setup, moved)
    values, _ = truth.predict(names)
    sds = fit(setup, [Observation(name, float(value), name) for name, value in zip(names, values, strict=True)]).sd
    return [
        Observation(name, float(value + rng.normal(0.0, sd)), name)
        for name, value, sd in zip(names, values, sds, strict=True)
    ]


def with_slip(seen: list[Observation], name: str, slip: float) -> list[Observation]:
    """The same readings with one of them off by `slip`, file unit."""
    assert any(one.name == name for one in seen)
    return [
        Observation(one.name, one.value + slip, one.key) if one.name == name else one for one in seen
    ]


def fitted(seen: list[Observation]) -> Fit:
    """Their fit."""
    return fit(SETUP, seen)
