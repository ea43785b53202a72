"""The store's file: opened, checked before it is trusted, brought up to date, and written in whole transactions.

Every connection runs with WAL and synchronous=FULL, so that what is committed is on disk.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from capture import store_words
from capture.store_backup import FOLDER_NAME, back_up, backups_in, what_helps
from capture.store_check import APPLICATION_ID, check, statements, upgrades
from capture.store_errors import StoreBusy, StoreDamaged, StoreRefused, folder_refused, is_damage, not_now

FILE_NAME = "plumbtack.sqlite3"
LOCK_NAME = "serving.lock"
PUT_ASIDE = ".put-aside-"
"""In the name of a damaged store that a backup took the place of."""
BEGINNING = ".beginning-"
LEFT_SECONDS = 3600.0
"""What was begun this long ago and is still there was left by a kill."""
BUSY_SECONDS = 5.0
"""How long one program waits for another; shorter than a phone waits for an answer."""
MOST_IN_LINE = 16
"""Threads that wait to write. Where another program holds the store for long, more would leave none for reading."""


class StoreFile:
    """One folder's SQLite file, a connection for each thread."""

    def __init__(self, folder: Path, checked: bool = False) -> None:
        """Opens the store in this folder, makes it if there is none, and brings an older one up to date.

        checked: this program has opened it just now and holds it, so it is not looked through once more.
        Raises StoreRefused when the file is damaged, newer than this program, or cannot be written, and when it is
        missing although something of it is left.
        """
        self.folder = folder
        self.path = folder / FILE_NAME
        self.backups = folder / FOLDER_NAME
        self._local = threading.local()
        self._opened: list[sqlite3.Connection] = []
        self._opening = threading.Lock()
        self._one_writer = threading.Lock()
        self._line = threading.BoundedSemaphore(MOST_IN_LINE)
        if checked:
            return
        _make_writable(folder)
        if not self.path.exists():
            self._begin()
        _try_writing(self.path)
        layout = check(self.path, "The store", what_helps(self.folder))
        if layout < len(upgrades()):
            self._upgrade(layout)

    def hold(self) -> None:
        """Makes this the one program that serves the folder, until `close` or the end of the process, however it comes.

        Raises StoreRefused when another one does already. Reading and adding stay open to everybody.
        """
        holder = hold(self.folder)
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
        db = connected(self.path)
        with self._opening:
            self._opened.append(db)
        self._local.connection = db
        return db

    def _begin(self) -> None:
        """Makes an empty store beside and moves it in whole, so that a kill leaves none or a good one."""
        aside = self.folder.glob(FILE_NAME + PUT_ASIDE + "*")
        for trace in (self.path.with_name(FILE_NAME + "-wal"), *sorted(aside), *backups_in(self.backups)):
            if trace.is_file() and trace.stat().st_size > 0:
                raise StoreRefused(store_words.store_gone(self.path, trace, what_helps(self.folder)))
        number, name = tempfile.mkstemp(prefix=BEGINNING, dir=self.folder)
        os.close(number)
        try:
            with closing(sqlite3.connect(name, isolation_level=None)) as db:
                db.execute("PRAGMA synchronous = FULL")
                run_steps(db, 0)
            with suppress(FileExistsError):  # another program was quicker: then its store is as good
                _move_new(Path(name), self.path)
        except (OSError, sqlite3.OperationalError) as trouble:
            raise _cannot_begin(self.folder, trouble) from None
        finally:
            Path(name).unlink(missing_ok=True)

    def _upgrade(self, layout: int) -> None:
        """Runs the steps this store has not had yet, each in one transaction; what it was is kept as a backup."""
        try:
            back_up(self.path, self.backups, f"-layout-{layout}")
            with self._at_work() as db:
                run_steps(db, layout)
        except StoreBusy as trouble:
            self.close()
            raise StoreRefused(store_words.not_up_to_date(self.path, trouble)) from None

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        """Everything read inside belongs to one moment."""
        with self._at_work() as db, _transaction(db, "BEGIN"):
            yield db

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """All or nothing; on disk when the block has ended. Threads take turns here rather than at the file's lock."""
        held = sqlite3.OperationalError("database is locked")
        if not self._line.acquire(blocking=False):
            raise not_now(held)
        try:
            if not self._one_writer.acquire(timeout=BUSY_SECONDS):
                raise not_now(held)
            try:
                with self._at_work() as db, _transaction(db, "BEGIN IMMEDIATE"):
                    yield db
            finally:
                self._one_writer.release()
        finally:
            self._line.release()

    @contextmanager
    def _at_work(self) -> Iterator[sqlite3.Connection]:
        """This thread's connection, and SQLite's own troubles in our words."""
        try:
            yield self._connection()
        except sqlite3.OperationalError as trouble:
            if is_damage(trouble):
                raise self._damaged() from trouble
            raise not_now(trouble) from trouble
        except sqlite3.DatabaseError as trouble:
            if isinstance(trouble, sqlite3.IntegrityError | sqlite3.ProgrammingError):
                raise
            raise self._damaged() from trouble

    @contextmanager
    def _as_written(self) -> Iterator[None]:
        """Rows read inside were checked when they came in: those of any other form are damage."""
        try:
            yield
        except ValueError as trouble:
            raise self._damaged() from trouble

    def _damaged(self) -> StoreDamaged:
        return StoreDamaged(store_words.store_damaged(self.path, what_helps(self.folder)))


