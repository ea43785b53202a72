"""Both wheelbases, and where the axles were plumbed."""

from __future__ import annotations

import math
from collections.abc import Iterator

from geometry.rules.rule import CLEAR, SOME, Broken, Look, Rule, passed

ALIKE = 15.0
"""mm: left and right wheelbase differ by less on a straight vehicle; 6 mm is 0.2 degrees of a 1600 mm track."""


def against_axles(look: Look) -> Iterator[Broken]:
    """A wheelbase and the plumb marks of that side's two wheels."""
    for side in ("left", "right"):
        names = (f"wheelbase:{side}", f"fore_aft:wheel_{side}.centre", f"fore_aft:other_{side}.centre")
        base, worked, other = (look.read(name) for name in names)
        if base is None or worked is None or other is None:
            continue
        apart = abs(worked[0] - other[0])
        sd = math.hypot(base[1], worked[1], other[1])
        beyond = abs(base[0] - apart) / sd
        if beyond > CLEAR:
            facts = {"read": base[0], "apart": apart, "difference": base[0] - apart, "sd": sd}
            yield Broken("wheelbase_against_axles", look.keys(*names), beyond, facts, side)


def left_against_right(look: Look) -> Iterator[Broken]:
    """Left and right wheelbase, which a straight vehicle has alike; unless plumb marks confirm that it is skewed."""
    left, right = look.read("wheelbase:left"), look.read("wheelbase:right")
    plumbed = (look.read(f"fore_aft:{stem}_{side}.centre") for stem in ("wheel", "other") for side in ("left", "right"))
    if left is None or right is None or all(plumbed):
        return
    sd = math.hypot(left[1], right[1])
    beyond = passed(abs(left[0] - right[0]), ALIKE, sd)
    if beyond > SOME:
        facts = {"left": left[0], "right": right[0], "difference": left[0] - right[0], "sd": sd}
        yield Broken("wheelbases_unlike", look.keys("wheelbase:left", "wheelbase:right"), beyond, facts)


RULES = (
    Rule("wheelbase_against_axles", "a side's wheelbase is the distance of its two wheels' plumb marks", against_axles),
    Rule("wheelbases_unlike", "left and right wheelbase are nearly alike", left_against_right),
)
