"""Axes, units and signs, said once.

Axes (ISO 8855): x forward, y left, z up, right-handed. Lengths mm, angles radian, masses kg, forces N inside;
the vehicle file and everything a person sees has mm or inch, degree and kg.

Floor frame: the floor is z = 0, the chalked centreline y = 0, the chalked cross line x = 0. All is fitted there.
Vehicle frame: the floor frame moved along x so that the worked axle's centre has x = 0. Every point is reported there.

The floor may slope: `pitch` is how much it climbs to the front, `bank` how much it climbs to the left. A plumb line
hangs along gravity, not along the floor's normal; `up` says which way that is.

Rotations are right-handed about the axes: roll + lifts the left side, pitch + drops the front, yaw + turns left.
Caster + leans the steering axis's top rearward. Pinion angle + points the pinion's nose (the joint end) up.
A residual is predicted minus read.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

INCH = 25.4
"""mm in one inch, by definition."""


def up(pitch: float, bank: float) -> Array:
    """Which way is up against gravity, as a unit vector in the floor frame, (3,). pitch, bank: radian.

    A floor that climbs to the front has its normal leaning rearward of the plumb line: up leans forward in its frame.
    """
    direction = np.array([np.tan(pitch), np.tan(bank), 1.0])
    length: float = np.sqrt(direction @ direction)
    return direction / length
