"""The store: vehicles and their append-only logs in one SQLite file. The only SQL of the project lives here.

An entry is on disk when `add_entries` returns; one request is one transaction. The order of a log is the order in
which its entries were first stored, no clock counts. What takes back or sets aside an entry that has not come in yet
waits for it, on disk, and joins the log right after it, so whichever phone is the first, the log says the same.
How the file is opened, checked and brought up to date stands in `store_file`.
"""

from __future__ import annotations

import hashlib
import json
import secrets
import shutil
import sqlite3
import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from capture import store_photos, store_words
from capture.entry_checks import check_order
from capture.stage_checks import orders
from capture.store_backup import Backup, back_up, prune
from capture.store_errors import Conflict, NoSuchVehicle, StoreBusy, StoreError, StoreFull, StoreRefused
from capture.store_log import Log, now
from capture.store_settings import StoreSettings
from capture.vehicle_file import Entry, Photo, VehicleFile, entry_text, vehicle_from_log

__all__ = ["Conflict", "NoSuchVehicle", "Store", "StoreBusy", "StoreError", "StoreFull", "StoreRefused", "VehicleLine"]

ROOM_LEFT = 10
"""Times the store's own size that must be free on the disk for an automatic backup."""
NO_PHOTOS: Mapping[str, bytes] = MappingProxyType({})
LOGS_KEPT = 32
"""Logs held in memory as they were read; the one read longest ago goes first."""
ENTRIES_KEPT = 40_000
"""Entries of all of them together: of long logs fewer are held, but the newest always."""


@dataclass(frozen=True)
class _Read:
    """A log as far as it was read. seq: the place of its newest entry."""

    seq: int = 0
    entries: tuple[Entry, ...] = ()


_NOTHING_READ = _Read()


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


