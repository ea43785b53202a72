"""How a figure answers a point moved a little: the direction that matters most, turned so that the figure grows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.figures.trust import Answer

WAYS = (("further back", "further forward"), ("further right", "further left"), ("lower", "higher"))
"""Against and along x, y, z of the vehicle."""


@dataclass(frozen=True)
class Nudge:
    """One point moved `by` mm in words `way` makes the figure `more` greater, in its unit; `for_one` mm make it greater
    by one."""

    point: str
    way: str
    by: float
    more: float
    for_one: float


def nudges(answers: Sequence[Answer], by: float) -> tuple[Nudge, ...]:
    """Each point's strongest direction, the strongest point first. by: how far each is moved, mm."""
    found = []
    for answer in answers:
        axis = max(range(3), key=lambda k: abs(answer.per_mm[k]))
        slope = answer.per_mm[axis]
        if slope:
            found.append(Nudge(answer.point, WAYS[axis][slope > 0], by, abs(slope) * by, 1.0 / abs(slope)))
    return tuple(sorted(found, key=lambda nudge: -nudge.more))
