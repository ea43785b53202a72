"""The axle's pose and velocity against the frame: one solver for every layout, for many poses and geometries at once.

The axle is a rigid body. Each distance link keeps the distance of its two joint centres; a radius arm is rigid with
the axle and its frame end is held in place. The pose is driven by how far the axle's centre has risen (`travel`) and by
how much higher the left contact point has risen than the right one (`lift`).

- Four distance links leave the axle just these two freedoms: the pose is where all four lengths are kept.
- More links than that cannot all be kept. The pose is then the one with the least sum of squared changes of length, all
  links weighed alike, a held end counting with its miss as a vector of three: our convention, bushings decide in the
  metal.

A pose is a shift (3,) of the axle's centre and a turn (3, 3); turns are nudged from the left, x -> x + d x x, so that
every formula below is exact to first order in a nudge and the second-order terms are written out. Arrays lead with
(P, T): P geometries (nudged ones, random ones), T poses. Everything is analytic, so complex geometries pass through.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from geometry.complex_step import Complex, cross, norm
from geometry.frame import Array

ROUNDS = 40
SETTLED_MM = 1e-6
SETTLED_RADIAN = 1e-9
UNKNOWN = np.array([0, 1, 3, 4, 5])
"""Shift forward and left, and the three turns; the shift upward is driven."""
UPWARD = 2


@dataclass(frozen=True)
class Rig:
    """P geometries of one layout at ride height. Lengths mm; axle points are given from the axle's centre."""

    centre: Complex  # (P, 3)
    contact: Complex  # (P, 3) mean of the two contact points, from the centre
    contact_span: Complex  # (P, 3) left contact point less right
    frame: Complex  # (P, n, 3) distance links: frame ends
    axle: Complex  # (P, n, 3) and axle ends, from the centre
    held: Complex  # (P, k, 3) radius arms' frame ends, from the centre

    @cached_property
    def length(self) -> Complex:
        """(P, n) joint centre to joint centre."""
        return norm(self.centre[:, None] + self.axle - self.frame)

    @property
    def anchor(self) -> Complex:
        """(P, k, 3) where the arms' frame ends are held on the frame, from the centre."""
        return self.held

    @property
    def determinate(self) -> bool:
        """Whether four distance links fix the pose without a compromise."""
        return bool(self.axle.shape[1] == 4 and self.held.shape[1] == 0)


@dataclass(frozen=True)
class Pose:
    """Where the axle stands: shift (P, T, 3) mm, turn (P, T, 3, 3), and the multiplier (P, T) that lifts one wheel."""

    shift: Complex
    turn: Complex
    multiplier: Complex


@dataclass(frozen=True)
class Equations:
    """The closure at a pose: misses (P, T, m), their matrix (P, T, m, m), and their change per mm of rise (P, T, m)."""

    miss: Complex
    matrix: Complex
    by_rise: Complex


@dataclass(frozen=True)
class Motion:
    """Velocity of the axle per unit of the drive: of its centre (P, T, 3) mm, and of its turn (P, T, 3) radian."""

    velocity: Complex
    spin: Complex


@dataclass(frozen=True)
class Sweep:
    """Poses along a path. reached (T,) is False where the links cannot follow, or only past a dead centre; reached_by
    (P, T) says it for each geometry."""

    pose: Pose
    reached: np.ndarray
    reached_by: np.ndarray


def at_ride(rig: Rig, poses: int = 1) -> Pose:
    """The pose at ride height, (P, poses)."""
    count = rig.centre.shape[0]
    kind = rig.centre.dtype
    return Pose(
        np.zeros((count, poses, 3), kind),
        np.broadcast_to(np.eye(3, dtype=kind), (count, poses, 3, 3)),
        np.zeros((count, poses), kind),
    )


def equations(rig: Rig, pose: Pose, travel: Array, lift: Array) -> Equations:
    """The closure at a pose driven to travel (T,) mm at the centre and lift (T,) mm of left contact over right."""
    pose = Pose(_driven(pose.shift, travel), pose.turn, pose.multiplier)
    tilt = _carried(pose.turn, rig.contact_span[:, None])[..., 0, :]
    level = tilt[..., 2] - rig.contact_span[:, None, 2] - lift
    level_row = np.zeros((*level.shape, 6), level.dtype)
    level_row[..., 3], level_row[..., 4] = tilt[..., 1], -tilt[..., 0]
    if rig.determinate:
        return _kept_lengths(rig, pose, level, level_row)
    return _least_changes(rig, pose, level, level_row, tilt)


def _driven(shift: Complex, travel: Array) -> Complex:
    driven = shift.copy()
    driven[..., UPWARD] = travel
    return driven


def _carried(turn: Complex, arms: Complex) -> Complex:
    """Arms (P, n, 3) turned with the axle: (P, T, n, 3)."""
    return np.swapaxes(turn @ np.swapaxes(arms, -1, -2)[:, None], -1, -2)


