"""What a stage asks for: the shortest walk that shows what tacking, welding or a new setting has moved.

It hangs on the stage before alone, so it stays the same while the readings of the walk come in.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from geometry.compare import Closeness, closeness
from geometry.condensed import few
from geometry.fit import Fit, Observation, Setup, fit
from geometry.proof import MAY_MOVE_MM, MOVE_MM, SET_MM, Proof, brackets, shortest_walks
from geometry.readings import parse_name

from capture import log, prove_words, report, stages
from capture.log_entries import Begin
from capture.vehicle_file import VehicleFile
from capture.walk import CORE, MORE, Station, Step, Walk, same_reading

FINER = (2, 4)
"""So many times finer reading is looked at, where the usual spreads do not show what was asked."""


@dataclass(frozen=True)
class Rung:
    """One walk that could be taken: the move it is made for, mm, how many readings, about how many minutes; told, sure:
    mm, how closely the comparison then tells every bolt's move, and which it would call sure."""

    move: float
    readings: int
    minutes: float
    told: float
    sure: float


@dataclass(frozen=True)
class Proving:
    """What a stage is asked to show. before: the stage it is compared with; carried: how many readings count on from
    it; move: what the chosen walk is made for, mm; finer: (how many times finer, the move a walk is then made for)
    for finer reading at both stages, as far as that helps; unknown: link bolts that stand on a guess, left out."""

    before: str
    carried: int
    rungs: tuple[Rung, ...]
    move: float
    proof: Proof
    finer: tuple[tuple[int, float], ...]
    unknown: tuple[str, ...]

    @property
    def enough(self) -> bool:
        """Whether the walk for a move of 2 mm is the one."""
        return self.move <= MOVE_MM

    @property
    def chosen(self) -> Rung:
        """The walk that is taken, among the others."""
        return next(rung for rung in self.rungs if rung.move == self.move)


def before(vehicle: VehicleFile, stage: str) -> str | None:
    """The latest stage before this one that has a reading of its own; None where there is none."""
    if stage == stages.PLAN:
        return None
    with_some = log.with_readings(vehicle)
    earlier = [one for one in with_some if one != stages.PLAN and stages.place(one) < stages.place(stage)]
    return earlier[-1] if earlier else None


def proving(vehicle: VehicleFile, stage: str, wanted: float | None = None) -> Proving | None:
    """The walk of a stage. wanted: the move it is to show, mm; as chosen at its beginning where None, else the smallest
    that readings show. None where there is no stage before to compare with, or nothing there that a walk could prove.
    """
    earlier = before(vehicle, stage)
    if earlier is None:
        return None
    view = log.observations(vehicle, earlier)
    asked = (report.setup_of(vehicle), view.observations, stages.is_setting(stage))
    walks, finer, unknown = _walks(*asked)
    if not walks:
        return None
    wanted = wanted or _chosen(vehicle, stage)
    move, proof = next((walk for walk in reversed(walks) if walk[0] <= (wanted or 0.0)), walks[0])
    rungs = tuple(
        Rung(one, sum(step.takes for step in made.steps), made.minutes, close.told, close.sure)
        for (one, made), close in zip(walks, _closeness(*asked), strict=True)
    )
    return Proving(earlier, len(view.takes), rungs, move, proof, finer, unknown)


def _chosen(vehicle: VehicleFile, stage: str) -> float | None:
    begun = [entry for entry in vehicle.entries if isinstance(entry, Begin) and entry.stage == stage]
    return begun[-1].move if begun else None


@lru_cache(maxsize=8)
def _walks(
    setup: Setup, observations: Sequence[Observation], setting: bool
) -> tuple[tuple[tuple[float, Proof], ...], tuple[tuple[int, float], ...], tuple[str, ...]]:
    fitted = few(fit(setup, observations))
    placed = fitted.placed()
    bolts = brackets(fitted)
    known = [name for name in bolts if placed[name].known]
    may_move = SET_MM if setting else MAY_MOVE_MM
    walks = shortest_walks(fitted, known, may_move)
    finer: list[tuple[int, float]] = []
    if walks and walks[0][0] > MOVE_MM:
        for times in FINER:
            better = shortest_walks(fitted, known, may_move, finer=times)
            if better and better[0][0] < min((walks[0][0], *(move for _, move in finer))):
                finer.append((times, better[0][0]))
    return walks, tuple(finer), tuple(name for name in bolts if not placed[name].known)


