"""Is this SQLite file one of ours, whole, and of a layout this program knows? Looked at without changing it.

SQLite looks through every page and compares every row with the index that has it in full. What it does not compare is
looked at here: the tables' own forms, the pictures of photos, and the log of the last commits.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from capture import places, store_wal, store_words
from capture.store_errors import StoreHeld, StoreRefused, is_damage

APPLICATION_ID = 0x504C4D42  # "PLMB": says whose file this is
SQLITE_BEGINS = b"SQLite format 3\x00"
WAIT_SECONDS = 5.0


def check(path: Path, what: str, advice: str, alone: bool = False) -> int:
    """The layout of the store in this file, once every page of it has been looked at.

    `what` begins the sentence of a refusal ("The store"), `advice` says what to do about damage. alone:
    nobody has the file open, so that its folder need not be writable. Raises StoreRefused.
    """
    _check_beginning(path, what, advice)
    damaged = StoreRefused(store_words.damaged(what, path, advice))
    newest = len(upgrades())
    try:
        with closing(reading_only(path, alone)) as db:
            whole = is_whole(db)
            (application,) = db.execute("PRAGMA application_id").fetchone()
            (layout,) = db.execute("PRAGMA user_version").fetchone()
            forms = _forms(db)
            if not whole or store_wal.passes_over_commits(path):
                raise damaged
            if forms and application != APPLICATION_ID:
                raise StoreRefused(store_words.of_another_program(what, path))
            if layout > newest:
                raise StoreRefused(store_words.of_a_newer_program(what, path, layout, newest))
            if not _are_of(layout, forms) or not _are_pictures_whole(db):
                raise damaged
    except sqlite3.OperationalError as trouble:
        if is_damage(trouble):
            raise damaged from None
        raise _cannot_be_read(path, what, str(trouble)) from None
    except (sqlite3.DatabaseError, UnicodeDecodeError):  # the second where SQLite's own sentence holds damaged text
        raise damaged from None
    return int(layout)


def is_whole(db: sqlite3.Connection) -> bool:
    """Whether every page is in order and every row the same as in its indexes. Raises sqlite3.DatabaseError."""
    whole = db.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
    return whole and db.execute("PRAGMA foreign_key_check").fetchone() is None


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


def _forms(db: sqlite3.Connection) -> set[tuple[str, ...]]:
    """What the database is made of: kind, name, table and the statement of each part."""
    return set(db.execute("SELECT type, name, tbl_name, sql FROM sqlite_master"))


def _are_of(layout: int, forms: set[tuple[str, ...]]) -> bool:
    """Whether all that this layout has is there as its steps make it, and nothing that only later ones have."""
    steps = upgrades()
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as db:
        made = [_forms(db)]
        for script in steps:
            for statement in statements(script):
                db.execute(statement)
            made.append(_forms(db))
    return 0 <= layout < len(made) and forms & made[-1] == made[layout]


def _are_pictures_whole(db: sqlite3.Connection) -> bool:
    """Whether every photo's picture is the one its entry names."""
    if db.execute("SELECT 1 FROM sqlite_master WHERE name = 'photos'").fetchone() is None:
        return True
    rows = db.execute(
        """SELECT p.picture, json_extract(e.body, '$.sha256')
           FROM photos p JOIN entries e ON e.vehicle_id = p.vehicle_id AND e.id = p.id"""
    )
    return all(hashlib.sha256(picture).hexdigest() == digest for picture, digest in rows)


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
        raise _cannot_be_read(path, what, (trouble.strerror or "no reason given").lower()) from None
    if not beginning:
        raise StoreRefused(store_words.cut_off(what, path, advice))
    if beginning != SQLITE_BEGINS:
        raise StoreRefused(store_words.no_store(what, path, advice))


def _cannot_be_read(path: Path, what: str, said: str) -> StoreRefused:
    if "locked" in said or "busy" in said:
        return StoreHeld(store_words.held(what, path))
    return StoreRefused(store_words.cannot_be_read(what, path, said))
