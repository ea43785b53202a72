"""One vehicle's log in the store: what is added where, and what waits for an entry still under way."""

from __future__ import annotations

import json
import sqlite3
from datetime import UTC, datetime

from capture import store_words
from capture.store_errors import Conflict
from capture.vehicle_file import Entry, SetAside, Withdraw, entry_text


class Log:
    """One vehicle's log inside a transaction."""

    def __init__(self, db: sqlite3.Connection, vehicle_id: str) -> None:
        self._db, self._vehicle_id, self._now = db, vehicle_id, now()

    def add(self, entry: Entry) -> str:
        """Stores the entry unless it is there; its id. Raises Conflict when it is there with other content."""
        body = entry_text(entry)
        there = self._body(entry.id)
        if there is not None and there != body:
            raise Conflict(store_words.entry_differs(entry.id))
        if there is None:
            names = entry.of if isinstance(entry, Withdraw | SetAside) else None
            if names is not None and self.type_of(names) is None:
                self._wait(entry.id, names, body)
            else:
                self.append(entry.id, body)
                self._let_in(entry.id)
        return str(entry.id)

    def append(self, entry_id: str, body: str) -> None:
        """Puts it at the end of the log."""
        self._db.execute(
            "INSERT INTO entries (vehicle_id, id, body, received_at) VALUES (?, ?, ?, ?)",
            (self._vehicle_id, entry_id, body, self._now),
        )

    def type_of(self, entry_id: str) -> str | None:
        row = self._db.execute(
            "SELECT body FROM entries WHERE vehicle_id = ? AND id = ?", (self._vehicle_id, entry_id)
        ).fetchone()
        return None if row is None else str(json.loads(row[0])["type"])

    def ids(self) -> set[str]:
        """Of all that is stored, what waits for another entry with it."""
        rows = self._db.execute(
            """SELECT id FROM entries WHERE vehicle_id = ?1
               UNION SELECT id FROM early_entries WHERE vehicle_id = ?1""",
            (self._vehicle_id,),
        )
        return {str(entry_id) for (entry_id,) in rows}

    def has_stages(self) -> bool:
        """Has a stage been begun or closed by an entry?"""
        found = self._db.execute(
            """SELECT 1 FROM entries
               WHERE vehicle_id = ? AND json_extract(body, '$.type') IN ('begin', 'close') LIMIT 1""",
            (self._vehicle_id,),
        )
        return found.fetchone() is not None

    def _body(self, entry_id: str) -> str | None:
        row = self._db.execute(
            """SELECT body FROM entries WHERE vehicle_id = ?1 AND id = ?2
               UNION ALL SELECT body FROM early_entries WHERE vehicle_id = ?1 AND id = ?2""",
            (self._vehicle_id, entry_id),
        ).fetchone()
        return None if row is None else str(row[0])

    def _wait(self, entry_id: str, names: str, body: str) -> None:
        self._db.execute(
            "INSERT INTO early_entries (vehicle_id, id, names, body, received_at) VALUES (?, ?, ?, ?, ?)",
            (self._vehicle_id, entry_id, names, body, self._now),
        )

    def _let_in(self, arrived: str) -> None:
        """Puts what waited for this entry behind it, and what waited for that."""
        row_of = "SELECT seq, id, body FROM early_entries WHERE vehicle_id = ? AND names = ? ORDER BY seq"
        come_in = [arrived]
        for name in come_in:
            for seq, entry_id, body in self._db.execute(row_of, (self._vehicle_id, name)).fetchall():
                if json.loads(body)["type"] == "set_aside" and self.type_of(name) != "reading":
                    continue  # only readings can be set aside: it stays where it is and does nothing
                self._db.execute("DELETE FROM early_entries WHERE seq = ?", (seq,))
                self.append(entry_id, body)
                come_in.append(entry_id)


def now() -> str:
    """This laptop's time, as the store keeps it beside every row."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
