"""How near the moving parts come to each other and to what must be kept clear, over travel, articulation and steer.

Every pair of bodies that can touch is looked at everywhere the axle gets to, with the wheels straight, half way and at
lock. The least distance counts surfaces, negative where they overlap. Its spread is that at the very place: the nearest
spots are held while the vehicle is nudged, which is exact to first order. Bent tubes, brackets, heads of bolts and the
give of bushings are not in it; people leave 10 to 15 mm for those.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from geometry.complex_step import STEP, Complex
from geometry.figures import Spread
from geometry.figures.base import Facts
from geometry.figures.bodies import Scene, Surroundings, assumed, bars, own_points, scene, steer_lock
from geometry.figures.everywhere import Everywhere, everywhere
from geometry.figures.spread import spreads
from geometry.fit import Fit
from geometry.frame import Array
from geometry.motion import Pose
from geometry.nearest import bars_apart, of_lines, of_wheel, off_wheel
from geometry.points import point_named

STEERS = (-1.0, -0.5, 0.0, 0.5, 1.0)
"""Shares of the lock."""
SORTS: tuple[tuple[str, str], ...] = (("bar", "bar"), ("bar", "keep_clear"), ("bar", "tyre"), ("tyre", "keep_clear"))
SAME_PLACE = 1.0
USUAL_GAP = {"tyre": 25.0, "driveshaft": 20.0, "keep_clear": 25.0, "bars": 12.0}
"""mm at full travel and lock, common practice, no source; between moving bars 12 to 20."""
Places = NDArray[np.intp]
UNFINISHED = "The links bind before the stops: it was looked at only as far as they reach."


@dataclass(frozen=True)
class Clearance:
    """The least distance of one pair, mm with one standard deviation, and where it is.

    place: between both nearest spots, vehicle frame. travel of the axle's centre, lift left over right, mm; steer deg,
    + left. usual: the gap people leave at least. leans: it stands on a guess in place of a reading. sentence: what it
    means.
    """

    one: str
    other: str
    words: tuple[str, str]
    least: float
    sd: float
    place: tuple[float, float, float]
    travel: float
    lift: float
    steer: float
    usual: float
    leans: bool
    sentence: str


@dataclass(frozen=True)
class ClearanceTable:
    """Every pair, the nearest first; what was assumed, and a remark where not all travel could be looked at."""

    rows: tuple[Clearance, ...]
    assumed: tuple[str, ...]
    remark: str | None = None


@dataclass(frozen=True)
class _Body:
    name: str
    words: str
    sort: str  # "bar", "tyre" or "keep_clear"
    index: int
    bodies: tuple[str, ...]


def clearances(fit: Fit, facts: Facts) -> ClearanceTable:
    """The table of one vehicle. NotYet where its links leave the axle loose."""
    with np.errstate(all="ignore"):
        ride = Surroundings(fit, facts)
        whole = everywhere(ride)
        pairs = _pairs(ride)
        if not pairs:
            return ClearanceTable((), assumed(ride))
        steers = steer_lock(ride) * np.array(STEERS if steer_lock(ride) > 0.0 else (0.0,))
        steps = np.repeat(np.arange(whole.at.travel.size), steers.size)
        steer = np.tile(steers, whole.at.travel.size)
        seen = scene(whole.ride, _poses(whole.at.pose, steps), steer)
        shares, gaps = _nearest(seen, pairs, _thick(ride))
        worst = gaps.argmin(axis=0)
        rows = _rows(ride, whole, pairs, shares, (steps[worst], steer[worst], worst))
        kept = sorted(rows, key=lambda row: row.least)
        return ClearanceTable(tuple(kept), assumed(ride), None if whole.complete else UNFINISHED)


def _bodies(ride: Surroundings) -> list[_Body]:
    axle = "front" if ride.front else "rear"
    found = [_Body(bar.name, bar.words, "bar", k, bar.bodies) for k, bar in enumerate(bars(ride))]
    for k, side in enumerate(("left", "right")):
        holder = f"knuckle_{side}" if ride.front else "axle"
        found.append(_Body(f"tyre_{side}", f"{side} {axle} tyre", "tyre", k, (holder,)))
    for k, name in enumerate(own_points(ride)):
        words = point_named(name, ride.layout.name, axle).words.removesuffix(", keep clear")
        found.append(_Body(name, words, "keep_clear", k, ("frame",)))
    return found


def _pairs(ride: Surroundings) -> list[tuple[_Body, _Body]]:
    """Pairs that can come nearer or farther and do not hang together. The bar, if any, stands first."""
    at_ride = scene(ride.alone(), _at_ride(), np.zeros(1))
    ends = np.stack([at_ride.start[0, 0], at_ride.end[0, 0]], axis=1)
    chosen = []
    for one, other in combinations(_bodies(ride), 2):
        if one.sort != "bar" and {one.sort, other.sort} != {"tyre", "keep_clear"}:
            continue
        fixed = set(one.bodies) == set(other.bodies) and len(set(one.bodies)) == 1
        knuckles = {body for body in one.bodies if body.startswith("knuckle")} & set(other.bodies)
        if not (fixed or knuckles or _joined(ends, one, other)):
            chosen.append((one, other))
    return chosen


def _joined(ends: Array, one: _Body, other: _Body) -> bool:
    """Whether two bars share a joint. ends: of all bars at ride height, (B, 2, 3)."""
    if one.sort != "bar" or other.sort != "bar":
        return False
    off = ends[one.index][:, None] - ends[other.index][None]
    return bool((np.sqrt(np.einsum("ijk,ijk->ij", off, off)) < SAME_PLACE).any())


def _at_ride() -> Pose:
    return Pose(np.zeros((1, 1, 3)), np.eye(3)[None, None], np.zeros((1, 1)))


def _thick(ride: Surroundings) -> Array:
    return np.array([0.5 * bar.diameter for bar in bars(ride)])


def _poses(pose: Pose, steps: Places) -> Pose:
    """Some of the poses, any of them as often as asked."""
    return Pose(pose.shift[:, steps], pose.turn[:, steps], pose.multiplier[:, steps])


def _indices(pairs: list[tuple[_Body, _Body]], sorts: tuple[str, str]) -> tuple[Places, Places, Places]:
    """Which pairs are of two sorts, and the indices of their bodies."""
    chosen = [k for k, (one, other) in enumerate(pairs) if (one.sort, other.sort) == sorts]
    ones = np.array([pairs[k][0].index for k in chosen], dtype=int)
    others = np.array([pairs[k][1].index for k in chosen], dtype=int)
    return np.array(chosen, dtype=int), ones, others


def _nearest(seen: Scene, pairs: list[tuple[_Body, _Body]], thick: Array) -> tuple[tuple[Array, Array], Array]:
    """Shares along both bodies where they are nearest, and the gap, all (N, pairs), of the vehicle alone."""
    count = seen.start.shape[1]
    first, second, gaps = (np.zeros((count, len(pairs))) for _ in range(3))
    start, end = seen.start[0], seen.end[0]
    chosen, one, other = _indices(pairs, ("bar", "bar"))
    ends = start[:, one], end[:, one], start[:, other], end[:, other]
    first[:, chosen], second[:, chosen] = of_lines(*ends)
    gaps[:, chosen] = _bar_gap(*ends, (first[:, chosen], second[:, chosen]), thick[one] + thick[other])
    chosen, one, other = _indices(pairs, ("bar", "keep_clear"))
    ends = start[:, one], end[:, one], seen.own[0][:, other], seen.own[0][:, other]
    first[:, chosen], second[:, chosen] = of_lines(*ends)
    gaps[:, chosen] = _bar_gap(*ends, (first[:, chosen], second[:, chosen]), thick[one])
    for sorts in SORTS[2:]:
        chosen, one, other = _indices(pairs, sorts)
        wheel = other if sorts[1] == "tyre" else one
        near, far = (start[:, one], end[:, one]) if sorts[1] == "tyre" else 2 * (seen.own[0][:, other],)
        disc = seen.wheel[0][:, wheel], seen.spindle[0][:, wheel], seen.wheel_radius[0], seen.half_width
        share = of_wheel(near, far, *disc)
        first[:, chosen] = share
        inside = thick[one] if sorts[1] == "tyre" else 0.0
        gaps[:, chosen] = off_wheel(near + share[..., None] * (far - near), *disc) - inside
    return (first, second), gaps


def _bar_gap(
    one: Array, two: Array, other: Array, far: Array, shares: tuple[Array, Array], thick: Array
) -> Array:
    first, second = (share[..., None] for share in shares)
    apart = one + first * (two - one) - other - second * (far - other)
    return np.asarray(np.sqrt(np.einsum("...i,...i->...", apart, apart)) - thick)


def _rows(
    ride: Surroundings,
    whole: Everywhere,
    pairs: list[tuple[_Body, _Body]],
    shares: tuple[Array, Array],
    worst: tuple[Places, Array, Places],
) -> list[Clearance]:
    """Every pair at its worst place, with its spread. worst: step, steer and row of each pair."""
    steps, steer, row = worst
    kept, back = np.unique(np.stack([steps, steer]), axis=1, return_inverse=True)
    back = back.reshape(-1)
    distinct, at = np.unique(kept[0].astype(int), return_inverse=True)
    followed = whole.places(ride, tuple(distinct.tolist()))
    seen = scene(ride, _poses(followed.pose, at), kept[1])
    columns = np.arange(len(pairs))
    held = shares[0][row, columns], shares[1][row, columns]
    gaps, spots = _held_gaps(seen, pairs, back, held, _thick(ride))
    sds = spreads(ride, gaps)
    leans = Spread(ride).leans((gaps.imag / STEP).T)
    origin = float(ride.centre[0, 0].real)
    found = []
    for k, (one, other) in enumerate(pairs):
        least, sd = float(gaps[0, k].real), float(sds[k])
        if not (np.isfinite(least) and np.isfinite(sd)):
            continue
        x, y, z = (float(part) for part in spots[k])
        usual = _usual(one, other)
        found.append(Clearance(
            one.name, other.name, (one.words, other.words), least, sd, (x - origin, y, z),
            float(whole.at.travel[steps[k]]), float(whole.at.lift[steps[k]]), float(steer[k]), usual,
            bool(leans[k]), _says(one.words, other.words, least, sd, usual),
        ))  # fmt: skip
    return found


def _held_gaps(
    seen: Scene, pairs: list[tuple[_Body, _Body]], at: Places, held: tuple[Array, Array], thick: Array
) -> tuple[Complex, Array]:
    """Gaps (P, pairs) with the nearest spots held, and the spot between them (pairs, 3)."""
    gaps = np.zeros((seen.start.shape[0], len(pairs)), seen.start.dtype)
    spots = np.zeros((len(pairs), 3))
    for sorts in SORTS:
        chosen, one, other = _indices(pairs, sorts)
        if not chosen.size:
            continue
        pose = at[chosen]
        first, second = held[0][chosen], held[1][chosen]
        own = seen.own[:, pose, other] if sorts[1] == "keep_clear" else None
        near, far = (seen.start[:, pose, one], seen.end[:, pose, one]) if sorts[0] == "bar" else (own, own)
        assert near is not None and far is not None
        spot = near + first[:, None] * (far - near)
        if "tyre" in sorts:
            wheel = other if sorts[1] == "tyre" else one
            radius = np.broadcast_to(seen.wheel_radius[:, None], spot.shape[:2])
            disc = seen.wheel[:, pose, wheel], seen.spindle[:, pose, wheel], radius, seen.half_width
            gaps[:, chosen] = off_wheel(spot, *disc) - (thick[one] if sorts[0] == "bar" else 0.0)
            spots[chosen] = spot[0].real
            continue
        start, end = (own, own) if own is not None else (seen.start[:, pose, other], seen.end[:, pose, other])
        both = thick[one] + (thick[other] if own is None else 0.0)
        gaps[:, chosen] = bars_apart(near, far, start, end, (first, second), both)
        spots[chosen] = (0.5 * (spot + start + second[:, None] * (end - start)))[0].real
    return gaps, spots


def _usual(one: _Body, other: _Body) -> float:
    if "tyre" in (one.sort, other.sort):
        return USUAL_GAP["tyre"]
    if "driveshaft" in (one.name, other.name):
        return USUAL_GAP["driveshaft"]
    return USUAL_GAP["keep_clear" if other.sort == "keep_clear" else "bars"]


def _says(one: str, other: str, least: float, sd: float, usual: float) -> str:
    pair = f"{one[:1].upper()}{one[1:]} and {other}"
    if least < -2.0 * sd:
        return f"{pair} run into each other."
    if least < 2.0 * sd:
        return f"{pair} may touch: the spread does not tell."
    if least < usual:
        return f"{pair} stay apart, with less room than people usually leave."
    return f"{pair} stay apart."
