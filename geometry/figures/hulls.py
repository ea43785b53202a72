"""Bodies that stand still on the frame, rails above all: straight between two measured points, round or rectangular.

A rail's points are usually punch marks on its underside or outer face; the stated size says how far its other faces are
from them. Its sides stand upright. A body whose points have not been read waits for them and says so.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.complex_step import Complex, cross, norm
from geometry.errors import BadName
from geometry.figures import figure_words
from geometry.figures.base import NotYet
from geometry.figures.parts import BodyFact
from geometry.figures.ride import SHORT_MM, Ride
from geometry.nearest import Box
from geometry.points import point_named

UPRIGHT = np.array([0.0, 0.0, 1.0])
AHEAD = np.array([1.0, 0.0, 0.0])
STEEP = 0.95
"""A body that stands steeper than this (share of its length that is upright) has its height along the vehicle."""


@dataclass(frozen=True)
class Hull:
    """A still body: ends of its axis, (P, 3) mm each, floor frame; round with a diameter, or a box."""

    name: str
    words: str
    start: Complex
    end: Complex
    diameter: float | None
    box: Box | None


@dataclass(frozen=True)
class Hulls:
    """The bodies that can be looked at, the readings that others wait for, and a sentence for each that cannot be."""

    found: tuple[Hull, ...]
    needs: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


def words_of(name: str) -> str:
    """ "left_rail" is the left rail."""
    return name.replace("_", " ").replace("-", " ").strip() or name


def hulls(ride: Ride) -> Hulls:
    """The bodies stated for a vehicle."""
    found: list[Hull] = []
    needs: list[str] = []
    remarks: list[str] = []
    for name, fact in ride.facts.bodies.items():
        try:
            found.append(_hull(ride, name, fact))
        except NotYet as wait:
            needs += wait.needs
            if wait.reason:
                remarks.append(wait.reason)
    return Hulls(tuple(found), tuple(dict.fromkeys(needs)), tuple(remarks))


def end_points(ride: Ride) -> frozenset[str]:
    """The points that stated bodies run between."""
    return frozenset(name for fact in ride.facts.bodies.values() for name in (fact.start, fact.end))


def _hull(ride: Ride, name: str, fact: BodyFact) -> Hull:
    words = words_of(name)
    for point in (fact.start, fact.end):
        _refuse_moving(ride, words, point)
    start, end = _ends(ride, fact)
    if not float(norm((end - start)[:1].real)[0]) > SHORT_MM:
        raise NotYet((), figure_words.body_in_one_place(words))
    if fact.diameter is not None:
        return Hull(name, words, start, end, fact.diameter, None)
    if fact.width is None or fact.height is None:
        raise NotYet((), figure_words.state_how_thick(words))
    return _rectangular(name, words, (start, end), fact, fact.width, fact.height)


def _ends(ride: Ride, fact: BodyFact) -> tuple[Complex, Complex]:
    """Both points. NotYet names the readings that either lacks to stand on readings alone."""
    needs = tuple(need for name in (fact.start, fact.end) for need in _lacks(ride, name))
    if needs:
        raise NotYet(needs)
    return ride.point(fact.start), ride.point(fact.end)


def _lacks(ride: Ride, name: str) -> tuple[str, ...]:
    """The readings of a point that would place it, none where it is known: a rail through a guess says nothing."""
    if name in ride.fit.points and ride.fit.placed()[name].known:
        return ()
    read = {seen.name for seen in ride.fit.observations}
    every = tuple(f"{kind}:{name}" for kind in ("fore_aft", "lateral", "height"))
    return tuple(need for need in every if need not in read) or every


def _refuse_moving(ride: Ride, words: str, point: str) -> None:
    axle = "front" if ride.front else "rear"
    try:
        body = point_named(point, ride.layout.name, axle).body
    except BadName as trouble:
        raise NotYet((), f"The {words}: {trouble}") from None
    if body not in ("frame", "other"):
        raise NotYet((), figure_words.body_moves(words))


def _rectangular(
    name: str, words: str, ends: tuple[Complex, Complex], fact: BodyFact, width: float, height: float
) -> Hull:
    start, end = ends
    length = norm(end - start)
    along = (end - start) / length[:, None]
    steep = abs(float(along[0, 2].real)) > STEEP
    beside = cross(np.broadcast_to(AHEAD if steep else UPRIGHT, along.shape), along)
    beside = beside / norm(beside)[:, None]
    up = cross(along, beside)
    shift = _inward(start, end, beside, fact) * 0.5 * width * beside + _upward(up, fact) * 0.5 * height * up
    middle = 0.5 * (start + end) + shift
    half = np.full(length.shape, 0.5)
    box = Box(middle, along, beside, up, 0.5 * length, half * width, half * height)
    return Hull(name, words, start + shift, end + shift, None, box)


def _inward(start: Complex, end: Complex, beside: Complex, fact: BodyFact) -> float:
    """+1 or -1: which way along `beside` the body's middle lies from its points; 0 where they lie in it."""
    if fact.across == "middle":
        return 0.0
    to_middle = -float(((start + end)[0, 1] * beside[0, 1]).real)
    towards = 1.0 if to_middle >= 0 else -1.0
    return towards if fact.across == "outside" else -towards


def _upward(up: Complex, fact: BodyFact) -> float:
    if fact.upright == "middle":
        return 0.0
    way = 1.0 if float(up[0, 2].real) >= 0 else -1.0
    return way if fact.upright == "underside" else -way


def boxes_of(found: tuple[Hull, ...]) -> Box | None:
    """All rectangular ones side by side, (P, 1, H, ...); None without any."""
    boxes = [hull.box for hull in found if hull.box is not None]
    if not boxes:
        return None
    vectors = [np.stack([getattr(box, part) for box in boxes], axis=1)[:, None] for part in
               ("middle", "along", "beside", "up", "half_length", "half_width", "half_height")]  # fmt: skip
    return Box(*vectors)
