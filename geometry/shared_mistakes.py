"""Mistakes that several readings share: a line moved, the vehicle settled, a tape or a gauge off by one amount.

Each is a hypothesis with one to three amounts; `directions` says what one unit of each amount adds to every reading.
It is weighed by how much better all readings fit and by the size such a mistake usually has: an amount that could have
been anything explains little, which is the penalty for each amount (the marginal likelihood of a normal amount; Kass
and Raftery, Bayes factors, 1995, from memory). Sizes and frequencies are common practice, no source.

Families (`Shared.family`):
  cross_line      some fore-and-aft readings were taken from a line that had moved
  centreline      some lateral readings were taken from a line that had moved, or from its other edge
  cross_skew      the cross line is not square to the centreline
  centre_skew     the centreline is chalked at an angle to the vehicle
  heights         some heights are all off alike: the vehicle settled or was jacked, or another floor spot
  one_end         the frame's heights are off by a ramp: one end stood higher
  tape            everything read with the tape is long or short by one amount
  gauge           everything read with the angle gauge is off by one angle
  wheels_turned   the front wheels were not straight ahead while the steering points were read
  same_name       all takes of one reading agree with each other and not with the rest: another point was read
  exchanged       left and right were written down for each other
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.case import Row
from geometry.frame import Array

Members = tuple[int, ...]


@dataclass(frozen=True)
class Shared:
    """One hypothesis. members: rows it touches. directions: (n, k), file units per unit of each amount.

    usual: the usual size of each amount, one sd, (k,). log_prior: how common. unit: of the first amount. known: the
    amounts are known beforehand (an exchange), so nothing is estimated. what: which of its family, in plain words.
    """

    family: str
    members: Members
    directions: Array
    usual: tuple[float, ...]
    log_prior: float
    unit: str
    known: bool = False
    what: str = ""


@dataclass(frozen=True)
class Family:
    """How a family's hypotheses are made, its share of priors, `each` of one of them at most, and the usual amounts."""

    name: str
    prior: float
    usual: tuple[float, ...]
    unit: str
    make: Callable[[Sequence[Row]], Iterator[tuple[Members, Array, str]]]
    each: float = 1.0


MOST_BREAKS = 40
"""A line is looked for as moved between so many places of the walk at most: stretches grow with their square."""


