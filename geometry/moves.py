"""Moves on a fitted vehicle: a bolt moved, a link made longer, other tyres, another ride height, the weight elsewhere.

A move acts on the estimate as it stands, for many vehicles at once, (P, u); the spread rides along, because whatever is
moved keeps its tie to where it was measured: "an inch inboard" is an inch exactly from a bolt known to 3 mm.

What follows what:
- A bolt moves alone; its link is made to fit and the axle stays. Where a plan keeps the lengths, the axle goes along.
- A link made longer moves the axle under the frame: the other links keep their lengths, both wheels stay on the floor
  at their height, and the link's axle end goes with the axle. The steering arms stay set straight ahead.
- Another ride height moves the frame, and the axle swings after it on its links. The other axle keeps its place.
- Other tyres lift everything by the growth of the loaded radius.
Places are in the vehicle frame of the vehicle as measured, mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geometry import motion, refusal_words
from geometry.complex_step import Complex, asin, norm
from geometry.errors import BadName, GeometryError, did_you_mean
from geometry.figures.base import Facts
from geometry.figures.ride import Ride
from geometry.fit import Fit
from geometry.following import follow
from geometry.frame import Array
from geometry.points import LOADS, combination, point_named

MOST_MM = 5_000.0
"""A single move further than this is a slip of the pen."""
LEAST_LENGTH = 50.0
"""mm: no link is shorter."""


class BadMove(GeometryError):
    """A move that this vehicle cannot make; one plain sentence."""


@dataclass(frozen=True)
class PointTo:
    """A point put at x, y, z, mm; None leaves that coordinate."""

    point: str
    x: float | None = None
    y: float | None = None
    z: float | None = None


@dataclass(frozen=True)
class PointBy:
    """A point moved by x, y, z, mm."""

    point: str
    x: float = 0.0
    y: float = 0.0
    z: float = 0.0


@dataclass(frozen=True)
class LinkTo:
    """A link made `length` mm long, joint centre to joint centre (an arm: to the middle of its axle joints)."""

    link: str
    length: float


@dataclass(frozen=True)
class LinkBy:
    """A link made longer by so many mm; shorter where negative."""

    link: str
    by: float


@dataclass(frozen=True)
class TyreTo:
    """All four tyres of this free diameter, mm; they stand at the same share of it as now."""

    diameter: float


@dataclass(frozen=True)
class RideBy:
    """The frame raised by so many mm over the worked axle, and over the other one."""

    worked: float
    other: float = 0.0


@dataclass(frozen=True)
class CgTo:
    """The centre of gravity put at this height, and this far ahead of the worked axle, mm; None leaves it."""

    height: float | None = None
    along: float | None = None


Move = PointTo | PointBy | LinkTo | LinkBy | TyreTo | RideBy | CgTo


@dataclass(frozen=True)
class Plan:
    """Moves, done in turn. keep_lengths: links stay as long as they are when a bolt moves, and the axle follows."""

    moves: tuple[Move, ...]
    keep_lengths: bool = False


@dataclass(frozen=True)
class Assembly(motion.Rig):
    """A rig to be put together with links of given lengths and arms whose ends go to given places."""

    wanted: Complex  # (P, n) mm
    goal: Complex  # (P, k, 3) mm, from the centre

    @cached_property
    def length(self) -> Complex:
        return self.wanted

    @property
    def anchor(self) -> Complex:
        return self.goal


def moved(fitted: Fit, facts: Facts, plan: Plan, estimates: Complex) -> Complex:
    """The estimates (P, u) after a plan: nudged ones of one vehicle stay nudged, drawn ones are each their own.

    Errors: BadMove, BadName.
    """
    state = estimates.copy()
    for move in plan.moves:
        state = _one(fitted, facts, move, state, plan.keep_lengths)
    return state


def _one(fitted: Fit, facts: Facts, move: Move, state: Complex, keep: bool) -> Complex:
    _check_numbers(move)
    match move:
        case PointTo() | PointBy():
            after = _point(fitted, move, state)
            return _settled(fitted, facts, state, after, {}) if keep and _holds_links(fitted, move.point) else after
        case LinkTo() | LinkBy():
            return _link(fitted, facts, move, state)
        case TyreTo():
            return _tyre(fitted, move, state)
        case RideBy():
            return _ride_height(fitted, facts, move, state)
        case CgTo():
            return _cg(fitted, facts, move, state)


def _check_numbers(move: Move) -> None:
    for name, value in vars(move).items():
        if isinstance(value, float | int) and not abs(value) <= MOST_MM * (1.0 if isinstance(move, PointTo) else 0.5):
            raise BadMove(refusal_words.no_place(name, value))


def slot_of_point(fitted: Fit, name: str) -> int:
    """Where a point's x stands in the estimate. Errors: BadName where it is worked out or not measured."""
    setup = fitted.setup
    if name in fitted.points:
        return fitted.slot[name]
    point = point_named(name, setup.layout, setup.worked_axle)
    parts = combination(name, setup.layout, setup.worked_axle)
    if list(parts) != [name]:
        raise BadName(refusal_words.worked_out(name, point.phrase, " and ".join(parts)))
    raise BadName(refusal_words.not_measured(name, point.phrase))


