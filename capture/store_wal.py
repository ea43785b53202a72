"""SQLite's log of the last commits, beside its file: would it pass over commits that were acknowledged?

SQLite reads the log up to the first piece that is not whole, as a power cut leaves one in the middle of a commit, and
forgets the rest. Each commit waits for the disk before the next one is written, so a power cut leaves one commit in
pieces at most: whole commits behind a broken piece, or a broken beginning, are damage. The layout of the log is that
of SQLite's "WAL-mode File Format" (https://www.sqlite.org/walformat.html), from memory.

Only the log is read here. Closing the file itself, or the index of its log, would take from every connection of this
process the locks it holds there.
"""

from __future__ import annotations

import struct
import sys
from array import array
from itertools import islice
from pathlib import Path

HEADER, PIECE_HEADER = 32, 24
BIG_ENDIAN, LITTLE_ENDIAN = 0x377F0683, 0x377F0682
"""How the numbers in a log stand of which its sums are made."""
TORN_AT_MOST = 1
"""Commits that a power cut leaves in pieces."""


def passes_over_commits(path: Path) -> bool:
    """Whether commits stand behind what SQLite will take of the log beside this file.

    Looked at twice where it seems so: what another program is just writing is whole the second time.
    """
    log = path.with_name(path.name + "-wal")
    try:
        first = _broken_at(log.read_bytes())
        return first is not None and first == _broken_at(log.read_bytes())
    except FileNotFoundError:
        return False


def _broken_at(log: bytes) -> int | None:
    """Where the log is damaged; None where it is whole or ends as a power cut leaves it."""
    if len(log) <= HEADER:
        return None
    kind, _, page_size = struct.unpack(">3I", log[:12])
    swapped = kind != (LITTLE_ENDIAN if sys.byteorder == "little" else BIG_ENDIAN)
    sums = _sums(log[:24], (0, 0), swapped)
    if kind not in (BIG_ENDIAN, LITTLE_ENDIAN) or sums != struct.unpack(">2I", log[24:32]):
        return 0
    size = PIECE_HEADER + page_size
    starts = iter(range(HEADER, len(log) - size + 1, size))
    for start in starts:
        sums = _sums(log[start : start + 8] + log[start + PIECE_HEADER : start + size], sums, swapped)
        if not _is_of_this_run(log, start) or sums != struct.unpack(">2I", log[start + 16 : start + PIECE_HEADER]):
            commits = (at for at in (start, *starts) if _is_of_this_run(log, at) and _ends_a_commit(log, at))
            return start if len(list(islice(commits, TORN_AT_MOST + 1))) > TORN_AT_MOST else None
    return None


def _is_of_this_run(log: bytes, start: int) -> bool:
    """Whether this piece was written since the log was begun anew last: it repeats two numbers of its beginning."""
    return log[start + 8 : start + 16] == log[16:24]


def _ends_a_commit(log: bytes, start: int) -> bool:
    """Such a piece says how many pages the file has after the commit; all others say 0."""
    return log[start + 4 : start + 8] != b"\0\0\0\0"


def _sums(content: bytes, before: tuple[int, int], swapped: bool) -> tuple[int, int]:
    """The two running sums of the log after this content too. swapped: its numbers stand other than this machine's."""
    numbers = array("I", content)
    if swapped:
        numbers.byteswap()
    first, second = before
    for one, two in zip(numbers[::2], numbers[1::2], strict=True):
        first = (first + one + second) & 0xFFFFFFFF
        second = (second + two + first) & 0xFFFFFFFF
    return first, second
