"""Floor span: the distance of two plumb marks on the floor."""

from __future__ import annotations

import numpy as np

from geometry.frame import Array
from geometry.layouts import layout_named
from geometry.readings.kind import Kind, Mark, Setting, Terms, Wording
from geometry.readings.tilt import secant_squared, unit
from geometry.slips import TAPED


def _between(inputs: Array) -> Array:
    """From P's plumb mark to Q's, (n, 2)."""
    across = inputs[:, 3:6] - inputs[:, :3]
    return across[:, :2] - across[:, 2:] * np.tan(inputs[:, 6:])


class FloorSpan(Kind):
    """Distance on the floor between the plumb marks of P and Q."""

    name = "floor_span"
    noun = "floor distance"
    usual_sd = 2.5
    taped = True
    symmetric = True
    subjects = "pair"
    low, high = 0.0, 8000.0
    effort = 1.0
    slips = TAPED
    view = "top"
    shape = "floor_span"
    wording = Wording(
        title="On the floor, plumb mark of {p} to plumb mark of {q}",
        do_this=("Find both numbered marks on the floor.", "Read straight from one to the other, standing up."),
        mistakes=(
            "The other one of two marks that lie close together.",
            "The tape began at its 1 in or 100 mm mark and that stayed in.",
            "A mark made before the vehicle was moved.",
        ),
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """Both points and both slopes."""
        return Terms((*self.points(subject, setting), "floor.pitch", "floor.bank"))

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: P, Q, pitch and bank, (n, 8)."""
        return unit(_between(inputs))[0]

    def partials(self, inputs: Array, constants: Array) -> Array:
        """The direction between the marks, tipped by the slopes."""
        _, along = unit(_between(inputs))
        tilts = inputs[:, 6:]
        partials = np.empty_like(inputs)
        partials[:, 3:5] = along
        partials[:, 5] = -np.einsum("ij,ij->i", along, np.tan(tilts))
        partials[:, :3] = -partials[:, 3:6]
        partials[:, 6:] = -along * (inputs[:, 5:6] - inputs[:, 2:3]) * secant_squared(tilts)
        return partials

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """The diagonals of each pair of twin links and of the four wheels, and the length of each link's shadow."""
        links = layout_named(setting.layout).links
        shadows = [f"{link.axle[0]}~{link.frame}" for link in links]
        lefts = [link for link in links if link.name.endswith("_left")]
        crossed = [f"{link.axle[0]}~{link.frame.replace('left', 'right')}" for link in lefts]
        mirror = [f"{link.axle[0].replace('left', 'right')}~{link.frame}" for link in lefts]
        wheels = ["wheel_left.centre~other_right.centre", "wheel_right.centre~other_left.centre"]
        return (*crossed, *mirror, *wheels, *shadows)

    def marks_of(self, subject: str, setting: Setting) -> tuple[Mark, ...]:
        """Both plumb lines and the distance between their feet."""
        points = self.points(subject, setting)
        return (*(Mark("plumb", (point,)) for point in points), Mark(self.shape, points))
