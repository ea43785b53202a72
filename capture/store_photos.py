"""Pictures inside a transaction: each belongs to a photo's entry of the log, and is stored with it or after it."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Mapping

from capture import store_words
from capture.log_entries import Photo
from capture.store_errors import Conflict, StoreError
from capture.store_log import Log

MOST_PHOTOS = 100
"""Of one vehicle, withdrawn ones too: they stay stored."""
SAME = ("stage", "reading", "point")
"""What tells whether a photo sent again is the one stored; the picture may be written a little differently."""


class TooManyPhotos(StoreError):
    """The vehicle holds as many photos as it may."""


def add(db: sqlite3.Connection, vehicle_id: str, entry: Photo, picture: bytes) -> None:
    """Stores the entry and its picture unless they are there.

    A log that came in without its pictures takes each one later, if it is the one its entry names. Raises Conflict,
    TooManyPhotos.
    """
    there = db.execute(
        "SELECT body FROM entries WHERE vehicle_id = ? AND id = ?", (vehicle_id, entry.id)
    ).fetchone()
    if there is None:
        _check_room(db, vehicle_id)
        Log(db, vehicle_id).add(entry)
    else:
        stored = json.loads(there[0])
        same = stored["type"] == "photo" and all(stored.get(key) == getattr(entry, key) for key in SAME)
        if not same:
            raise Conflict(store_words.photo_entry_differs(entry.id))
        if hashlib.sha256(picture).hexdigest() != stored["sha256"]:
            if not _has(db, vehicle_id, entry.id):
                raise Conflict(store_words.photo_differs(entry.id))
            return
    _keep(db, vehicle_id, entry.id, picture)


def add_all(db: sqlite3.Connection, vehicle_id: str, pictures: Mapping[str, bytes]) -> None:
    """The pictures of entries just stored, by their ids."""
    for entry_id, picture in pictures.items():
        _keep(db, vehicle_id, entry_id, picture)


def picture(db: sqlite3.Connection, vehicle_id: str, entry_id: str) -> bytes | None:
    row = db.execute("SELECT picture FROM photos WHERE vehicle_id = ? AND id = ?", (vehicle_id, entry_id)).fetchone()
    return None if row is None else bytes(row[0])


def stored(db: sqlite3.Connection, vehicle_id: str) -> list[str]:
    """The ids of the photos whose picture is here, in the order of the log."""
    rows = db.execute(
        """SELECT p.id FROM photos p JOIN entries e ON e.vehicle_id = p.vehicle_id AND e.id = p.id
           WHERE p.vehicle_id = ? ORDER BY e.seq""",
        (vehicle_id,),
    )
    return [row[0] for row in rows]


def _has(db: sqlite3.Connection, vehicle_id: str, entry_id: str) -> bool:
    found = db.execute("SELECT 1 FROM photos WHERE vehicle_id = ? AND id = ?", (vehicle_id, entry_id))
    return found.fetchone() is not None


def _keep(db: sqlite3.Connection, vehicle_id: str, entry_id: str, picture: bytes) -> None:
    db.execute(
        "INSERT INTO photos (vehicle_id, id, picture) VALUES (?, ?, ?) ON CONFLICT (vehicle_id, id) DO NOTHING",
        (vehicle_id, entry_id, picture),
    )


def _check_room(db: sqlite3.Connection, vehicle_id: str) -> None:
    (count,) = db.execute("SELECT COUNT(*) FROM photos WHERE vehicle_id = ?", (vehicle_id,)).fetchone()
    if count >= MOST_PHOTOS:
        raise TooManyPhotos(store_words.photos_are_the_most(MOST_PHOTOS))
