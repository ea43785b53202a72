"""Span: the straight distance of two points, joint centre to joint centre."""

from __future__ import annotations

import numpy as np

from geometry.frame import Array
from geometry.readings.kind import Kind, Setting, Wording, link_ends, rods, twins
from geometry.readings.tilt import unit
from geometry.slips import AT_BOLTS, INSIDE, TAPED


class Span(Kind):
    """|Q - P|."""

    name = "span"
    noun = "length"
    usual_sd = 1.5
    taped = True
    symmetric = True
    subjects = "pair"
    low, high = 0.0, 6000.0
    effort = 1.5
    slips = (*TAPED, *AT_BOLTS, *INSIDE)
    view = "side"
    shape = "span"
    wording = Wording(
        title="Centre to centre of {pair}",
        do_this=("Hook the tape on the edge of one bolt and pull it straight.", "Read at the same edge of the other."),
        mistakes=(
            "Near edge of one bolt to far edge of the other: too long or short by a whole bolt.",
            "The tape began at its 1 in or 100 mm mark and that stayed in.",
            "The tape lay round a bracket or hung slack: it reads long.",
        ),
    )

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: P and Q, (n, 6)."""
        return unit(inputs[:, 3:] - inputs[:, :3])[0]

    def partials(self, inputs: Array, constants: Array) -> Array:
        """The direction from P to Q, minus at P and plus at Q; zero where they are the same place."""
        _, along = unit(inputs[:, 3:] - inputs[:, :3])
        return np.concatenate((-along, along), axis=1)

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Every link, driveshaft and rod end to end, and every twin pair."""
        return (*link_ends(setting), *rods(setting), *(pair for pair in twins(setting) if pair not in rods(setting)))

    def view_of(self, subject: str, setting: Setting) -> str:
        """From ahead for what runs across the vehicle: twins, panhard bar, drag link, tie rod."""
        first, second = self.points(subject, setting)
        across = first.replace("left", "right") == second.replace("left", "right")
        return "front" if across or first.startswith(("panhard", "drag_link", "tie_rod")) else self.view
