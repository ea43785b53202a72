"""Lengths of the steering rods, centre to centre, as measured or on paper."""

from __future__ import annotations

import numpy as np

from geometry.complex_step import STEP, norm
from geometry.figures.base import Figure
from geometry.figures.ride import Ride
from geometry.what_if import Measured

RODS = {"drag_link": ("drag_link.frame", "drag_link.axle"), "tie_rod": ("tie_rod.left", "tie_rod.right")}
"""Each rod with its two ends, in the order in which its parts are stated."""


def rod_lengths(measured: Measured, ride: Ride) -> dict[str, Figure]:
    """The length of each rod whose ends have entered the fit, mm with its sd, by "link_length.NAME".

    ride: the measured vehicle's own, or that of a plan.
    """
    found = {}
    for name, (start, end) in RODS.items():
        if not ride.has(start, end):
            continue
        length = norm(ride.point(end) - ride.point(start))
        slope = np.asarray(length.imag / STEP)
        leans = bool(measured.spread.leans(slope))
        key = f"link_length.{name}"
        found[key] = Figure(key, "mm", float(length.real[0]), float(measured.spread.sd(slope)),
                            measured.spread.needs(slope) if leans else (), leans)
    return found
