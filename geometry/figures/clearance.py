"""How near the moving parts come to each other and to what must be kept clear, over travel, articulation and steer.

Every pair of bodies that can touch is looked at with both wheels up and down, one up and the other down, and one alone,
at nine steers from lock to lock; where a pair is nearest, the steer is searched between those too. The least distance
counts surfaces, negative where they overlap. Its spread is that at the very place: the nearest spots are held while the
vehicle is nudged, which is exact to first order. Bent tubes, brackets, heads of bolts and the give of bushings are not
in it; people leave 10 to 15 mm for those.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from geometry.complex_step import STEP
from geometry.figures import Spread, figure_words
from geometry.figures.base import Facts
from geometry.figures.bodies import Surroundings, Taken, assumed, bars, crossed_rods, own_points, scene, steer_lock
from geometry.figures.everywhere import Everywhere, everywhere
from geometry.figures.gaps import SORTS, Body, Pairs, Places, held, nearest, nearest_each
from geometry.figures.hulls import hulls
from geometry.figures.spread import spreads
from geometry.figures.steer_stops import beyond_lock, steered_less
from geometry.fit import Fit
from geometry.frame import Array
from geometry.motion import Pose
from geometry.nearest import least_along
from geometry.points import point_named

STEERS = (-1.0, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of the lock."""
BETWEEN = 10
"""Rounds of the search between two of them: down to a hundredth of the way."""
SAME_PLACE = 1.0
FAR_OFF = 1e5
"""mm: more than any gap of a vehicle."""
USUAL_GAP = {"tyre": 25.0, "driveshaft": 20.0, "keep_clear": 25.0, "bars": 12.0}
"""mm at full travel and lock, common practice, no source; between moving bars 12 to 20."""
Place = tuple[float, float, float]
"""x y z, mm, vehicle frame."""


@dataclass(frozen=True)
class Clearance:
    """The least distance of one pair, mm with one standard deviation, and where it is.

    spots: the nearest of both surfaces, place: halfway between them, vehicle frame. travel of the axle's centre, lift
    left over right, mm; steer deg, + left. usual: the gap people leave at least. leans: it stands on a guess in place
    of a reading; needs: the readings that would tell. sentence: what it means.
    """

    one: str
    other: str
    words: tuple[str, str]
    least: float
    sd: float
    place: Place
    spots: tuple[Place, Place]
    travel: float
    lift: float
    steer: float
    usual: float
    leans: bool
    sentence: str
    needs: tuple[str, ...] = ()


@dataclass(frozen=True)
class ClearanceTable:
    """Every pair, the nearest first; what was assumed, and a remark where not all travel could be looked at.

    needs: the readings that stated bodies wait for. unfit: a sentence for each body that cannot be looked at.
    """

    rows: tuple[Clearance, ...]
    assumed: tuple[Taken, ...]
    remark: str | None = None
    needs: tuple[str, ...] = ()
    unfit: tuple[str, ...] = ()


def clearances(fit: Fit, facts: Facts) -> ClearanceTable:
    """The table of one vehicle. NotYet where its links leave the axle loose."""
    with np.errstate(all="ignore"):
        ride = Surroundings(fit, facts)
        whole, stated = everywhere(ride), hulls(ride)
        pairs = _pairs(ride)
        if not pairs:
            return ClearanceTable((), assumed(ride), None, stated.needs, stated.remarks)
        steers = steer_lock(ride) * np.array(STEERS if steer_lock(ride) > 0.0 else (0.0,))
        steps = np.repeat(np.arange(whole.at.travel.size), steers.size)
        steer = np.tile(steers, whole.at.travel.size)
        seen = scene(whole.ride, _poses(whole.at.pose, steps), steer)
        where, gaps = nearest(seen, pairs)
        gaps = gaps + _held_back(whole, _poses(whole.at.pose, steps), steer)[:, None]
        worst, columns = gaps.argmin(axis=0), np.arange(len(pairs))
        at = _Worst(steps[worst], steer[worst], (where[0][worst, columns], where[1][worst, columns]),
                    gaps[worst, columns])  # fmt: skip
        rows = _rows(ride, whole, pairs, _between_steers(whole, pairs, at, steers))
        kept = sorted(rows, key=lambda row: row.least)
        said = [steered_less(whole.ride), "" if whole.complete else figure_words.LOOKED_AS_FAR]
        return ClearanceTable(tuple(kept), assumed(ride), " ".join(filter(None, said)) or None, stated.needs,
                              stated.remarks)


