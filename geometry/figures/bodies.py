"""The bars, wheels and own points around the worked axle as bodies, and where they are at any pose and steer.

A link, panhard bar, drag link, tie rod or driveshaft is a straight bar of its tube's diameter; a tyre is a solid disc
as wide as stated; a keep-clear point is a point; rails and other bodies on the frame are those of hulls.py. Steer turns
the knuckles on top of what the drag link does by itself; the drag link's ball at the steering box is taken to go along
with its ball at the knuckle, as its arm swings about like the knuckle's. Where no kingpins were read a front wheel
turns upright about its own centre, which shows too little.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from geometry.complex_step import Complex, norm
from geometry.figures.hulls import boxes_of, end_points, hulls
from geometry.figures.ride import Ride
from geometry.figures.steering import SIDES, kingpin, self_steer, steered_side, swung, turn_to_reach
from geometry.frame import Array
from geometry.layouts import Link
from geometry.motion import Pose
from geometry.nearest import Box
from geometry.points import LOADED_SHARE

DEGREE = 180.0 / np.pi
USUAL_DIAMETER = {"lower": 50.0, "upper": 45.0, "panhard": 38.0, "arm": 60.0, "drag_link": 35.0, "tie_rod": 38.0,
                  "driveshaft": 76.0}  # fmt: skip
"""mm, of parts whose tube is not stated; common practice, no source."""
USUAL_WIDTH = 300.0
USUAL_LOCK = 30.0
"""deg each way; common practice, no source."""
RODS = {"drag_link": "drag link", "tie_rod": "tie rod", "driveshaft": "driveshaft"}


TRIMMED = 120.0
"""mm of a bar at its frame bolt that are not held against bodies on the frame: there it stands in its bracket. As much
of a drag link is not held against the tie rod at the knuckle they share."""


class Surroundings(Ride):
    """A vehicle whose own points and tyres count too, and marks where a body runs between them."""

    aside = ("floor.", "travel.", "lift.")
    each_wheel = True

    def _relevant(self) -> list[int]:
        used = end_points(self)
        unused = {self.fit.slot[name] for name in self.fit.points if name.startswith("mark.") and name not in used}
        return [k for k in super()._relevant() if not any(k - axis in unused for axis in range(3))]


@dataclass(frozen=True)
class Bar:
    """A bar's name, words, diameter mm, and what it is fixed to at each end. cut: without its last bit at the axle."""

    name: str
    words: str
    diameter: float
    bodies: tuple[str, str]
    cut: bool = False


@dataclass(frozen=True)
class Scene:
    """Everything at N poses of P vehicles, floor frame: bars' ends (P, N, B, 3), the cut ones last, own points
    (P, N, K, 3), wheels' centres and spindles (P, N, 2, 3) left first, their radius (P,) and half their width, mm.

    beyond: where bars begin that is clear of their own brackets. round_start, round_end: of round bodies on the frame,
    (P, N, R, 3), and their diameters (R,). boxes: rectangular ones, (P, N, H, ...), None without any.
    """

    start: Complex
    end: Complex
    beyond: Complex
    diameter: Array
    own: Complex
    round_start: Complex
    round_end: Complex
    round_diameter: Array
    boxes: Box | None
    wheel: Complex
    spindle: Complex
    wheel_radius: Complex
    half_width: float


def bars(ride: Ride) -> tuple[Bar, ...]:
    """Every bar whose two ends have entered, links first."""
    found = [Bar(link.name, link.words, _diameter(ride, link.name, link.role), _fixed(link)) for link in
             ride.layout.links]  # fmt: skip
    ends = {"drag_link": ("frame", "axle"), "tie_rod": ("left", "right"), "driveshaft": ("frame", "axle")}
    for name, words in RODS.items():
        if ride.has(*(f"{name}.{end}" for end in ends[name])) and (name == "driveshaft" or turns_on_kingpins(ride)):
            found.append(Bar(name, words, _diameter(ride, name, name), _held_by(ride, name)))
    return tuple(found)


