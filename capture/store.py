"""The store: vehicles and their append-only logs in one SQLite file. The only SQL of the project lives here.

An entry is on disk when `add_entries` returns; one request is one transaction. The order of a log is the order in
which its entries were first stored. How the file is opened, checked and brought up to date stands in `store_file`.
"""

from __future__ import annotations

import json
import secrets
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime

from capture.store_file import Conflict, NoSuchVehicle, StoreBusy, StoreError, StoreFile, StoreRefused
from capture.vehicle_file import Entry, VehicleFile, entry_text, vehicle_from_log

__all__ = ["Conflict", "NoSuchVehicle", "Store", "StoreBusy", "StoreError", "StoreRefused", "VehicleLine"]


@dataclass(frozen=True)
class VehicleLine:
    """One line in the list of vehicles."""

    id: str
    name: str
    worked_axle: str
    layout: str
    entries: int
    created_at: str
    latest_at: str | None
    """When the newest entry came in."""


class Store(StoreFile):
    """One folder's vehicles. Safe to share between threads: each gets its own connection."""

    # -- vehicles ------------------------------------------------------------------------------------------------

    def vehicles(self) -> list[VehicleLine]:
        """All vehicles, the one worked on last first."""
        with self._reading() as db:
            rows = db.execute(
                """SELECT v.id, v.name, v.worked_axle, v.layout, COUNT(e.seq), v.created_at, MAX(e.received_at)
                   FROM vehicles v LEFT JOIN entries e ON e.vehicle_id = v.id
                   GROUP BY v.id ORDER BY COALESCE(MAX(e.received_at), v.created_at) DESC, v.name, v.id"""
            ).fetchall()
        return [VehicleLine(*row) for row in rows]

    def vehicle(self, vehicle_id: str) -> VehicleFile:
        """The vehicle with its whole log, as the vehicle file has it."""
        return self.vehicle_at_version(vehicle_id)[0]

    def vehicle_at_version(self, vehicle_id: str) -> tuple[VehicleFile, int]:
        """The vehicle with its log, and the version both belong to."""
        with self._reading() as db:
            head = self._head(db, vehicle_id)
            version = self._version(db, vehicle_id)
            rows = db.execute("SELECT body FROM entries WHERE vehicle_id = ? ORDER BY seq", (vehicle_id,))
            bodies = [body for (body,) in rows]
        return vehicle_from_log(head, [json.loads(body) for body in bodies]), version

    def head(self, vehicle_id: str) -> VehicleFile:
        """The vehicle without its entries: name, layout, facts."""
        with self._reading() as db:
            return vehicle_from_log(self._head(db, vehicle_id), [])

    def version(self, vehicle_id: str) -> int:
        """A whole number that grows with every entry and every change of the vehicle's facts."""
        with self._reading() as db:
            return self._version(db, vehicle_id)

    def create(self, vehicle: VehicleFile) -> str:
        """Stores a vehicle with all its entries, or nothing; its new id."""
        vehicle_id = secrets.token_hex(8)
        head = _stored_head(vehicle)
        with self._writing() as db:
            db.execute(
                """INSERT INTO vehicles (id, name, worked_axle, layout, display_unit, facts, created_at)
                   VALUES (?, ?, ?, ?, ?, ?, ?)""",
                (vehicle_id, head.name, head.worked_axle, head.layout, head.display_unit, head.facts, _now()),
            )
            self._add(db, vehicle_id, vehicle.entries)
        return vehicle_id

    def change_facts(self, vehicle_id: str, vehicle: VehicleFile) -> None:
        """Replaces name, unit and facts by those of the vehicle given; entries, layout and axle stay as they are."""
        head = _stored_head(vehicle)
        with self._writing() as db:
            self._head(db, vehicle_id)
            db.execute(
                "UPDATE vehicles SET name = ?, display_unit = ?, facts = ?, revision = revision + 1 WHERE id = ?",
                (head.name, head.display_unit, head.facts, vehicle_id),
            )

    # -- the log -------------------------------------------------------------------------------------------------

    def add_entries(self, vehicle_id: str, entries: Iterable[Entry]) -> list[str]:
        """Puts entries at the end of the log, all or none; their ids once they are on disk.

        An id that is there with the same content counts as stored; with other content: Conflict.
        """
        with self._writing() as db:
            self._head(db, vehicle_id)
            return self._add(db, vehicle_id, entries)

    def _add(self, db: sqlite3.Connection, vehicle_id: str, entries: Iterable[Entry]) -> list[str]:
        received_at = _now()
        stored: dict[str, None] = {}
        for entry in entries:
            body = entry_text(entry)
            added = db.execute(
                """INSERT INTO entries (vehicle_id, id, body, received_at) VALUES (?, ?, ?, ?)
                   ON CONFLICT (vehicle_id, id) DO NOTHING""",
                (vehicle_id, entry.id, body, received_at),
            ).rowcount
            if not added:
                (there,) = db.execute(
                    "SELECT body FROM entries WHERE vehicle_id = ? AND id = ?", (vehicle_id, entry.id)
                ).fetchone()
                if there != body:
                    raise Conflict(
                        f"Entry {entry.id} is already stored with other content; nothing of this request was kept."
                    )
            stored[entry.id] = None
        return list(stored)

    def has_entry(self, vehicle_id: str, entry_id: str) -> bool:
        """Is there an entry of this id in the vehicle's log?"""
        with self._reading() as db:
            found = db.execute("SELECT 1 FROM entries WHERE vehicle_id = ? AND id = ?", (vehicle_id, entry_id))
            return found.fetchone() is not None

    # -- settings ------------------------------------------------------------------------------------------------

    def setting(self, name: str, first: str) -> str:
        """The setting of this name; where there is none yet, `first` is stored and becomes it."""
        with self._writing() as db:
            db.execute("INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO NOTHING", (name, first))
            (value,) = db.execute("SELECT value FROM settings WHERE name = ?", (name,)).fetchone()
        return str(value)

    def change_setting(self, name: str, value: str) -> None:
        """Sets it, whether or not it was there."""
        with self._writing() as db:
            db.execute(
                """INSERT INTO settings (name, value) VALUES (?, ?)
                   ON CONFLICT (name) DO UPDATE SET value = excluded.value""",
                (name, value),
            )

    # -- small parts ---------------------------------------------------------------------------------------------

    @staticmethod
    def _head(db: sqlite3.Connection, vehicle_id: str) -> dict[str, object]:
        row = db.execute(
            "SELECT name, worked_axle, layout, display_unit, facts FROM vehicles WHERE id = ?", (vehicle_id,)
        ).fetchone()
        if row is None:
            raise NoSuchVehicle("There is no vehicle with this id here: GET /vehicles lists those there are.")
        name, worked_axle, layout, display_unit, facts = row
        head: dict[str, object] = {"name": name, "worked_axle": worked_axle, "layout": layout}
        if display_unit is not None:
            head["display_unit"] = display_unit
        if facts is not None:
            head["facts"] = json.loads(facts)
        return head

    @staticmethod
    def _version(db: sqlite3.Connection, vehicle_id: str) -> int:
        row = db.execute(
            """SELECT revision + COALESCE((SELECT MAX(seq) FROM entries WHERE vehicle_id = vehicles.id), 0)
               FROM vehicles WHERE id = ?""",
            (vehicle_id,),
        ).fetchone()
        if row is None:
            raise NoSuchVehicle("There is no vehicle with this id here: GET /vehicles lists those there are.")
        return int(row[0])


@dataclass(frozen=True)
class _StoredHead:
    """A vehicle without its entries, as the row has it. What the file left out stays out (None)."""

    name: str
    worked_axle: str
    layout: str
    display_unit: str | None = None
    facts: str | None = None


def _stored_head(vehicle: VehicleFile) -> _StoredHead:
    said = vehicle.model_dump(mode="json", exclude_unset=True, exclude={"entries", "format", "version"})
    if "facts" in said:
        said["facts"] = json.dumps(said["facts"], ensure_ascii=False, allow_nan=False)
    return _StoredHead(**said)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
