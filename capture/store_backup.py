"""Copies of the store: made through SQLite's online backup while it is in use, read back, then given their name.

A copy is one plain file. It holds the pairing keys as well, so nobody but its owner may read it.
"""

from __future__ import annotations

import hashlib
import os
import shlex
import sqlite3
import subprocess
from collections.abc import Iterable
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from capture import places, store_words
from capture.store_check import check, is_whole, reading_only
from capture.store_errors import StoreError, StoreFull, StoreRefused, folder_refused, not_now

FOLDER_NAME = "backups"
PART = ".part"
NEWEST_KEPT = 8
DAYS_KEPT = 14
"""Besides the newest ones, the last of each of so many days stays."""
_STAMP = "%Y%m%dT%H%M%S.%fZ"


@dataclass(frozen=True)
class Backup:
    """A copy that was read back. vehicles, entries: how many it holds."""

    path: Path
    vehicles: int
    entries: int


def back_up(source: Path, folder: Path, suffix: str = "") -> Backup:
    """Copies the store at `source` into the folder, under a name with the time in it. Raises StoreError.

    What others write meanwhile is not waited for: the copy is of one moment.
    """
    path = folder / f"plumbtack-{datetime.now(UTC).strftime(_STAMP)}{suffix}.sqlite3"
    part = path.with_name(path.name + PART)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        made = copied(source, part)
        os.replace(part, path)
        on_disk(folder)
        return Backup(path, *made)
    except StoreFull:
        raise StoreFull(store_words.disk_of_folder_full("backup folder", folder)) from None
    except OSError as trouble:
        raise folder_refused(folder, trouble, "backup folder") from None
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def copied(source: Path, target: Path, alone: bool = False) -> tuple[int, int]:
    """Makes `target` a whole copy of one moment of `source` and reads it back; its vehicles and entries, counted.

    Raises StoreError when the two do not say the same.
    """
    try:
        with closing(reading_only(source, alone)) as db, closing(sqlite3.connect(target)) as copy:
            db.execute("BEGIN")  # what is read and what is copied is of one moment
            said = _said(db)
            copy.execute("PRAGMA synchronous = FULL")
            db.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
        _check_copy(source, target, alone)
        with closing(reading_only(target, alone=True)) as db:
            if _said(db) != said:
                raise StoreError(store_words.copy_differs(target))
            counts = [db.execute(f"SELECT COUNT(*) FROM {table}").fetchone()[0] for table in ("vehicles", "entries")]
        on_disk(target)
        return counts[0], counts[1]
    except sqlite3.OperationalError as trouble:
        raise not_now(trouble) from trouble
    except sqlite3.DatabaseError:
        raise StoreError(store_words.damaged_so_no_copy(source)) from None


def _check_copy(source: Path, target: Path, alone: bool) -> None:
    """Looks through the copy; where it is damaged because the source is, says so.

    The source is looked at through SQLite alone: this may be the program that serves it (see `store_wal`).
    """
    try:
        check(target, "The new backup", store_words.TRY_ANOTHER_DISK, alone=True)
    except StoreRefused:
        with closing(reading_only(source, alone)) as db:
            if not is_whole(db):
                raise StoreError(store_words.damaged_so_no_copy(source)) from None
        raise


def backups_in(folder: Path) -> list[Path]:
    """The backups there, the oldest first."""
    return sorted(folder.glob("plumbtack-*.sqlite3"), key=lambda path: path.name)


def what_helps(folder: Path) -> str:
    """What to do when the store in this data folder is damaged or gone."""
    backups = backups_in(folder / FOLDER_NAME)
    if not backups:
        return store_words.put_a_copy_back(_restoring("FILE", folder))
    return store_words.put_newest_back(_restoring(str(backups[-1]), folder))


def _restoring(file: str, folder: Path) -> str:
    """The command that puts this copy back there, as it can be typed."""
    where = [] if folder == places.data_folder() else ["--data", str(folder)]
    words = ["plumbtack", "restore", *where, file]
    return subprocess.list2cmdline(words) if os.name == "nt" else shlex.join(words)


def prune(folder: Path) -> None:
    """Removes what is older than the newest few and the last of each recent day, and halves that a kill left."""
    there = backups_in(folder)
    keep = kept([path.name for path in there])
    for path in [*(path for path in there if path.name not in keep), *folder.glob("plumbtack-*" + PART)]:
        with suppress(OSError):
            path.unlink()


def kept(names: Iterable[str]) -> set[str]:
    """Of these names of backups those that stay."""
    newest_first = sorted(names, reverse=True)
    last_of_day: dict[str, str] = {}
    for name in newest_first:
        last_of_day.setdefault(name[: len("plumbtack-20260502")], name)
    return {*newest_first[:NEWEST_KEPT], *list(last_of_day.values())[:DAYS_KEPT]}


def _said(db: sqlite3.Connection) -> str:
    """A sum over every row of every table."""
    found = hashlib.sha256()
    names = db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
    for (name,) in names:
        found.update(name.encode())
        for row in db.execute(f"SELECT * FROM {name} ORDER BY rowid"):
            found.update(repr(row).encode())
    return found.hexdigest()


def on_disk(path: Path) -> None:
    """Waits until the disk has it; a folder only where the system lets one be waited for."""
    if os.name == "nt":
        return
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
