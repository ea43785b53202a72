"""The gap of every pair of bodies at every pose, and the same with the nearest spots held while the vehicle is nudged.

Two lines, a line and a wheel, a line and a box are answered to the last digit. A wheel and a box are looked at along
eight lines of the box: its edges and the middles of its sides; between them the tread of a tyre bulges by less than a
millimetre for sides up to 100 mm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from geometry.complex_step import STEP, Complex
from geometry.figures.bodies import Scene
from geometry.frame import Array
from geometry.nearest import NEAR, Box, bars_apart, least_along, of_box, of_lines, of_wheel, off_box, off_wheel

SORTS: tuple[tuple[str, str], ...] = (
    ("bar", "bar"), ("bar", "keep_clear"), ("bar", "round"), ("bar", "box"), ("bar", "tyre"),
    ("tyre", "keep_clear"), ("tyre", "round"), ("tyre", "box"),
)  # fmt: skip
"""Which sorts of body are held against each other, the one that comes first first."""
STILL = ("round", "box")
AROUND = np.array([(s, u) for s in (-1.0, 0.0, 1.0) for u in (-1.0, 0.0, 1.0) if (s, u) != (0.0, 0.0)])
"""Where the eight lines of a box run, in halves of its width and height."""
ROUNDS = 20
"""Of the search along a box's lines: down to a ten-thousandth of its length."""
Places = NDArray[np.intp]
Pick = Callable[[Complex, Places], Complex]
"""Takes some bodies out of an array (P, N, B, ...): all their poses of the first vehicle, or one pose of every one."""


@dataclass(frozen=True)
class Body:
    """One body: its index among those of its sort ("bar", "tyre", "keep_clear", "round", "box") and what holds it."""

    name: str
    words: str
    sort: str
    index: int
    bodies: tuple[str, ...]


Pairs = list[tuple[Body, Body]]


def nearest(seen: Scene, pairs: Pairs) -> tuple[tuple[Array, Array], Array]:
    """Where both bodies are nearest and the gap, all (N, pairs), of the first vehicle alone.

    Where: shares along both lines; for a wheel and a box the share along one of its lines, and which.
    """
    first, second, gaps = (np.zeros((seen.start.shape[1], len(pairs))) for _ in range(3))
    for sorts in SORTS:
        chosen, one, other = _indices(pairs, sorts)
        if chosen.size:
            parts = _Parts(seen, sorts, one, other, _first)
            first[:, chosen], second[:, chosen], gaps[:, chosen] = parts.searched()
    return (first, second), gaps


def nearest_each(seen: Scene, pairs: Pairs) -> tuple[tuple[Array, Array], Array]:
    """The same with each pair at a pose of its own, as many poses as pairs: (pairs,) each."""
    first, second, gaps = (np.zeros(len(pairs)) for _ in range(3))
    for sorts in SORTS:
        chosen, one, other = _indices(pairs, sorts)
        if chosen.size:
            parts = _Parts(seen, sorts, one, other, partial(_each, pose=chosen))
            first[chosen], second[chosen], gaps[chosen] = parts.searched()
    return (first, second), gaps


def held(seen: Scene, pairs: Pairs, at: Places, where: tuple[Array, Array]) -> tuple[Complex, Array]:
    """Gaps (P, pairs) of every vehicle, each pair at its own pose `at` with its nearest spots held, and the first
    vehicle's nearest spots on the surfaces of both, (2, pairs, 3) mm."""
    gaps = np.zeros((seen.start.shape[0], len(pairs)), seen.start.dtype)
    spots = np.zeros((2, len(pairs), 3))
    for sorts in SORTS:
        chosen, one, other = _indices(pairs, sorts)
        if chosen.size:
            pose = at[chosen]
            parts = _Parts(seen, sorts, one, other, partial(_at, pose=pose))
            gaps[:, chosen], spots[:, chosen] = parts.held(where[0][chosen], where[1][chosen])
    return gaps, spots


def _first(array: Complex, which: Places) -> Complex:
    return np.asarray(array[0][:, which].real)


def _each(array: Complex, which: Places, pose: Places) -> Complex:
    return np.asarray(_at(array, which, pose)[0].real)


def _at(array: Complex, which: Places, pose: Places) -> Complex:
    """Some bodies, each at its own pose; what stands still has one pose for all."""
    return np.asarray(array[:, pose if array.shape[1] > 1 else np.zeros_like(pose), which])


def _indices(pairs: Pairs, sorts: tuple[str, str]) -> tuple[Places, Places, Places]:
    """Which pairs are of two sorts, and the indices of their bodies."""
    chosen = [k for k, (one, other) in enumerate(pairs) if (one.sort, other.sort) == sorts]
    ones = np.array([pairs[k][0].index for k in chosen], dtype=int)
    others = np.array([pairs[k][1].index for k in chosen], dtype=int)
    return np.array(chosen, dtype=int), ones, others


