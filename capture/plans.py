"""What was decided on paper, out of the log: named plans of moves, rows of holes, aims. Never among the readings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from geometry import moves
from geometry.aims import KeepOut, Room, Want
from geometry.holes import Row
from geometry.layouts import Place

from capture.log_entries import Aims, Holes, MovePlan, Note, Withdraw
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
Decided = TypeVar("Decided", MovePlan, Holes, Aims, Note)


def plan_of(entry: MovePlan) -> moves.Plan:
    """A named plan as the sums take it."""
    return moves.Plan(tuple(AS_MOVE[move.move](move) for move in entry.moves), entry.keep_lengths)


def plans(vehicle: VehicleFile) -> dict[str, MovePlan]:
    """The plans by name, each as it was last entered and not withdrawn."""
    return {entry.name: entry for entry in standing(vehicle, MovePlan)}


def rows_of_holes(vehicle: VehicleFile) -> tuple[Holes, ...]:
    """The rows of holes, each as it was last entered and not withdrawn."""
    return tuple({entry.point: entry for entry in standing(vehicle, Holes)}.values())


def row_of(entry: Holes) -> Row:
    """A row of holes as the sums take it."""
    return Row(entry.point, tuple((x, y, z) for x, y, z in entry.places), entry.used)


def rows(vehicle: VehicleFile) -> tuple[Row, ...]:
    """All rows of holes as the sums take them."""
    return tuple(map(row_of, rows_of_holes(vehicle)))


def aims(vehicle: VehicleFile) -> Aims | None:
    """What is aimed at, as it was last entered and not withdrawn."""
    found = standing(vehicle, Aims)
    return found[-1] if found else None


def aims_of(vehicle: VehicleFile) -> tuple[list[Want], list[Room], list[KeepOut]] | None:
    """The same as the sums take it."""
    kept = aims(vehicle)
    if kept is None:
        return None
    return (
        [Want(want.figure, want.low, want.high) for want in kept.wants],
        [Room(room.point, _place(room.low), _place(room.high)) for room in kept.rooms],
        [KeepOut(keep.name, _place(keep.low), _place(keep.high)) for keep in kept.keep_outs],
    )


def _place(parts: list[float]) -> Place:
    x, y, z = parts
    return x, y, z


def standing(vehicle: VehicleFile, kind: type[Decided]) -> list[Decided]:
    """All entries of a kind that are not withdrawn, in the order of the log."""
    withdrawn: set[str] = set()
    for entry in reversed(vehicle.of_kind(Withdraw)):
        if entry.id not in withdrawn:
            withdrawn.add(entry.of)
    return [entry for entry in vehicle.of_kind(kind) if entry.id not in withdrawn]
