"""Where two round bars, or a bar and a wheel, come nearest. Arrays lead with any shape; points (..., 3), mm.

Bars are capsules: a straight line of some thickness with round ends; a line without length is a ball. Wheels are solid
cylinders with flat faces and square corners; boxes are straight rails of rectangular section. The nearest parameters
are found on real places; with them held, the distances of nudged (complex) places follow to first order, which is all a
spread needs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geometry.complex_step import Complex, absolute, norm
from geometry.frame import Array

GOLDEN = 0.5 * (5.0**0.5 - 1.0)
NARROWINGS = 34
"""Of the search along a bar: down to a ten-millionth of its length."""
NEAR = 1e-9
TINY = 1e-300


def of_lines(one: Array, two: Array, other: Array, far: Array) -> tuple[Array, Array]:
    """Shares (0 .. 1) along the lines one-two and other-far where they are nearest.

    Method: the unclamped answer, then each share clamped and the other one answered anew (Ericson, Real-Time Collision
    Detection, 5.1.9, from memory). Parallel lines answer with the first line's start or its nearest clamp.
    """
    along, across, off = two - one, far - other, one - other
    a, e, b = _dot(along, along), _dot(across, across), _dot(along, across)
    c, f = _dot(along, off), _dot(across, off)
    room = a * e - b * b
    first = np.where(room > 1e-12 * a * e + TINY, np.clip((b * f - c * e) / np.maximum(room, TINY), 0.0, 1.0), 0.0)
    second = np.where(e > TINY, (b * first + f) / np.maximum(e, TINY), 0.0)
    clamped = np.clip(second, 0.0, 1.0)
    answered = np.where(a > TINY, np.clip((b * clamped - c) / np.maximum(a, TINY), 0.0, 1.0), 0.0)
    return np.where(second == clamped, np.where(e > TINY, first, answered), answered), clamped


def _dot(one: Array, other: Array) -> Array:
    return np.asarray(np.einsum("...i,...i->...", one, other))


def bars_apart(
    one: Complex, two: Complex, other: Complex, far: Complex, shares: tuple[Array, Array], thick: Array
) -> Complex:
    """Distance of two bars' surfaces with the shares held, (P, ...); negative where they overlap.

    thick: sum of both radii. The direction between the bars is that of the first of P; where their lines cross, it is
    square to both.
    """
    first, second = (share[..., None] for share in shares)
    apart = one + first * (two - one) - other - second * (far - other)
    real = apart[:1].real
    length = np.sqrt(_dot(real, real))[..., None]
    crossing = _square_to((two - one)[:1].real, (far - other)[:1].real)
    way = np.where(length > NEAR, real / np.maximum(length, NEAR), crossing)
    return np.asarray(np.einsum("...i,...i->...", apart, way) - thick)


def _square_to(along: Array, across: Array) -> Array:
    """A unit vector square to both lines, or to the longer one where they run alike, or any."""
    best = np.cross(along, across)
    longer = np.where((_dot(along, along) >= _dot(across, across))[..., None], along, across)
    least = np.eye(3)[np.abs(longer).argmin(axis=-1)]
    size = np.sqrt(_dot(best, best))[..., None]
    scale = np.sqrt(_dot(along, along) * _dot(across, across))[..., None]
    other = np.cross(longer, least)
    way = np.where(size > 1e-9 * scale + TINY, best, np.where(np.abs(other).max(axis=-1)[..., None] > 0, other, least))
    return np.asarray(way / np.sqrt(_dot(way, way))[..., None])


def off_wheel(point: Complex, centre: Complex, axis: Complex, radius: Complex, half_width: float) -> Complex:
    """Distance of a point from a wheel's surface; negative inside. axis: unit, along the spindle."""
    off = point - centre
    along = np.einsum("...i,...i->...", off, axis)
    out = norm(off - along[..., None] * axis) - radius
    beside = absolute(along) - half_width
    corner = np.sqrt(np.where((out.real > 0) & (beside.real > 0), out**2 + beside**2, 1.0))
    deeper = np.where(out.real > beside.real, out, beside)
    return np.asarray(np.where((out.real > 0) & (beside.real > 0), corner, deeper))


def of_wheel(one: Array, two: Array, centre: Array, axis: Array, radius: Array, half_width: float) -> Array:
    """Share (0 .. 1) along the line one-two where it is nearest to a wheel."""
    shape = np.broadcast_shapes(one.shape, centre.shape)[:-1]
    return least_along(one, two, shape, lambda spot: off_wheel(spot, centre, axis, radius, half_width))


@dataclass(frozen=True)
class Box:
    """Straight bodies of rectangular section: middle, and unit directions along, beside and up, (..., 3) mm each;
    half their length, width and height, (...) mm."""

    middle: Complex
    along: Complex
    beside: Complex
    up: Complex
    half_length: Complex
    half_width: Array
    half_height: Array


def off_box(point: Complex, box: Box) -> Complex:
    """Distance of a point from a box's surface; negative inside."""
    off = point - box.middle
    halves = (box.along, box.half_length), (box.beside, box.half_width), (box.up, box.half_height)
    beyond = [absolute(np.einsum("...i,...i->...", off, way)) - half for way, half in halves]
    out = [np.where(part.real > 0, part, 0.0 * part) for part in beyond]
    square = out[0] ** 2 + out[1] ** 2 + out[2] ** 2
    inside = beyond[0]
    for part in beyond[1:]:
        inside = np.where(part.real > inside.real, part, inside)
    return np.asarray(np.where(square.real > 0, np.sqrt(np.where(square.real > 0, square, 1.0)), inside))


def of_box(one: Array, two: Array, box: Box) -> Array:
    """Share (0 .. 1) along the line one-two where it is nearest to a box."""
    shape = np.broadcast_shapes(one.shape, box.middle.shape)[:-1]
    return least_along(one, two, shape, lambda spot: off_box(spot, box))


def least_along(
    one: Array, two: Array, shape: tuple[int, ...], off: Callable[[Array], Array], rounds: int = NARROWINGS
) -> Array:
    """Share (0 .. 1) along the line one-two where `off` is least, by golden section.

    The distance from a convex body is convex along a line, so that there is one least place.
    """

    def at(share: Array) -> Array:
        return off(one + share[..., None] * (two - one))

    low, high = np.zeros(shape), np.ones(shape)
    left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_left, at_right = at(left), at(right)
    for _ in range(rounds):
        keep_low = at_left <= at_right
        low, high = np.where(keep_low, low, left), np.where(keep_low, right, high)
        new_left, new_right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        fresh = at(np.where(keep_low, new_left, new_right))
        at_left, at_right = np.where(keep_low, fresh, at_right), np.where(keep_low, at_left, fresh)
        left, right = new_left, new_right
    middle = 0.5 * (low + high)
    ends = np.stack([middle, np.zeros_like(middle), np.ones_like(middle)])
    best = np.stack([at(share) for share in ends]).argmin(axis=0)
    return np.asarray(np.take_along_axis(ends, best[None], axis=0)[0])