def runs(members: Members) -> Iterator[Members]:
    """All stretches of two or more in the order they were read; of very many readings those between MOST_BREAKS."""
    count = len(members)
    pieces = min(count, MOST_BREAKS)
    breaks = [count * piece // pieces for piece in range(pieces + 1)] if pieces else []
    for first, start in enumerate(breaks):
        for end in breaks[first + 1 :]:
            if end - start >= 2:
                yield members[start:end]


def alike(rows: Sequence[Row], members: Members) -> Iterator[tuple[Members, str]]:
    """Those of one side, of one body, of one side of a body, of one link, with words for them."""
    traits: tuple[Callable[[Row], str], ...] = (
        lambda row: _side(row),
        lambda row: row.points[0].body,
        lambda row: f"{_side(row)} {row.points[0].body}".strip() if _side(row) else "",
        lambda row: row.points[0].name.partition(".")[0],
    )
    for trait in traits:
        named: dict[str, list[int]] = {}
        for member in members:
            named.setdefault(trait(rows[member]), []).append(member)
        for words, found in named.items():
            if words and len(found) >= 2:
                yield tuple(found), words


def _side(row: Row) -> str:
    return {1: "left", -1: "right"}.get(row.points[0].side, "")


def from_datum(rows: Sequence[Row], datum: str) -> Members:
    """The rows measured from that line or the floor."""
    return tuple(number for number, row in enumerate(rows) if row.name.kind.datum == datum)


def column(rows: Sequence[Row], members: Members, each: Callable[[Row], float] = lambda row: 1.0) -> Array:
    """(n, 1) with `each` at the members."""
    direction = np.zeros((len(rows), 1))
    for member in members:
        direction[member, 0] = each(rows[member])
    return direction


def shifted_line(datum: str) -> Callable[[Sequence[Row]], Iterator[tuple[Members, Array, str]]]:
    """Readings of one datum off by one amount: every stretch of time, every side, body and link."""

    def make(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
        members = from_datum(rows, datum)
        seen: set[Members] = set()
        for found, words in [*alike(rows, members), *((run, "") for run in runs(members))]:
            if found not in seen:
                seen.add(found)
                yield found, column(rows, found), words

    return make


def skewed_line(datum: str, across: int) -> Callable[[Sequence[Row]], Iterator[tuple[Members, Array, str]]]:
    """Readings of one datum off in proportion to how far along the line they are; mm per metre, and an offset."""

    def make(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
        members = from_datum(rows, datum)
        if len(members) >= 3:
            slope = column(rows, members, lambda row: row.place[across] / 1000.0 if row.place else 0.0)
            yield members, slope, ""
            yield members, np.hstack((slope, column(rows, members))), ""

    return make


def one_end_up(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
    """Heights on the frame off by a ramp along the vehicle."""
    members = tuple(member for member in from_datum(rows, "floor") if rows[member].points[0].body == "frame")
    if len(members) >= 3:
        slope = column(rows, members, lambda row: row.place[0] / 1000.0 if row.place else 0.0)
        yield members, np.hstack((slope, column(rows, members))), ""


def tape_off(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
    """Every taped reading long by one amount; and those of one kind alone."""
    taped = tuple(number for number, row in enumerate(rows) if row.name.kind.taped)
    kinds = dict.fromkeys(rows[number].name.kind.name for number in taped)
    sets = [taped, *(tuple(n for n in taped if rows[n].name.kind.name == kind) for kind in kinds)]
    for members in dict.fromkeys(sets):
        if len(members) >= 3:
            yield members, column(rows, members, lambda row: math.copysign(1.0, row.read)), ""


def gauge_off(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
    """Every angle off by one amount: all, of one kind, and every stretch of time."""
    angles = tuple(number for number, row in enumerate(rows) if row.name.kind.instrument == "gauge")
    kinds = dict.fromkeys(rows[number].name.kind.name for number in angles)
    sets = [angles, *(tuple(n for n in angles if rows[n].name.kind.name == kind) for kind in kinds), *runs(angles)]
    for members in dict.fromkeys(sets):
        if len(members) >= 2:
            yield members, column(rows, members), ""


def wheels_turned(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
    """Plumbed readings of points that turn with the wheels, per degree about a kingpin at 0.86 of half the track."""
    wheels = [row.place for row in rows if row.place and row.points[0].name in WORKED_WHEELS]
    steered = [row.place for row in rows if row.place and row.points[0].body == "steering"]
    if not steered:
        return
    arm = 0.86 * (max(abs(place[1]) for place in wheels) if wheels else 780.0)
    axle = float(np.mean([place[0] for place in wheels or steered]))
    directions = np.zeros((len(rows), 1))
    for number, row in enumerate(rows):
        if row.place is None or row.points[0].body != "steering" or not row.name.kind.datum:
            continue
        outward = row.place[1] - math.copysign(arm, row.place[1])
        turned = {"cross line": -outward, "centreline": row.place[0] - axle}.get(row.name.kind.datum, 0.0)
        directions[number, 0] = math.radians(1.0) * turned
    members = tuple(int(number) for number in np.flatnonzero(directions[:, 0]))
    if len(members) >= 2:
        yield members, directions, ""


def same_name(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
    """All takes of one reading."""
    named: dict[str, list[int]] = {}
    for number, row in enumerate(rows):
        named.setdefault(row.name.canonical, []).append(number)
    for found in named.values():
        if len(found) >= 2:
            yield tuple(found), column(rows, tuple(found)), ""


def exchanged(rows: Sequence[Row]) -> Iterator[tuple[Members, Array, str]]:
    """The readings of a left point and of its right twin, each in the other's place: what that added to each."""
    by_name = {row.name.text: number for number, row in enumerate(rows) if len(row.points) == 1}
    for number, row in enumerate(rows):
        if len(row.points) != 1 or row.points[0].side <= 0 or not row.points[0].twin:
            continue
        twin = by_name.get(f"{row.name.kind.name}:{row.points[0].twin}")
        if twin is None:
            continue
        mirrored = -1.0 if row.name.kind.datum == "centreline" else 1.0
        direction = np.zeros((len(rows), 1))
        direction[number, 0] = row.read - mirrored * rows[twin].read
        direction[twin, 0] = rows[twin].read - mirrored * row.read
        yield (number, twin), direction, ""


FAMILIES = (
    Family("cross_line", 0.02, (25.0,), "mm", shifted_line("cross line")),
    Family("centreline", 0.02, (25.0,), "mm", shifted_line("centreline")),
    Family("cross_skew", 0.01, (10.0, 10.0), "mm", skewed_line("cross line", 1)),
    Family("centre_skew", 0.01, (10.0, 10.0), "mm", skewed_line("centreline", 0)),
    Family("heights", 0.03, (25.0,), "mm", shifted_line("floor")),
    Family("one_end", 0.01, (30.0, 30.0), "mm", one_end_up),
    Family("tape", 0.01, (25.0,), "mm", tape_off),
    Family("gauge", 0.02, (1.5,), "deg", gauge_off),
    Family("wheels_turned", 0.01, (3.0,), "deg", wheels_turned),
    Family("same_name", 0.01, (40.0,), "", same_name, each=0.001),
    Family("exchanged", 0.01, (), "", exchanged),
)
"""Priors: in which share of vehicles such a mistake happens at all. That all takes of a reading are off alike is a
tenth as common as that one is off."""
WORKED_WHEELS = ("wheel_left.centre", "wheel_right.centre")
USUAL_ANGLE = 3.0
"""Degrees: the usual size of a mistake that all takes of an angle share."""


def hypotheses(rows: Sequence[Row]) -> list[Shared]:
    """Every shared mistake these readings could hold; a family's prior is shared among its hypotheses."""
    found = []
    for family in FAMILIES:
        made = list(family.make(rows))
        for members, directions, what in made:
            unit = family.unit or rows[members[0]].name.kind.unit
            usual = family.usual[: directions.shape[1]]
            if family.name == "same_name" and unit == "deg":
                usual = (USUAL_ANGLE,)
            prior = math.log(min(family.prior / len(made), family.each))
            found.append(Shared(family.name, members, directions, usual, prior, unit, family.name == "exchanged", what))
    return found