@dataclass(frozen=True)
class _Worst:
    """Where each pair is nearest, (pairs,) each: the step of the axle, the steer deg, where on both bodies, the gap."""

    steps: Places
    steer: Array
    where: tuple[Array, Array]
    gap: Array


def _between_steers(whole: Everywhere, pairs: Pairs, at: _Worst, steers: Array) -> _Worst:
    """The same with the steer searched from one looked at to its neighbours: a tyre's edge may come by between them."""
    if steers.size == 1:
        return at
    poses, apart = _poses(whole.at.pose, at.steps), steers[1] - steers[0]
    low, high = (np.clip(at.steer + way * apart, steers[0], steers[-1]) for way in (-1.0, 1.0))

    def look(steer: Array) -> tuple[tuple[Array, Array], Array]:
        where, gap = nearest_each(scene(whole.ride, poses, steer), pairs)
        return where, gap + _held_back(whole, poses, steer)

    share = least_along(low[:, None], high[:, None], low.shape, lambda spot: look(spot[:, 0])[1], BETWEEN)
    steer = low + share * (high - low)
    (first, second), gap = look(steer)
    nearer = gap < at.gap
    return _Worst(at.steps, np.where(nearer, steer, at.steer),
                  (np.where(nearer, first, at.where[0]), np.where(nearer, second, at.where[1])),
                  np.where(nearer, gap, at.gap))  # fmt: skip


def _held_back(whole: Everywhere, poses: Pose, steer: Array) -> Array:
    """What is added to the gaps, (N,) mm, where the wheels do not get to: so much that it is never least, and the more
    the further beyond."""
    beyond = beyond_lock(whole.ride, poses, steer)
    return np.where(beyond > 0.0, FAR_OFF * (1.0 + beyond), 0.0)


def _bars(ride: Surroundings) -> list[Body]:
    return [Body(bar.name, bar.words, "bar", k, bar.bodies) for k, bar in enumerate(bars(ride))]


def _bodies(ride: Surroundings) -> list[Body]:
    axle = "front" if ride.front else "rear"
    found = _bars(ride)
    for k, side in enumerate(("left", "right")):
        holder = f"knuckle_{side}" if ride.front else "axle"
        found.append(Body(f"tyre_{side}", f"{side} {axle} tyre", "tyre", k, (holder,)))
    for k, name in enumerate(own_points(ride)):
        words = point_named(name, ride.layout.name, axle).words.removesuffix(", keep clear")
        found.append(Body(name, words, "keep_clear", k, ("frame",)))
    counts = {"box": 0, "round": 0}
    for hull in hulls(ride).found:
        sort = "box" if hull.diameter is None else "round"
        found.append(Body(f"body.{hull.name}", hull.words, sort, counts[sort], ("frame",)))
        counts[sort] += 1
    return found


def _pairs(ride: Surroundings) -> Pairs:
    """Pairs that can come nearer or farther and do not hang together, in the order of SORTS."""
    at_ride = scene(ride.alone(), _at_ride(), np.zeros(1))
    ends = np.stack([at_ride.start[0, 0], at_ride.end[0, 0]], axis=1)
    chosen = []
    for one, other in combinations(_bodies(ride), 2):
        if (one.sort, other.sort) not in SORTS:
            continue
        fixed = set(one.bodies) == set(other.bodies) and len(set(one.bodies)) == 1
        knuckles = {body for body in one.bodies if body.startswith("knuckle")} & set(other.bodies)
        if not (fixed or knuckles or _joined(ends, one, other)):
            chosen.append((one, other))
    return chosen + _rods(ride)