def connected(path: Path) -> sqlite3.Connection:
    """A connection for one thread at a time whose commits are on disk."""
    db = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False)
    try:
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        db.execute("PRAGMA fullfsync = ON")  # only macOS listens: there a plain fsync stops at the drive's cache
        db.execute("PRAGMA foreign_keys = ON")
    except BaseException:
        db.close()
        raise
    return db


def run_steps(db: sqlite3.Connection, layout: int) -> None:
    """Brings a store of this layout to the newest, a transaction a step."""
    for number, script in enumerate(upgrades(), start=1):
        if number <= layout:
            continue
        with _transaction(db, "BEGIN IMMEDIATE"):
            if db.execute("PRAGMA user_version").fetchone()[0] >= number:
                continue
            for statement in statements(script):
                db.execute(statement)
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            db.execute(f"PRAGMA user_version = {number}")


def hold(folder: Path) -> sqlite3.Connection:
    """What keeps every other program from serving this folder until it is closed. Raises StoreRefused."""
    holder = sqlite3.connect(folder / LOCK_NAME, timeout=0, isolation_level=None, check_same_thread=False)
    try:
        holder.execute("BEGIN EXCLUSIVE")  # the system itself lets go of it when the process is killed
    except sqlite3.Error as trouble:
        holder.close()
        if "locked" in str(trouble):
            raise StoreRefused(store_words.served_already(folder)) from None
        raise StoreRefused(store_words.lock_unusable(folder / LOCK_NAME, trouble)) from None
    _tidy(folder)
    return holder


def _tidy(folder: Path) -> None:
    """Removes what a kill left half made."""
    for left in folder.glob(BEGINNING + "*"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > LEFT_SECONDS:
                shutil.rmtree(left) if left.is_dir() else left.unlink()


@contextmanager
def _transaction(db: sqlite3.Connection, begin: str) -> Iterator[None]:
    db.execute(begin)
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


def _make_writable(folder: Path) -> None:
    """Makes the folder where it is missing, and tries whether it takes a file."""
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        with tempfile.NamedTemporaryFile(prefix=BEGINNING, dir=folder) as trial:
            trial.write(b"\0" * 4096)
            trial.flush()
    except OSError as trouble:
        raise folder_refused(folder, trouble) from None


def _try_writing(path: Path) -> None:
    """Who cannot write must not begin to take readings."""
    if not path.is_file():
        return
    try:
        path.open("r+b").close()
    except PermissionError:
        raise StoreRefused(store_words.file_not_writable(path)) from None


def _move_new(new: Path, path: Path) -> None:
    """Gives the new file its name unless there is one of that name: FileExistsError then."""
    try:
        os.link(new, path)
    except FileExistsError:
        raise
    except OSError:  # this disk knows no second names
        if path.exists():
            raise FileExistsError(path) from None
        os.rename(new, path)


def _cannot_begin(folder: Path, trouble: Exception) -> StoreRefused:
    if isinstance(trouble, OSError):
        return folder_refused(folder, trouble)
    if "full" in str(trouble):
        return StoreRefused(store_words.data_disk_full(folder))
    return StoreRefused(store_words.data_folder_unusable(folder, trouble))
