"""Directions against gravity on a sloping floor, for many readings at once."""

from __future__ import annotations

import numpy as np

from geometry.frame import Array

NEAR = 1e-9
"""mm: below this two points count as the same place, and a distance has no direction."""
NEAR_FOR_ANGLES = 1.0
"""mm: an angle between points nearer than this is taken as if they were this far apart, so that it stays finite."""


def unit(vector: Array) -> tuple[Array, Array]:
    """Lengths (n,) and directions (n, k) of vectors (n, k); a vector of no length has direction zero."""
    length = np.sqrt(np.einsum("ij,ij->i", vector, vector))
    return length, vector / np.maximum(length, NEAR)[:, None]


def secant_squared(angle: Array) -> Array:
    """Change of tan(angle) per radian."""
    cosine = np.cos(angle)
    return 1.0 / (cosine * cosine)


def ups(pitch: Array, bank: Array) -> tuple[Array, Array, Array]:
    """Which way is up, (n, 3), and its change per radian of pitch and of bank, (n, 3) each. Radian."""
    raised = np.stack((np.tan(pitch), np.tan(bank), np.ones_like(pitch)), axis=1)
    length, up = unit(raised)
    by_pitch, by_bank = -up * up[:, :1], -up * up[:, 1:2]
    by_pitch[:, 0] += 1.0
    by_bank[:, 1] += 1.0
    return (
        up,
        by_pitch * (secant_squared(pitch) / length)[:, None],
        by_bank * (secant_squared(bank) / length)[:, None],
    )


def incline(along: Array, pitch: Array, bank: Array) -> Array:
    """Angle of each direction (n, 3) above gravity's level, radian, (n,).

    asin(up . along / |along|), by atan2 so that a vertical direction is no trouble.
    """
    up, _, _ = ups(pitch, bank)
    rise = np.einsum("ij,ij->i", up, along)
    level = along - rise[:, None] * up
    angle: Array = np.arctan2(rise, np.sqrt(np.einsum("ij,ij->i", level, level)))
    return angle


def incline_partials(along: Array, pitch: Array, bank: Array) -> tuple[Array, Array, Array]:
    """Change of `incline` per mm of `along` (n, 3) and per radian of pitch and bank, (n,) each."""
    up, up_by_pitch, up_by_bank = ups(pitch, bank)
    rise = np.einsum("ij,ij->i", up, along)
    run, level = unit(along - rise[:, None] * up)
    far = np.maximum(np.einsum("ij,ij->i", along, along), NEAR_FOR_ANGLES**2)
    by_along = (run[:, None] * up - rise[:, None] * level) / far[:, None]
    by_pitch = np.einsum("ij,ij->i", level, up_by_pitch)
    return by_along, by_pitch, np.einsum("ij,ij->i", level, up_by_bank)
