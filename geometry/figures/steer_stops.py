"""How far the wheels can be steered: the stops hold either wheel, and a tie rod takes the other one only so far."""

from __future__ import annotations

import numpy as np

from geometry.figures import figure_words
from geometry.figures.bodies import DEGREE, led, other_turn, steer_lock, turns_on_kingpins
from geometry.figures.ride import Ride
from geometry.frame import Array
from geometry.motion import Pose

WHEELS_DIFFER = 5.0
"""deg by which the wheel at the inside of a bend usually turns further than the other at lock: common practice."""
SHARES = np.arange(0, 61) / 60.0
ROUNDING = 0.6
OUT_OF_REACH = 90.0
"""deg that count as beyond where the tie rod does not reach, so that a search turns back."""


def beyond_lock(ride: Ride, pose: Pose, steer: Array) -> Array:
    """How much further than its stop the wheel that follows would have to turn, (N,) deg; nought within.

    steer: of the wheel that leads, (N,) deg. For the fitted vehicle alone.
    """
    if not turns_on_kingpins(ride):
        return np.zeros(steer.shape)
    first, turn = led(ride, pose, steer)
    follows = np.abs(other_turn(ride, first, turn).real[0]) * DEGREE
    over = np.maximum(follows - steer_lock(ride) - WHEELS_DIFFER, 0.0)
    return np.where(np.isfinite(follows), over, OUT_OF_REACH + np.abs(steer))


def steered_less(ride: Ride) -> str:
    """One sentence where the tie rod takes a wheel to its stop before the other is at lock; empty where it does not."""
    lock = steer_lock(ride)
    if not lock > 0.0:
        return ""
    still = Pose(np.zeros((1, SHARES.size, 3)), np.broadcast_to(np.eye(3), (1, SHARES.size, 3, 3)),
                 np.zeros((1, SHARES.size)))  # fmt: skip
    most = [_as_far(way * lock * SHARES, beyond_lock(ride, still, way * lock * SHARES)) for way in (1.0, -1.0)]
    return figure_words.steers_less(*most) if min(most) < lock - ROUNDING else ""


def _as_far(steer: Array, beyond: Array) -> float:
    """The greatest steer, deg without sign, before the first that is beyond."""
    inside = np.logical_and.accumulate(beyond <= 0.0)
    return float(np.abs(steer[inside]).max(initial=0.0))