def crossed_rods(ride: Ride) -> tuple[Bar, ...]:
    """The drag link less its bit at the knuckle that it shares with the tie rod; none where it hangs on the tie rod."""
    found = {bar.name: bar for bar in bars(ride)}
    if "drag_link" not in found or "tie_rod" not in found:
        return ()
    drag, tie = found["drag_link"], found["tie_rod"]
    ball, left, right = (ride.point(name)[0].real for name in ("drag_link.axle", "tie_rod.left", "tie_rod.right"))
    along = right - left
    share = np.clip((ball - left) @ along / max(float(along @ along), 1.0), 0.0, 1.0)
    apart = float(np.linalg.norm(ball - left - share * along))
    return () if apart < 0.5 * (drag.diameter + tie.diameter) else (replace(drag, cut=True),)


def _fixed(link: Link) -> tuple[str, str]:
    return ("axle", "axle") if link.role == "arm" else ("frame", "axle")


def _held_by(ride: Ride, name: str) -> tuple[str, str]:
    if name == "tie_rod":
        return "knuckle_left", "knuckle_right"
    return ("frame", f"knuckle_{steered_side(ride)}") if name == "drag_link" else ("frame", "axle")


def _diameter(ride: Ride, name: str, role: str) -> float:
    stated = ride.facts.tubes.get(name)
    return USUAL_DIAMETER[role] if stated is None else stated.outside_diameter


def own_points(ride: Ride) -> tuple[str, ...]:
    """The keep-clear points that have entered and are no end of a body."""
    used = end_points(ride)
    return tuple(name for name in ride.fit.points if name.startswith("keep_clear.") and name not in used)


def wheel_radius(ride: Ride) -> Complex:
    """Of the free tyre, (P,) mm: as read, as stated, or from the loaded radius."""
    if ride.has("tyre.free_diameter"):
        return 0.5 * ride.scalar("tyre.free_diameter")
    if ride.facts.tyre_diameter is not None:
        return np.full_like(ride.centre[:, 0], 0.5 * ride.facts.tyre_diameter)
    return np.asarray(0.5 * ride.scalar("tyre.loaded_radius") / LOADED_SHARE)


def scene(ride: Ride, pose: Pose, steer: Array) -> Scene:
    """All bodies at N poses (pose leads with (P, N)), with the wheels steered by so many deg, (N,), + left."""
    turns = _turns(ride, pose, steer)
    every = (*bars(ride), *crossed_rods(ride))
    ends = [_ends(ride, pose, bar, turns) for bar in every]
    wheels = [_wheel(ride, pose, side, turns[side]) for side in SIDES]
    still = [ride.point(name) for name in own_points(ride)]
    found = hulls(ride).found
    rounds = [hull for hull in found if hull.diameter is not None]
    width = ride.facts.tyre_width if ride.facts.tyre_width is not None else USUAL_WIDTH
    return Scene(
        np.stack([start for start, _ in ends], axis=2),
        np.stack([end for _, end in ends], axis=2),
        np.stack([_clear_of_bracket(bar, *two) for bar, two in zip(every, ends, strict=True)], axis=2),
        np.array([bar.diameter for bar in every]),
        _beside(still, pose),
        _beside([hull.start for hull in rounds], pose),
        _beside([hull.end for hull in rounds], pose),
        np.array([hull.diameter or 0.0 for hull in rounds]),
        boxes_of(found),
        np.stack([centre for centre, _ in wheels], axis=2),
        np.stack([spindle for _, spindle in wheels], axis=2),
        wheel_radius(ride),
        0.5 * width,
    )


def _beside(points: list[Complex], pose: Pose) -> Complex:
    """Points that stand still, (P, 3) each, at every pose: (P, N, K, 3)."""
    still = [_still(point, pose) for point in points]
    return np.stack(still, axis=2) if still else np.zeros((*pose.shift.shape[:2], 0, 3), pose.shift.dtype)