def _point(fitted: Fit, move: PointTo | PointBy, state: Complex) -> Complex:
    first = slot_of_point(fitted, move.point)
    after = state.copy()
    origin = np.array([fitted.origin, 0.0, 0.0])
    for axis, value in enumerate((move.x, move.y, move.z)):
        if value is None:
            continue
        by = value if isinstance(move, PointBy) else value + origin[axis] - float(state[0, first + axis].real)
        after[:, first + axis] += by
    return after


def _holds_links(fitted: Fit, point: str) -> bool:
    return point_named(point, fitted.setup.layout, fitted.setup.worked_axle).group == "links"


def _link(fitted: Fit, facts: Facts, move: LinkTo | LinkBy, state: Complex) -> Complex:
    ride = Ride(fitted, facts, state)
    known = [link.name for link in ride.layout.links]
    if move.link not in known:
        near = did_you_mean(move.link, known) or f"; its links are {', '.join(known)}."
        raise BadName(refusal_words.no_such_link(move.link, near))
    now = float(norm(ride.link(move.link))[0].real)
    by = move.by if isinstance(move, LinkBy) else move.length - now
    if now + by < LEAST_LENGTH:
        raise BadMove(refusal_words.leaves_no_link(move.link, now + by, now))
    return _settled(fitted, facts, state, state.copy(), {move.link: by})


def _tyre(fitted: Fit, move: TyreTo, state: Complex) -> Complex:
    after = state.copy()
    loaded = state[:, fitted.slot["tyre.loaded_radius"]]
    before = _tyre_now(fitted, state)
    if not 0.5 < move.diameter / float(before.real[0]) < 2.0:
        now = float(before.real[0])
        raise BadMove(refusal_words.no_tyre(move.diameter, now))
    growth = loaded * (move.diameter / before - 1.0)
    for name in fitted.points:
        after[:, fitted.slot[name] + 2] += growth
    for name in ("tyre.loaded_radius", "cg.z"):
        if name in fitted.slot:
            after[:, fitted.slot[name]] += growth
    if "tyre.free_diameter" in fitted.slot:
        after[:, fitted.slot["tyre.free_diameter"]] = move.diameter
    return after


def _tyre_now(fitted: Fit, state: Complex) -> Complex:
    if "tyre.free_diameter" in fitted.slot:
        return state[:, fitted.slot["tyre.free_diameter"]]
    if fitted.setup.tyre_diameter is None:
        raise BadMove(refusal_words.TYRE_NOT_KNOWN)
    return np.full(len(state), fitted.setup.tyre_diameter)


def _ride_height(fitted: Fit, facts: Facts, move: RideBy, state: Complex) -> Complex:
    """The frame turned and lifted as one piece; then the axle swings after it."""
    ride = Ride(fitted, facts, state)
    pivot = 0.5 * (ride.point("other_left.centre") + ride.point("other_right.centre"))
    front_up = (move.worked - move.other if ride.front else move.other - move.worked) / ride.wheelbase
    size = np.sqrt(1.0 + front_up**2)
    cos, sin = 1.0 / size, front_up / size
    after = state.copy()
    for name in fitted.points:
        if point_named(name, fitted.setup.layout, fitted.setup.worked_axle).body != "frame":
            continue
        arm = ride.point(name) - pivot
        first = fitted.slot[name]
        after[:, first] = pivot[:, 0] + cos * arm[:, 0] - sin * arm[:, 2]
        after[:, first + 2] = pivot[:, 2] + sin * arm[:, 0] + cos * arm[:, 2] + move.other
    angle = np.arctan(front_up)
    if "gearbox_output" in fitted.slot:
        after[:, fitted.slot["gearbox_output"]] += angle if ride.front else -angle
    if "cg.z" in fitted.slot:
        after[:, fitted.slot["cg.z"]] += move.other + (move.worked - move.other) * _share_at_worked(ride)
    return _settled(fitted, facts, state, after, {})


def _share_at_worked(ride: Ride) -> Complex:
    """The worked axle's share of the weight, (P,); half where the wheels have not been weighed."""
    if not ride.has(*LOADS):
        return np.full(len(ride.centre), 0.5)
    loads = {name: ride.scalar(name) for name in LOADS}
    own = "load.front" if ride.front else "load.rear"
    mine = np.asarray(sum(load for name, load in loads.items() if name.startswith(own)))
    return np.asarray(mine / np.asarray(sum(loads.values())))


def _cg(fitted: Fit, facts: Facts, move: CgTo, state: Complex) -> Complex:
    after = state.copy()
    if move.height is not None:
        if "cg.z" not in fitted.slot:
            raise BadMove(refusal_words.CG_NOT_ENTERED)
        if move.height <= 1.0:
            raise BadMove(refusal_words.CG_BELOW_FLOOR)
        slot = fitted.slot["cg.z"]
        after[:, slot] += move.height - float(state[0, slot].real)
    if move.along is not None:
        _shift_loads(fitted, facts, move.along, state, after)
    return after


