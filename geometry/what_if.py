"""What a plan of moves would make of the measured vehicle: every figure, the sweep, and how sure each difference is.

The moved vehicle hangs on the same readings as the measured one. So the difference of a figure has the slope of the one
less that of the other and is far surer than either: what a moved bolt changes is known better than what it is.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from geometry.complex_step import STEP, Complex
from geometry.figures import Spread, catalogue, slopes, travel, wheels
from geometry.figures.base import Column, Facts, Figure, NotYet, SweepTable
from geometry.figures.ride import Ride
from geometry.figures.roll import KEYS as BY_CONVENTION
from geometry.figures.slopes import Sloped, SlopedColumn
from geometry.figures.travel import ColumnKind
from geometry.fit import Fit
from geometry.frame import Array
from geometry.moves import Plan, moved

SURE = 2.0
"""A difference beyond so many of its sds is called sure, as screens show plus or minus two."""


@dataclass(frozen=True)
class Difference:
    """Moved less measured in the figure's unit, with its sd."""

    value: float
    sd: float

    @property
    def sure(self) -> bool:
        """Whether the sign of the difference is beyond the spread of the readings; a real nought never is."""
        return abs(self.value) > max(SURE * self.sd, 1e-9)


@dataclass(frozen=True)
class MovedPoint:
    """A point after the plan: place in the measured vehicle's frame, mm, its sd in its own vehicle frame, and by how
    much it moved, mm."""

    name: str
    place: tuple[float, float, float]
    sd: tuple[float, float, float]
    by: tuple[float, float, float]


class Measured:
    """The vehicle as measured, ready to be compared with any number of plans: worked out once, used for all."""

    def __init__(self, fitted: Fit, facts: Facts) -> None:
        self.fit, self.facts = fitted, facts
        tyre = [slot for name, slot in fitted.slot.items() if name.startswith("tyre.")]
        self.unknowns: Array = np.array(sorted({*Ride(fitted, facts).unknowns.tolist(), *tyre}), dtype=int)
        self.estimates: Complex = fitted.estimate[None, :] + 1j * STEP * np.eye(fitted.unknowns)[self.unknowns]
        self.ride = Ride(fitted, facts, self.estimates, self.unknowns)
        self.spread = Spread(self.ride)
        self.kinds = catalogue(fitted.setup.layout, fitted.setup.worked_axle)

    @cached_property
    def answers(self) -> dict[str, Sloped | NotYet]:
        return slopes.figures(self.ride, self.kinds)

    @cached_property
    def columns(self) -> tuple[Array, dict[str, tuple[ColumnKind, SlopedColumn | NotYet]]]:
        columns = slopes.columns(self.ride)
        self.ride.forget_poses()  # the last that is asked of it, and it may be kept for long
        return columns

    @cached_property
    def figures(self) -> dict[str, Figure]:
        """Every figure as measured."""
        return {key: self.figure(key, answer) for key, answer in self.answers.items()}

    def figure(self, key: str, answer: Sloped | NotYet) -> Figure:
        """A sloped answer as a figure with its spread and what it leans on."""
        unit = self.kinds[key].unit
        links = self.ride.layout.links
        free = len(links) == 4 and all(link.role != "arm" for link in links)
        convention = key in BY_CONVENTION and not free
        if isinstance(answer, NotYet):
            return Figure(key, unit, None, None, answer.needs, False, convention, answer.reason)
        leans = bool(self.spread.leans(answer.slope))
        needs = self.spread.needs(answer.slope) if leans else ()
        return Figure(key, unit, answer.value, float(self.spread.sd(answer.slope)), needs, leans, convention)