def _clear_of_bracket(bar: Bar, start: Complex, end: Complex) -> Complex:
    """Where a bar that is bolted to the frame begins for bodies on the frame, (P, N, 3)."""
    return _shortened(start, end) if bar.bodies[0] == "frame" else start


def _shortened(start: Complex, end: Complex) -> Complex:
    """So much further on from one end to the other as is cut off, half way at the most, (P, N, 3)."""
    length = norm(end - start)[..., None]
    share = np.where(length.real > 2.0 * TRIMMED, TRIMMED / np.where(length.real > 0, length, 1.0), 0.5 + 0.0 * length)
    return np.asarray(start + share * (end - start))


def turns_on_kingpins(ride: Ride) -> bool:
    """Whether its knuckles turn about kingpins that were read."""
    return ride.front and ride.has("kingpin_left.top", "kingpin_right.top")


def _turns(ride: Ride, pose: Pose, steer: Array) -> dict[str, Complex]:
    """How far each knuckle is turned about its kingpin against the axle, (P, N) radian."""
    first, turn = led(ride, pose, steer)
    if not ride.front:
        return dict.fromkeys(SIDES, 0.0 * turn)
    if not turns_on_kingpins(ride):
        return dict.fromkeys(SIDES, turn)
    second = other_turn(ride, first, turn)
    return {first: turn, _opposite(first): np.where(np.isfinite(second.real), second, turn)}


def led(ride: Ride, pose: Pose, steer: Array) -> tuple[str, Complex]:
    """The knuckle that is steered first and how far it is turned, with what the axle's travel steers it, (P, N) rad."""
    turn = np.broadcast_to(steer / DEGREE, pose.shift.shape[:2]).astype(pose.shift.dtype)
    first = "left"
    if not turns_on_kingpins(ride):
        return first, turn
    if ride.has("drag_link.frame", "drag_link.axle"):
        first = steered_side(ride)
        by_itself = self_steer(ride, pose) / DEGREE
        turn = turn + np.where(np.isfinite(by_itself.real), by_itself, 0.0)
    return first, turn


def _opposite(side: str) -> str:
    return "right" if side == "left" else "left"


def other_turn(ride: Ride, first: str, turn: Complex) -> Complex:
    """The other knuckle's turn: by the tie rod, nan where it does not reach; the same where there is none."""
    if not ride.has("tie_rod.left", "tie_rod.right"):
        return turn
    balls = {side: ride.point(f"tie_rod.{side}") for side in SIDES}
    other = _opposite(first)
    moved = swung(ride, first, balls[first], turn)
    length = norm(balls["left"] - balls["right"])
    return turn_to_reach(ride, other, balls[other], moved, length, balls[first])


def _ends(ride: Ride, pose: Pose, bar: Bar, turns: dict[str, Complex]) -> tuple[Complex, Complex]:
    """Both ends of a bar at each pose, (P, N, 3)."""
    if bar.name == "tie_rod":
        left, right = (_on_knuckle(ride, pose, side, ride.point(f"tie_rod.{side}"), turns[side]) for side in SIDES)
        return left, right
    if bar.name == "drag_link":
        start, end = _drag_link(ride, pose, turns)
        return start, _shortened(end, start) if bar.cut else end
    if bar.name == "driveshaft":
        near, far = ride.point("driveshaft.frame"), ride.point("driveshaft.axle")
        return _still(near, pose), _carried(ride, pose, far)
    link = next(link for link in ride.layout.links if link.name == bar.name)
    if link.role == "arm":
        return _carried(ride, pose, ride.point(link.frame)), _carried(ride, pose, _far_joint(ride, link))
    return _still(ride.point(link.frame), pose), _carried(ride, pose, ride.axle_end(link.name))


def _far_joint(ride: Ride, link: Link) -> Complex:
    """The axle joint of a radius arm that is farther from its frame end."""
    foot = ride.point(link.frame)
    joints = [ride.point(end) for end in link.axle]
    return max(joints, key=lambda joint: float(np.linalg.norm((joint - foot)[0].real)))


