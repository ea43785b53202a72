"""How far the wheels were seen to travel, and how far the links let them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from geometry import motion
from geometry.figures.base import Facts
from geometry.figures.ride import Ride
from geometry.layouts import layout_named
from geometry.rules.rule import SOME, Broken, Look, Rule, passed

STEP = 10.0
"""mm: how finely the travel is walked."""


def travel_within_links(look: Look) -> Iterator[Broken]:
    """No wheel was seen to travel beyond where the links bind."""
    links = layout_named(look.fit.setup.layout).links
    if not look.known(*(point for link in links for point in (link.frame, *link.axle))):
        return
    for end, sign in (("bump", 1.0), ("droop", -1.0)):
        read = look.read(f"travel:{end}")
        if read is None:
            continue
        binds = _binds_after(look, sign, read[0])
        beyond = passed(read[0], binds, read[1])
        if beyond > SOME:
            facts = {"travel": read[0], "binds": binds, "sd": read[1]}
            yield Broken("travel_beyond_links", look.keys(f"travel:{end}"), beyond, facts, end)


def _binds_after(look: Look, sign: float, most: float) -> float:
    """The last step that way which the links can follow, mm; `most` when they follow all of it."""
    steps = np.append(np.arange(STEP, max(most, STEP), STEP), max(most, STEP))
    one = Ride(look.fit, Facts(), look.fit.estimate[None, :], np.zeros(0, dtype=int))
    reached = motion.sweep(one.rig, sign * steps).reached
    if reached.all():
        return most
    first = int(np.argmin(reached))
    return float(steps[first - 1]) if first else 0.0


RULES = (
    Rule("travel_beyond_links", "no wheel travels beyond where its links bind", travel_within_links),
)
