"""Threads of joints and tubes: how far a turn goes. Unified threads by their turns an inch (ASME B1.1); lengths mm."""

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


USUAL: dict[str, Thread] = {
    "1/2-20": unified(1 / 2, 20),
    "5/8-18": unified(5 / 8, 18),
    "3/4-16": unified(3 / 4, 16),
    "7/8-14": unified(7 / 8, 14),
    "1-14": unified(1, 14),
    "1-12": unified(1, 12),
    "1 1/4-12": unified(5 / 4, 12),
}
"""Those of rod ends and links, by the name on the part. 1-14 is a special of the trade (UNS), the others are UNF."""


def stroke(one: Thread, other: Thread | None) -> float:
    """How far the length changes, mm, while the tube is turned once against both ends, or one end against the tube.

    Ends of opposite hand both move out; ends of one hand differ by their pitches only, which a finer adjuster uses.
    """
    if other is None:
        return one.pitch
    return one.pitch + other.pitch if one.left != other.left else one.pitch - other.pitch
