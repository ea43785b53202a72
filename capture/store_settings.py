"""The store as far as the door needs it: opened, checked, held, and its few settings. It knows nothing of vehicles."""

from __future__ import annotations

from collections.abc import Mapping

from capture.store_file import StoreFile


class StoreSettings(StoreFile):
    """One folder's store and what is kept in it under a name, such as the keys that let phones in."""

    def setting(self, name: str, first: str) -> str:
        """The setting of this name; where there is none yet, `first` is stored and becomes it."""
        with self._reading() as db:  # a full disk must not keep out who is paired already
            there = db.execute("SELECT value FROM settings WHERE name = ?", (name,)).fetchone()
        if there is not None:
            return str(there[0])
        with self._writing() as db:
            db.execute("INSERT INTO settings (name, value) VALUES (?, ?) ON CONFLICT (name) DO NOTHING", (name, first))
            (value,) = db.execute("SELECT value FROM settings WHERE name = ?", (name,)).fetchone()
        return str(value)

    def change_settings(self, settings: Mapping[str, str]) -> None:
        """Sets them, whether or not they were there, all in one."""
        with self._writing() as db:
            db.executemany(
                """INSERT INTO settings (name, value) VALUES (?, ?)
                   ON CONFLICT (name) DO UPDATE SET value = excluded.value""",
                list(settings.items()),
            )
