"""Incline: the angle of a link, rod or shaft against gravity's level."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

import numpy as np

from geometry.errors import BadName, did_you_mean
from geometry.frame import Array
from geometry.layouts import towards_middle
from geometry.points import Point
from geometry.readings import reading_words
from geometry.readings.kind import Kind, Mark, Setting, Terms, Wording, link_ends, rods
from geometry.readings.tilt import incline, incline_partials
from geometry.slips import GAUGED

SHAFTS = {"pinion": "driveshaft.axle", "gearbox_output": "driveshaft.frame"}
"""Shaft axes whose angle to the floor is an unknown of its own, and the joint each ends in."""



def joint_end(shaft: str, setting: Setting) -> float:
    """+1 when the shaft's joint end points forward, -1 rearward: the pinion's towards the vehicle's middle."""
    inward = towards_middle(setting.worked_axle)
    return float(inward if shaft == "pinion" else -inward)


class Incline(Kind):
    """asin(up . d / |d|): d from P to Q, or along a shaft's axis towards its joint end."""

    name = "incline"
    noun = "incline"
    unit = "deg"
    instrument = "gauge"
    usual_sd = 0.2
    signed = True
    subjects = "pair"
    low, high = -90.0, 90.0
    effort = 0.5
    slips = GAUGED
    view = "side"
    shape = "incline"
    wording = Wording(
        title="Incline of {pair}",
        do_this=("Lay the gauge along the straight part of the tube.", reading_words.END_FOR_END),
        mistakes=(
            "Up and down mixed up: up means that {q_end} is the higher.",
            "The gauge was zeroed on the floor: every angle is off alike.",
            "The gauge lay on a paint run, a weld or a bend.",
        ),
        sides=("up towards {q_end}", "down towards {q_end}"),
    )
    special: ClassVar[Mapping[str, Wording]] = {
        "pinion": Wording(
            title="Incline of the pinion",
            do_this=("Lay the gauge on the machined face of the yoke; take 90 degrees off.", reading_words.END_FOR_END),
            mistakes=(
                "The complement was read: 90 degrees less the angle.",
                "Up and down mixed up: up means that the pinion's nose, its joint end, points up.",
                "The axle rolled on its stands since the last reading.",
            ),
            care="Chock all four wheels before a driveshaft comes out: the vehicle may roll although it is in gear.",
            sides=("nose up", "nose down"),
        ),
        "gearbox_output": Wording(
            title="Incline of the gearbox output",
            do_this=("Lay the gauge on the output flange's face; take 90 degrees off.", reading_words.END_FOR_END),
            mistakes=(
                "The complement was read: 90 degrees less the angle.",
                "Up and down mixed up: up means that the joint end points up.",
                "The engine mounts were loose or sagged: up to 1.5 degrees.",
            ),
            care="Chock all four wheels before a driveshaft comes out: the vehicle may roll although it is in gear.",
            sides=("joint end up", "joint end down"),
        ),
    }

    def points(self, subject: str, setting: Setting) -> tuple[str, ...]:
        """P and Q; none for a shaft."""
        if subject in SHAFTS:
            return ()
        if "~" not in subject:
            near = did_you_mean(subject, SHAFTS)
            allowed = reading_words.WRITE_A_PAIR
            raise BadName(reading_words.no_incline(subject, near or allowed))
        return super().points(subject, setting)

    def terms(self, subject: str, setting: Setting) -> Terms:
        """Both points, or the shaft's angle to the floor with the way its joint end points; and both slopes."""
        if subject in SHAFTS:
            return Terms((subject, "floor.pitch", "floor.bank"), (joint_end(subject, setting),))
        return Terms((*self.points(subject, setting), "floor.pitch", "floor.bank"))

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: P, Q, pitch, bank, (n, 8); or a shaft's angle, pitch, bank, (n, 3). Radian."""
        return incline(_along(inputs, constants), inputs[:, -2], inputs[:, -1])

    def partials(self, inputs: Array, constants: Array) -> Array:
        """Per mm of each coordinate, or per radian of the shaft's angle, and per radian of slope."""
        by_along, by_pitch, by_bank = incline_partials(_along(inputs, constants), inputs[:, -2], inputs[:, -1])
        if inputs.shape[1] == 3:
            turn = np.stack((-constants[:, 0] * np.sin(inputs[:, 0]), np.cos(inputs[:, 0])), axis=1)
            by_axis = np.einsum("ij,ij->i", by_along[:, ::2], turn)
            return np.stack((by_axis, by_pitch, by_bank), axis=1)
        return np.concatenate((-by_along, by_along, by_pitch[:, None], by_bank[:, None]), axis=1)

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """Every link from axle to frame, every rod, both shafts."""
        return (*link_ends(setting), *rods(setting), *SHAFTS)

    def marks_of(self, subject: str, setting: Setting) -> tuple[Mark, ...]:
        """Between the points, or at the joint a shaft ends in."""
        return (Mark(self.shape, self.points(subject, setting) or (SHAFTS[subject],)),)

    def view_of(self, subject: str, setting: Setting) -> str:
        """From ahead for what runs across the vehicle."""
        return "front" if subject.startswith(("panhard", "drag_link", "tie_rod")) else self.view

    def _wording(self, subject: str, points: list[Point]) -> Wording:
        return self.special.get(subject, self.wording)


def _along(inputs: Array, constants: Array) -> Array:
    if inputs.shape[1] == 3:
        angle = inputs[:, 0]
        return np.stack((constants[:, 0] * np.cos(angle), np.zeros_like(angle), np.sin(angle)), axis=1)
    return inputs[:, 3:6] - inputs[:, :3]
