"""Aims: figures wanted within bands, bolts that may move within boxes, places to keep out of; where to put the bolts.

Damped Gauss-Newton on how far each want is outside its band, with complex-step slopes by the coordinates that may move,
from several starts, always the same ones; the first start is the vehicle as measured, so that of many answers one near
it is found. One that has to move at all goes as far inside the bands as the spread of the readings asks for, where the
boxes allow it. Where not all is met, the same places answer which wants fight, with one effort bounded for all of it.
Moved bolts take their links along (made to fit); the axle stays. Places: vehicle frame as measured, mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry import refusal_words
from geometry.aim_search import AGREEING, MET, MOST_LOOKS, STARTS, Effort, KeepOut, Look, Room, Search, Want
from geometry.errors import GeometryError
from geometry.figures import slopes
from geometry.figures.base import NotYet
from geometry.figures.ride import Ride
from geometry.figures.slopes import Sloped
from geometry.frame import Array
from geometry.layouts import Place
from geometry.moves import Plan, PointTo, slot_of_point
from geometry.what_if import Measured, what_if

__all__ = ["Answer", "BadAim", "Fight", "KeepOut", "Met", "Room", "Want", "aim"]

OPPOSED = -0.5
SETTLED = 2.0
"""So many sds from the nearest edge of its band the readings settle that a want is met."""
MOST_INSIDE = 0.4
"""Of its band's width a want is moved inside at most."""


class BadAim(GeometryError):
    """Aims that contradict themselves or name what is not there; one plain sentence."""


@dataclass(frozen=True)
class Met:
    """What became of one want. inside: it is in its band. spare: how many sds of the readings the nearest edge is away,
    below nought outside; below two, the readings do not settle whether it is met."""

    figure: str
    value: float | None
    sd: float | None
    inside: bool
    spare: float | None


@dataclass(frozen=True)
class Fight:
    """Two wants that cannot both be met within the boxes though each can. opposed: their slopes point apart."""

    first: str
    second: str
    opposed: bool


@dataclass(frozen=True)
class Answer:
    """Where to put the bolts. met: everything wanted holds. places, by: where each goes and how far from as measured.

    unsettled: by how much each coordinate of the answer would be another one, were the readings one sd off, mm.
    entered: places to keep out of that are entered. out_of_reach: wants that no place in the boxes meets even alone.
    fights: pairs. frees: wants without any one of which all the others can be met. all_looked_for: these three are all
    there is; where looking for it took too long, there may be more.
    """

    met: bool
    places: dict[str, Place]
    by: dict[str, Place]
    unsettled: dict[str, Place]
    wants: tuple[Met, ...]
    entered: tuple[str, ...]
    out_of_reach: tuple[str, ...] = ()
    fights: tuple[Fight, ...] = ()
    frees: tuple[str, ...] = ()
    all_looked_for: bool = True


def aim(
    measured: Measured, wants: Sequence[Want], rooms: Sequence[Room], keep_outs: Sequence[KeepOut] = ()
) -> Answer:
    """The places within the rooms that meet the wants, or come nearest to it, and which wants fight each other then.

    Deterministic. Errors: BadAim, BadName.
    """
    _check(measured, wants, rooms, keep_outs)
    goals: list[Want | KeepOut] = [*wants, *keep_outs]
    search = Search(measured, goals, rooms, Effort(MOST_LOOKS))
    place, _ = search.best()
    answer = _answer(search, place, wants)
    if not answer.met:
        return _with_reasons(answer, search)
    stays = np.array_equal(place, search.here)
    return answer if stays or _least_spare(answer) >= SETTLED else _surer(answer, search, place, wants, keep_outs)


def _surer(
    answer: Answer, search: Search, place: Array, wants: Sequence[Want], keep_outs: Sequence[KeepOut]
) -> Answer:
    """An answer further inside the bands, by the spread of the readings, where there is one; else the answer."""
    inner = [_inner(want, met) for want, met in zip(wants, answer.wants, strict=True)]
    deeper = Search(search.measured, [*inner, *keep_outs], search.rooms)
    there, _ = deeper.best(first=place)
    other = _answer(search, there, wants)
    return other if other.met and _least_spare(other) > _least_spare(answer) else answer


