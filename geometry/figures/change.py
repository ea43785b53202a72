"""One figure at two stages: by how much it changed, and whether the spreads allow to say so."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.figures.base import Figure

SHOWN = 2.0
"""Screens show plus or minus two standard deviations; a change beyond that is called sure."""


@dataclass(frozen=True)
class Change:
    """after less before in the figure's unit, its standard deviation, and whether it is beyond two of them."""

    value: float
    sd: float
    sure: bool


def change(before: Figure, after: Figure) -> Change | None:
    """None while either cannot be had or leans on an assumption.

    Both are taken as independent. Stages that share carried readings are closer than that, so the sd is on the wide
    side and a change is called sure a little too seldom.
    """
    if before.value is None or after.value is None or before.sd is None or after.sd is None:
        return None
    if before.leans or after.leans:
        return None
    value, sd = after.value - before.value, math.hypot(before.sd, after.sd)
    return Change(value, sd, abs(value) > SHOWN * sd)