@dataclass(frozen=True)
class Outcome:
    """A plan carried out on paper. Each part is worked out when first asked for.

    wanted: the figures that are asked for; all of them where None.
    """

    measured: Measured
    plan: Plan
    state: Complex
    wanted: frozenset[str] | None = None

    def narrowed(self, wanted: Collection[str]) -> Outcome:
        """The same with these figures only, which spares working out the others."""
        return replace(self, wanted=frozenset(wanted))

    @cached_property
    def ride(self) -> Ride:
        return Ride(self.measured.fit, self.measured.facts, self.state, self.measured.unknowns)

    @cached_property
    def answers(self) -> dict[str, Sloped | NotYet]:
        kinds = self.measured.kinds
        chosen = {key: kind for key, kind in kinds.items() if self.wanted is None or key in self.wanted}
        return slopes.figures(self.ride, chosen)

    @cached_property
    def figures(self) -> dict[str, Figure]:
        """Every figure of the moved vehicle."""
        return {key: self.measured.figure(key, answer) for key, answer in self.answers.items()}

    @cached_property
    def differences(self) -> dict[str, Difference]:
        """By figure: moved less measured. Figures that one of the two does not have are left out."""
        found = {}
        for key, after in self.answers.items():
            before = self.measured.answers[key]
            if isinstance(after, Sloped) and isinstance(before, Sloped):
                sd = float(self.measured.spread.sd(after.slope - before.slope))
                found[key] = Difference(after.value - before.value, sd)
        return found

    @cached_property
    def sweep(self) -> SweepTable:
        """The sweep of the moved vehicle over the measured travel."""
        path, found = slopes.columns(self.ride)
        return SweepTable(tuple(path.tolist()), {key: self._column(*found[key]) for key in found})

    def column(self, key: str) -> Column | None:
        """One column over the measured travel, of the sweep or of whole values; None where there is none so named."""
        axle = "front" if self.ride.front else "rear"
        for kind in (*wheels.columns(axle), *travel.columns(self.ride.layout.name, axle)):
            if kind.key == key:
                return self._column(kind, slopes.column(self.ride, kind))
        return None

    @cached_property
    def sweep_differences(self) -> SweepTable:
        """Moved less measured at every step of the travel; columns that one of the two does not have are left out."""
        path, after = slopes.columns(self.ride)
        _, before = self.measured.columns
        found = {}
        for key, (kind, column) in after.items():
            other = before[key][1]
            if isinstance(column, SlopedColumn) and isinstance(other, SlopedColumn):
                off = SlopedColumn(column.values - other.values, column.slopes - other.slopes)
                found[key] = self._column(kind, off)
        return SweepTable(tuple(path.tolist()), found)

    @cached_property
    def points(self) -> dict[str, MovedPoint]:
        """Every point of the fit after the plan."""
        fitted, state = self.measured.fit, self.state
        centre = self.ride.centre[:, 0].imag / STEP
        found = {}
        for name in fitted.points:
            first = fitted.slot[name]
            own = fitted.placed()[name].sd
            place = state[0, first : first + 3].real - np.array([fitted.origin, 0.0, 0.0])
            slope = state[:, first : first + 3].imag.T / STEP
            slope[0] -= centre
            by = state[0, first : first + 3].real - fitted.estimate[first : first + 3]
            sd = own if name.startswith(Ride.aside) else _three(self.measured.spread.sd(slope))
            found[name] = MovedPoint(name, _three(place), sd, _three(by))
        return found

    def _column(self, kind: ColumnKind, column: SlopedColumn | NotYet) -> Column:
        if isinstance(column, NotYet):
            none = (None,) * travel.steps(self.measured.ride).size
            return Column(kind.unit, kind.title, none, none, column.needs, False, column.reason)
        sds = self.measured.spread.sd(column.slopes)
        return Column(kind.unit, kind.title, _plain(column.values), _plain(sds))


def what_if(measured: Measured, plan: Plan) -> Outcome:
    """What a plan would make of the vehicle. Errors: BadMove, BadName: one sentence about the move that cannot be."""
    state = moved(measured.fit, measured.facts, plan, measured.estimates)
    return Outcome(measured, plan, state)


def _three(values: Array) -> tuple[float, float, float]:
    x, y, z = values.tolist()
    return x, y, z


def _plain(values: Array) -> tuple[float | None, ...]:
    return tuple(float(value) if np.isfinite(value) else None for value in values)
