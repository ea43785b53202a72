"""Roughly how large the vehicle is, where the cross line lies, which way its bars and links are mounted and how high
the weight acts: what typical places follow.

A guess by eye of the centre of gravity is better than any rule of ours, so ours gives way to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geometry.layouts import LAYOUTS, Link, Place
from geometry.mounted import Told, foot, turned_links
from geometry.points import (
    SCALARS,
    USUAL_TYRE_DIAMETER,
    USUAL_WHEELBASE,
    combination,
    own_place,
    typical_places,
)
from geometry.readings import ReadingName

CG_SHARE = 0.8
"""Height of the centre of gravity over tyre diameter where nobody guessed; common practice, no source."""

CROSSED = 0.25
"""How far over on the other side, over its usual distance from the centreline, an end tells that its bar is turned."""


@dataclass(frozen=True)
class Scale:
    """The sizes the typical places are scaled to, and by how much the floor frame is shifted from the vehicle's, mm."""

    layout: str
    worked_axle: str
    wheelbase: float
    tyre_diameter: float
    cg_height: float
    shift: float = 0.0
    turned: frozenset[str] = frozenset()
    """The ends of bars across (panhard, drag link) that are mounted the other way round than is usual."""
    outward: tuple[Link, ...] = ()
    """The links that run away from the vehicle's middle, not towards it."""

    @cached_property
    def places(self) -> dict[str, Place]:
        """Typical places of the fixed points, floor frame."""
        places = typical_places(self.layout, self.worked_axle, self.wheelbase, self.tyre_diameter)
        for link in self.outward:
            x, y, z = places[link.frame]
            places[link.frame] = 2.0 * foot(link, places) - x, y, z
        return {
            name: (x + self.shift, -y if name in self.turned else y, z) for name, (x, y, z) in places.items()
        }

    def place(self, name: str) -> Place:
        """Typical place of a fixed or own point, floor frame."""
        if name in self.places:
            return self.places[name]
        x, y, z = own_place(name, self.worked_axle, self.wheelbase, self.tyre_diameter)
        return x + self.shift, y, z


def scale_of(
    layout: str,
    worked_axle: str,
    wheelbase: float | None,
    tyre_diameter: float | None,
    told: Sequence[Told],
    left_out: Sequence[Told] = (),
) -> Scale:
    """Sizes as stated, else as read, else usual; the cross line and the bars across where plumbed readings put them.

    wheelbase, tyre_diameter: mm, None when not stated. What a reading tells of these its kind says (`Kind.tells`).
    left_out: readings that place nothing; only that a bar's ends were read on one side is still known from them.
    """
    wheelbase = wheelbase or _middle(_told_of("wheelbase", told), USUAL_WHEELBASE)
    tyre_diameter = tyre_diameter or _middle(_told_of("tyre_diameter", told), USUAL_TYRE_DIAMETER)
    cg_height = _middle(_told_of("cg_height", told), CG_SHARE * tyre_diameter)
    still = Scale(layout, worked_axle, wheelbase, tyre_diameter, cg_height)
    met = {reading.text: reading for reading, _ in told}.values()
    from_line = {reading.text for reading in met if _places_cross_line(reading, still)}
    outward = turned_links(LAYOUTS[layout], still.places, [each for each in told if each[0].text in from_line])
    still = replace(still, outward=outward)
    typical = {reading.text: _typical_x(reading, still) for reading in met if reading.text in from_line}
    shift = [value - typical[reading.text] for reading, value in told if reading.text in typical]
    turned = _turned(still, [*told, *left_out])
    return replace(still, shift=float(np.median(shift)) if shift else 0.0, turned=turned)


def _turned(still: Scale, told: Iterable[Told]) -> frozenset[str]:
    """The ends of the bars across that were read on the other side than is usual, both of each.

    A bar in its usual place would have to pass through length nothing to get there, and the fit could stop on the way.
    Two ends on one side say nothing: one side was mixed up, and the typical place knows which.
    """
    read: dict[str, list[float]] = {}
    for reading, value in told:
        if reading.kind.datum == "centreline" and reading.subject in still.places:
            read.setdefault(reading.subject, []).append(value)
    turned: set[str] = set()
    for frame in still.places:
        ends = (frame, frame.removesuffix(".frame") + ".axle")
        if frame.endswith(".frame") and ends[1] in still.places:
            usual = {end: still.places[end][1] for end in ends}
            seen = {end: float(np.median(read[end])) for end in ends if end in read}
            if seen and usual[ends[0]] * usual[ends[1]] < 0.0 and all(
                seen[end] * np.sign(usual[end]) < -CROSSED * abs(usual[end]) for end in seen
            ):
                turned.update(ends)
    return frozenset(turned)


def _told_of(size: str, told: Iterable[Told]) -> list[float]:
    return [value * reading.kind.tells_per for reading, value in told if reading.kind.tells == size]


def _middle(values: Iterable[float], usual: float) -> float:
    """The median of the values that are at all likely; the usual one where none is."""
    near = [value for value in values if usual / 2.0 < value < usual * 2.0]
    return float(np.median(near)) if near else usual


def _places_cross_line(reading: ReadingName, scale: Scale) -> bool:
    """A person's own point has no typical place of its own, so its plumb mark tells nothing of the cross line."""
    known = all(name in scale.places or name in SCALARS for name in reading.touches)
    return reading.kind.tells == "cross_line" and known


def _typical_x(reading: ReadingName, scale: Scale) -> float:
    shares = combination(reading.subject, scale.layout, scale.worked_axle)
    return sum(share * scale.places[name][0] for name, share in shares.items())
