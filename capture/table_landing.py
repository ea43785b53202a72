"""A table's readings beside the record: which are new, which are there already, which say what is there already."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from capture.vehicle_file import Reading, VehicleFile
from capture.walk import same_reading


@dataclass(frozen=True)
class Landing:
    """new: to be added. there: in the record already, by their id or with the same time. alike: the record has the same
    reading with the same value at the same stage, but at another time: sent twice, or truly read twice."""

    new: tuple[dict[str, Any], ...]
    there: tuple[dict[str, Any], ...]
    alike: tuple[dict[str, Any], ...]


def landing(entries: Iterable[dict[str, Any]], vehicle: VehicleFile, stated: bool) -> Landing:
    """stated: the table says when each was read; where it does not, a like value may be the same one."""
    ids = {entry.id for entry in vehicle.entries}
    kept = [entry for entry in vehicle.entries if isinstance(entry, Reading)]
    moments = {(_said(entry.reading, entry.value, entry.stage), entry.at) for entry in kept}
    values = {said for said, _ in moments}
    new: list[dict[str, Any]] = []
    there: list[dict[str, Any]] = []
    alike: list[dict[str, Any]] = []
    for entry in entries:
        said = _said(entry["reading"], entry["value"], entry["stage"])
        known = entry["id"] in ids or (said, entry["at"]) in moments
        (there if known else alike if said in values and not stated else new).append(entry)
    return Landing(tuple(new), tuple(there), tuple(alike))


def _said(reading: str, value: float, stage: str) -> tuple[str, float, str]:
    return same_reading(reading), value, stage