def _drag_link(ride: Ride, pose: Pose, turns: dict[str, Complex]) -> tuple[Complex, Complex]:
    """The box ball goes along with what steer, beyond the axle's own, does to the knuckle's ball."""
    side, ball = steered_side(ride), ride.point("drag_link.axle")
    now = _on_knuckle(ride, pose, side, ball, turns[side])
    by_itself = self_steer(ride, pose) / DEGREE
    straight = np.where(np.isfinite(by_itself.real), by_itself, 0.0)
    before = _on_knuckle(ride, pose, side, ball, straight)
    return ride.point("drag_link.frame")[:, None] + now - before, now


def _wheel(ride: Ride, pose: Pose, side: str, turn: Complex) -> tuple[Complex, Complex]:
    """A wheel's centre and the unit direction of its spindle, (P, N, 3) each."""
    centre = ride.point(f"wheel_{side}.centre")
    across = ride.point("wheel_left.centre") - ride.point("wheel_right.centre")
    spindle = across / norm(across)[:, None]
    if not ride.front:
        return _carried(ride, pose, centre), _turned(pose, np.broadcast_to(spindle[:, None], pose.shift.shape))
    if not turns_on_kingpins(ride):
        x, y, z = (part[:, None] for part in np.moveaxis(spindle, -1, 0))
        cosine, sine = np.cos(turn), np.sin(turn)
        steered = np.stack([cosine * x - sine * y, sine * x + cosine * y, z + 0.0 * turn], axis=-1)
        return _carried(ride, pose, centre), _turned(pose, steered)
    hub = _on_knuckle(ride, pose, side, centre, turn)
    return hub, _on_knuckle(ride, pose, side, centre + spindle, turn) - hub


def _on_knuckle(ride: Ride, pose: Pose, side: str, point: Complex, turn: Complex) -> Complex:
    """A point of a knuckle (P, 3) at each pose, (P, N, 3)."""
    kingpin(ride, side)
    return _carried_many(ride, pose, swung(ride, side, point, turn))


def _still(point: Complex, pose: Pose) -> Complex:
    return np.broadcast_to(point[:, None], pose.shift.shape)


def _carried(ride: Ride, pose: Pose, point: Complex) -> Complex:
    return _carried_many(ride, pose, np.broadcast_to(point[:, None], pose.shift.shape))


def _carried_many(ride: Ride, pose: Pose, points: Complex) -> Complex:
    """Points given at ride height, (P, N, 3), carried with the axle."""
    centre = ride.centre[:, None]
    return centre + pose.shift + _turned(pose, points - centre)


def _turned(pose: Pose, arms: Complex) -> Complex:
    return np.asarray(np.einsum("pnij,pnj->pni", pose.turn, arms))


@dataclass(frozen=True)
class Taken:
    """Something taken as usual because it is not stated: words with {} where its length mm belongs, if it has one."""

    words: str
    mm: float | None = None


def assumed(ride: Ride) -> tuple[Taken, ...]:
    """What was taken as usual because it is not stated."""
    found = [Taken(f"{bar.words} {{}} thick", bar.diameter) for bar in bars(ride) if bar.name not in ride.facts.tubes]
    if ride.facts.tyre_width is None:
        found.append(Taken("tyres {} wide", USUAL_WIDTH))
    if not ride.has("tyre.free_diameter") and ride.facts.tyre_diameter is None:
        found.append(Taken("tyres {} high", 2.0 * float(wheel_radius(ride).real[0])))
    if ride.front and ride.facts.steer_lock is None:
        found.append(Taken(f"wheels that steer {USUAL_LOCK:.0f}° each way"))
    if ride.front and not turns_on_kingpins(ride):
        found.append(Taken("wheels that turn about their own centre, as no kingpin was read"))
    return tuple(found)


def steer_lock(ride: Ride) -> float:
    """How far the wheels steer each way, deg; none on a rear axle."""
    if not ride.front:
        return 0.0
    return USUAL_LOCK if ride.facts.steer_lock is None else ride.facts.steer_lock
