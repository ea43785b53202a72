"""Height: a joint centre above the floor."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

import numpy as np

from geometry.frame import Array
from geometry.layouts import layout_named
from geometry.readings import reading_words
from geometry.readings.kind import Kind, Setting, Wording, fixed_points
from geometry.slips import AT_BOLTS, FROM_THE_FLOOR, TAPED


class Height(Kind):
    """z of P: along the floor's normal, from the floor at the foot of the rule."""

    name = "height"
    noun = "height"
    datum = "floor"
    usual_sd = 2.0
    taped = True
    subjects = "point"
    low, high = 0.0, 3000.0
    effort = 1.0
    slips = (*TAPED, *AT_BOLTS, *FROM_THE_FLOOR)
    view = "side"
    shape = "height"
    wording = Wording(
        title="Floor to the centre of {p}",
        do_this=("Stand the rule on the floor in the square.", "Read at the centre of the bolt."),
        mistakes=(
            "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
            "Read at the edge of the bolt's head: that is half a head too high or too low.",
            "The next hole of the bracket: 3/4 to 1 1/2 in away.",
            "The rule leans: 5 degrees over 500 mm reads 2 mm high.",
        ),
        care=reading_words.NOBODY_UNDER,
    )
    special: ClassVar[Mapping[str, Wording]] = {
        "wheel": Wording(
            title="Floor to the centre of {p}",
            do_this=("Stand the rule beside the tyre, in the square.", "Read at the middle of the hub."),
            mistakes=(
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
                "Read at the rim of the hub cap and not at its middle.",
                "The tyre was low, or stood in a dip of the floor.",
            ),
        ),
        "kingpin": Wording(
            title="Floor to {p}",
            do_this=("Stand the rule on the floor in the square.", "Read at the centre of the ball or bearing."),
            mistakes=(
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
                "Read at the end of the stud or its nut: 10 to 25 mm off.",
            ),
        ),
        "ball": Wording(
            title="Floor to the centre of {p}",
            do_this=("Set the wheels straight ahead.", "Stand the rule in the square; read where the dust seal parts."),
            mistakes=(
                "Read at the nut or the edge of the socket: 10 to 25 mm off.",
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
            ),
            care=reading_words.NOBODY_UNDER,
        ),
        "joint": Wording(
            title="Floor to the centre of {p}",
            do_this=("Stand the rule on the floor in the square.", "Read at the centre of the joint's cross."),
            mistakes=(
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
                "Read at the flange's edge and not at the cross.",
            ),
            care=reading_words.NOBODY_UNDER,
        ),
        "middle": Wording(
            title="Floor to {p}",
            do_this=(
                "Mark the tube halfway between its two bolts.",
                "Read floor to the underside there and add half the tube's thickness.",
            ),
            mistakes=(
                "The whole tube was added and not half of it, or nothing was added.",
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
                "The link is bent: stretch a cord between its bolts and read to the cord.",
            ),
            care=reading_words.NOBODY_UNDER,
        ),
        "axle": Wording(
            title="Floor to {p}",
            do_this=("Read the floor to the middle of each hub.", "Add the two and halve."),
            mistakes=(
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
                "The differential's middle was taken; it sits to one side.",
            ),
        ),
        "mark": Wording(
            title="Floor to {p}",
            do_this=("Hands off the vehicle.", "Stand the rule in the square; read at the punch mark."),
            mistakes=(
                "A hand or knee bears on the vehicle: 2 mm.",
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
            ),
        ),
        "keep_clear": Wording(
            title="Floor to {p}",
            do_this=("Find the spot a link could touch.", "Stand the rule in the square; read at that spot."),
            mistakes=(
                "A whole inch is missed, or the tape began at its 1 in mark and the inch stayed in.",
                "Not the lowest spot, or not the one that was plumbed.",
            ),
            care=reading_words.NOBODY_UNDER,
        ),
    }

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """z_P. inputs: P."""
        return inputs[:, 2]

    def partials(self, inputs: Array, constants: Array) -> Array:
        """1 per mm of z."""
        partials = np.zeros_like(inputs)
        partials[:, 2] = 1.0
        return partials

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Every fixed point and every link's middle."""
        middles = tuple(f"{link.name}.middle" for link in layout_named(setting.layout).links)
        return (*fixed_points(setting), *middles)
