"""Is this SQLite file one of ours, whole, and of a layout this program knows? Looked at without changing it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from capture import places, store_words
from capture.store_errors import StoreRefused

APPLICATION_ID = 0x504C4D42  # "PLMB": says whose file this is
SQLITE_BEGINS = b"SQLite format 3\x00"
WAIT_SECONDS = 5.0


def check(path: Path, what: str, advice: str, alone: bool = False) -> int:
    """The layout of the store in this file, once every page of it has been looked at.

    `what` begins the sentence of a refusal ("The store"), `advice` says what to do about damage. alone:
    nobody has the file open, so that its folder need not be writable. Raises StoreRefused.
    """
    _check_beginning(path, what, advice)
    try:
        with closing(reading_only(path, alone)) as db:
            verdict = db.execute("PRAGMA integrity_check(1)").fetchone()[0]
            strays = db.execute("PRAGMA foreign_key_check").fetchone()
            (application,) = db.execute("PRAGMA application_id").fetchone()
            (layout,) = db.execute("PRAGMA user_version").fetchone()
            (tables,) = db.execute("SELECT COUNT(*) FROM sqlite_master").fetchone()
    except sqlite3.OperationalError as trouble:
        raise StoreRefused(_cannot_be_read(path, what, str(trouble))) from None
    except sqlite3.DatabaseError:
        raise StoreRefused(store_words.damaged(what, path, advice)) from None
    if verdict != "ok" or strays is not None:
        raise StoreRefused(store_words.damaged(what, path, advice))
    if tables and application != APPLICATION_ID:
        raise StoreRefused(store_words.of_another_program(what, path))
    newest = len(upgrades())
    if layout > newest:
        raise StoreRefused(store_words.of_a_newer_program(what, path, layout, newest))
    return int(layout)


def reading_only(path: Path, alone: bool = False) -> sqlite3.Connection:
    """A connection that changes nothing. With a write-ahead log beside the file, what stands there counts too."""
    alone = alone and not path.with_name(path.name + "-wal").exists()
    way = "mode=ro&immutable=1" if alone else "mode=ro"
    return sqlite3.connect(f"{path.absolute().as_uri()}?{way}", uri=True, timeout=WAIT_SECONDS, isolation_level=None)


def upgrades() -> list[str]:
    """The upgrade steps in order; step N brings a store to layout N."""
    return [path.read_text(encoding="utf-8") for path in sorted(places.upgrades_folder().glob("[0-9]*.sql"))]


def statements(script: str) -> Iterator[str]:
    """The statements of a script one by one, triggers whole, so that a step runs inside one transaction."""
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""
    if statement.strip():
        raise ValueError(f"the upgrade step ends in the middle of a statement: {statement.strip()[:60]}")


def _check_beginning(path: Path, what: str, advice: str) -> None:
    """What can be told from the first bytes."""
    try:
        with path.open("rb") as file:
            beginning = file.read(len(SQLITE_BEGINS))
    except FileNotFoundError:
        raise StoreRefused(store_words.not_there(what, path)) from None
    except IsADirectoryError:
        raise StoreRefused(store_words.a_folder(what, path)) from None
    except OSError as trouble:
        raise StoreRefused(_cannot_be_read(path, what, (trouble.strerror or "no reason given").lower())) from None
    if not beginning:
        raise StoreRefused(store_words.cut_off(what, path, advice))
    if beginning != SQLITE_BEGINS:
        raise StoreRefused(store_words.no_store(what, path, advice))


def _cannot_be_read(path: Path, what: str, said: str) -> str:
    if "locked" in said or "busy" in said:
        return store_words.held(what, path)
    return store_words.cannot_be_read(what, path, said)
