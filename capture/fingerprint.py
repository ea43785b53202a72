"""The fingerprint of a log: whoever has the file can tell that no entry before it was changed, added or left out.

SHA-256 over one line of canonical JSON an entry: keys sorted, no blanks, UTF-8, keys that were left out left out. The
same log gives the same fingerprint in any installation.
"""

from __future__ import annotations

import hashlib
import json
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from operator import is_
from typing import Protocol


class Logged(Protocol):
    """Any entry of the log."""

    def model_dump(self, *, exclude_unset: bool) -> dict[str, object]: ...


def canonical(entry: Logged) -> str:
    """One entry as its canonical line."""
    said = entry.model_dump(exclude_unset=True)
    return json.dumps(said, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def fingerprint(entries: Iterable[Logged]) -> str:
    """Of these entries in their order: 64 hexadecimal digits. Of a log that has grown only what is new is gone through.
    """
    entries = tuple(entries)
    begun = max((one for one in tuple(_kept) if _begins_with(entries, one.entries)), key=_length, default=_Begun())
    found = begun.digest.copy()
    for entry in entries[len(begun.entries) :]:
        found.update(canonical(entry).encode("utf-8") + b"\n")
    _kept.append(_Begun(entries, found))  # the oldest falls out; two threads at once only do the work twice
    return found.hexdigest()


@dataclass(frozen=True)
class _Begun:
    """A log as far as it was gone through."""

    entries: tuple[Logged, ...] = ()
    digest: hashlib._Hash = field(default_factory=hashlib.sha256)


_kept: deque[_Begun] = deque(maxlen=4)


def _length(begun: _Begun) -> int:
    return len(begun.entries)


def _begins_with(entries: tuple[Logged, ...], start: tuple[Logged, ...]) -> bool:
    """With the very same entries: two that are equal may still be written differently."""
    return len(start) <= len(entries) and all(map(is_, entries, start))


def in_groups(digits: str) -> str:
    """The fingerprint in groups of eight, to read aloud or compare by eye."""
    return " ".join(digits[at : at + 8] for at in range(0, len(digits), 8))