def _links(rig: Rig, pose: Pose) -> tuple[Complex, Complex, Complex, Complex]:
    """Distance links at a pose: arm, unit vector frame to axle, length, and gradient row (P, T, n, 6)."""
    arm = _carried(pose.turn, rig.axle)
    along = rig.centre[:, None, None] + pose.shift[:, :, None] + arm - rig.frame[:, None]
    length = norm(along)
    unit = along / np.where(length == 0, 1.0, length)[..., None]
    return arm, unit, length, np.concatenate([unit, cross(arm, unit)], axis=-1)


def _kept_lengths(rig: Rig, pose: Pose, level: Complex, level_row: Complex) -> Equations:
    _, _, length, row = _links(rig, pose)
    miss = np.concatenate([length - rig.length[:, None], level[..., None]], axis=-1)
    matrix = np.concatenate([row, level_row[..., None, :]], axis=-2)
    return Equations(miss, matrix[..., UNKNOWN], matrix[..., UPWARD])


def _least_changes(rig: Rig, pose: Pose, level: Complex, level_row: Complex, tilt: Complex) -> Equations:
    """Where the sum of squares is least under the level constraint: gradient, Hessian bordered by the constraint."""
    arm, unit, length, row = _links(rig, pose)
    change = length - rig.length[:, None]
    gradient = np.einsum("ptn,ptni->pti", change, row)
    hessian = np.einsum("ptni,ptnj->ptij", row, row)
    lever = _lever(arm)
    across = np.eye(3) - unit[..., :, None] * unit[..., None, :]
    bend = across * (change / length)[..., None, None]
    hessian = hessian + np.einsum("ptnai,ptnab,ptnbj->ptij", lever, bend, lever)
    hessian[..., 3:, 3:] += np.einsum("ptn,ptnij->ptij", change, _swing(unit, arm))
    if rig.held.shape[1]:
        arm = _carried(pose.turn, rig.held)
        lever = _lever(arm)
        off = pose.shift[:, :, None] + arm - rig.anchor[:, None]
        gradient = gradient + np.einsum("ptnai,ptna->pti", lever, off)
        hessian = hessian + np.einsum("ptnai,ptnaj->ptij", lever, lever)
        hessian[..., 3:, 3:] += _swing(off, arm).sum(axis=-3)
    upward = np.broadcast_to(np.array([0.0, 0.0, 1.0]), tilt.shape)
    hessian[..., 3:, 3:] += pose.multiplier[..., None, None] * _swing(upward, tilt)
    gradient = gradient + pose.multiplier[..., None] * level_row
    miss = np.concatenate([gradient[..., UNKNOWN], level[..., None]], axis=-1)
    matrix = np.zeros((*level.shape, 6, 6), hessian.dtype)
    matrix[..., :5, :5] = hessian[..., UNKNOWN[:, None], UNKNOWN]
    matrix[..., :5, 5] = matrix[..., 5, :5] = level_row[..., UNKNOWN]
    by_rise = np.concatenate([hessian[..., UNKNOWN, UPWARD], level_row[..., UPWARD, None]], axis=-1)
    return Equations(miss, matrix, by_rise)


def _lever(arm: Complex) -> Complex:
    """How a carried point moves with shift and turn: (..., 3, 6)."""
    lever = np.zeros((*arm.shape[:-1], 3, 6), arm.dtype)
    lever[..., 0, 0] = lever[..., 1, 1] = lever[..., 2, 2] = 1.0
    x, y, z = arm[..., 0], arm[..., 1], arm[..., 2]
    lever[..., 0, 4], lever[..., 0, 5] = z, -y
    lever[..., 1, 3], lever[..., 1, 5] = -z, x
    lever[..., 2, 3], lever[..., 2, 4] = y, -x
    return lever


def _swing(force: Complex, arm: Complex) -> Complex:
    """Second derivative by the turn of force . (turned arm): (..., 3, 3). From exp(d) = 1 + [d] + [d][d]/2."""
    outer = force[..., :, None] * arm[..., None, :]
    along = np.einsum("...i,...i->...", force, arm)
    return np.asarray(0.5 * (outer + np.swapaxes(outer, -1, -2)) - along[..., None, None] * np.eye(3))


def _nudged(pose: Pose, step: Complex) -> Pose:
    """The pose after a step in the unknowns, the turn kept a rotation (Cayley's form, for finite real steps)."""
    shift = pose.shift.copy()
    shift[..., :2] += step[..., :2]
    half = 0.5 * step[..., 2:5]
    spin = _cross_matrix(half)
    size = 1.0 + np.einsum("...i,...i->...", half, half)
    turn = pose.turn + (2.0 / size)[..., None, None] * ((spin + spin @ spin) @ pose.turn)
    multiplier = pose.multiplier + step[..., 5] if step.shape[-1] == 6 else pose.multiplier
    return Pose(shift, turn, multiplier)


def _cross_matrix(vector: Complex) -> Complex:
    matrix = np.zeros((*vector.shape, 3), vector.dtype)
    x, y, z = vector[..., 0], vector[..., 1], vector[..., 2]
    matrix[..., 0, 1], matrix[..., 0, 2] = -z, y
    matrix[..., 1, 0], matrix[..., 1, 2] = z, -x
    matrix[..., 2, 0], matrix[..., 2, 1] = -y, x
    return matrix


