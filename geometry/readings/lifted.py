"""Centre of gravity's height by raising one end: how far its wheels are raised, and what the other end weighs.

The axle lift of ISO 10392, re-derived: with the suspension locked and the wheels free to roll, raising one end by
`rise` tilts the vehicle by angle = asin(rise / L) and moves weight to the end that stays down,

    left = load of that end, level + total (h - r) tan(angle) / L

L wheelbase, h height of the centre of gravity, r loaded radius, all at ride height. Each raised height of one end is an
unknown of its own, which both of its readings share; up to three a end.
"""

from __future__ import annotations

import numpy as np

from geometry.frame import Array
from geometry.points import LIFTS, LOADS
from geometry.readings import reading_words
from geometry.readings.kind import Setting, Terms, Wording
from geometry.readings.single import Single
from geometry.readings.tilt import unit
from geometry.readings.weight import LEAST_KG, SHARE
from geometry.slips import TAPED, WEIGHED

OTHER_END = {"front": "rear", "rear": "front"}
STEEPEST = 0.7
"""Rise over wheelbase: nothing is raised further; beyond it the search takes the tilt as no steeper."""
LEAST_WHEELBASE = 100.0
"""mm: so that two axles in one place still give a number."""
LIFT_SUBJECTS = tuple(lift.partition(".")[2] for lift in LIFTS)
"""rear, rear_2, rear_3, front, front_2, front_3: the end, and which of its heights."""


def _the_end(subject: str) -> str:
    return subject.partition("_")[0]


class LiftedRise(Single):
    """How far the wheels of one end stand above the other end's floor."""

    name = "lifted_rise"
    noun = "wheels raised"
    usual_sd = 3.0
    taped = True
    subjects = LIFT_SUBJECTS
    low, high = 50.0, 2000.0
    effort = 20.0
    slips = TAPED
    view = "top"
    shape = "weight"
    wording = Wording(
        title="How far the wheels are raised, {subject}",
        do_this=(
            reading_words.LOCK_THE_SUSPENSION,
            "Raise both wheels of that end alike, brakes off, gear out; the other end stands on the scales.",
            "Read from the floor of the scales up to the bottom of the raised tyres.",
        ),
        mistakes=(
            "The frame rose on its springs: the suspension was not locked.",
            "The floor under the lift is not as high as the scales.",
        ),
        care=reading_words.ONE_END_UP,
    )

    def terms(self, subject: str, setting: Setting) -> Terms:
        """That raised height."""
        self.points(subject, setting)
        return Terms((f"lift.{subject}",), (1.0,))

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """One height of each end; more are accepted."""
        return ("rear", "front")


class LiftedWeight(Single):
    """What the end that stays down weighs while the other end is raised."""

    name = "lifted_weight"
    noun = "weight left, other end raised"
    unit = "kg"
    usual_sd = LEAST_KG
    subjects = tuple(subject.replace(_the_end(subject), OTHER_END[_the_end(subject)]) for subject in LIFT_SUBJECTS)
    low, high = 10.0, 12000.0
    effort = 20.0
    slips = WEIGHED
    view = "top"
    shape = "weight"
    wording = Wording(
        title="Weight with the other end raised, {subject}",
        do_this=(
            reading_words.LOCK_THE_SUSPENSION,
            "Leave this end on its scales, the same as for the level weights, and raise the other end.",
            "Let it settle and read both scales of this end together; read once more on the way down.",
        ),
        mistakes=(
            "A brake or a gear held the wheels and pushed on the scales.",
            "The same scales were not used level and raised: a few kilograms are centimetres of height.",
        ),
        care=reading_words.ONE_END_UP,
    )

    def sd(self, value: float, tape_class: str = "II") -> float:
        """As of any weight: 1 % of the reading, not under 1 kg."""
        return max(SHARE * abs(value), LEAST_KG)

    def terms(self, subject: str, setting: Setting) -> Terms:
        """All four loads, height of the centre of gravity, loaded radius, raised height, and the wheel centres."""
        self.points(subject, setting)
        end = _the_end(subject)
        raised = subject.replace(end, OTHER_END[end])
        wheels = tuple(f"{stem}_{side}.centre" for side in ("left", "right") for stem in ("wheel", "other"))
        covers = tuple(float(load.startswith(f"load.{end}")) for load in LOADS)
        return Terms((*LOADS, "cg.z", "tyre.loaded_radius", f"lift.{raised}", *wheels), covers)

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """One height of each end; more are accepted."""
        return ("front", "rear")

    def predicted(self, inputs: Array, constants: Array) -> Array:
        """inputs: loads, cg height, radius, rise, wheel centres, (n, 19); constants: which loads stay down, (n, 4)."""
        wheelbase, _ = _wheelbase(inputs)
        slope, _, _ = _tilt(inputs[:, 6], wheelbase)
        loads = inputs[:, :4]
        moved = loads.sum(axis=1) * (inputs[:, 4] - inputs[:, 5]) * slope / wheelbase
        return np.asarray(np.einsum("ij,ij->i", loads, constants) + moved)

    def partials(self, inputs: Array, constants: Array) -> Array:
        """Per kg of each load, per mm of each height and of each wheel centre: (n, 19)."""
        wheelbase, by_points = _wheelbase(inputs)
        slope, by_rise, by_length = _tilt(inputs[:, 6], wheelbase)
        total, arm = inputs[:, :4].sum(axis=1), inputs[:, 4] - inputs[:, 5]
        partials = np.empty_like(inputs)
        partials[:, :4] = constants + (arm * slope / wheelbase)[:, None]
        partials[:, 4] = total * slope / wheelbase
        partials[:, 5] = -partials[:, 4]
        partials[:, 6] = total * arm * by_rise / wheelbase
        lengthwise = total * arm * (by_length - slope / wheelbase) / wheelbase
        partials[:, 7:] = lengthwise[:, None] * by_points
        return partials


def _wheelbase(inputs: Array) -> tuple[Array, Array]:
    """Mean of both sides' level distances (n,), and its change per mm of each wheel centre (n, 12)."""
    total = np.zeros(len(inputs))
    by_points = np.zeros((len(inputs), 12))
    for side in (7, 13):
        length, along = unit(inputs[:, side + 3 : side + 5] - inputs[:, side : side + 2])
        total += 0.5 * length
        by_points[:, side - 7 : side - 5], by_points[:, side - 4 : side - 2] = -0.5 * along, 0.5 * along
    short = total < LEAST_WHEELBASE
    return np.where(short, LEAST_WHEELBASE, total), np.where(short[:, None], 0.0, by_points)


def _tilt(rise: Array, wheelbase: Array) -> tuple[Array, Array, Array]:
    """tan(asin(rise / wheelbase)) and its change per mm of rise and of wheelbase, (n,) each."""
    share = np.clip(rise / wheelbase, -STEEPEST, STEEPEST)
    level = np.sqrt(1.0 - share**2)
    held = np.abs(rise / wheelbase) > STEEPEST
    steep = np.where(held, 0.0, 1.0 / (wheelbase * level**3))
    return share / level, steep, -share * steep
