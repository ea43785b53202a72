"""A backup put back in place of the store. What was there before is kept.

Only while nobody serves the folder: phones must not write to a file that is being replaced. The keys of the folder
stay (a backup from before a renewal must not let anybody in again), and every version grows past all there were, so
that no page kept in a browser is taken for a newer one.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from capture import store_words
from capture.store import Store
from capture.store_backup import FOLDER_NAME, back_up, copied, on_disk
from capture.store_check import check, reading_only
from capture.store_errors import StoreDamaged, StoreError, StoreFull, StoreHeld, StoreRefused, folder_refused
from capture.store_file import BEGINNING, FILE_NAME, PUT_ASIDE, hold

FAR_AHEAD = 1_000_000
"""Added to versions when the store before cannot be asked for its own."""


@dataclass(frozen=True)
class Restored:
    """What is in the store now, and where that of before is (None: there was none)."""

    vehicles: int
    entries: int
    before: Path | None


@dataclass(frozen=True)
class _Before:
    """What the store before leaves to the next one."""

    path: Path
    settings: tuple[tuple[str, str], ...] = ()
    version: int = FAR_AHEAD


def restore(file: Path, folder: Path) -> Restored:
    """Puts the backup in place as the folder's store, read back entry by entry. Raises StoreError; then the folder's
    store is as it was."""
    check(file, "The backup", "choose another one", alone=True)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        with closing(hold(folder)), tempfile.TemporaryDirectory(prefix=BEGINNING, dir=folder) as beside:
            fresh = Path(beside) / FILE_NAME
            copied(file, fresh, alone=True)
            vehicles, entries = _read_back(fresh)
            before = _put_aside(folder)
            _take_over(fresh, before)
            os.replace(fresh, folder / FILE_NAME)
            on_disk(folder)
    except StoreFull:
        raise StoreFull(store_words.data_disk_full(folder)) from None
    except OSError as trouble:
        raise folder_refused(folder, trouble) from None
    return Restored(vehicles, entries, before.path if before else None)


def _read_back(fresh: Path) -> tuple[int, int]:
    """Brings the copy up to date and reads every vehicle as the program will; how many vehicles and entries."""
    store = Store(fresh.parent)
    try:
        read = [store.vehicle(line.id) for line in store.vehicles()]
    except StoreDamaged as trouble:  # rows that no version of the program has written
        said = str(trouble.__cause__).splitlines()[0]
        raise StoreRefused(store_words.backup_unreadable(said)) from None
    finally:
        store.close()
    return len(read), sum(len(vehicle.entries) for vehicle in read)


def _put_aside(folder: Path) -> _Before | None:
    """Keeps the store that is there: as a backup, or, when it cannot be read any more, under another name."""
    path = folder / FILE_NAME
    try:
        check(path, "The store", store_words.PUT_ASIDE)
    except StoreHeld:
        raise
    except StoreRefused:
        return _moved_aside(path)
    kept = back_up(path, folder / FOLDER_NAME, "-before-restore")
    with closing(reading_only(path)) as db:
        settings = tuple(db.execute("SELECT name, value FROM settings"))
        (version,) = db.execute(
            """SELECT COALESCE(MAX(revision), 0) + COALESCE((SELECT seq FROM sqlite_sequence WHERE name = 'entries'), 0)
               FROM vehicles"""
        ).fetchone()
    _close_log(path)
    return _Before(kept.path, settings, version)


def _moved_aside(path: Path) -> _Before | None:
    """Moves what is there of a store under another name; None where there is nothing.

    Its file first: after a kill in between, the start finds none, and what is left tells that there was one. The log
    goes too, even alone: SQLite would read it with whatever file comes in place of its own.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    moved = []
    for end in ("", "-wal", "-shm"):
        if (there := path.with_name(path.name + end)).exists():
            moved.append(path.with_name(f"{FILE_NAME}{PUT_ASIDE}{stamp}{end}"))
            os.replace(there, moved[-1])
    return _Before(moved[0]) if moved else None


def _take_over(fresh: Path, before: _Before | None) -> None:
    """Gives the new store the folder's keys and versions beyond all those there were."""
    if before is not None:
        store = Store(fresh.parent)
        try:
            store.change_settings(dict(before.settings))
            store.grow_versions(before.version + 1)
        finally:
            store.close()
    _close_log(fresh)


def _close_log(path: Path) -> None:
    """Brings everything into the one file, so that no log of another store is ever read with it."""
    try:
        with closing(sqlite3.connect(path, timeout=0, isolation_level=None)) as db:
            (mode,) = db.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.OperationalError:
        mode = ""
    if mode != "delete":
        raise StoreError(store_words.open_elsewhere(path))
