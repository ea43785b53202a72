"""SQLite's log of the last commits, beside its file: would it pass over commits that were acknowledged?

SQLite reads the log up to the first piece that is not whole, as a power cut leaves one in the middle of a commit, and
forgets the rest. Each commit waits for the disk before the next one is written, so a power cut leaves one commit in
pieces at most: whole commits behind a broken piece, or a broken beginning, are damage. The layout of both files is
that of SQLite's "WAL-mode File Format" (https://www.sqlite.org/walformat.html), from memory.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

HEADER = 32
PIECE_HEADER = 24
"""Bytes before each page."""
BIG_ENDIAN, LITTLE_ENDIAN = 0x377F0683, 0x377F0682
TORN_AT_MOST = 1
"""Commits that a power cut leaves in pieces."""


def passes_over_commits(path: Path) -> bool:
    """Whether commits stand behind what SQLite takes of the log of this file, which somebody has open."""
    log, index = path.with_name(path.name + "-wal"), path.with_name(path.name + "-shm")
    try:
        with log.open("rb") as file:
            header = file.read(HEADER)
            size = log.stat().st_size
            if size <= HEADER:
                return False
            if not _is_whole(header):
                return True
            commits = list(_commits(file, header, size))
            taken = _taken(index, header)
            file.seek(0)
            if file.read(HEADER) != header:  # another program has begun it anew meanwhile
                return False
    except FileNotFoundError:
        return False
    return taken is not None and sum(number > taken for number in commits) > TORN_AT_MOST


def _is_whole(header: bytes) -> bool:
    """Whether the log's first bytes have the sum that stands behind them."""
    (kind,) = struct.unpack(">I", header[:4])
    if kind not in (BIG_ENDIAN, LITTLE_ENDIAN):
        return False
    words = struct.unpack(">6I" if kind == BIG_ENDIAN else "<6I", header[:24])
    first = second = 0
    for one, two in zip(words[::2], words[1::2], strict=True):
        first = (first + one + second) & 0xFFFFFFFF
        second = (second + two + first) & 0xFFFFFFFF
    return (first, second) == struct.unpack(">2I", header[24:])


def _commits(file: BinaryIO, header: bytes, size: int) -> Iterator[int]:
    """The numbers, from 1 on, of the pieces that end a commit of this run of the log."""
    (page,) = struct.unpack(">I", header[8:12])
    for number, start in enumerate(range(HEADER, size - PIECE_HEADER - page + 1, PIECE_HEADER + page), start=1):
        file.seek(start)
        _, pages_after, salts = struct.unpack(">2I8s", file.read(16))
        if pages_after and salts == header[16:24]:
            yield number


def _taken(index: Path, header: bytes) -> int | None:
    """How many pieces SQLite has taken, by its index of the log; None where there is none of this run of the log."""
    try:
        with index.open("rb") as file:
            there = file.read(48)
    except FileNotFoundError:
        return None
    if len(there) < 48 or there[32:40] != header[16:24]:
        return None
    return int(struct.unpack("=I", there[16:20])[0])
