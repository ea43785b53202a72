"""Vehicles given by their places, sent through the whole fit: every coordinate read with a spread of our choice."""

from __future__ import annotations

import numpy as np

from geometry.figures import Facts, Sheet, sheet
from geometry.figures.base import NotYet
from geometry.figures.ride import Ride
from geometry.figures.taken import take
from geometry.figures.travel import columns
from geometry.fit import Fit, Observation, Setup, fit

TIGHT = 1e-3
"""mm; so small that the assumptions (300 mm and 40 mm) move nothing by more than 1e-8 mm."""

Places = dict[str, tuple[float, float, float]]


def pair(link: str, end: str, x: float, y: float, z: float) -> Places:
    """A left point and its mirrored right one."""
    return {f"{link}_left{end}": (x, y, z), f"{link}_right{end}": (x, -y, z)}


def wheels(radius: float, half_track: float, wheelbase: float, worked_axle: str = "rear") -> Places:
    """Four wheel centres, the worked axle's centre at x = 0."""
    other = wheelbase if worked_axle == "rear" else -wheelbase
    return pair("wheel", ".centre", 0.0, half_track, radius) | pair("other", ".centre", other, half_track, radius)


def fitted(
    places: Places,
    layout: str,
    worked_axle: str = "rear",
    more: tuple[tuple[str, float, float], ...] = (),
    spreads: dict[str, float] | None = None,
) -> Fit:
    """The fit of a vehicle whose every coordinate was read.

    more: further (reading, value, sd). spreads: sd by reading, in place of the tight one.
    """
    axes = ("fore_aft", "lateral", "height")
    rows = [(f"{axis}:{name}", place[i], TIGHT) for name, place in places.items() for i, axis in enumerate(axes)]
    rows += [("floor_slope:fore_aft", 0.0, 1e-7), ("floor_slope:across", 0.0, 1e-7), *more]
    spreads = spreads or {}
    length = abs(places["other_left.centre"][0] - places["wheel_left.centre"][0])
    setup = Setup(layout, worked_axle, length, 2.1 * places["wheel_left.centre"][2])
    return fit(
        setup,
        [Observation(name, value, name, sd=spreads.get(name, sd)) for name, value, sd in rows],
    )


def figures_of(places: Places, layout: str, worked_axle: str = "rear", facts: Facts | None = None, **more) -> Sheet:
    """The whole sheet of such a vehicle."""
    return sheet(fitted(places, layout, worked_axle, **more), facts or Facts())


def columns_at(places: Places, layout: str, travels: tuple[float, ...], worked_axle: str = "rear", **more) -> dict:
    """The sweep's columns at travels of our own choice, which need not be whole steps: key -> one value a travel."""
    ride = Ride(fitted(places, layout, worked_axle, **more), Facts())
    at, reached = take(ride, np.array(travels))
    assert reached.all()
    found = {}
    for kind in columns(layout, worked_axle):
        try:
            found[kind.key] = np.asarray(kind.of(ride, at))[0].real.tolist()
        except NotYet:
            continue
    return found


T1: Places = {
    **pair("lower", ".axle", 0.0, 500.0, 330.0),
    **pair("lower", ".frame", 950.0, 450.0, 480.0),
    **pair("upper", ".axle", 60.0, 150.0, 600.0),
    **pair("upper", ".frame", 800.0, 480.0, 640.0),
    **wheels(400.0, 780.0, 2700.0),
}
"""A made triangulated four-link on a rear axle; its figures are worked out in the tests that use it."""

THREE_LINK: Places = {
    **pair("lower", ".axle", 0.0, 500.0, 330.0),
    **pair("lower", ".frame", 950.0, 500.0, 480.0),
    "upper.axle": (40.0, 0.0, 620.0),
    "upper.frame": (760.0, 0.0, 650.0),
    "panhard.axle": (0.0, 430.0, 560.0),
    "panhard.frame": (0.0, -420.0, 620.0),
    **wheels(400.0, 780.0, 2700.0),
}
"""A made three-link with a panhard bar on a rear axle."""
