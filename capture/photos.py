"""Photos out of the log: which there are, of what, and which were withdrawn."""

from __future__ import annotations

from collections.abc import Iterator

from capture.log_entries import Photo, Withdraw
from capture.vehicle_file import VehicleFile
from capture.walk import same_reading


def photos(vehicle: VehicleFile) -> tuple[Photo, ...]:
    """Those that are not withdrawn, in the order of the log."""
    gone = withdrawn(vehicle)
    return tuple(entry for entry in all_photos(vehicle) if entry.id not in gone)


def all_photos(vehicle: VehicleFile) -> Iterator[Photo]:
    return iter(vehicle.of_kind(Photo))


def withdrawn(vehicle: VehicleFile) -> dict[str, Withdraw]:
    """Id of each entry taken back -> the entry that did it; one that was itself taken back counts no more."""
    found: dict[str, Withdraw] = {}
    for entry in reversed(vehicle.of_kind(Withdraw)):
        if entry.id not in found:
            found.setdefault(entry.of, entry)
    return found


def of_reading(vehicle: VehicleFile, reading: str) -> tuple[Photo, ...]:
    """The photos of a reading, P~Q and Q~P being one."""
    wanted = same_reading(reading)
    return tuple(entry for entry in photos(vehicle) if entry.reading and same_reading(entry.reading) == wanted)


def of_point(vehicle: VehicleFile, point: str) -> tuple[Photo, ...]:
    return tuple(entry for entry in photos(vehicle) if entry.point == point)
