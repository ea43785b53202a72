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

from geometry.frame import Array

Complex = NDArray[Any]
"""A real or complex array: the same formulas run on both."""

STEP = 1e-30


def absolute(value: Complex) -> Complex:
    """The value with its sign turned where its real part is negative."""
    return np.where(value.real < 0, -value, value)


def shared(value: Complex) -> Array:
    """The real part of a complex array, its first axis cut to length one where all along it are alike.

    They are for one vehicle nudged along many unknowns: what follows from the real part alone is then worked out once.
    """
    real = value.real
    return np.asarray(real[:1] if real.ndim > 1 and real.shape[0] > 1 and (real == real[:1]).all() else real)


def joined(real: Array, imaginary: Array) -> Complex:
    """Both parts as one array of the imaginary one's shape and order in memory; the real one is broadcast."""
    both = np.empty_like(imaginary, complex)
    both.real, both.imag = real, imaginary
    return both


def norm(vector: Complex) -> Complex:
    """Length along the last axis: (..., 3) -> (...)."""
    if np.iscomplexobj(vector):
        real = shared(vector)
        length = np.sqrt(np.einsum("...i,...i->...", real, real))
        if length.all():
            return joined(length, np.einsum("...i,...i->...", real / length[..., None], vector.imag))
    return np.asarray(np.sqrt(np.einsum("...i,...i->...", vector, vector)))


def cross(a: Complex, b: Complex) -> Complex:
    """Vector product along the last axis, (..., 3) each, broadcast. Much quicker on small arrays than numpy's own."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    x = ay * bz - az * by
    product = np.empty((*x.shape, 3), x.dtype)
    product[..., 0], product[..., 1], product[..., 2] = x, az * bx - ax * bz, ax * by - ay * bx
    return product


def atan2(y: Complex, x: Complex) -> Complex:
    """The angle of (x, y), radian; 0 with no derivative where both are 0."""
    if not (np.iscomplexobj(y) or np.iscomplexobj(x)):
        return np.asarray(np.arctan2(y, x))
    up, ahead = shared(y), shared(x)
    square = ahead**2 + up**2
    square = np.where(square > 0, square, np.inf)
    return joined(np.arctan2(up, ahead), ahead / square * y.imag - up / square * x.imag)


def asin(value: Complex) -> Complex:
    """Arc sine of a value whose real part lies within -1 .. 1, radian."""
    if not np.iscomplexobj(value):
        return np.asarray(np.arcsin(np.clip(value, -1.0, 1.0)))
    real = np.clip(shared(value), -1.0, 1.0)
    return joined(np.arcsin(real), value.imag / np.sqrt(np.maximum(1.0 - real**2, 1e-300)))


def acos(value: Complex) -> Complex:
    """Arc cosine, radian; nan where the real part lies outside -1 .. 1."""
    real = shared(value)
    real = np.where(np.abs(real) <= 1.0, real, np.nan)
    if not np.iscomplexobj(value):
        return np.arccos(real)
    return joined(np.arccos(real), -value.imag / np.sqrt(np.maximum(1.0 - real**2, 1e-300)))


def between(a: Complex, b: Complex) -> Complex:
    """The angle between two directions, (..., 3) each, radian, 0 .. pi. Good for small angles too.

    Its slope by either is the unit vector across it, away from the other, over its length; where the two are in one
    line it opens whichever way they are nudged.
    """
    if not (np.iscomplexobj(a) and np.iscomplexobj(b)):
        return np.asarray(np.arctan2(norm(cross(a, b)), np.einsum("...i,...i->...", a, b)))
    one, other = shared(a), shared(b)
    across = cross(one, other)
    sine, cosine = norm(across), np.einsum("...i,...i->...", one, other)
    normal = across / np.where(sine > 0, sine, np.inf)[..., None]
    by_one = cross(one, normal) / np.einsum("...i,...i->...", one, one)[..., None]
    by_other = cross(normal, other) / np.einsum("...i,...i->...", other, other)[..., None]
    slope = np.einsum("...i,...i->...", by_one, a.imag) + np.einsum("...i,...i->...", by_other, b.imag)
    if not sine.all():
        straight = np.broadcast_to(sine == 0, slope.shape)
        lines = [np.broadcast_to(part, (*slope.shape, 3))[straight] for part in (a, b)]
        opening = cross(*lines).imag / np.einsum("ki,ki->k", *lines).real[:, None]
        slope[straight] = np.sqrt(np.einsum("ki,ki->k", opening, opening))
    return joined(np.arctan2(sine, cosine), slope)