def _shift_loads(fitted: Fit, facts: Facts, along: float, state: Complex, after: Complex) -> None:
    """Weight taken from one axle to the other until the centre of gravity stands `along` mm ahead of the worked one."""
    ride = Ride(fitted, facts, state)
    if not ride.has(*LOADS):
        raise BadMove(refusal_words.NOT_WEIGHED)
    loads = [float(ride.scalar(name)[0].real) for name in LOADS]
    total, wheelbase = sum(loads), float(ride.wheelbase[0].real)
    at = -wheelbase * (loads[2] + loads[3]) / total if ride.front else wheelbase * (loads[0] + loads[1]) / total
    low, high = (-wheelbase, 0.0) if ride.front else (0.0, wheelbase)
    if not low < along < high:
        reach = refusal_words.enter_between(low, high)
        raise BadMove(refusal_words.cg_outside(along, reach))
    shift = 0.5 * (along - at) * total / wheelbase
    for name, way in zip(LOADS, (1.0, 1.0, -1.0, -1.0), strict=True):
        after[:, fitted.slot[name]] += way * shift


# Putting the axle together again.


def _settled(fitted: Fit, facts: Facts, before: Complex, after: Complex, longer: dict[str, float]) -> Complex:
    """`after` with the axle moved until every link has its length of `before`, plus what `longer` gives it."""
    was, now = Ride(fitted, facts, before), Ride(fitted, facts, after)
    parts = _assembly(was, now, longer)
    pose, turn = _pose(parts)
    if pose is None or turn is None:
        said = f" with {', '.join(longer)} so" if longer else ""
        raise BadMove(refusal_words.do_not_reach(said))
    return _carried(fitted, now, after, pose, turn)


def _assembly(was: Ride, now: Ride, longer: dict[str, float]) -> Assembly:
    kept, rig = was.rig, now.rig
    distance = [link.name for link in now.layout.links if link.role != "arm"]
    arms = [link.name for link in now.layout.links if link.role == "arm"]
    wanted = kept.length + np.array([longer.get(name, 0.0) for name in distance])
    reach = kept.held
    for number, name in enumerate(arms):
        along = was.link(name)
        reach = reach.copy()
        reach[:, number] += along / norm(along)[:, None] * longer.get(name, 0.0)
    goal = rig.held
    return Assembly(rig.centre, rig.contact, rig.contact_span, rig.frame, rig.axle, reach, wanted, goal)


def _real(rig: Assembly) -> Assembly:
    parts = (rig.centre, rig.contact, rig.contact_span, rig.frame, rig.axle, rig.held, rig.wanted, rig.goal)
    return Assembly(*(np.ascontiguousarray(part[:1].real) for part in parts))


def _pose(rig: Assembly) -> tuple[Complex | None, Complex | None]:
    """Shift (P, 3) and turn (P, 3, 3) of the axle; None where its links cannot be put together."""
    none = np.zeros(1)
    if not np.iscomplexobj(rig.centre):
        swept = motion.sweep(rig, none)
        lost = ~swept.reached_by[:, 0]
        if lost.all():
            return None, None
        shift, turn = swept.pose.shift[:, 0].copy(), swept.pose.turn[:, 0].copy()
        shift[lost], turn[lost] = np.nan, np.nan
        return shift, turn
    real = _real(rig)
    swept = motion.sweep(real, none)
    if not swept.reached.all():
        return None, None
    pose = follow(rig, swept.pose, np.linalg.inv(swept.closure.matrix), none, none)
    return pose.shift[:, 0], pose.turn[:, 0]


def _carried(fitted: Fit, ride: Ride, state: Complex, shift: Complex, turn: Complex) -> Complex:
    """Every point of the axle and its steering taken along, and the pinion's angle with it."""
    found = state.astype(np.result_type(state, shift))
    to = ride.centre + shift
    for name in fitted.points:
        if point_named(name, fitted.setup.layout, fitted.setup.worked_axle).body in ("axle", "steering"):
            first = fitted.slot[name]
            found[:, first : first + 3] = to + np.einsum("pij,pj->pi", turn, ride.point(name) - ride.centre)
    if "pinion" in fitted.slot:
        angle = ride.scalar("pinion")
        ahead = -1.0 if ride.front else 1.0
        found[:, fitted.slot["pinion"]] = asin(turn[:, 2, 0] * ahead * np.cos(angle) + turn[:, 2, 2] * np.sin(angle))
    return found


def distances(points: Array, starts: Array, ends: Array) -> Array:
    """From points (..., 3) to the segments between starts and ends (..., 3), mm; shapes broadcast."""
    along = ends - starts
    square = np.maximum((along**2).sum(axis=-1), 1e-12)
    share = np.clip(((points - starts) * along).sum(axis=-1) / square, 0.0, 1.0)
    off = points - starts - share[..., None] * along
    return np.asarray(np.sqrt((off**2).sum(axis=-1)))


def with_moves(plan: Plan, more: Sequence[Move]) -> Plan:
    """The plan with further moves at its end."""
    return replace(plan, moves=(*plan.moves, *more))
