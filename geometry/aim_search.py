"""The search behind aims: how far each want is off at a place, with slopes, and the way down from several starts.

It ends early where it can get no further: a way down that hardly goes down any more is left, ways that end at one
place settle it, and all searches of one question share an effort that is not gone beyond. All of it counts looks, not
seconds, so that the same question has the same answer on any machine.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Container, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.complex_step import STEP, Complex
from geometry.figures import slopes
from geometry.figures.base import NotYet
from geometry.figures.ride import Ride
from geometry.figures.slopes import Sloped
from geometry.frame import Array
from geometry.layouts import Place
from geometry.moves import slot_of_point
from geometry.what_if import Measured

STARTS = 6
STEPS = 25
AGREEING = 3
"""So many starts that end at one cost: there is nothing lower to be found. One less where it is only asked whether."""
ALIKE = 1e-3
IDLE = 3
"""Steps together that must lower the cost by a share of ALIKE, else the way down has ended."""
MOST_LOOKS = 480
"""The effort of one question, in looks along six free coordinates."""
MET = 1e-9
INSIDE = 0.02
"""Of its band's width a want is aimed inside, so that an answer at the very edge counts as met."""
DEPTH_MM = 10.0
"""So deep in a place to keep out of weighs as much as a whole band beside a figure."""
ALONG_LINK = np.linspace(0.0, 1.0, 9)
LOST = 10.0
"""Band widths that a figure which cannot be had counts as being off."""


@dataclass(frozen=True)
class Want:
    """A figure wanted from low to high, in its unit; None leaves that side open."""

    figure: str
    low: float | None = None
    high: float | None = None

    @property
    def words(self) -> str:
        return self.figure


@dataclass(frozen=True)
class Room:
    """The box a bolt may move in: lowest and highest x, y, z. A coordinate whose two are equal stands there."""

    point: str
    low: Place
    high: Place


@dataclass(frozen=True)
class KeepOut:
    """A box that no moved bolt and no link of one may enter. name: what is there, "sump"."""

    name: str
    low: Place
    high: Place

    @property
    def words(self) -> str:
        return self.name


@dataclass(frozen=True)
class Look:
    """How far each goal is off at a place, (n,), and its slopes by the free coordinates, (n, k). of: which goal each
    row is of, (n,); a place to keep out of has a row for each bolt."""

    off: Array
    slopes: Array
    of: tuple[int, ...]

    def meets(self, goals: Container[int]) -> bool:
        """Whether all these goals hold."""
        off: list[float] = [row for row, goal in zip(self.off.tolist(), self.of, strict=True) if goal in goals]
        return sum(row * row for row in off) <= MET

    @property
    def cost(self) -> float:
        return float(self.off @ self.off)


@dataclass
class Effort:
    """What is left of it for one question, in looks; shared by its searches."""

    left: float

    @property
    def spent(self) -> bool:
        return self.left <= 0.0


