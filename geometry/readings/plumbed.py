"""What the two plumbed readings share: a point dropped to the floor with a plumb bob."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from geometry.frame import Array
from geometry.points import Point
from geometry.readings import reading_words
from geometry.readings.kind import Kind, Mark, Setting, Terms, Wording, fixed_points
from geometry.readings.tilt import secant_squared
from geometry.slips import AT_BOLTS, TAPED

SPOTS = {
    "bolt": "the centre of the bolt",
    "wheel": "the middle of the hub",
    "kingpin": "the centre of the ball or bearing",
    "ball": "the centre of the ball, wheels straight ahead",
    "joint": "the centre of the joint's cross",
    "middle": "the tube halfway between its bolts, both sides, and halve",
    "axle": "both hubs, and halve",
    "mark": "the punch mark",
    "keep_clear": "the spot a link could touch",
}
"""Where the plumb cord hangs, by the point's feature."""


class Plumbed(Kind):
    """One coordinate of a plumb mark: the point's own, less its height times the floor's slope that way."""

    usual_sd = 2.5
    taped = True
    signed = True
    subjects = "point"
    effort = 1.5
    slips = ("wrong side", *TAPED, *AT_BOLTS)
    view = "top"
    slope: str
    column: int

    def terms(self, subject: str, setting: Setting) -> Terms:
        """The point and the floor's slope along this reading."""
        return Terms((*self.points(subject, setting), self.slope))

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: P and the slope, (n, 4)."""
        return inputs[:, self.column] - inputs[:, 2] * np.tan(inputs[:, 3])

    def partials(self, inputs: Array, constants: Array) -> Array:
        """1 per mm along, less the slope per mm of height, less the height per radian of slope."""
        partials = np.zeros_like(inputs)
        partials[:, self.column] = 1.0
        partials[:, 2] = -np.tan(inputs[:, 3])
        partials[:, 3] = -inputs[:, 2] * secant_squared(inputs[:, 3])
        return partials

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Every fixed point."""
        return fixed_points(setting)

    def marks_of(self, subject: str, setting: Setting) -> tuple[Mark, ...]:
        """The plumb line down to the floor, and the distance there."""
        points = self.points(subject, setting)
        return Mark("plumb", points), Mark(self.shape, points)

    def _wording(self, subject: str, points: list[Point]) -> Wording:
        spot = SPOTS[points[0].feature]
        first = reading_words.hang_the_cord(spot)
        return replace(self.wording, do_this=(first, *self.wording.do_this[1:]))
