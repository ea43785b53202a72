"""Across: how far apart two points are across the vehicle."""

from __future__ import annotations

import numpy as np

from geometry.frame import Array
from geometry.readings.kind import Kind, Setting, Wording, twins
from geometry.slips import AT_BOLTS, INSIDE, TAPED


class Across(Kind):
    """abs(y_P - y_Q)."""

    name = "across"
    noun = "across"
    usual_sd = 2.5
    taped = True
    symmetric = True
    subjects = "pair"
    low, high = 0.0, 3000.0
    effort = 1.0
    slips = (*TAPED, *AT_BOLTS, *INSIDE)
    view = "front"
    shape = "across"
    wording = Wording(
        title="Straight across between {pair}",
        do_this=(
            "Hold the tape level and square across the vehicle.",
            "Read from one edge to the same edge on the other side, so that it is centre to centre.",
        ),
        mistakes=(
            "Near edge of one to far edge of the other: too long or short by a whole bolt.",
            "An inside reading without the tape's case: 65 to 90 mm short.",
            "The tape ran slantwise and reads long.",
        ),
    )

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: P and Q, (n, 6)."""
        return np.abs(inputs[:, 1] - inputs[:, 4])

    def partials(self, inputs: Array, constants: Array) -> Array:
        """The sign of y_P - y_Q on each; where they are equal P is taken to be the left one."""
        sign = np.where(inputs[:, 1] >= inputs[:, 4], 1.0, -1.0)
        partials = np.zeros_like(inputs)
        partials[:, 1], partials[:, 4] = sign, -sign
        return partials

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Every left point with its right twin."""
        return twins(setting)