class Store(StoreSettings):
    """One folder's vehicles. Safe to share between threads: each gets its own connection."""

    def __init__(self, folder: Path, checked: bool = False) -> None:
        super().__init__(folder, checked)
        self._read: dict[str, _Read] = {}
        self._keeping = threading.Lock()

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
        """The vehicle with its log, and the version both belong to.

        What was read before is kept, since a log only grows: a long one costs no more than what is new in it.
        """
        with self._reading() as db:
            head = self._head(db, vehicle_id)
            version = self._version(db, vehicle_id)
            return self._with_log(db, vehicle_id, head), version

    def _with_log(self, db: sqlite3.Connection, vehicle_id: str, head: dict[str, object]) -> VehicleFile:
        before = self._read.get(vehicle_id, _NOTHING_READ)
        rows = db.execute(
            "SELECT seq, body FROM entries WHERE vehicle_id = ? AND seq > ? ORDER BY seq", (vehicle_id, before.seq)
        ).fetchall()
        with self._as_written():
            vehicle = vehicle_from_log(head, [json.loads(body) for _, body in rows])
        if rows:
            before = _Read(rows[-1][0], (*before.entries, *vehicle.entries))
            self._keep_read(vehicle_id, before)
        return vehicle.model_copy(update={"entries": list(before.entries)})

    def _keep_read(self, vehicle_id: str, read: _Read) -> None:
        with self._keeping:
            there = self._read.pop(vehicle_id, _NOTHING_READ)
            self._read[vehicle_id] = read if read.seq > there.seq else there
            while len(self._read) > LOGS_KEPT or (len(self._read) > 1 and self._entries_read() > ENTRIES_KEPT):
                del self._read[next(iter(self._read))]

    def _entries_read(self) -> int:
        return sum(len(read.entries) for read in self._read.values())

    def head(self, vehicle_id: str) -> VehicleFile:
        """The vehicle without its entries: name, layout, facts."""
        with self._reading() as db, self._as_written():
            return vehicle_from_log(self._head(db, vehicle_id), [])

    def version(self, vehicle_id: str) -> int:
        """A whole number that grows with every entry and every change of the vehicle's facts."""
        with self._reading() as db:
            return self._version(db, vehicle_id)

    def create(self, vehicle: VehicleFile, photos: Mapping[str, bytes] = NO_PHOTOS, once: str = "") -> str:
        """Stores a vehicle with all its entries, or nothing; its id. photos: pictures by their entries' ids.

        once: stands for what was sent; sent again it is the vehicle it made the first time.
        """
        vehicle_id = hashlib.sha256(once.encode()).hexdigest()[:16] if once else secrets.token_hex(8)
        head = _stored_head(vehicle)
        with self._writing() as db:
            if db.execute("SELECT 1 FROM vehicles WHERE id = ?", (vehicle_id,)).fetchone():
                return vehicle_id
            db.execute(
                """INSERT INTO vehicles (id, name, worked_axle, layout, display_unit, facts, created_at)
                   VALUES (?, ?, ?, ?, ?, ?, ?)""",
                (vehicle_id, head.name, head.worked_axle, head.layout, head.display_unit, head.facts, now()),
            )
            log = Log(db, vehicle_id)
            for entry in vehicle.entries:  # a file names nothing it lacks, and comes back in its own order
                log.append(entry.id, entry_text(entry))
            store_photos.add_all(db, vehicle_id, photos)
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
        """Stores entries, all or none; their ids once they are on disk.

        An id that is there with the same content counts as stored; with other content: Conflict. What a closed stage
        does not take any more, or comes to a setting that was not begun: BadFile. That is looked at here, where nobody
        else writes meanwhile.
        """
        entries = list(entries)
        with self._writing() as db:
            head = self._head(db, vehicle_id)
            log = Log(db, vehicle_id)
            if log.has_stages() or any(orders(entry) for entry in entries):
                check_order(entries, self._with_log(db, vehicle_id, head).entries)
            return list(dict.fromkeys(log.add(entry) for entry in entries))

    def ids(self, vehicle_id: str) -> set[str]:
        """The ids of all entries of the vehicle's log, and of those that wait to join it."""
        with self._reading() as db:
            self._head(db, vehicle_id)
            return Log(db, vehicle_id).ids()

    def type_of(self, vehicle_id: str, entry_id: str) -> str | None:
        """The type of the entry with this id in the vehicle's log; None where there is none."""
        with self._reading() as db:
            return Log(db, vehicle_id).type_of(entry_id)

    # -- photos --------------------------------------------------------------------------------------------------

    def add_photo(self, vehicle_id: str, entry: Photo, picture: bytes) -> str:
        """Stores a photo's entry and its picture, both or neither; its id once they are on disk. Sending it again is
        harmless. Raises Conflict, TooManyPhotos.
        """
        with self._writing() as db:
            self._head(db, vehicle_id)
            store_photos.add(db, vehicle_id, entry, picture)
        return str(entry.id)

    def photo(self, vehicle_id: str, entry_id: str) -> bytes | None:
        """The picture of a photo's entry; None where only its entry came here."""
        with self._reading() as db:
            return store_photos.picture(db, vehicle_id, entry_id)

    def photos(self, vehicle_id: str) -> list[str]:
        """The ids of the photos whose picture is here, in the order of the log."""
        with self._reading() as db:
            return store_photos.stored(db, vehicle_id)

    # -- the whole store -----------------------------------------------------------------------------------------

    def state(self) -> str:
        """Changes with everything that is stored, but for settings."""
        with self._reading() as db:
            row = db.execute(
                """SELECT (SELECT COUNT(*) FROM vehicles), (SELECT SUM(revision) FROM vehicles),
                          (SELECT MAX(seq) FROM entries), (SELECT MAX(seq) FROM early_entries)"""
            ).fetchone()
        return "-".join(str(part or 0) for part in row)

    def back_up(self) -> Backup:
        """A copy of this moment among the folder's backups, read back; the oldest ones go. Raises StoreError.

        Readings come first: where the disk has little room left, no copy takes it from them.
        """
        if shutil.disk_usage(self.folder).free < ROOM_LEFT * self.path.stat().st_size:
            raise StoreFull(store_words.NEARLY_FULL)
        made = back_up(self.path, self.backups)
        prune(self.backups)
        return made

    def grow_versions(self, by: int) -> None:
        """Every vehicle's version grows by this much, once: no kept page of an earlier store passes for a newer one."""
        with self._writing() as db:
            db.execute("UPDATE vehicles SET revision = revision + ?", (by,))

    # -- small parts ---------------------------------------------------------------------------------------------

    def _head(self, db: sqlite3.Connection, vehicle_id: str) -> dict[str, object]:
        row = db.execute(
            "SELECT name, worked_axle, layout, display_unit, facts FROM vehicles WHERE id = ?", (vehicle_id,)
        ).fetchone()
        if row is None:
            raise NoSuchVehicle(store_words.NO_SUCH_VEHICLE)
        name, worked_axle, layout, display_unit, facts = row
        head: dict[str, object] = {"name": name, "worked_axle": worked_axle, "layout": layout}
        if display_unit is not None:
            head["display_unit"] = display_unit
        if facts is not None:
            with self._as_written():
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
            raise NoSuchVehicle(store_words.NO_SUCH_VEHICLE)
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
