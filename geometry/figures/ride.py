"""The vehicle at ride height as figures see it: every point and scalar nudged along one unknown each.

Index 0 .. P-1 of the leading axis is the nudged unknown; the real parts are all alike, the imaginary part over STEP is
the derivative by that unknown. So a figure written once yields its value and its whole gradient.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any, TypeVar

import numpy as np

from geometry import motion
from geometry.complex_step import STEP, Complex, cross, norm
from geometry.figures import figure_words
from geometry.figures.base import Facts, NotYet
from geometry.fit import Fit
from geometry.following import follow_motion, resting
from geometry.frame import Array
from geometry.layouts import LAYOUTS, Layout
from geometry.points import LIFTS
from geometry.readings.lifted import STEEPEST

Answer = TypeVar("Answer")

LOOSE = 100.0
"""A closure worse conditioned than this leaves the axle free some other way (lengths in mm, turns per half metre): what
give or take keeps two lines apart holds nothing. Made vehicles of every layout lie below 30."""
LEVER_MM = 500.0
SHORT_MM = 20.0
"""Two ends nearer than this are one place, as no two joints fit there: the line between them points nowhere, and what
is left of its length is give or take."""
LOWEST_CG_MM = 100.0
"""A centre of gravity lower than this is a slip: wheels and axle alone weigh higher."""

ENTRY = {
    "cg.z": ("cg_height:estimate",),
    "pinion": ("incline:pinion",),
    "gearbox_output": ("incline:gearbox_output",),
    "kingpin_left.top": ("caster:left",),
    "kingpin_left.bottom": ("caster:left",),
    "kingpin_right.top": ("caster:right",),
    "kingpin_right.bottom": ("caster:right",),
    "floor.pitch": ("floor_slope:fore_aft",),
    "floor.bank": ("floor_slope:across",),
    "tyre.loaded_radius": ("height:wheel_left.centre",),
    "travel.bump": ("travel:bump",),
    "travel.droop": ("travel:droop",),
    "load.front_left": ("weight:front",),
    "load.front_right": ("weight:front",),
    "load.rear_left": ("weight:rear",),
    "load.rear_right": ("weight:rear",),
}
"""The readings that bring a scalar, or a point that has a short way in, into the fit."""


class Ride:
    """A fitted vehicle at ride height, P of it at once: nudged along one unknown each, or drawn or moved ones.

    aside: first words of the points and scalars that no figure hangs on, which need no nudge. each_wheel: whether the
    places the axle gets to are looked at with one wheel alone going up or down too.
    """

    aside: tuple[str, ...] = ("mark.", "keep_clear.", "floor.", "tyre.", "travel.", "lift.")
    each_wheel = False

    def __init__(
        self, fit: Fit, facts: Facts, estimates: Complex | None = None, unknowns: Array | None = None
    ) -> None:
        """estimates (P, u): vehicles to stand in place of the nudged ones. unknowns: which these are nudged along."""
        self.fit = fit
        self.facts = facts
        self.front: bool = fit.setup.worked_axle == "front"
        self.layout: Layout = LAYOUTS[fit.setup.layout]
        self.unknowns: Array = np.array(self._relevant(), dtype=int) if unknowns is None else unknowns
        if estimates is None:
            nudges = np.zeros((self.unknowns.size, fit.estimate.size))
            nudges[np.arange(self.unknowns.size), self.unknowns] = STEP
            estimates = fit.estimate[None, :] + 1j * nudges
        self._estimate: Complex = estimates
        self.taken: dict[bytes, Any] = {}
        self.steered = ""  # which side the drag link steers, once somebody has asked
        self._worked: dict[Callable[..., Any], tuple[motion.Pose, Any]] = {}

    def _relevant(self) -> list[int]:
        found: list[int] = []
        for name, first in self.fit.slot.items():
            if not name.startswith(self.aside):
                found.extend(range(first, first + (3 if name in self.points else 1)))
        return found

    @property
    def drawn(self) -> bool:
        """Whether these are vehicles of their own, drawn or moved, and not one vehicle nudged."""
        return not np.iscomplexobj(self._estimate)

    def once(self, work: Callable[[Ride, motion.Pose], Answer], pose: motion.Pose) -> Answer:
        """What `work` gives for a pose: kept while that pose is in hand, since several columns hang on the same."""
        kept = self._worked.get(work)
        if kept is None or kept[0] is not pose:
            kept = self._worked[work] = (pose, work(self, pose))
        answer: Answer = kept[1]
        return answer

    def forget_poses(self) -> None:
        """Lets go of the poses it was taken to: megabytes that are worked out anew when somebody asks again."""
        self.taken.clear()
        self._worked.clear()

    def alone(self) -> Ride:
        """The first of these vehicles without its nudge, P = 1."""
        first = type(self)(self.fit, self.facts, self._estimate[:1].real.copy(), self.unknowns)
        first.steered = self.steered
        return first

    @cached_property
    def points(self) -> frozenset[str]:
        return frozenset(self.fit.points)

    def has(self, *names: str) -> bool:
        """Whether all these points or scalars have entered the fit."""
        return all(name in self.fit.slot for name in names)

    def point(self, name: str) -> Complex:
        """(P, 3) floor frame, mm. NotYet where no reading has touched it."""
        first = self._slot(name)
        return self._estimate[:, first : first + 3]

    def scalar(self, name: str) -> Complex:
        """(P,) mm, radian or kg."""
        return self._estimate[:, self._slot(name)]

    def missing(self, *names: str) -> tuple[str, ...]:
        """The readings that bring these points and scalars into the fit, of those that are not in it."""
        found: dict[str, None] = {}
        for name in names:
            try:
                self._slot(name)
            except NotYet as wait:
                found.update(dict.fromkeys(wait.needs))
        return tuple(found)

    def wait_for(self, *names: str) -> None:
        """NotYet with the readings of all of these that are not in the fit."""
        missing = self.missing(*names)
        if missing:
            raise NotYet(missing)

    def _slot(self, name: str) -> int:
        if name not in self.fit.slot:
            raise NotYet(ENTRY.get(name) or tuple(f"{kind}:{name}" for kind in ("fore_aft", "lateral", "height")))
        return self.fit.slot[name]

    @cached_property
    def centre(self) -> Complex:
        """The axle's centre, (P, 3): midpoint of the worked wheels' centres."""
        return 0.5 * (self.point("wheel_left.centre") + self.point("wheel_right.centre"))

    @cached_property
    def wheelbase(self) -> Complex:
        """Mean of both sides' horizontal distances of the wheel centres, (P,) mm."""
        sides = [
            norm((self.point(f"wheel_{s}.centre") - self.point(f"other_{s}.centre"))[:, :2]) for s in ("left", "right")
        ]
        return 0.5 * (sides[0] + sides[1])

    @cached_property
    def cg_height(self) -> Complex:
        """Height of the centre of gravity over the floor, (P,) mm. NotYet where it lies at the floor, or stands on a
        lift that no vehicle of this wheelbase takes."""
        height = self.scalar("cg.z")
        for lift in LIFTS:
            if lift in self.fit.slot and abs(self.scalar(lift).real[0]) > STEEPEST * self.wheelbase.real[0]:
                raise NotYet((f"lifted_rise:{lift.partition('.')[2]}",), figure_words.LIFTED_TOO_FAR)
        if height.real[0] < LOWEST_CG_MM:
            raise NotYet(("cg_height:estimate",), figure_words.CG_BELOW_FLOOR)
        return height

    @cached_property
    def rig(self) -> motion.Rig:
        """What the motion needs of the vehicle, for every nudge."""
        centre = self.centre
        contacts = []
        for s in ("left", "right"):
            contact = self.point(f"wheel_{s}.centre").copy()
            contact[:, 2] = 0.0
            contacts.append(contact)
        links = [link for link in self.layout.links if link.role != "arm"]
        arms = [link for link in self.layout.links if link.role == "arm"]
        frame = np.stack([self.point(link.frame) for link in links], axis=1)
        axle = np.stack([self.axle_end(link.name) for link in links], axis=1)
        held = [self.point(link.frame) - centre for link in arms]
        return motion.Rig(
            centre,
            0.5 * (contacts[0] + contacts[1]) - centre,
            contacts[0] - contacts[1],
            frame,
            axle - centre[:, None],
            np.stack(held, axis=1) if held else np.zeros((centre.shape[0], 0, 3), centre.dtype),
        )

    @cached_property
    def real_rig(self) -> motion.Rig:
        """The first vehicle's, without nudges, P = 1."""
        rig = self.rig
        if self.drawn and rig.centre.shape[0] == 1:
            return rig
        parts = (rig.centre, rig.contact, rig.contact_span, rig.frame, rig.axle, rig.held)
        return motion.Rig(*(np.ascontiguousarray(part[:1].real) for part in parts))

    def axle_end(self, name: str) -> Complex:
        """A link's axle end, (P, 3); an arm's is the middle of its two axle joints."""
        link = next(link for link in self.layout.links if link.name == name)
        ends = [self.point(end) for end in link.axle]
        return ends[0] if len(ends) == 1 else sum(ends[1:], ends[0]) / len(ends)

    def link(self, name: str) -> Complex:
        """From a link's axle end to its frame end, (P, 3)."""
        link = next(link for link in self.layout.links if link.name == name)
        return self.point(link.frame) - self.axle_end(name)

    def long_link(self, name: str) -> Complex:
        """The same, where it points anywhere. NotYet where both ends are in one place."""
        along = self.link(name)
        if not float(norm(along[:1].real)[0]) > SHORT_MM:
            words = next(link.words for link in self.layout.links if link.name == name)
            raise NotYet((), figure_words.link_in_one_place(words))
        return along

    def _refuse_short_links(self) -> None:
        for link in self.layout.links:
            self.long_link(link.name)

    @cached_property
    def _closure(self) -> motion.Equations:
        """At ride height; of nudged vehicles that of the real one."""
        self._refuse_short_links()
        closure = self.rig.at_rest if self.drawn else self.real_rig.at_rest
        matrix = closure.matrix[0, 0].copy()
        matrix[:, 2:5] /= LEVER_MM
        if not self.rig.determinate:
            matrix[2:5] /= LEVER_MM
        if not np.isfinite(matrix).all() or np.linalg.cond(matrix) > LOOSE:
            raise NotYet((), figure_words.FREE_TO_MOVE)
        return closure

    @cached_property
    def heave(self) -> motion.Motion:
        """Velocity per mm of rise, (P, 1, 3)."""
        return self._moving(motion.solve_linear(self._closure.matrix, -self._closure.by_rise), 1.0)

    @cached_property
    def roll(self) -> motion.Motion:
        """Velocity per mm that the left contact rises over the right, (P, 1, 3)."""
        drive = np.zeros_like(self._closure.miss)
        drive[..., -1] = 1.0
        return self._moving(motion.solve_linear(self._closure.matrix, drive), 0.0)

    def _moving(self, rate: Array, rise: float) -> motion.Motion:
        """The motion at ride height for the real rate (1 or P, 1, m) in the axle's unknowns."""
        if self.drawn:
            return motion.as_motion(rate, rise)
        pose = resting(self.rig, motion.at_ride(self.real_rig))
        return follow_motion(self.rig, pose, np.linalg.inv(self._closure.matrix), rate, rise)

    def slope(self, rise: motion.Motion, contact: Complex) -> Complex:
        """s of the mean contact point: how far it goes to the axle's own end of the vehicle per mm it rises, (P, T)."""
        speed = rise.velocity + cross(rise.spin, contact)
        ahead = speed[..., 0] / speed[..., 2]
        return np.asarray(ahead if self.front else -ahead)
