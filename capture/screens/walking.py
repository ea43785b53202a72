"""A vehicle on its walk: the report, the walk, and how far it is at the stage that is being measured."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from geometry.errors import BadName
from geometry.readings import parse_name

from capture import report as reports
from capture import stage_log
from capture.log import NoReadings, Take
from capture.proving import Proving, proving, walk_that_proves
from capture.report import Report
from capture.screens.room import report_now
from capture.stages import FIRST_STAGE, MEASURED, place
from capture.vehicle_file import Note, VehicleFile
from capture.walk import Progress, Walk, same_reading, walk_of

CANNOT_REACH = "cannot reach"
"""What a note says that was written by the key of that name."""


@dataclass(frozen=True)
class Walking:
    """One vehicle at one stage. own_points: keep-clear points just named, not in the log yet. called: the reading a
    page asks for by its name, which the walk need not have."""

    vehicle_id: str
    report: Report
    version: int
    stage: str
    own_points: tuple[str, ...] = ()
    called: tuple[str, ...] = ()

    @property
    def vehicle(self) -> VehicleFile:
        return self.report.vehicle

    @property
    def stages(self) -> tuple[str, ...]:
        """Those he can measure at: begun ones, and the one in hand."""
        return tuple(sorted({*(stage_log.begun(self.vehicle) or (FIRST_STAGE,)), self.stage}, key=place))

    @cached_property
    def latest(self) -> str:
        """The stage that is being measured, whichever is looked at."""
        return stage_log.current(self.vehicle)

    @cached_property
    def takes(self) -> dict[str, tuple[Take, ...]]:
        """The takes of each reading at this very stage, none carried over."""
        found: dict[str, list[Take]] = {}
        for take in self.report.stage_view.takes:
            if take.stage == self.stage:
                found.setdefault(take.name, []).append(take)
        return {name: tuple(takes) for name, takes in found.items()}

    @cached_property
    def walk(self) -> Walk:
        names = tuple(dict.fromkeys(take.name for take in self.report.stage_view.takes))
        proving = self.proving
        asked = tuple(step.name for step in proving.proof.steps) if proving else ()
        walk = walk_of(self.vehicle.layout, self.vehicle.worked_axle, (*names, *asked, *self.called), self.own_points)
        return walk_that_proves(walk, proving.proof, names) if proving else walk

    @cached_property
    def proving(self) -> Proving | None:
        """What this stage is to show; None at the first one, where everything is measured."""
        return proving(self.vehicle, self.stage)

    @cached_property
    def out_of_reach(self) -> tuple[str, ...]:
        """Readings he noted as out of reach at this stage."""
        return tuple(dict.fromkeys(
            entry.reading for entry in self.vehicle.of_kind(Note)
            if entry.reading and entry.note == CANNOT_REACH
            and entry.stage in (None, self.stage)
        ))

    @cached_property
    def in_doubt(self) -> frozenset[str]:
        """Readings that an open doubt names."""
        return frozenset(key.partition("#")[0] for doubt in self.report.doubts for key in doubt.readings)

    @cached_property
    def progress(self) -> Progress:
        counts = {name: len(takes) for name, takes in self.takes.items()}
        return Progress(self.walk, counts, self.out_of_reach, self.in_doubt)

    @cached_property
    def _takes_by_reading(self) -> dict[str, tuple[Take, ...]]:
        return {same_reading(name): takes for name, takes in self.takes.items()}

    def takes_of(self, reading: str) -> tuple[Take, ...]:
        """The takes of a reading, P~Q and Q~P being one."""
        return self._takes_by_reading.get(same_reading(reading), ())


def walking(vehicle_id: str, asked: Mapping[str, str], own_points: Iterable[str] = ()) -> Walking:
    """The vehicle at the stage asked for, else at the latest that has begun. Raises NoSuchVehicle."""
    report, version = report_now(vehicle_id)
    stage = asked.get("stage", "")
    if stage not in MEASURED:
        stage = stage_log.current(report.vehicle)
    if stage != report.stage:
        try:
            report, version = report_now(vehicle_id, stage)
        except NoReadings:
            report = unread(report)
    return Walking(vehicle_id, report, version, stage, tuple(own_points), called(report.vehicle, asked.get("at", "")))


def unread(report: Report) -> Report:
    """The vehicle at a stage that has no reading yet."""
    bare = report.vehicle.model_copy(update={"entries": []})
    return Report(report.vehicle, reports.build(bare).stage_view, report.workshop)


def of_a_file(vehicle: VehicleFile) -> Walking:
    """The vehicle of a file, at the stage that is being measured."""
    stage = stage_log.current(vehicle)
    try:
        report = reports.build(vehicle, stage)
    except NoReadings:
        report = unread(reports.build(vehicle))
    return Walking("", report, 0, stage)


def called(vehicle: VehicleFile, name: str) -> tuple[str, ...]:
    """The reading of that name, where the layout has one between its own points; () of any other text."""
    try:
        reading = parse_name(name, vehicle.layout, vehicle.worked_axle)
    except BadName:
        return ()
    own = any(point.partition(".")[0] in ("keep_clear", "mark") for point in reading.points)
    return () if own else (name,)
