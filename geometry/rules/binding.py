"""How far the wheels were seen to travel, and how far the links let them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from geometry.figures.base import Facts
from geometry.figures.ride import Ride
from geometry.layouts import layout_named
from geometry.rules.rule import SOME, Broken, Look, Rule, passed
from geometry.unbroken import how_far, unbroken

STEP = 10.0
"""mm: how finely the travel is walked."""


def travel_within_links(look: Look) -> Iterator[Broken]:
    """No wheel was seen to travel beyond where the links bind."""
    links = layout_named(look.fit.setup.layout).links
    if not look.known(*(point for link in links for point in (link.frame, *link.axle))):
        return
    ends = {end: look.read(f"travel:{end}") for end in ("bump", "droop")}
    if all(read is None or read[0] <= 0.0 for read in ends.values()):
        return
    reach = _reach(look, *(read[0] if read else 0.0 for read in ends.values()))
    for (end, read), binds in zip(ends.items(), reach, strict=True):
        if read is None:
            continue
        beyond = passed(read[0], binds, read[1])
        if beyond > SOME:
            facts = {"travel": read[0], "binds": binds, "sd": read[1]}
            yield Broken("travel_beyond_links", look.keys(f"travel:{end}"), beyond, facts, end)


def _reach(look: Look, bump: float, droop: float) -> tuple[float, float]:
    """How far each way the links can follow, mm; all of it where they follow to the end."""
    paths = [np.append(np.arange(STEP, most, STEP), most) if most > 0 else np.zeros(0) for most in (bump, droop)]
    rig = Ride(look.fit, Facts(), look.fit.estimate[None, :], np.zeros(0, dtype=int)).rig
    reached = unbroken(rig, np.concatenate([paths[0], -paths[1]])).reached
    up, down = reached[: paths[0].size], reached[paths[0].size :]
    return (
        bump if up.all() else bump * how_far(rig, (0.0, 0.0), (bump, 0.0)),
        droop if down.all() else droop * how_far(rig, (0.0, 0.0), (-droop, 0.0)),
    )


RULES = (
    Rule("travel_beyond_links", "no wheel travels beyond where its links bind", travel_within_links),
)
