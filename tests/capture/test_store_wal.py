"""The log of the last commits: damage in it is refused, and what a kill or a power cut leaves is not."""

from __future__ import annotations

import shutil
import sqlite3
import struct
import threading
from contextlib import closing
from pathlib import Path

import pytest

from capture.store import Store, StoreRefused
from capture.store_file import FILE_NAME
from capture.store_wal import HEADER, passes_over_commits
from tests.capture.test_store import entries, new_vehicle, stored_ids
from tests.conftest import reading_object

PIECE = 24 + 4096
"""Bytes of one page in the log, with what stands before it."""


@pytest.fixture
def serving(tmp_path: Path):
    """A store at work with five entries, each a commit of its own in the log."""
    store = Store(tmp_path / "serving")
    vehicle_id = new_vehicle(store)
    for number in range(5):
        store.add_entries(vehicle_id, entries(reading_object(number)))
    yield store
    store.close()


@pytest.fixture
def killed(serving: Store, tmp_path: Path) -> Path:
    """What a kill of it would leave."""
    folder = tmp_path / "killed"
    folder.mkdir()
    for name in (FILE_NAME, FILE_NAME + "-wal"):
        shutil.copy(serving.folder / name, folder)
    return folder


def log_of(folder: Path) -> Path:
    return folder / (FILE_NAME + "-wal")


def commits(log: bytes) -> list[int]:
    """Where the pieces that end a commit begin."""
    starts = range(HEADER, len(log), PIECE)
    return [start for start in starts if struct.unpack(">I", log[start + 4 : start + 8])[0]]


def left_of(folder: Path) -> list[str]:
    store = Store(folder)
    try:
        return stored_ids(store, store.vehicles()[0].id)
    finally:
        store.close()


def flip(log: Path, at: int) -> None:
    content = bytearray(log.read_bytes())
    content[at] ^= 0x10
    log.write_bytes(content)


def all_five() -> list[str]:
    return [f"entry-{number:06d}" for number in range(5)]


def test_what_a_kill_leaves_is_all_there(killed: Path):
    assert left_of(killed) == all_five()


@pytest.mark.parametrize("back", [2, 3, 4])
def test_a_damaged_commit_that_others_follow_is_refused_and_left_as_it_is(killed: Path, back: int):
    log = log_of(killed)
    flip(log, commits(log.read_bytes())[-1 - back] + 24 + 100)
    before = log.read_bytes()
    with pytest.raises(StoreRefused, match="is damaged and was left untouched"):
        Store(killed)
    assert log.read_bytes() == before


@pytest.mark.parametrize("at", [0, 9, 17, 30])
def test_a_log_whose_beginning_is_damaged_is_refused(killed: Path, at: int):
    flip(log_of(killed), at)
    with pytest.raises(StoreRefused, match="is damaged and was left untouched"):
        Store(killed)


@pytest.mark.parametrize("bytes_missing", [1, 5000])
def test_a_last_commit_that_a_power_cut_left_in_pieces_is_forgotten_and_all_before_is_there(
    killed: Path, bytes_missing: int
):
    log = log_of(killed)
    log.write_bytes(log.read_bytes()[:-bytes_missing])
    assert left_of(killed) == all_five()[:4]


def test_pieces_of_the_last_commit_written_in_another_order_count_as_a_power_cut(killed: Path):
    log = log_of(killed)
    flip(log, commits(log.read_bytes())[-2] + PIECE + 200)  # its first piece is not whole, its last is
    assert left_of(killed) == all_five()[:4]


def test_a_log_begun_anew_over_a_longer_one_is_no_damage(serving: Store, tmp_path: Path):
    (line,) = serving.vehicles()
    with closing(sqlite3.connect(serving.path)) as other:
        assert other.execute("PRAGMA wal_checkpoint(RESTART)").fetchone()[0] == 0
        assert not passes_over_commits(serving.path)
    serving.add_entries(line.id, entries(reading_object(7)))
    with closing(sqlite3.connect(serving.path)) as other:
        other.execute("SELECT 1 FROM vehicles").fetchone()
        assert not passes_over_commits(serving.path)
    left = tmp_path / "left"
    left.mkdir()
    for name in (FILE_NAME, FILE_NAME + "-wal"):
        shutil.copy(serving.folder / name, left)
    assert left_of(left) == [*all_five(), "entry-000007"]


def test_a_store_that_others_write_to_meanwhile_is_never_called_damaged(serving: Store):
    (line,) = serving.vehicles()
    ended = threading.Event()

    def write() -> None:
        for number in range(100, 400):
            serving.add_entries(line.id, entries(reading_object(number)))
            if number % 20 == 0:
                with closing(sqlite3.connect(serving.path)) as other:
                    other.execute("PRAGMA wal_checkpoint(RESTART)")
        ended.set()

    writer = threading.Thread(target=write)
    writer.start()
    looks = []
    while not ended.is_set():
        looks.append(passes_over_commits(serving.path))
    writer.join()
    assert looks and not any(looks)
