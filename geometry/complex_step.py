"""Derivatives by the complex step: nudge an unknown by i h; the imaginary part of any answer is h times its derivative.

With h = 1e-30 there is no difference to round off, so the derivative is good to the last digit (Squire and Trapp,
"Using complex variables to estimate derivatives of real functions", SIAM Review 40, 1998; from memory). It asks that
every function on the way is analytic; numpy's `abs`, `arctan2`, `norm` and comparisons are not, so these stand in.
All take and give complex arrays of any shape.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Complex = NDArray[Any]
"""A real or complex array: the same formulas run on both."""

STEP = 1e-30


def absolute(value: Complex) -> Complex:
    """The value with its sign turned where its real part is negative."""
    return np.where(value.real < 0, -value, value)


def norm(vector: Complex) -> Complex:
    """Length along the last axis: (..., 3) -> (...)."""
    return np.asarray(np.sqrt(np.einsum("...i,...i->...", vector, vector)))


def cross(a: Complex, b: Complex) -> Complex:
    """Vector product along the last axis, (..., 3) each, broadcast. Much quicker on small arrays than numpy's own."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)


def atan2(y: Complex, x: Complex) -> Complex:
    """The angle of (x, y), radian; 0 with no derivative where both are 0."""
    real = np.arctan2(y.real, x.real)
    if not (np.iscomplexobj(y) or np.iscomplexobj(x)):
        return np.asarray(real)
    square = x.real**2 + y.real**2
    slope = (x.real * y.imag - y.real * x.imag) / np.where(square > 0, square, 1.0)
    return np.asarray(real + 1j * np.where(square > 0, slope, 0.0))


def asin(value: Complex) -> Complex:
    """Arc sine of a value whose real part lies within -1 .. 1, radian."""
    real = np.clip(value.real, -1.0, 1.0)
    if not np.iscomplexobj(value):
        return np.asarray(np.arcsin(real))
    rest = np.sqrt(np.maximum(1.0 - real**2, 1e-300))
    return np.asarray(np.arcsin(real) + 1j * (value.imag / rest))


def acos(value: Complex) -> Complex:
    """Arc cosine, radian; nan where the real part lies outside -1 .. 1."""
    real = np.where(np.abs(value.real) <= 1.0, value.real, np.nan)
    if not np.iscomplexobj(value):
        return np.arccos(real)
    rest = np.sqrt(np.maximum(1.0 - real**2, 1e-300))
    return np.asarray(np.arccos(real) - 1j * (value.imag / rest))


def between(a: Complex, b: Complex) -> Complex:
    """The angle between two directions, (..., 3) each, radian, 0 .. pi. Good for small angles too."""
    return atan2(norm(cross(a, b)), np.einsum("...i,...i->...", a, b))