@dataclass(frozen=True)
class _Parts:
    """The pairs of two sorts; `pick` takes their places out of the scene."""

    seen: Scene
    sorts: tuple[str, str]
    one: Places
    other: Places
    pick: Pick

    def line(self, first: bool) -> tuple[Complex, Complex]:
        """Both ends of the line in a body; of a point the same place twice."""
        sort, which = (self.sorts[0], self.one) if first else (self.sorts[1], self.other)
        if sort == "keep_clear":
            spot = self.pick(self.seen.own, which)
            return spot, spot
        if sort == "round":
            return self.pick(self.seen.round_start, which), self.pick(self.seen.round_end, which)
        begin = self.seen.beyond if self.sorts[1] in STILL else self.seen.start
        return self.pick(begin, which), self.pick(self.seen.end, which)

    def thick(self, first: bool) -> Array:
        """Half the diameter of the body a line stands for, (k,) mm."""
        sort, which = (self.sorts[0], self.one) if first else (self.sorts[1], self.other)
        diameter = {"bar": self.seen.diameter, "round": self.seen.round_diameter}.get(sort)
        return np.zeros(which.size) if diameter is None else 0.5 * diameter[which]

    def wheel(self) -> tuple[Complex, Complex, Complex, float]:
        """Centre, spindle, radius and half the width, as `off_wheel` takes them."""
        which = self.other if self.sorts[1] == "tyre" else self.one
        radius = self.seen.wheel_radius
        whole = np.broadcast_to(radius[:, None, None], (radius.size, 1, 2))
        return (self.pick(self.seen.wheel, which), self.pick(self.seen.spindle, which), self.pick(whole, which),
                self.seen.half_width)  # fmt: skip

    def box(self) -> Box:
        boxes = self.seen.boxes
        assert boxes is not None
        return Box(*(self.pick(getattr(boxes, part), self.other) for part in (
            "middle", "along", "beside", "up", "half_length", "half_width", "half_height")))  # fmt: skip

    def searched(self) -> tuple[Array, Array, Array]:
        """Where the first vehicle's bodies are nearest at each pose, and the gap: (N, k) each."""
        if self.sorts == ("tyre", "box"):
            return self._searched_sides()
        if "tyre" in self.sorts:
            near, far = self.line(self.sorts[1] == "tyre")
            share = of_wheel(near, far, *self.wheel())
            gap = off_wheel(_between(near, far, share), *self.wheel()) - self.thick(self.sorts[1] == "tyre")
            return share, 0.0 * share, gap
        near, far = self.line(True)
        if self.sorts[1] == "box":
            share = of_box(near, far, self.box())
            return share, 0.0 * share, off_box(_between(near, far, share), self.box()) - self.thick(True)
        start, end = self.line(False)
        first, second = of_lines(near, far, start, end)
        apart = _between(near, far, first) - _between(start, end, second)
        gap = np.sqrt(np.einsum("...i,...i->...", apart, apart)) - self.thick(True) - self.thick(False)
        return first, second, np.asarray(gap)

    def _searched_sides(self) -> tuple[Array, Array, Array]:
        centre, spindle, radius, half = self.wheel()
        near, far = _sides(self.box())
        disc = centre[..., None, :], spindle[..., None, :], radius[..., None], half
        shape = np.broadcast_shapes(near.shape, disc[0].shape)[:-1]
        share = least_along(near, far, shape, lambda spot: off_wheel(spot, *disc), ROUNDS)
        gap = off_wheel(_between(near, far, share), *disc)
        which = gap.argmin(axis=-1)
        taken = [np.take_along_axis(part, which[..., None], axis=-1)[..., 0] for part in (share, gap)]
        return taken[0], which.astype(float), taken[1]

    def held(self, first: Array, second: Array) -> tuple[Complex, Array]:
        """Gaps (P, k) and the first vehicle's nearest spots on both surfaces, (2, k, 3), with shares held."""
        if self.sorts == ("tyre", "box"):
            near, far = _sides(self.box())
            spot = _between(near, far, first[:, None])[:, np.arange(first.size), second.astype(int)]
        else:
            near, far = self.line(self.sorts[0] == "bar")
            spot = _between(near, far, first)
        if "tyre" in self.sorts or self.sorts[1] == "box":
            thick = self.thick(self.sorts[0] == "bar") if self.sorts != ("tyre", "box") else np.zeros(first.size)
            return self._off_body(spot, thick)
        start, end = self.line(False)
        one, other = self.thick(True), self.thick(False)
        gap = bars_apart(near, far, start, end, (first, second), one + other)
        apart = (spot - _between(start, end, second))[0].real
        way = apart / np.maximum(np.sqrt(np.einsum("ki,ki->k", apart, apart)), NEAR)[:, None]
        return gap, _surfaces(spot[0].real, way, gap[0].real, one)

    def _off_body(self, spot: Complex, thick: Array) -> tuple[Complex, Array]:
        """The gap of spots from a wheel or a box, less what stands round them; the way out by the complex step."""
        box = None if "tyre" in self.sorts else self.box()

        def off(point: Complex) -> Complex:
            return off_wheel(point, *self.wheel()) if box is None else off_box(point, box)

        gap = off(spot) - thick
        way = np.stack([off(spot.real + 1j * STEP * axis)[0].imag / STEP for axis in np.eye(3)], axis=-1)
        return gap, _surfaces(spot[0].real, way, gap[0].real, thick)


def _surfaces(spot: Array, way: Array, gap: Array, thick: Array) -> Array:
    """The nearest spots of two surfaces: `thick` from a spot against the way out of the other, and `gap` further."""
    near = spot - thick[:, None] * way
    return np.stack([near, near - gap[:, None] * way])


def _between(near: Complex, far: Complex, share: Array) -> Complex:
    return np.asarray(near + share[..., None] * (far - near))


def _sides(box: Box) -> tuple[Complex, Complex]:
    """Both ends of each of a box's eight lines, (..., 8, 3)."""
    beside = (AROUND[:, 0] * box.half_width[..., None])[..., None] * box.beside[..., None, :]
    up = (AROUND[:, 1] * box.half_height[..., None])[..., None] * box.up[..., None, :]
    out = box.middle[..., None, :] + beside + up
    along = (box.half_length[..., None] * box.along)[..., None, :]
    return out - along, out + along
