"""The reports the screens show: a function of the log, kept until the log grows.

A report of a longer log takes over from those before it what the new entries do not touch (`worked`).
"""

from __future__ import annotations

import threading
from collections import OrderedDict

from capture import report
from capture.report import Report
from capture.store import Store
from capture.vehicle_file import VehicleFile
from capture.worked import Workshop

KEPT = 32
"""Reports held in memory: a few vehicles at a few stages."""
MOST_ENTRIES = 20_000
"""Entries of all of them together: of long logs fewer are held, but the newest always."""


class Models:
    """Safe to share between threads; one vehicle is worked out once at a time, others meanwhile."""

    def __init__(self, store: Store) -> None:
        self._store, self._workshop = store, Workshop()
        self._kept: OrderedDict[tuple[str, str | None], tuple[int, Report]] = OrderedDict()
        self._turns: dict[str, threading.Lock] = {}
        self._guard = threading.Lock()

    def at(self, vehicle_id: str, stage: str | None = None) -> Report:
        """The report of the newest log. Raises NoSuchVehicle."""
        return self.at_version(vehicle_id, stage)[0]

    def at_version(self, vehicle_id: str, stage: str | None = None) -> tuple[Report, int]:
        """The report, and the version of the log it belongs to."""
        wanted = self._store.version(vehicle_id)
        kept = self._look(vehicle_id, stage, wanted)
        if kept is not None:
            return kept
        with self._turn(vehicle_id):
            kept = self._look(vehicle_id, stage, wanted)
            if kept is not None:
                return kept
            vehicle, version = self._store.vehicle_at_version(vehicle_id)
            made = self.of(vehicle, stage)
            with self._guard:
                self._kept[vehicle_id, stage] = (version, made)
                self._kept.move_to_end((vehicle_id, stage))
                while len(self._kept) > KEPT or (len(self._kept) > 1 and self._entries() > MOST_ENTRIES):
                    self._kept.popitem(last=False)
            return made, version

    def of(self, vehicle: VehicleFile, stage: str | None = None) -> Report:
        """The report of a vehicle as it is given, such as one as it was before an entry. Raises log.NoReadings."""
        return report.build(vehicle, stage, self._workshop)

    def _entries(self) -> int:
        return sum(len(made.vehicle.entries) for _, made in self._kept.values())

    def _look(self, vehicle_id: str, stage: str | None, wanted: int) -> tuple[Report, int] | None:
        with self._guard:
            kept = self._kept.get((vehicle_id, stage))
            if kept is None or kept[0] < wanted:
                return None
            self._kept.move_to_end((vehicle_id, stage))
            return kept[1], kept[0]

    def _turn(self, vehicle_id: str) -> threading.Lock:
        with self._guard:
            return self._turns.setdefault(vehicle_id, threading.Lock())