def _rods(ride: Surroundings) -> Pairs:
    """Drag link and tie rod, which share a knuckle and still come near each other farther on."""
    cut = crossed_rods(ride)
    every = {body.name: body for body in _bars(ride)}
    return [(Body(bar.name, bar.words, "bar", len(every), bar.bodies), every["tie_rod"]) for bar in cut]


def _joined(ends: Array, one: Body, other: Body) -> bool:
    """Whether two bars share a joint. ends: of all bars at ride height, (B, 2, 3)."""
    if one.sort != "bar" or other.sort != "bar":
        return False
    off = ends[one.index][:, None] - ends[other.index][None]
    return bool((np.sqrt(np.einsum("ijk,ijk->ij", off, off)) < SAME_PLACE).any())


def _at_ride() -> Pose:
    return Pose(np.zeros((1, 1, 3)), np.eye(3)[None, None], np.zeros((1, 1)))


def _poses(pose: Pose, steps: Places) -> Pose:
    """Some of the poses, any of them as often as asked."""
    return Pose(pose.shift[:, steps], pose.turn[:, steps], pose.multiplier[:, steps])


def _rows(ride: Surroundings, whole: Everywhere, pairs: Pairs, worst: _Worst) -> list[Clearance]:
    """Every pair at its worst place, with its spread."""
    steps, steer = worst.steps, worst.steer
    kept, back = np.unique(np.stack([steps, steer]), axis=1, return_inverse=True)
    back = back.reshape(-1)
    distinct, at = np.unique(kept[0].astype(int), return_inverse=True)
    followed = whole.places(ride, tuple(distinct.tolist()))
    seen = scene(ride, _poses(followed.pose, at), kept[1])
    gaps, spots = held(seen, pairs, back, worst.where)
    sds = spreads(ride, gaps)
    spread, gradients = Spread(ride), (gaps.imag / STEP).T
    leans = spread.leans(gradients)
    origin = float(ride.centre[0, 0].real)
    found = []
    for k, (one, other) in enumerate(pairs):
        least, sd = float(gaps[0, k].real), float(sds[k])
        if not (np.isfinite(least) and np.isfinite(sd)):
            continue
        first, second = (_shown(spot, origin) for spot in spots[:, k])
        usual = _usual(one, other)
        found.append(Clearance(
            one.name, other.name, (one.words, other.words), least, sd,
            _shown(spots[:, k].mean(axis=0), origin), (first, second),
            float(whole.at.travel[steps[k]]), float(whole.at.lift[steps[k]]), float(steer[k]), usual,
            bool(leans[k]), _says(one.words, other.words, least, sd, usual),
            spread.needs(gradients[k]) if leans[k] else (),
        ))  # fmt: skip
    return found


def _shown(spot: Array, origin: float) -> Place:
    x, y, z = spot.tolist()
    return x - origin, y, z


def _usual(one: Body, other: Body) -> float:
    if "tyre" in (one.sort, other.sort):
        return USUAL_GAP["tyre"]
    if "driveshaft" in (one.name, other.name):
        return USUAL_GAP["driveshaft"]
    return USUAL_GAP["bars" if other.sort == "bar" else "keep_clear"]


def _says(one: str, other: str, least: float, sd: float, usual: float) -> str:
    pair = f"{one[:1].upper()}{one[1:]} and {other}"
    if least < -2.0 * sd:
        return figure_words.run_into_each_other(pair)
    if least < 2.0 * sd:
        return figure_words.may_touch(pair)
    if least < usual:
        return figure_words.stay_apart(pair)
    return f"{pair} stay apart."