@lru_cache(maxsize=8)
def _closeness(setup: Setup, observations: Sequence[Observation], setting: bool) -> tuple[Closeness, ...]:
    """For each of these walks what the comparison with the stage before would tell once its readings are in."""
    before = few(fit(setup, observations))
    walks, _, unknown = _walks(setup, observations, setting)
    bolts = [name for name in brackets(before) if name not in unknown]
    return tuple(closeness(before, fit(setup, _as_read(before, proof, setting)), bolts) for _, proof in walks)


def _as_read(before: Fit, proof: Proof, setting: bool) -> tuple[Observation, ...]:
    """The readings of a walk as they are foretold, among those that count on from the stage before."""
    names = [step.name for step in proof.steps for _ in range(step.takes)]
    values, _ = before.predict(names)
    taken = tuple(
        Observation(name, float(value), f"{name}#{number}", id=f"asked-{number}")
        for number, (name, value) in enumerate(zip(names, values, strict=True))
    )
    asked = [parse_name(name, before.setup.layout, before.setup.worked_axle) for name in names]
    again, touched = {one.canonical for one in asked}, {point for one in asked for point in log.points_of(one)}
    return taken + tuple(
        replace(one, carried=True,
                added_sd=0.0 if touched.isdisjoint(log.points_of(read)) else log.may_have_moved(read, setting))
        for one, read in zip(before.observations, before.readings, strict=True)
        if read.canonical not in again
    )


# The walk.


def walk_that_proves(walk: Walk, proof: Proof, read_before: Collection[str] = ()) -> Walk:
    """The walk with the proof's readings as its core, and the frame marks that were read before; all else is more.

    A reading that no station asks for is read where one of its points is; second readings come after all first ones of
    their station, so that they are looked at anew.
    """
    asked = {same_reading(step.name): step.takes for step in proof.steps}
    steps = [changed for step in walk.steps for changed in _as_asked(step, asked, read_before)]
    there = {same_reading(step.reading) for step in walk.steps}
    for step in proof.steps:
        if same_reading(step.name) not in there or _station_of(walk, step.name) == "others":
            steps = [one for one in steps if same_reading(one.reading) != same_reading(step.name)]
            station = _near(walk, step.name)
            made = _takes(step.name, station, 1, step.takes)
            place = max((at for at, one in enumerate(steps) if one.station == station), default=len(steps) - 1) + 1
            steps[place:place] = made
    used = [one for one in walk.stations if any(step.station == one.key for step in steps)]
    in_turn = (step for one in used for step in sorted(steps, key=lambda step: step.take) if step.station == one.key)
    return Walk(tuple(used), tuple(in_turn))


def _as_asked(step: Step, asked: dict[str, int], read_before: Collection[str]) -> list[Step]:
    takes = asked.get(same_reading(step.reading), 0)
    if takes and step.take == 1:
        return _takes(step.reading, step.station, 1, takes)
    guards = step.reading.startswith("height:mark.") and step.reading in read_before
    return [Step(step.reading, step.station, step.why, CORE if guards else MORE, step.take)]


def _takes(reading: str, station: str, first: int, last: int) -> list[Step]:
    return [
        Step(reading, station, prove_words.why(take), CORE, take) for take in range(first, last + 1)
    ]


def _station_of(walk: Walk, reading: str) -> str | None:
    found = walk.find(reading)
    return found.station if found else None


def _near(walk: Walk, reading: str) -> str:
    """The station where one already is for one of the reading's points; the last one, where there is none."""
    for point in reading.partition(":")[2].split("~"):
        point = point.replace(".middle", ".frame")
        at = next((step.station for step in walk.steps if step.reading == f"height:{point}"), None)
        if at is not None:
            return at
    stations: tuple[Station, ...] = walk.stations
    return stations[-1].key