def _inner(want: Want, met: Met) -> Want:
    """The band less two sds and a quarter of them at each end, for the spread may grow on the way; at most 0.4 of its
    width."""
    by = 1.25 * SETTLED * (met.sd or 0.0)
    if want.low is not None and want.high is not None:
        by = min(by, MOST_INSIDE * (want.high - want.low))
    low, high = want.low, want.high
    return Want(want.figure, None if low is None else low + by, None if high is None else high - by)


def _least_spare(answer: Answer) -> float:
    return min((met.spare for met in answer.wants if met.spare is not None), default=math.inf)


def _check(measured: Measured, wants: Sequence[Want], rooms: Sequence[Room], keep_outs: Sequence[KeepOut]) -> None:
    if not wants:
        raise BadAim(refusal_words.NOTHING_WANTED)
    if not rooms:
        raise BadAim(refusal_words.NO_BOLT_MAY_MOVE)
    for want in wants:
        _check_want(measured, want, wants)
    for room in rooms:
        slot_of_point(measured.fit, room.point)
        _check_box(room.point, room.low, room.high)
    for keep in keep_outs:
        _check_box(keep.name, keep.low, keep.high)
    names = [room.point for room in rooms]
    for name in names:
        if names.count(name) > 1:
            raise BadAim(refusal_words.two_boxes(name))


def _check_want(measured: Measured, want: Want, wants: Sequence[Want]) -> None:
    answer = measured.answers.get(want.figure)
    if answer is None:
        raise BadAim(refusal_words.no_such_figure(want.figure))
    if want.low is None and want.high is None:
        raise BadAim(refusal_words.no_band(want.figure))
    for edge in (want.low, want.high):
        if edge is not None and not math.isfinite(edge):
            raise BadAim(refusal_words.no_value_of_figure(want.figure, edge))
    if isinstance(answer, NotYet) and answer.needs:
        raise BadAim(refusal_words.figure_waits(want.figure, " and ".join(answer.needs)))
    for other in wants:
        low, high = (want.low, other.high)
        if other.figure == want.figure and low is not None and high is not None and low > high:
            raise BadAim(refusal_words.band_turned_round(want.figure, low, high))


def _check_box(name: str, low: Place, high: Place) -> None:
    for axis, least, most in zip("xyz", low, high, strict=True):
        if not (math.isfinite(least) and math.isfinite(most) and least <= most):
            raise BadAim(refusal_words.empty_box(name, axis, least, most))


# What came out.


def _answer(search: Search, place: Array, wants: Sequence[Want]) -> Answer:
    measured, fitted = search.measured, search.measured.fit
    there = search.state(place)[0].real
    places: dict[str, Place] = {}
    by: dict[str, Place] = {}
    for room in search.rooms:
        first = fitted.slot[room.point]
        x, y, z = (there[first : first + 3] - np.array([fitted.origin, 0.0, 0.0])).tolist()
        dx, dy, dz = (there[first : first + 3] - fitted.estimate[first : first + 3]).tolist()
        places[room.point], by[room.point] = (x, y, z), (dx, dy, dz)
    outcome = what_if(measured, Plan(tuple(PointTo(name, *to) for name, to in places.items())))
    met = tuple(_met(want, outcome.figures[want.figure].value, outcome.figures[want.figure].sd) for want in wants)
    look = search.look(place)
    rows = len(wants)
    entered = [
        goal.words
        for number, goal in enumerate(goal for goal in search.goals if isinstance(goal, KeepOut))
        if look.off[rows + number * len(search.rooms) : rows + (number + 1) * len(search.rooms)].any()
    ]
    slope = [answer.slope for want in wants if isinstance(answer := outcome.answers[want.figure], Sloped)]
    unsettled = _unsettled(search, place, np.array(slope), wants)
    return Answer(all(one.inside for one in met) and not entered, places, by, unsettled, met, tuple(entered))


def _met(want: Want, value: float | None, sd: float | None) -> Met:
    if value is None or sd is None:
        return Met(want.figure, None, None, False, None)
    edges = [value - want.low] if want.low is not None else []
    edges += [want.high - value] if want.high is not None else []
    room = min(edges)
    return Met(want.figure, value, sd, room >= -1e-9, room / sd if sd > 0.0 else None)


