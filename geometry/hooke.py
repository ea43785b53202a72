"""Universal joints: how evenly one, or two in a row, hand on a turning shaft's speed.

One cross joint at an angle beta turns the driven shaft by tan(out) = tan(in) / cos(beta), with `in` counted from where
the ratio of speeds is greatest; that ratio is cos(beta) / (1 - sin(beta)^2 cos(in)^2) (usual textbook relation, e.g.
Shigley and Uicker, Theory of Machines and Mechanisms, from memory).

Two joints in a row share the shaft between them. Seen from that shaft, with the planes of the two joints turned by
alpha1 and alpha2 about it, the ratio of speeds is

    cos(b2) / cos(b1) * (1 - sin(b1)^2 cos(f - alpha1)^2) / (1 - sin(b2)^2 cos(f - alpha2)^2)

a quotient of two sinusoids of 2f, whose extremes over a turn have a closed form; no turn is sampled. Angles radian;
complex arrays of any shape pass through.
"""

from __future__ import annotations

import numpy as np

from geometry.complex_step import Complex
from geometry.frame import Array


def output_angle(angle: Array, beta: float) -> Array:
    """Where the driven shaft stands when the driving one stands at `angle`, the same number of turns; radian."""
    turns = np.round(angle / np.pi)
    rest = angle - np.pi * turns
    return np.asarray(np.arctan2(np.sin(rest), np.cos(rest) * np.cos(beta)) + np.pi * turns)


def speed_ratio(angle: Array, beta: float) -> Array:
    """Speed of the driven shaft over that of the driving one."""
    return np.asarray(np.cos(beta) / (1.0 - (np.sin(beta) * np.cos(angle)) ** 2))


def swing(beta: Complex) -> Complex:
    """Greatest less least speed over the mean one, of a single joint: tan(beta) sin(beta)."""
    return np.asarray(np.tan(beta) * np.sin(beta))


def pair_ratio(angle: Array, first: float, second: float, phase: float = 0.0) -> Array:
    """Speed of the last shaft over that of the first, two joints in a row; `angle` is that of the shaft between them.

    first, second: the joints' angles. phase: by how much the second joint's plane, yokes included, is turned against
    the first's about the shaft between them.
    """
    before = np.cos(first) / (1.0 - (np.sin(first) * np.cos(angle)) ** 2)
    after = np.cos(second) / (1.0 - (np.sin(second) * np.cos(angle - phase)) ** 2)
    return np.asarray(after / before)


def pair_swing(first: Complex, second: Complex) -> Complex:
    """Greatest less least speed over the mean one, of two joints in a row.

    first, second (..., 2): the unit directions of the driving and the driven shaft, as they appear seen along the shaft
    between them; a part's length is the sine of its joint's angle. A yoke out of phase is a turn of `second`.
    """
    one, other = _doubled(first), _doubled(second)
    sine_one, sine_other = _square(first), _square(second)
    mean_one, mean_other = 1.0 - 0.5 * sine_one, 1.0 - 0.5 * sine_other
    rest = mean_one[..., None] * other - mean_other[..., None] * one
    across = (other[..., 0] * rest[..., 1] - other[..., 1] * rest[..., 0]) / mean_other
    size = np.sqrt(_square(rest) - across**2)
    return np.asarray(2.0 * size / np.sqrt((1.0 - sine_one) * (1.0 - sine_other)))


def _square(part: Complex) -> Complex:
    return np.asarray(np.einsum("...i,...i->...", part, part))


def _doubled(part: Complex) -> Complex:
    """Half its squared length, at twice its angle: the sinusoid it puts into the ratio, (..., 2)."""
    x, y = part[..., 0], part[..., 1]
    return np.stack([0.5 * (x**2 - y**2), x * y], axis=-1)
