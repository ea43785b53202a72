"""Threads of joints and tubes: how far a turn goes. Unified threads by their turns an inch (ASME B1.1), metric ones by
their pitch (ISO 261); lengths mm."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.frame import INCH


@dataclass(frozen=True)
class Thread:
    """A thread: outside diameter and pitch, mm. left: left-hand."""

    diameter: float
    pitch: float
    left: bool = False


def unified(inches: float, turns_an_inch: float, left: bool = False) -> Thread:
    """A thread of so many inches and turns an inch."""
    return Thread(inches * INCH, INCH / turns_an_inch, left)


def metric(diameter: float, pitch: float, left: bool = False) -> Thread:
    """A metric thread, mm."""
    return Thread(diameter, pitch, left)


USUAL: dict[str, Thread] = {
    "1/2-20": unified(1 / 2, 20),
    "5/8-18": unified(5 / 8, 18),
    "3/4-16": unified(3 / 4, 16),
    "7/8-14": unified(7 / 8, 14),
    "1-14": unified(1, 14),
    "1-12": unified(1, 12),
    "1 1/4-12": unified(5 / 4, 12),
    "M12x1.75": metric(12.0, 1.75),
    "M16x1.5": metric(16.0, 1.5),
    "M16x2": metric(16.0, 2.0),
    "M18x1.5": metric(18.0, 1.5),
    "M20x1.5": metric(20.0, 1.5),
    "M22x1.5": metric(22.0, 1.5),
    "M24x2": metric(24.0, 2.0),
    "M30x2": metric(30.0, 2.0),
}
"""Those of rod ends and links, by the name on the part. 1-14 is a special of the trade (UNS), the other inch ones are
UNF."""
NEAR = 0.02
"""mm: a diameter and a pitch this near to a usual thread's are that thread, written with fewer digits."""


def name_of(diameter: float | None, pitch: float) -> str | None:
    """What a usual thread of this size is called; None for any other."""
    for name, thread in USUAL.items():
        if diameter is not None and abs(thread.diameter - diameter) < NEAR and abs(thread.pitch - pitch) < NEAR:
            return name
    return None


def stroke(one: Thread, other: Thread | None) -> float:
    """How far the length changes, mm, while the tube is turned once against both ends, or one end against the tube.

    Ends of opposite hand both move out; ends of one hand differ by their pitches only, which a finer adjuster uses.
    """
    if other is None:
        return one.pitch
    return one.pitch + other.pitch if one.left != other.left else one.pitch - other.pitch