def _unsettled(search: Search, place: Array, by_unknowns: Array, wants: Sequence[Want]) -> dict[str, Place]:
    """How far the answer's coordinates follow the readings: least moves that would undo one sd of the figures, mm."""
    nothing: dict[str, Place] = {room.point: (0.0, 0.0, 0.0) for room in search.rooms}
    ride = Ride(search.measured.fit, search.measured.facts, search.state(place))
    answers = slopes.figures(ride, {want.figure: search.measured.kinds[want.figure] for want in wants})
    by_places = [answer.slope for answer in answers.values() if isinstance(answer, Sloped)]
    if not search.slots or not by_places or len(by_places) != len(by_unknowns):
        return nothing
    covariance = by_unknowns @ search.measured.spread.covariance @ by_unknowns.T
    back = np.linalg.pinv(np.array(by_places), rcond=1e-3)
    sds = np.sqrt(np.maximum(np.diag(back @ covariance @ back.T), 0.0)) * search.size
    found = {name: [0.0, 0.0, 0.0] for name in nothing}
    for slot, sd in zip(search.slots, sds.tolist(), strict=True):
        for name in found:
            if 0 <= slot - search.measured.fit.slot[name] < 3:
                found[name][slot - search.measured.fit.slot[name]] = sd
    return {name: (x, y, z) for name, (x, y, z) in found.items()}


class _Questions:
    """Which goals can hold together within the boxes: asked of every place looked at so far, then of a search. What
    holds together holds in part, and what does not does not with more; a search that fails leaves its nearest look."""

    def __init__(self, search: Search) -> None:
        self.search, self.goals = search, range(len(search.goals))
        self.places = list(search.seen)
        self.failed: dict[frozenset[int], Look] = {}

    def can(self, some: frozenset[int]) -> bool | None:
        """None where the effort is spent before it is known."""
        if any(look.meets(some) for _, look in self.places):
            return True
        if any(less <= some for less in self.failed):
            return False
        if self.search.effort.spent:
            return None
        asked = Search(self.search.measured, [self.search.goals[goal] for goal in sorted(some)], self.search.rooms,
                       self.search.effort)
        if asked.best(STARTS // 2, agreeing=AGREEING - 1)[1] <= MET:
            return True
        if self.search.effort.spent:
            return None
        self.failed[some] = min((look for _, look in asked.seen), key=lambda look: look.cost)
        return False


def _with_reasons(answer: Answer, search: Search) -> Answer:
    """Which wants no place meets, which two fight, and which one's leaving would free the rest."""
    ask, goals, words = _Questions(search), range(len(search.goals)), [goal.words for goal in search.goals]
    unmet = {one.figure for one in answer.wants if not one.inside} | set(answer.entered)
    found: list[bool | None] = [ask.can(frozenset({goal})) for goal in goals]
    lost = [goal for goal in goals if found[goal] is False]
    fights = []
    for pair in itertools.combinations(goals, 2):
        if unmet.isdisjoint(words[goal] for goal in pair) or not set(pair).isdisjoint(lost):
            continue
        found.append(ask.can(frozenset(pair)))
        if found[-1] is False:
            fights.append(Fight(words[pair[0]], words[pair[1]], _opposed(ask.failed[frozenset(pair)])))
    leaving = [ask.can(frozenset(goals) - {goal}) for goal in goals] if len(goals) > 1 else []
    return replace(answer, out_of_reach=tuple(words[goal] for goal in lost), fights=tuple(fights),
                   frees=tuple(words[goal] for goal, frees in enumerate(leaving) if frees),
                   all_looked_for=None not in [*found, *leaving])


def _opposed(look: Look) -> bool:
    """Whether what brings the one in takes the other out, where both are off as little as can be."""
    ways = [slope * off for off, slope in zip(look.off, look.slopes, strict=True) if off]
    if len(ways) < 2:
        return True
    sizes = [float(np.linalg.norm(way)) for way in ways]
    return bool(min(sizes) > 0.0 and float(ways[0] @ ways[1]) / (sizes[0] * sizes[1]) < OPPOSED)
