"""What was decided on paper, out of the log: named plans of moves, and rows of holes. Never among the readings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from geometry import moves
from geometry.holes import Row

from capture.log_entries import Holes, MovePlan, Withdraw
from capture.vehicle_file import VehicleFile

AS_MOVE: dict[str, Callable[[Any], moves.Move]] = {
    "point_to": lambda move: moves.PointTo(move.point, *move.to),
    "point_by": lambda move: moves.PointBy(move.point, *move.by),
    "link_to": lambda move: moves.LinkTo(move.link, move.length),
    "link_by": lambda move: moves.LinkBy(move.link, move.by),
    "tyre_to": lambda move: moves.TyreTo(move.diameter),
    "ride_by": lambda move: moves.RideBy(move.worked, move.other),
    "cg_to": lambda move: moves.CgTo(move.height, move.along),
}
Decided = TypeVar("Decided", MovePlan, Holes)


def plan_of(entry: MovePlan) -> moves.Plan:
    """A named plan as the sums take it."""
    return moves.Plan(tuple(AS_MOVE[move.move](move) for move in entry.moves), entry.keep_lengths)


def plans(vehicle: VehicleFile) -> dict[str, MovePlan]:
    """The plans by name, each as it was last entered and not withdrawn."""
    return {entry.name: entry for entry in _standing(vehicle, MovePlan)}


def rows(vehicle: VehicleFile) -> tuple[Row, ...]:
    """The rows of holes, each as it was last entered and not withdrawn."""
    found = {entry.point: entry for entry in _standing(vehicle, Holes)}
    return tuple(Row(entry.point, tuple((x, y, z) for x, y, z in entry.places), entry.used) for entry in found.values())


def _standing(vehicle: VehicleFile, kind: type[Decided]) -> list[Decided]:
    withdrawn: set[str] = set()
    for entry in reversed(vehicle.entries):
        if isinstance(entry, Withdraw) and entry.id not in withdrawn:
            withdrawn.add(entry.of)
    return [entry for entry in vehicle.entries if isinstance(entry, kind) and entry.id not in withdrawn]