class Search:
    """The free coordinates of the rooms, (k,), each scaled to its room's size. seen: every place looked at."""

    def __init__(self, measured: Measured, goals: Sequence[Want | KeepOut], rooms: Sequence[Room],
                 effort: Effort | None = None) -> None:
        self.measured, self.goals, self.rooms = measured, goals, rooms
        self.effort, self.seen = effort or Effort(MOST_LOOKS), list[tuple[Array, Look]]()
        fitted = measured.fit
        origin = np.array([fitted.origin, 0.0, 0.0])
        self.base: Array = fitted.estimate.copy()
        here, low, high, slots = [], [], [], []
        for room in rooms:
            first = slot_of_point(fitted, room.point)
            for axis in range(3):
                if room.high[axis] > room.low[axis]:
                    slots.append(first + axis)
                    here.append(fitted.estimate[first + axis] - origin[axis])
                    low.append(room.low[axis])
                    high.append(room.high[axis])
                else:
                    self.base[first + axis] = room.low[axis] + origin[axis]
        self.slots = slots
        self.low, self.size = np.array(low), np.array(high) - np.array(low)
        self.shift = np.array([fitted.origin if self._is_x(slot) else 0.0 for slot in slots])
        self.here: Array = np.clip((np.array(here) - self.low) / self.size, 0.0, 1.0)

    def _is_x(self, slot: int) -> bool:
        return any(self.measured.fit.slot[name] == slot for name in self.measured.fit.points)

    def starts(self, count: int) -> list[Array]:
        """As measured, the middle of the rooms where that is another place, then places spread evenly (Halton)."""
        found = [self.here, np.full(len(self.slots), 0.5)]
        found += [np.array([_halton(n, base) for base in _primes(len(self.slots))]) for n in range(1, count - 1)]
        if np.allclose(found[0], found[1], atol=0.01):
            del found[1]
        return found[:count] if self.slots else [self.here]

    def best(self, count: int = STARTS, first: Array | None = None, agreeing: int = AGREEING) -> tuple[Array, float]:
        """The best place found and its cost; the first start that meets everything ends the search, and so do starts
        that agree.

        first: where to begin, in place of all other starts.
        """
        found: tuple[Array, float] | None = None
        ends: list[float] = []
        for start in self.starts(count) if first is None else [first]:
            place, cost = self._descend(start)
            if found is None or cost < found[1] * (1.0 - 1e-6):
                found = place, cost
            ends.append(cost)
            if found[1] <= MET or self.effort.spent:
                break
            if sum(end <= found[1] * (1.0 + ALIKE) for end in ends) >= agreeing:
                break
        assert found is not None
        return found

    def _descend(self, start: Array) -> tuple[Array, float]:
        place, look, damping = start, self.look(start), 1e-3
        costs = [look.cost]
        for _ in range(STEPS):
            if look.cost <= MET or not self.slots or self.effort.spent:
                break
            there = np.clip(place + self._step(place, look, damping), 0.0, 1.0)
            ahead = self.look(there)
            if ahead.cost < look.cost:
                place, look, damping = there, ahead, max(damping / 5.0, 1e-9)
                costs.append(look.cost)
                if len(costs) > IDLE and costs[-1 - IDLE] - costs[-1] < ALIKE * costs[-1]:
                    break
            else:
                damping *= 6.0
                if damping > 1e6:
                    break
        return place, look.cost

    def _step(self, place: Array, look: Look, damping: float) -> Array:
        """Gauss-Newton's step, coordinates at a wall it leads into left out."""
        free = np.ones(len(place), dtype=bool)
        step = np.zeros(len(place))
        for _ in range(len(place)):
            some = look.slopes[:, free]
            normal = some.T @ some
            normal[np.diag_indices_from(normal)] += damping * (1.0 + np.diag(normal).max(initial=0.0))
            step[:] = 0.0
            step[free] = np.linalg.solve(normal, -some.T @ look.off)
            walled = free & (((place <= 0.0) & (step < 0.0)) | ((place >= 1.0) & (step > 0.0)))
            if not walled.any() or walled.sum() == free.sum():
                break
            free &= ~walled
        return step

    def state(self, place: Array) -> Complex:
        """The vehicles with the bolts there, one nudged along each free coordinate, (max(k, 1), u)."""
        there = self.base.copy()
        there[self.slots] = self.low + place * self.size + self.shift
        found = np.repeat(there[None, :], max(len(self.slots), 1), axis=0).astype(complex)
        for number, slot in enumerate(self.slots):
            found[number, slot] += 1j * STEP * self.size[number]
        return found

    def look(self, place: Array) -> Look:
        ride = Ride(self.measured.fit, self.measured.facts, self.state(place))
        kinds = {goal.figure: self.measured.kinds[goal.figure] for goal in self.goals if isinstance(goal, Want)}
        answers = slopes.figures(ride, kinds)
        rows, of = [], []
        for number, goal in enumerate(self.goals):
            more = [self._want(goal, answers[goal.figure])] if isinstance(goal, Want) else self._keep_out(goal, ride)
            rows += more
            of += [number] * len(more)
        found = Look(np.array([row[0] for row in rows]), np.array([row[1] for row in rows]), tuple(of))
        self.effort.left -= (2.0 + len(self.slots)) / 8.0
        self.seen.append((place, found))
        return found

    def _want(self, want: Want, answer: Sloped | NotYet) -> tuple[float, Array]:
        none = np.zeros(max(len(self.slots), 1))
        if isinstance(answer, NotYet):
            return LOST, none
        scale = _scale(want, self.measured)
        low = -math.inf if want.low is None else want.low + INSIDE * scale
        high = math.inf if want.high is None else want.high - INSIDE * scale
        if low > high:
            low = high = 0.5 * (low + high)
        off = answer.value - min(max(answer.value, low), high)
        return off / scale, answer.slope / scale if off else none

    def _keep_out(self, keep: KeepOut, ride: Ride) -> list[tuple[float, Array]]:
        """One row for each moved bolt: how deep it, or the link it belongs to, reaches into the box."""
        low, high = np.array(keep.low), np.array(keep.high)
        origin = np.array([self.measured.fit.origin, 0.0, 0.0])
        rows = []
        for room in self.rooms:
            places = _with_link(ride, room.point) - origin
            depths = np.concatenate((places - low, high - places), axis=-1)
            nearest = depths.real[:1].argmin(axis=-1)[0]
            shallow = depths[:, np.arange(depths.shape[1]), nearest]
            deepest = int(shallow[0].real.argmax())
            depth = shallow[:, deepest]
            inside = float(depth[0].real) > -1e-9
            off = float(depth[0].real) / DEPTH_MM + INSIDE if inside else 0.0
            rows.append((off, depth.imag / STEP / DEPTH_MM if inside else np.zeros(len(depth))))
        return rows


def _with_link(ride: Ride, point: str) -> Complex:
    """Places along the link that a bolt belongs to, or of the point alone: (P, m, 3), floor frame."""
    for link in ride.layout.links:
        if point in (link.frame, *link.axle):
            start, end = ride.axle_end(link.name), ride.point(link.frame)
            share = ALONG_LINK[None, :, None]
            return np.asarray(start[:, None] * (1.0 - share) + end[:, None] * share)
    return ride.point(point)[:, None]


def _scale(want: Want, measured: Measured) -> float:
    """What counts as one step outside: the band's width, or the figure's spread where one side is open."""
    if want.low is not None and want.high is not None and want.high > want.low:
        return want.high - want.low
    figure = measured.figures[want.figure]
    edge = abs(want.low if want.low is not None else want.high or 0.0)
    return max(2.0 * (figure.sd or 0.0), 0.01 * edge, 1e-3)


def _halton(number: int, base: int) -> float:
    found, share = 0.0, 1.0
    while number:
        share /= base
        number, digit = divmod(number, base)
        found += share * digit
    return found


def _primes(count: int) -> list[int]:
    found: list[int] = []
    for candidate in itertools.count(2):
        if len(found) == count:
            break
        if all(candidate % prime for prime in found):
            found.append(candidate)
    return found
