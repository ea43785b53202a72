"""What can go another way than meant with the store, each in one sentence for the person.

    StoreError            one sentence, always
    ├─ StoreRefused       the file cannot be used at all: damaged, newer, not ours, not writable
    │  └─ StoreHeld       another program has it for itself
    ├─ StoreBusy          not now: locked by somebody
    │  ├─ StoreFull       not now: no room on the disk
    │  └─ StoreDamaged    a row is not as it was written
    ├─ NoSuchVehicle      that id is not in the store
    └─ Conflict           an id is there already with other content
"""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path

from capture import store_words


class StoreError(Exception):
    """Something about the store, said in one sentence."""


class StoreRefused(StoreError):
    """The file cannot be used, and nothing in it was touched."""


class StoreHeld(StoreRefused):
    """Another program has the file for itself; nothing is known of what is in it."""


class StoreBusy(StoreError):
    """Nothing of this request was kept; trying again later may work."""


class StoreFull(StoreBusy):
    """Nothing of this request was kept; it may work once there is room on the disk."""


class StoreDamaged(StoreBusy):
    """Something is not as it was written: found after the start, which looks at all of it."""


class NoSuchVehicle(StoreError, LookupError):
    """No vehicle has this id."""


class Conflict(StoreError):
    """An entry with this id is there already and says something else."""


def is_damage(trouble: sqlite3.OperationalError) -> bool:
    """Whether SQLite met a text that nobody wrote. It has no kind of its own for that."""
    return any(said in str(trouble) for said in ("decode to UTF-8", "malformed"))


def not_now(trouble: sqlite3.OperationalError) -> StoreBusy:
    """Why SQLite could not finish a request that was begun."""
    said = str(trouble)
    if "locked" in said or "busy" in said:
        return StoreBusy(store_words.STORE_HELD)
    if "full" in said:
        return StoreFull(store_words.DISK_FULL)
    if "readonly" in said or "unable to open" in said:
        return StoreBusy(store_words.FOLDER_SHUT)
    return StoreBusy(store_words.store_could_not(said))


def folder_refused(folder: Path, trouble: OSError, what: str = "data folder") -> StoreRefused:
    """Why this folder cannot hold what it should, and what to do."""
    if trouble.errno in (errno.ENOSPC, errno.EDQUOT):
        return StoreRefused(store_words.disk_of_folder_full(what, folder))
    if trouble.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return StoreRefused(store_words.folder_not_writable(what, folder))
    said = (trouble.strerror or "no reason given").lower()
    return StoreRefused(store_words.folder_unusable(what, folder, said))
