"""The fingerprint of a log: whoever has the file can tell that no entry before it was changed, added or left out.

SHA-256 over one line of canonical JSON an entry: keys sorted, no blanks, UTF-8, keys that were left out left out. The
same log gives the same fingerprint in any installation.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from typing import Protocol


class Logged(Protocol):
    """Any entry of the log."""

    def model_dump(self, *, exclude_unset: bool) -> dict[str, object]: ...


def canonical(entry: Logged) -> str:
    """One entry as its canonical line."""
    said = entry.model_dump(exclude_unset=True)
    return json.dumps(said, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def fingerprint(entries: Iterable[Logged]) -> str:
    """Of these entries in their order: 64 hexadecimal digits."""
    found = hashlib.sha256()
    for entry in entries:
        found.update(canonical(entry).encode("utf-8") + b"\n")
    return found.hexdigest()


def in_groups(digits: str) -> str:
    """The fingerprint in groups of eight, to read aloud or compare by eye."""
    return " ".join(digits[at : at + 8] for at in range(0, len(digits), 8))
