"""The store's file: opened, checked before it is trusted, brought up to date, and written in whole transactions.

Every connection runs with WAL and synchronous=FULL, so that what is committed is on disk.

    StoreError            one sentence for the person, always
    ├─ StoreRefused       the file cannot be used at all: damaged, newer, not ours, not writable
    ├─ StoreBusy          not now: locked by somebody, disk full
    ├─ NoSuchVehicle      that id is not in the store
    └─ Conflict           an id is there already with other content
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from capture import places

FILE_NAME = "plumbtack.sqlite3"
LOCK_NAME = "serving.lock"
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


class StoreFile:
    """One folder's SQLite file, a connection for each thread."""

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

    def hold(self) -> None:
        """Makes this the one program that serves the folder, until `close` or the end of the process, however it comes.

        Raises StoreRefused when another one does already. Reading and adding stay open to everybody.
        """
        holder = sqlite3.connect(self.folder / LOCK_NAME, timeout=0, isolation_level=None, check_same_thread=False)
        try:
            holder.execute("BEGIN EXCLUSIVE")  # the system itself lets go of it when the process is killed
        except sqlite3.OperationalError:
            holder.close()
            raise StoreRefused(
                f"Another Plumbtack serves the data in {self.folder} already: use that one, stop it first, or choose "
                "another folder with --data."
            ) from None
        with self._opening:
            self._opened.append(holder)

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
        db = None
        try:
            db = sqlite3.connect(self.path, timeout=BUSY_SECONDS)  # without our pragmas: WAL would change the file
            (verdict,) = db.execute("PRAGMA quick_check(1)").fetchone()
            (application,) = db.execute("PRAGMA application_id").fetchone()
            (version,) = db.execute("PRAGMA user_version").fetchone()
            (tables,) = db.execute("SELECT COUNT(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError as trouble:
            raise StoreRefused(f"The store {self.path} cannot be opened for writing: {trouble}.") from None
        except sqlite3.DatabaseError:
            raise StoreRefused(self._damaged()) from None
        finally:
            if db is not None:
                db.close()
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