def solve_linear(matrix: Complex, right: Complex) -> Complex:
    """matrix (..., m, m) x = right (..., m); the least solution where the matrix has no inverse."""
    try:
        return np.linalg.solve(matrix, right[..., None])[..., 0]
    except np.linalg.LinAlgError:
        return np.asarray(np.einsum("...ij,...j->...i", np.linalg.pinv(matrix), right))


def heave(rig: Rig, pose: Pose, closure: Equations) -> Motion:
    """Velocity per mm that the centre rises, both contact points lifted alike."""
    rate = solve_linear(closure.matrix, -closure.by_rise)
    return _motion(rate, 1.0)


def roll(rig: Rig, pose: Pose, closure: Equations) -> Motion:
    """Velocity per mm that the left contact point rises over the right one, the centre's height kept."""
    drive = np.zeros_like(closure.miss)
    drive[..., -1] = 1.0
    return _motion(solve_linear(closure.matrix, drive), 0.0)


def _motion(rate: Complex, rise: float) -> Motion:
    velocity = np.concatenate([rate[..., :2], np.full_like(rate[..., :1], rise)], axis=-1)
    return Motion(velocity, rate[..., 2:5])


def sweep(rig: Rig, travel: Array, lift: Array | None = None) -> Sweep:
    """Poses of real geometries at travel (T,) mm and lift (T,) mm, each solved from ride height's first-order guess.

    A pose counts as reached when it settles without passing a dead centre: there the closure's determinant would change
    its sign against ride height's, and the axle would have jumped to another way of assembling the same links.
    """
    lift = np.zeros_like(travel) if lift is None else lift
    start = at_ride(rig)
    first = equations(rig, start, np.zeros(1), np.zeros(1))
    rise, side = heave(rig, start, first), roll(rig, start, first)
    pose = at_ride(rig, travel.size)
    guess = np.concatenate([rise.velocity[..., :2], rise.spin], axis=-1) * travel[:, None]
    guess = guess + np.concatenate([side.velocity[..., :2], side.spin], axis=-1) * lift[:, None]
    pose = _nudged(pose, guess)
    settled = np.zeros(pose.multiplier.shape, bool)
    with np.errstate(all="ignore"):
        for _ in range(ROUNDS):
            closure = equations(rig, pose, travel, lift)
            step = solve_linear(closure.matrix, -closure.miss)
            step = np.where(np.isfinite(step), step, 0.0)
            turn = np.abs(step[..., 2:5]).max(axis=-1)
            step = step * np.minimum(1.0, 0.3 / np.maximum(turn, 1e-300))[..., None]
            pose = _nudged(pose, step)
            settled = (np.abs(step[..., :2]).max(axis=-1) < SETTLED_MM) & (turn < SETTLED_RADIAN)
            if settled.all():
                break
        closure = equations(rig, pose, travel, lift)
        same_way = np.sign(np.linalg.det(closure.matrix)) == np.sign(np.linalg.det(first.matrix))
    pose = Pose(_driven(pose.shift, travel), pose.turn, pose.multiplier)
    reached_by = settled & same_way
    return Sweep(pose, reached_by.all(axis=0), reached_by)


def follow(rig: Rig, pose: Pose, inverse: Array, travel: Array, lift: Array) -> tuple[Pose, Equations]:
    """Poses of nudged (complex) geometries (P, ...) beside a real solved pose (1, T), exact to first order.

    inverse (1, T, m, m) is that of the real closure; one step with it is all that first order needs.
    """
    count = rig.centre.shape[0]
    wide = Pose(
        np.broadcast_to(pose.shift, (count, *pose.shift.shape[1:])).astype(complex),
        np.broadcast_to(pose.turn, (count, *pose.turn.shape[1:])).astype(complex),
        np.broadcast_to(pose.multiplier, (count, *pose.multiplier.shape[1:])).astype(complex),
    )
    miss = equations(rig, wide, travel, lift).miss
    step = -1j * np.einsum("qtij,ptj->pti", inverse, miss.imag)
    shift = wide.shift.copy()
    shift[..., :2] += step[..., :2]
    turn = wide.turn + _cross_matrix(step[..., 2:5]) @ wide.turn
    multiplier = wide.multiplier + step[..., 5] if step.shape[-1] == 6 else wide.multiplier
    followed = Pose(shift, turn, multiplier)
    return followed, equations(rig, followed, travel, lift)


def follow_rate(closure: Equations, inverse: Array, rate: Complex, by_drive: Complex) -> Complex:
    """Rates (P, T, m) of nudged geometries beside a real rate (1, T, m): exact to first order in the nudge."""
    defect = np.einsum("ptij,qtj->pti", closure.matrix, rate) + by_drive
    return np.asarray(rate - 1j * np.einsum("qtij,ptj->pti", inverse, defect.imag))


def as_motion(rate: Complex, rise: float) -> Motion:
    """A rate (P, T, m) in the unknowns as velocity and spin; rise is that of the centre."""
    return _motion(rate, rise)
