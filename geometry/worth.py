"""From how large a change on a figure is worth the work of bringing it back, apart from how sure the change is.

A tape read finely shows changes that nobody feels and no habit of the trade asks for. `LEAST` says for each figure how
much that is, in its unit, and why. All of it is common practice, no source; where there is a usual band, a change of
that size stays well inside it: none is more than a quarter of its band's width.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from dataclasses import dataclass

from geometry.compare import SURE, FigureChange
from geometry.figures.base import FigureKind

PART_OF_BAND = 0.125
"""Of a usual band's width: a change of less, where `LEAST` has nothing for the figure."""


@dataclass(frozen=True)
class Least:
    """The least change worth work, in the figure's unit. why: what makes it so, a clause: "nobody feels less"."""

    change: float
    why: str


_ANTI = Least(5.0, "the height of the centre of gravity is hardly known so well, and nobody feels less")
_FACE = Least(0.5, "a gauge set on it once more reads that far off")
_PLACE = Least(5.0, "a set of tyres more or less worn does as much")
LEAST: dict[str, Least] = {
    "anti_dive": _ANTI, "anti_lift_driving": _ANTI, "anti_squat": _ANTI, "anti_lift_braking": _ANTI,
    "anti_geometric": _ANTI,
    "roll_centre_height": Least(10.0, "worn tyres lower it by as much"),
    "roll_steer": Least(0.01, "nobody feels a hundredth of a degree for each degree of lean"),
    "roll_axis_incline": Least(0.5, "luggage tilts it by as much"),
    "caster": Least(0.5, "left and right may differ by as much"),
    "caster_change_75": Least(0.5, "nobody feels less over that travel"),
    "bump_steer_75": Least(0.1, "toe is read no finer"),
    "kingpin_inclination": _FACE, "scrub": _PLACE, "trail": _PLACE,
    "pinion_angle": Least(0.5, "driveline angles are set to half a degree"),
}  # fmt: skip
"""By a figure's key, or by its first part for left and right."""


def least(kind: FigureKind) -> Least | None:
    """The least change of a figure that is worth work; None where any sure one is."""
    stated = LEAST.get(kind.key) or LEAST.get(kind.key.partition(".")[0])
    band = kind.band
    if stated is None and band is not None and band.low is not None and band.high is not None:
        return Least(PART_OF_BAND * (band.high - band.low), "it is a small part of the usual band")
    return stated


@dataclass(frozen=True)
class Small:
    """A figure that changed for sure, but by less than is worth the work. least, why: see `Least`; its unit."""

    key: str
    unit: str
    before: float
    after: float
    least: float
    why: str


def small_change(change: FigureChange, kind: FigureKind) -> Small | None:
    """A sure change that is not worth work; None of any other."""
    limit = least(kind)
    if limit is None or change.category != SURE or abs(change.by) >= limit.change:
        return None
    return Small(change.key, change.unit, change.before, change.after, limit.change, limit.why)


def is_among(change: FigureChange, small: Iterable[Small]) -> bool:
    return any(one.key == change.key for one in small)


def room_of(change: FigureChange, kind: FigureKind, wanted: Container[str]) -> tuple[float, float]:
    """From where to where a figure may lie: at what it was where it is wanted back; else anywhere between that and what
    it is now, and about what it was by what is not worth work."""
    if change.key in wanted:
        return change.before, change.before
    limit = least(kind)
    room = limit.change if limit else 0.0
    return min(change.before - room, change.after), max(change.before + room, change.after)
