"""The one place that runs log -> fit -> doubts -> figures.

A report is a function of the vehicle file and a stage. Its parts are worked out when first asked for, so a page that
shows points only does not pay for the sweep; what an earlier report of the same workshop worked out from the same
readings and facts is taken from there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from geometry.figures import Facts
from geometry.fit import Setup

from capture import log
from capture.later import later
from capture.log import StageView
from capture.part_facts import parts_of
from capture.settled import Settled, sorted_out
from capture.vehicle_file import VehicleFile
from capture.worked import Worked, Workshop

if TYPE_CHECKING:
    from geometry.aims import Answer
    from geometry.doubt import Doubt
    from geometry.figures import Figure, Sheet, SweepTable
    from geometry.figures.clearance import ClearanceTable
    from geometry.fit import Fit
    from geometry.what_if import Measured

plans = later("capture.plans")

FORMAT = "plumbtack report"
VERSION = 1


@dataclass(frozen=True)
class Report:
    """A vehicle at a stage: its readings, and on demand fit, doubts and figures."""

    vehicle: VehicleFile
    stage_view: StageView
    workshop: Workshop = field(default_factory=Workshop, repr=False, compare=False)

    @property
    def stage(self) -> str:
        return self.stage_view.stage

    @cached_property
    def worked(self) -> Worked:
        """What follows from the readings alone, as far as any report of the workshop has worked it out."""
        return self.workshop.worked(setup_of(self.vehicle), self.stage_view.observations)

    @cached_property
    def facts(self) -> Facts:
        """What the figures have to know besides the points."""
        return facts_of(self.vehicle)

    @property
    def fit(self) -> Fit:
        """The points that suit all readings best, with their covariance."""
        return self.worked.fit

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """Readings that do not go with the rest and are not settled, worst first."""
        return self._judged[0]

    @property
    def settled(self) -> tuple[Settled, ...]:
        """The doubts that stand in the numbers still, and that a person settled by keeping what was read."""
        return self._judged[1]

    @cached_property
    def _judged(self) -> tuple[tuple[Doubt, ...], tuple[Settled, ...]]:
        judged, keeps = self.worked.judged(self.facts), log.keeps(self.vehicle, self.stage)
        return sorted_out(judged, self.stage_view, keeps, self.vehicle.facts)

    @property
    def sheet(self) -> Sheet:
        """The figures and the sweep."""
        return self.worked.sheet(self.facts)

    @property
    def measured(self) -> Measured:
        """The vehicle ready to be compared with plans of moves."""
        return self.worked.measured(self.facts)

    @property
    def aimed(self) -> Answer | None:
        """Where the bolts should go for what is aimed at; None where nothing is. Raises GeometryError."""
        wanted = plans.aims_of(self.vehicle)
        return self.worked.aimed(wanted, self.facts) if wanted else None

    @cached_property
    def without(self) -> Worked | None:
        """The sums without the readings in doubt; None where nothing is in doubt."""
        keys = {key for each in self.doubts for key in each.readings}
        if not keys:
            return None
        rest = tuple(seen for seen in self.stage_view.observations if seen.key not in keys)
        return self.workshop.worked(setup_of(self.vehicle), rest)

    @cached_property
    def doubted(self) -> frozenset[str]:
        """The figures that leave their own spread, or are none any more, without the readings in doubt."""
        if self.without is None:
            return frozenset()
        there = self.without.sheet(self.facts).figures
        return frozenset(key for key, figure in self.sheet.figures.items() if _moves(figure, there[key]))

    @cached_property
    def corrected(self) -> dict[str, Figure]:
        """The figures in doubt as they would be under the likeliest correction of the open doubts."""
        if not self.doubted:
            return {}
        would_be = self.worked.corrected(self.doubts, self.facts).figures
        return {key: would_be[key] for key in self.sheet.figures if key in self.doubted}

    @property
    def standing(self) -> tuple[SweepTable, SweepTable]:
        """Wheels, caster, pinion and roll centre as whole values: over travel and crossed."""
        return self.worked.standing(self.facts)

    @property
    def articulation(self) -> SweepTable:
        """The sweep with one wheel up and the other down."""
        return self.worked.articulation(self.facts)

    @property
    def gaps(self) -> ClearanceTable:
        """The least distance of every pair of parts over travel, articulation and steer. Raises figures.base.NotYet."""
        return self.worked.gaps(self.facts)

    @cached_property
    def missing(self) -> dict[str, tuple[str, ...]]:
        """For each figure that cannot be had yet, the readings or facts it waits for."""
        found = self.sheet.figures.items()
        return {key: figure.needs for key, figure in found if figure.value is None and figure.needs}

    def as_json(self) -> dict[str, Any]:
        """The report as programs read it: plain dicts and lists, None where there is no number, never NaN."""
        return {
            "format": FORMAT,
            "version": VERSION,
            "stage": self.stage,
            "points": _points(self.fit),
            "figures": {key: _figure(figure) for key, figure in self.sheet.figures.items()},
            "sweep": _sweep(self.sheet.sweep),
            "doubts": [_doubt(each) for each in self.doubts],
            **_kept(self.settled),
            "fit": _fit(self.fit),
        }


def build(vehicle: VehicleFile, stage: str | None = None, workshop: Workshop | None = None) -> Report:
    """The report of a vehicle at a stage, by default the latest that has a reading. Raises log.NoReadings.

    workshop: where what was worked out before is found, and what this report works out is left.
    """
    workshop = workshop or Workshop()
    return Report(vehicle, workshop.view(vehicle, stage), workshop)


def setup_of(vehicle: VehicleFile) -> Setup:
    """What the fit has to know of the vehicle before any reading."""
    return Setup(
        layout=vehicle.layout,
        worked_axle=vehicle.worked_axle,
        wheelbase=vehicle.facts.rough_wheelbase,
        tyre_diameter=vehicle.facts.tyre_diameter,
        tape_class=vehicle.facts.tape_class,
    )


def facts_of(vehicle: VehicleFile) -> Facts:
    """What the figures have to know besides the points."""
    return Facts(
        brake_share_front=vehicle.facts.brake_share_front,
        drive_share_front=vehicle.facts.drive_share_front,
        unsprung_mass=vehicle.facts.unsprung_mass,
        **parts_of(vehicle.facts),
    )


def _moves(now: Figure, without: Figure) -> bool:
    if now.value is None or now.sd is None or now.leans:
        return False
    return without.value is None or without.leans or abs(without.value - now.value) > now.sd


def _number(value: Any) -> float | None:
    """A plain float that JSON can hold, or None."""
    if value is None:
        return None
    number = float(value)
    return number if math.isfinite(number) else None


def _numbers(values: Iterable[Any]) -> list[float | None]:
    return [_number(value) for value in values]


def _points(fitted: Fit) -> dict[str, Any]:
    return {
        name: {
            "x": _number(point.x),
            "y": _number(point.y),
            "z": _number(point.z),
            "sd": _numbers(point.sd),
            "known": bool(point.known),
        }
        for name, point in fitted.placed().items()
    }


def _figure(figure: Figure) -> dict[str, Any]:
    found: dict[str, Any] = {
        "value": _number(figure.value),
        "sd": _number(figure.sd),
        "unit": figure.unit,
        "needs": list(figure.needs),
    }
    for mark in ("leans", "convention", "reason", "remark"):
        if getattr(figure, mark):
            found[mark] = getattr(figure, mark)
    return found


def _sweep(sweep: SweepTable) -> list[dict[str, Any]]:
    """One dict a step of travel: its columns by name, their sds under "sd", and the reason where it is not reached."""
    return [
        {
            "travel": _number(travel),
            **{name: _number(column.values[step]) for name, column in sweep.columns.items()},
            "sd": {name: _number(column.sd[step]) for name, column in sweep.columns.items()},
            **_not_reached(sweep, step),
        }
        for step, travel in enumerate(sweep.travel)
    ]


def _not_reached(sweep: SweepTable, step: int) -> dict[str, str]:
    """Why a step has nothing to show; nothing where it has."""
    travel, columns = sweep.travel[step], sweep.columns.values()
    if any(column.values[step] is not None for column in columns):
        return {}
    beyond = [sentence for at, sentence in sweep.binds if travel > at >= 0.0 or travel < at <= 0.0]
    reasons = [*beyond, *(column.reason for column in columns if column.reason)]
    return {"reason": reasons[0]} if reasons else {}


def _doubt(found: Doubt) -> dict[str, Any]:
    told: dict[str, Any] = {"readings": list(found.readings), "reason": found.reason, "w": _number(found.w)}
    if found.likely is not None:
        told["likely"] = {"mistake": found.likely.mistake, "value": _number(found.likely.value)}
    if found.shared is not None:
        shared = found.shared
        told["shared"] = {"mistake": shared.family, "amount": _number(shared.amount), "sd": _number(shared.sd),
                          "unit": shared.unit}
    if found.also:
        told["also"] = [_doubt(each) for each in found.also]
    if found.stated:
        told["facts"] = list(found.stated)
    return told


def _kept(settled: Iterable[Settled]) -> dict[str, Any]:
    """The doubts a person settled by keeping what stands; nothing where there is none."""
    told = [_doubt(each.doubt) | {"at": each.keep.at, "note": each.keep.note} for each in settled]
    return {"kept": told} if told else {}


def _fit(fitted: Fit) -> dict[str, Any]:
    return {
        "readings": len(fitted.observations),
        "unknowns": int(fitted.unknowns),
        "assumptions": int(fitted.assumptions),
        "redundancy": _number(fitted.redundancy_total),
        "variance_factor": _number(fitted.variance_factor),
        "each": dict(_each(fitted)),
    }


def _each(fitted: Fit) -> Iterable[tuple[str, Mapping[str, Any]]]:
    columns = (fitted.residual, fitted.sd, fitted.redundancy, fitted.w, fitted.smallest_findable)
    for observation, *row in zip(fitted.observations, *(column.tolist() for column in columns), strict=True):
        residual, sd, redundancy, w, findable = _numbers(row)
        told = {"residual": residual, "sd": sd, "redundancy": redundancy, "w": w, "smallest_findable": findable}
        yield observation.key, told | ({"carried": True} if observation.carried else {})
