"""Rise: how much higher Q is than P, by water level, light line or straightedge."""

from __future__ import annotations

import numpy as np

from geometry.frame import Array
from geometry.readings.kind import Kind, Setting, Wording, link_ends, twins
from geometry.slips import AT_BOLTS, TAPED


class Rise(Kind):
    """z_Q - z_P."""

    name = "rise"
    noun = "rise"
    usual_sd = 2.0
    signed = True
    instrument = "level"
    subjects = "pair"
    low, high = -2000.0, 2000.0
    effort = 2.0
    slips = ("read backwards", *TAPED, *AT_BOLTS)
    view = "side"
    shape = "rise"
    wording = Wording(
        title="How much higher {q} is than {p}",
        do_this=(
            "Set a light line or straightedge level past both.",
            "Read each down from the line; the difference is the rise.",
        ),
        mistakes=(
            "The difference was taken backwards: higher for lower.",
            "The top of a thick light line at one end and its bottom at the other: 2 to 4 mm.",
            "A bubble in the water hose: 5 to 30 mm.",
        ),
        sides=("higher", "lower"),
    )

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: P and Q, (n, 6)."""
        return inputs[:, 5] - inputs[:, 2]

    def partials(self, inputs: Array, constants: Array) -> Array:
        """-1 per mm of z_P, 1 per mm of z_Q."""
        partials = np.zeros_like(inputs)
        partials[:, 2], partials[:, 5] = -1.0, 1.0
        return partials

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Along every link from axle to frame, and from every left point to its right twin."""
        return (*link_ends(setting), *twins(setting))
