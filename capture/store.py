"""The store: vehicles and their append-only logs in one SQLite file. The only SQL of the project lives here.

An entry is on disk when `add_entries` returns: every connection runs with WAL and synchronous=FULL, one request is
one transaction. The order of a log is the order in which its entries were first stored.

    StoreError            one sentence for the person, always
    ├─ StoreRefused       the file cannot be used at all: damaged, newer, not ours, not writable
    ├─ StoreBusy          not now: locked by somebody, disk full
    ├─ NoSuchVehicle      that id is not in the store
    └─ Conflict           an id is there already with other content
"""

from __future__ import annotations

import json
import secrets
import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from capture import places
from capture.vehicle_file import Entry, VehicleFile, entry_text, vehicle_from_log

FILE_NAME = "plumbtack.sqlite3"
APPLICATION_ID = 0x504C4D42  # "PLMB": says whose file this is
BUSY_SECONDS = 10.0


class StoreError(Exception):
    """Something about the store, said in one sentence."""


class StoreRefused(StoreError):
    """The file cannot be used, and nothing in it was touched."""


class StoreBusy(StoreError):
    """Nothing of this request was kept; trying again later may work."""


class NoSuchVehicle(StoreError, LookupError):
    """No vehicle has this id."""


class Conflict(StoreError):
    """An entry with this id is there already and says something else."""


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


class Store:
    """One folder's store. Safe to share between threads: each gets its own connection."""

    def __init__(self, folder: Path) -> None:
        """Opens the store in this folder, makes it if there is none, and brings an older one up to date.

        Raises StoreRefused when the file is damaged, newer than this program, or cannot be written.
        """
        self.folder = folder
        self.path = folder / FILE_NAME
        self._local = threading.local()
        self._opened: list[sqlite3.Connection] = []
        self._opening = threading.Lock()
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as trouble:
            raise StoreRefused(f"The data folder {folder} cannot be made: {trouble.strerror}.") from None
        self._check()
        self._upgrade()

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

    # -- opening and closing -------------------------------------------------------------------------------------

    def close(self) -> None:
        """Closes every thread's connection; what was acknowledged is on disk already."""
        with self._opening:
            for connection in self._opened:
                connection.close()
            self._opened.clear()
            self._local = threading.local()

    def _connection(self) -> sqlite3.Connection:
        there: sqlite3.Connection | None = getattr(self._local, "connection", None)
        if there is not None:
            return there
        db = sqlite3.connect(self.path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False)
        with self._opening:
            self._opened.append(db)
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        db.execute("PRAGMA fullfsync = ON")  # only macOS listens: there a plain fsync stops at the drive's cache
        db.execute("PRAGMA foreign_keys = ON")
        self._local.connection = db
        return db

    def _check(self) -> None:
        """Refuses a file that is damaged, not ours or newer, before anything is written to it."""
        try:
            db = self._connection()
            (verdict,) = db.execute("PRAGMA quick_check(1)").fetchone()
            (application,) = db.execute("PRAGMA application_id").fetchone()
            (version,) = db.execute("PRAGMA user_version").fetchone()
            (tables,) = db.execute("SELECT COUNT(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError as trouble:
            self.close()
            raise StoreRefused(f"The store {self.path} cannot be opened for writing: {trouble}.") from None
        except sqlite3.DatabaseError:
            self.close()
            raise StoreRefused(self._damaged()) from None
        refusal = None
        if verdict != "ok":
            refusal = self._damaged()
        elif tables and application != APPLICATION_ID:
            refusal = f"{self.path} is a database of another program; choose another folder with --data."
        elif version > len(_upgrades()):
            refusal = (
                f"The store {self.path} was written by a newer Plumbtack (its version {version}, this program knows "
                f"{len(_upgrades())}): install the newer program to open it."
            )
        if refusal is not None:
            self.close()
            raise StoreRefused(refusal)

    def _damaged(self) -> str:
        return (
            f"The store {self.path} is damaged and was left untouched: put a backup in its place, or move it away "
            "to begin with an empty one."
        )

    def _upgrade(self) -> None:
        """Runs the steps this store has not had yet, each in one transaction."""
        try:
            for number, script in enumerate(_upgrades(), start=1):
                with self._writing() as db:
                    if db.execute("PRAGMA user_version").fetchone()[0] >= number:
                        continue
                    for statement in _statements(script):
                        db.execute(statement)
                    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                    db.execute(f"PRAGMA user_version = {number}")
        except StoreBusy as trouble:
            self.close()
            raise StoreRefused(f"The store {self.path} could not be brought up to date: {trouble}") from None

    # -- small parts ---------------------------------------------------------------------------------------------

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        """Everything read inside belongs to one moment."""
        with self._transaction("BEGIN") as db:
            yield db

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """All or nothing; on disk when the block has ended."""
        with self._transaction("BEGIN IMMEDIATE") as db:
            yield db

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[sqlite3.Connection]:
        try:
            db = self._connection()
            db.execute(begin)
            try:
                yield db
                db.execute("COMMIT")
            except BaseException:
                if db.in_transaction:
                    db.execute("ROLLBACK")
                raise
        except sqlite3.OperationalError as trouble:
            raise StoreBusy(_why_not_now(trouble)) from trouble
        except sqlite3.DatabaseError as trouble:
            if isinstance(trouble, sqlite3.IntegrityError | sqlite3.ProgrammingError):
                raise
            raise StoreBusy(self._damaged()) from trouble

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


def _upgrades() -> list[str]:
    """The upgrade steps in order; step N brings a store to version N."""
    return [path.read_text(encoding="utf-8") for path in sorted(places.upgrades_folder().glob("[0-9]*.sql"))]


def _statements(script: str) -> Iterator[str]:
    """The statements of a script one by one, triggers whole, so that a step runs inside one transaction."""
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
    if statement.strip():
        raise ValueError(f"the upgrade step ends in the middle of a statement: {statement.strip()[:60]}")


def _why_not_now(trouble: sqlite3.OperationalError) -> str:
    said = str(trouble)
    if "locked" in said or "busy" in said:
        return "Another program holds the store: nothing of this request was kept, try again in a moment."
    if "full" in said:
        return "The laptop's disk is full: nothing of this request was kept, make room and try again."
    if "readonly" in said or "unable to open" in said:
        return "The laptop's data folder cannot be written: nothing of this request was kept."
    return f"The store could not do this ({said}): nothing of this request was kept, try again."


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
