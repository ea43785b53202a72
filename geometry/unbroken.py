"""Poses the axle gets to from ride height without a jump.

Links can be assembled in more ways than one, and a sum of squares can have more than one least place. A pose solved by
itself may be one of another assembly, with nothing at the pose to tell it: only the way there does. Two poses one after
the other belong together when what lies between them is what their velocities give (trapezoidal rule); that is spared
where the guess from ride height led straight to each of many close poses. Where a doubt is left the way is walked, in
steps that shrink until none is.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from geometry.frame import Array
from geometry.motion import WEIGHT, Equations, Pose, Rig, Sweep, at_ride, equations, nudged, settle, solve_linear, sweep

AGREED_MM = 0.3
"""The velocities may be off by so much, of a point LEVER_MM off,"""
AGREED_SHARE = 0.02
"""and by this share of the way: other assemblies lie further, but where the two meet, and there steps shrink."""
SHORTEST_MM = 0.003
"""Of a wheel: a step as short as this which still does not hold ends the way."""
FIRST_SHARE = 0.25
ROUNDS = 8
MOST_STEPS = 2000
CLOSE_MM = 12.0
PARALLEL = 1e-9
"""Radian: ways from ride height that point alike are one."""
Chosen = NDArray[np.int_]


def unbroken(rig: Rig, travel: Array, lift: Array | None = None) -> Sweep:
    """Poses of real geometries at travel (T,) mm and lift (T,) mm, as `motion.sweep` gives them, but reached only where
    the straight way from ride height is a way of the axle: all poses before it reached, and none of them a jump."""
    lift = np.zeros_like(travel) if lift is None else lift
    with np.errstate(all="ignore"):
        swept = sweep(rig, travel, lift)
        if swept.straight.all() and swept.reached.all() and not lift.any() and _close(travel):
            return swept
        ways = _Ways(rig, travel, lift)
        return swept if ways.hold(swept) else ways.followed(swept)


def how_far(rig: Rig, start: tuple[float, float], end: tuple[float, float]) -> float:
    """Which share of the straight way from a reached pose to another one the links follow, both (travel, lift) mm of
    one real geometry: 0 .. 1."""
    with np.errstate(all="ignore"):
        found = unbroken(rig, *(np.array([part]) for part in start))
        way = _Way(rig, *(np.array([part]) for part in (*start, *end)))
        return float(_walk(way, found.pose)[0][0])


def _close(travel: Array) -> bool:
    """Whether these follow each other in short steps, one of them near ride height: then a jump between two would show
    in how straight the guess led there."""
    return bool(np.abs(travel).min() <= CLOSE_MM and np.abs(np.diff(travel)).max(initial=0) <= CLOSE_MM)


@dataclass(frozen=True)
class _Way:
    """W straight ways, each of one geometry: from travel and lift (W,) mm to others."""

    rig: Rig
    travel: Array
    lift: Array
    to_travel: Array
    to_lift: Array

    def at(self, share: Array) -> tuple[Array, Array]:
        """Travel and lift (W, 1)."""
        rise = self.travel + share * (self.to_travel - self.travel)
        return rise[:, None], (self.lift + share * (self.to_lift - self.lift))[:, None]

    def rate(self, closure: Equations) -> Array:
        """How the unknowns change per whole way, (W, 1, m)."""
        drive = -closure.by_rise * (self.to_travel - self.travel)[:, None, None]
        drive[..., -1] += (self.to_lift - self.lift)[:, None]
        return solve_linear(closure.matrix, drive)

    def agrees(self, start: Pose, end: Pose) -> np.ndarray:
        """Whether the poses (W, 1) at both ends belong together, (W,)."""
        rates = []
        for pose, share in ((start, 0.0), (end, 1.0)):
            closure = equations(self.rig, pose, *self.at(np.full(self.travel.size, share)))
            rates.append(self.rate(_solvable(closure, np.isfinite(closure.matrix))))
        return np.asarray(_agreed(start, end, *rates)[:, 0])

    @property
    def long(self) -> Array:
        """By how much a wheel goes at most, mm."""
        return np.abs(self.to_travel - self.travel) + 0.5 * np.abs(self.to_lift - self.lift)

    def some(self, chosen: Chosen) -> _Way:
        parts = (self.travel, self.lift, self.to_travel, self.to_lift)
        return _Way(_rows(self.rig, chosen), *(part[chosen] for part in parts))


def _rows(rig: Rig, chosen: Chosen) -> Rig:
    return replace(rig, **{part.name: getattr(rig, part.name)[chosen] for part in fields(rig)})


def _solvable(closure: Equations, good: np.ndarray) -> Equations:
    """The closure with matrices that can be solved where it is no good."""
    return replace(closure, matrix=np.where(good, closure.matrix, np.eye(closure.matrix.shape[-1])))


def _between(one: Pose, other: Pose) -> Array:
    """The step in the unknowns that leads from one pose to the other, (..., 5): shift mm, turn radian."""
    turn = other.turn @ np.swapaxes(one.turn, -1, -2)
    sine = 0.5 * np.stack([turn[..., 2, 1], turn[..., 0, 2], turn[..., 1, 0]], axis=-1)
    sine -= 0.5 * np.stack([turn[..., 1, 2], turn[..., 2, 0], turn[..., 0, 1]], axis=-1)
    size = np.sqrt(np.einsum("...i,...i->...", sine, sine))
    angle = np.arctan2(size, 0.5 * (np.trace(turn, axis1=-2, axis2=-1) - 1.0))
    sine *= np.where(size > 0.0, angle / np.where(size > 0.0, size, 1.0), 1.0)[..., None]
    return np.concatenate([(other.shift - one.shift)[..., :2], sine], axis=-1)


def _agreed(one: Pose, other: Pose, leaving: Array, arriving: Array) -> np.ndarray:
    """Whether the velocities at both ends of a step (..., m), per step, tell of the same motion as the poses do."""
    step = _between(one, other)
    off = np.abs((step - 0.5 * (leaving + arriving)[..., :5]) * WEIGHT).max(axis=-1)
    return np.asarray(off <= AGREED_MM + AGREED_SHARE * np.abs(step * WEIGHT).max(axis=-1))


def _walk(way: _Way, pose: Pose) -> tuple[Array, Pose]:
    """Goes each way from its pose (W, 1): how far it gets, (W,) 0 .. 1, and the pose there."""
    whole = way
    share, step = np.zeros(way.travel.size), np.full(way.travel.size, FIRST_SHARE)
    _, closure, *_ = settle(way.rig, pose, *way.at(share), rounds=1)
    rate = way.rate(closure)
    pose = Pose(pose.shift.copy(), pose.turn.copy(), pose.multiplier.copy())
    for _ in range(MOST_STEPS):
        on = np.flatnonzero((share < 1.0) & (step * whole.long > SHORTEST_MM))
        if not on.size:
            break
        way = whole.some(on)
        ahead = np.minimum(share[on] + step[on], 1.0)
        here = Pose(pose.shift[on], pose.turn[on], pose.multiplier[on])
        by = (ahead - share[on])[:, None, None]
        there, closure, good, _ = settle(way.rig, nudged(here, by * rate[on]), *way.at(ahead), rounds=ROUNDS)
        arriving = way.rate(_solvable(closure, good[..., None, None]))
        good = (good & _agreed(here, there, by * rate[on], by * arriving))[:, 0]
        step[on] *= np.where(good, 2.0, 0.25)
        won = on[good]
        share[won], rate[won] = ahead[good], arriving[good]
        pose.shift[won], pose.turn[won] = there.shift[good], there.turn[good]
        pose.multiplier[won] = there.multiplier[good]
    return share, pose


class _Ways:
    """The straight ways from ride height on which the wanted poses lie, one after the other."""

    def __init__(self, rig: Rig, travel: Array, lift: Array) -> None:
        self.rig = rig
        self.travel, self.lift = np.append(travel, 0.0), np.append(lift, 0.0)  # ride height stands last
        out, towards = np.hypot(travel, lift), np.round(np.arctan2(lift + 0.0, travel) / PARALLEL)  # no -0
        order = np.lexsort((out, towards))
        same = np.diff(towards[order], prepend=np.nan) == 0.0
        self.before: Chosen = np.full(travel.size, travel.size)
        self.before[order[1:]] = np.where(same[1:], order[:-1], travel.size)
        self.depth: Chosen = np.zeros(travel.size, int)
        for at, on in zip(order, same, strict=True):
            self.depth[at] = self.depth[self.before[at]] + 1 if on else 0

    def hold(self, swept: Sweep) -> bool:
        """Whether each pose is where the one before leads."""
        if not swept.reached.all():
            return False
        rest = self.rig.at_rest
        matrix = np.concatenate([swept.closure.matrix, rest.matrix], axis=1)
        drive = np.zeros((*matrix.shape[:-1], 2))
        drive[:, :-1, :, 0], drive[:, -1:, :, 0] = -swept.closure.by_rise, -rest.by_rise
        drive[..., -1, 1] = 1.0
        rate = np.linalg.solve(matrix, drive)
        pose, by = _with_rest(self.rig, swept.pose), self.before
        gap = np.stack([self.travel[:-1] - self.travel[by], self.lift[:-1] - self.lift[by]], axis=-1)[..., None]
        leaving, arriving = (rate[:, by] @ gap)[..., 0], (rate[:, :-1] @ gap)[..., 0]
        return bool(_agreed(pose.at(by), swept.pose, leaving, arriving).all())

    def followed(self, swept: Sweep) -> Sweep:
        """The same poses, found again by walking where they are doubtful; what cannot be walked to is not reached."""
        pose = _with_rest(self.rig, swept.pose)
        reached = np.concatenate([swept.reached_by, np.ones((len(self.rig.centre), 1), bool)], axis=1)
        for depth in range(int(self.depth.max()) + 1):
            at = np.flatnonzero(self.depth == depth)
            self._go(pose, reached, np.repeat(np.arange(len(reached)), at.size), np.tile(at, len(reached)))
        pose = pose.at(np.arange(self.before.size))
        closure = equations(self.rig, pose, self.travel[:-1], self.lift[:-1])
        reached = reached[:, :-1]
        return Sweep(pose, closure, np.asarray(reached.all(axis=0)), reached, swept.straight)

    def _go(self, pose: Pose, reached: np.ndarray, which: Chosen, at: Chosen) -> None:
        """Takes geometries to poses from the poses before, where those are reached, and notes what comes of it."""
        before = self.before[at]
        on = reached[which, before]
        reached[which[~on], at[~on]] = False
        which, at, before = which[on], at[on], before[on]
        if not at.size:
            return
        ends = ((part[before], part[at]) for part in (self.travel, self.lift))
        (travel, to_travel), (lift, to_lift) = ends
        way = _Way(_rows(self.rig, which), travel, lift, to_travel, to_lift)
        start, end = (_each(pose, which, steps) for steps in (before, at))
        good = reached[which, at] & way.agrees(start, end)
        if good.all():
            return
        walked = np.flatnonzero(~good)
        share, found = _walk(way.some(walked), _each(start, walked, 0))
        won = share == 1.0
        reached[which[walked], at[walked]] = won
        place = which[walked][won], at[walked][won]
        pose.shift[place], pose.turn[place] = found.shift[won, 0], found.turn[won, 0]
        pose.multiplier[place] = found.multiplier[won, 0]


def _with_rest(rig: Rig, pose: Pose) -> Pose:
    """The poses (P, T) and ride height after them."""
    rest = at_ride(rig)
    parts = ((pose.shift, rest.shift), (pose.turn, rest.turn), (pose.multiplier, rest.multiplier))
    return Pose(*(np.concatenate(both, axis=1) for both in parts))


def _each(pose: Pose, which: Chosen, steps: Chosen | int) -> Pose:
    """Poses (W, 1), each of its own geometry at its own step."""
    return Pose(*(part[which, steps][:, None] for part in (pose.shift, pose.turn, pose.multiplier)))
