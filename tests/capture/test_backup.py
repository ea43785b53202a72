"""Copies of the store: whole, read back, made while others write, and put back without losing what was there."""

from __future__ import annotations

import os
import sqlite3
import stat
import threading
import time
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import pytest

from capture import store_backup
from capture.backups import Backups
from capture.cli import main
from capture.pairing import Pairing, pairing_key
from capture.store import Store, StoreError, StoreFull, StoreRefused
from capture.store_backup import DAYS_KEPT, NEWEST_KEPT, back_up, backups_in, kept, prune
from capture.store_file import FILE_NAME
from capture.store_restore import restore
from capture.vehicle_file import write_vehicle_file
from tests.capture.test_store import entries, new_vehicle, stored_ids
from tests.conftest import LiveServer, reading_object, vehicle_object
from tests.samples import sample


@pytest.fixture
def store(tmp_path: Path):
    made = Store(tmp_path / "data")
    yield made
    made.close()


@pytest.fixture
def vehicle_id(store: Store) -> str:
    """A vehicle with 20 entries."""
    vehicle_id = new_vehicle(store)
    store.add_entries(vehicle_id, entries(*map(reading_object, range(20))))
    return vehicle_id


def opened(copy: Path, folder: Path) -> Store:
    """The copy as a store of its own."""
    folder.mkdir()
    (folder / FILE_NAME).write_bytes(copy.read_bytes())
    return Store(folder)


def test_a_backup_holds_everything_in_one_file_for_its_owner(store: Store, vehicle_id: str, tmp_path: Path):
    made = store.back_up()
    assert (made.vehicles, made.entries) == (1, 20)
    assert os.listdir(store.backups) == [made.path.name]
    if os.name != "nt":
        assert stat.S_IMODE(made.path.stat().st_mode) == 0o600 and stat.S_IMODE(store.backups.stat().st_mode) == 0o700
    with closing(opened(made.path, tmp_path / "other")) as other:
        assert write_vehicle_file(other.vehicle(vehicle_id)) == write_vehicle_file(store.vehicle(vehicle_id))


def test_a_backup_made_while_others_write_is_of_one_moment(store: Store, vehicle_id: str, tmp_path: Path):
    ended = threading.Event()

    def write() -> None:
        number = 100
        while not ended.is_set():
            store.add_entries(vehicle_id, entries(*map(reading_object, range(number, number + 5))))
            number += 5

    writer = threading.Thread(target=write)
    writer.start()
    counts = [store.back_up().entries for _ in range(6)]
    ended.set()
    writer.join()
    assert counts == sorted(counts) and counts[-1] > counts[0]
    assert all(count % 5 == 0 for count in counts)  # a request is in it whole or not at all


def taken_away(db: sqlite3.Connection, guard: str) -> str:
    """Takes this trigger away; what puts it back."""
    (made,) = db.execute("SELECT sql FROM sqlite_master WHERE name = ?", (guard,)).fetchone()
    db.execute(f"DROP TRIGGER {guard}")
    return made


def test_a_copy_that_does_not_read_back_gets_no_name(
    store: Store, vehicle_id: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    really = store_backup.check

    def a_bad_disk(path: Path, *rest: object, **more: object) -> int:
        with closing(sqlite3.connect(path)) as db:
            guard = taken_away(db, "entries_are_never_deleted")
            db.execute("DELETE FROM entries WHERE seq = 3")
            db.execute(guard)
            db.commit()
        return really(path, *rest, **more)

    monkeypatch.setattr(store_backup, "check", a_bad_disk)
    with pytest.raises(StoreError, match="does not say what the store says"):
        store.back_up()
    assert os.listdir(store.backups) == []


def test_no_copy_is_made_of_a_store_that_was_damaged_while_at_work(store: Store, vehicle_id: str):
    made = store.back_up()
    with closing(sqlite3.connect(store.path)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    content = store.path.read_bytes()
    store.path.write_bytes(content.replace(b'"value": 612.5', b'"value": 672.5', 1))
    with pytest.raises(StoreError, match="is damaged, so no copy of it was made") as said:
        store.back_up()
    assert str(store.path) in str(said.value) and backups_in(store.backups) == [made.path]


def test_the_newest_few_and_the_last_of_each_day_stay():
    names = [f"plumbtack-202605{day:02d}T{hour:02d}0000.000000Z.sqlite3" for day in range(1, 29) for hour in range(24)]
    left = kept(names)
    assert set(names[-NEWEST_KEPT:]) <= left
    assert {f"plumbtack-202605{day:02d}T230000.000000Z.sqlite3" for day in range(29 - DAYS_KEPT, 29)} <= left
    assert len(left) == NEWEST_KEPT + DAYS_KEPT - 1
    assert kept(names[:3]) == set(names[:3]) and kept([]) == set()


def test_old_backups_and_halves_go_and_nothing_else(tmp_path: Path):
    for number in range(12):
        (tmp_path / f"plumbtack-20260502T{number:02d}0000.000000Z.sqlite3").write_bytes(b"x")
    (tmp_path / "plumbtack-20260502T990000.000000Z.sqlite3.part").write_bytes(b"half")
    (tmp_path / "my own notes.txt").write_text("stays")
    prune(tmp_path)
    assert len(backups_in(tmp_path)) == NEWEST_KEPT
    assert (tmp_path / "my own notes.txt").exists() and not list(tmp_path.glob("*.part"))


def wait_for(store: Store, count: int) -> None:
    until = time.monotonic() + 20
    while len(backups_in(store.backups)) < count and time.monotonic() < until:
        time.sleep(0.02)


def test_changes_are_copied_by_themselves_and_an_unchanged_store_is_not(store: Store, vehicle_id: str):
    watch = Backups(store, every=0.05)
    watch.start()
    wait_for(store, 1)
    time.sleep(0.4)
    assert len(backups_in(store.backups)) == 1
    store.add_entries(vehicle_id, entries(reading_object(900)))
    wait_for(store, 2)
    watch.stop()
    assert len(backups_in(store.backups)) == 2


def test_what_came_in_last_is_copied_at_a_clean_stop(store: Store, vehicle_id: str, tmp_path: Path):
    watch = Backups(store)
    watch.start()
    store.add_entries(vehicle_id, entries(reading_object(900)))
    watch.stop()
    (newest,) = backups_in(store.backups)
    with closing(opened(newest, tmp_path / "other")) as other:
        assert stored_ids(other, vehicle_id)[-1] == "entry-000900"


def test_an_empty_store_makes_no_backups(store: Store):
    watch = Backups(store, every=0.02)
    watch.start()
    time.sleep(0.2)
    watch.stop()
    assert not store.backups.exists()


def test_a_backup_that_fails_is_said_once_and_tried_again(
    store: Store, vehicle_id: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    tried = []

    def fail() -> None:
        tried.append(1)
        raise StoreRefused("The disk is full: make room.")

    monkeypatch.setattr(store, "back_up", fail)
    watch = Backups(store, every=0.02)
    watch.start()
    until = time.monotonic() + 20
    while len(tried) < 4 and time.monotonic() < until:
        time.sleep(0.01)
    watch.stop()
    assert len(tried) >= 4 and capsys.readouterr().err == "No backup was made: The disk is full: make room.\n"


def test_a_backup_never_takes_the_last_room_from_readings(
    store: Store, vehicle_id: str, monkeypatch: pytest.MonkeyPatch
):
    size = store.path.stat().st_size
    free = [5 * size]
    monkeypatch.setattr("shutil.disk_usage", lambda _: SimpleNamespace(free=free[0]))
    with pytest.raises(StoreFull, match="nearly full"):
        store.back_up()
    assert not store.backups.exists()
    free[0] = 20 * size
    assert store.back_up().entries == 20


def test_the_command_copies_while_it_serves(
    live_server: LiveServer, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    vehicle_id = live_server.ask("/vehicles", vehicle_object())["id"]
    live_server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": [reading_object(1), reading_object(2)]})
    assert main(["backup", str(tmp_path / "stick" / "copies"), "--data", str(live_server.data)]) == 0
    said = capsys.readouterr().out
    (made,) = (tmp_path / "stick" / "copies").iterdir()
    assert said == f"1 vehicle with 2 entries copied and read back: {made}\n"
    assert live_server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": [reading_object(3)]})
    with closing(opened(made, tmp_path / "other")) as other:
        assert stored_ids(other, vehicle_id) == ["entry-000001", "entry-000002"]
    live_server.stop()
    assert len(backups_in(live_server.data / "backups")) == 1  # the clean stop made its own


def test_restoring_while_it_serves_is_refused_in_one_sentence(
    live_server: LiveServer, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    vehicle_id = live_server.ask("/vehicles", vehicle_object())["id"]
    made = back_up(live_server.data / FILE_NAME, tmp_path / "copies").path
    live_server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": [reading_object(1)]})
    assert main(["--data", str(live_server.data), "restore", str(made)]) == 2
    said = capsys.readouterr()
    assert said.err.count("\n") == 1 and "stop it first" in said.err and said.out == ""
    assert len(live_server.ask(f"/vehicles/{vehicle_id}/file")["entries"]) == 1


def test_a_backup_put_back_is_what_it_was_and_what_was_there_is_kept(
    store: Store, vehicle_id: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    then = write_vehicle_file(store.vehicle(vehicle_id))
    made = store.back_up()
    store.add_entries(vehicle_id, entries(reading_object(500)))
    newer, folder = write_vehicle_file(store.vehicle(vehicle_id)), store.folder
    store.close()
    assert main(["restore", str(made.path), "--data", str(folder)]) == 0
    first, second = capsys.readouterr().out.splitlines()
    assert first == f"1 vehicle with 20 entries read back and in place in {folder}."
    before = Path(second.partition(": ")[2])
    with closing(Store(folder)) as now, closing(opened(before, tmp_path / "before")) as was:
        assert write_vehicle_file(now.vehicle(vehicle_id)) == then
        assert write_vehicle_file(was.vehicle(vehicle_id)) == newer
    assert restore(before, folder).entries == 21


def test_versions_never_come_twice_over_a_restore(store: Store, vehicle_id: str):
    # A page kept under a version of the store before must not pass for one of the store now.
    made, seen = store.back_up(), {store.version(vehicle_id)}
    for number in (501, 502, 503):
        store.add_entries(vehicle_id, entries(reading_object(number)))
        seen.add(store.version(vehicle_id))
    store.close()
    restore(made.path, store.folder)
    now = Store(store.folder)
    assert now.version(vehicle_id) > max(seen)
    now.close()


def test_keys_renewed_since_the_backup_stay_renewed(store: Store, vehicle_id: str):
    pairing = Pairing(store)
    old, made = pairing.key, store.back_up()
    pairing.renew()
    new = pairing.key
    store.close()
    restore(made.path, store.folder)
    now = Store(store.folder)
    assert pairing_key(now) == new != old
    now.close()


def test_on_a_new_machine_the_backups_keys_let_the_phones_in(store: Store, vehicle_id: str, tmp_path: Path):
    key, made = pairing_key(store), store.back_up()
    restored = restore(made.path, tmp_path / "new" / "machine")
    assert (restored.vehicles, restored.entries, restored.before) == (1, 20, None)
    now = Store(tmp_path / "new" / "machine")
    assert pairing_key(now) == key and len(stored_ids(now, vehicle_id)) == 20
    now.close()


def test_a_damaged_store_is_put_aside_for_the_backup(store: Store, vehicle_id: str):
    made = store.back_up()
    store.close()
    path = store.path
    path.write_bytes(path.read_bytes()[:9000])
    damaged = path.read_bytes()
    restored = restore(made.path, store.folder)
    assert restored.entries == 20 and restored.before is not None and restored.before.read_bytes() == damaged
    now = Store(store.folder)
    assert len(stored_ids(now, vehicle_id)) == 20
    now.close()


def test_a_restore_killed_when_the_damaged_store_was_put_aside_leaves_no_way_to_an_empty_one(
    store: Store, vehicle_id: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    made = back_up(store.path, tmp_path / "stick").path
    store.close()
    store.path.write_bytes(store.path.read_bytes()[:9000])

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched, pytest.raises(KeyboardInterrupt):
        patched.setattr("capture.store_restore._take_over", killed)
        restore(made, store.folder)
    with pytest.raises(StoreRefused, match="restore"):
        Store(store.folder)
    assert restore(made, store.folder).entries == 20
    with closing(Store(store.folder)) as now:
        assert len(stored_ids(now, vehicle_id)) == 20


def test_no_log_of_the_store_before_is_read_with_the_backup(store: Store, vehicle_id: str, tmp_path: Path):
    made = back_up(store.path, tmp_path / "stick").path
    store.add_entries(vehicle_id, entries(*map(reading_object, range(500, 600))))
    log = store.path.with_name(FILE_NAME + "-wal").read_bytes()
    store.close()
    store.path.unlink()  # the file is gone, the log of its last commits is left: the start says to restore
    store.path.with_name(FILE_NAME + "-wal").write_bytes(log)
    restored = restore(made, store.folder)
    assert restored.before is not None and restored.before.read_bytes() == log
    with closing(Store(store.folder)) as now:
        assert len(stored_ids(now, vehicle_id)) == restored.entries == 20


def test_a_store_that_another_program_holds_is_not_put_aside(
    store: Store, vehicle_id: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("capture.store_check.WAIT_SECONDS", 0.05)
    made = back_up(store.path, tmp_path / "stick").path
    store.close()
    with closing(sqlite3.connect(store.path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(StoreRefused, match="is held by another program"):
            restore(made, store.folder)
        other.execute("ROLLBACK")
    assert not list(store.folder.glob("*put-aside*"))


def test_a_backup_of_an_older_layout_is_brought_up_to_date(tmp_path: Path):
    assert restore(sample(1), tmp_path).entries == 27
    now = Store(tmp_path)
    assert {line.entries for line in now.vehicles()} == {12, 15}
    now.close()


def test_a_full_disk_is_told_as_the_one_that_is_full(
    store: Store, vehicle_id: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    made, stick = store.back_up().path, tmp_path / "stick"

    def no_room(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(store_backup, "_said", no_room)
    with pytest.raises(StoreFull, match=f"^The disk of the backup folder {stick} is full: make room, then try again.$"):
        back_up(store.path, stick)
    store.close()
    with pytest.raises(StoreFull, match=f"^The disk of the data folder {store.folder} is full: make room, then"):
        restore(made, store.folder)


def names_in(folder: Path) -> set[str]:
    """But for what SQLite itself puts beside its file."""
    return {name for name in os.listdir(folder) if not name.endswith(("-wal", "-shm"))}


@pytest.mark.parametrize("what", ["half", "nothing", "missing", "folder", "text", "newer"])
def test_what_is_no_good_backup_is_refused_in_one_sentence_and_changes_nothing(
    store: Store, vehicle_id: str, tmp_path: Path, what: str, capsys: pytest.CaptureFixture[str]
):
    made = store.back_up().path
    store.close()
    bad = tmp_path / "bad"
    if what == "half":
        bad.write_bytes(made.read_bytes()[: made.stat().st_size // 2])
    elif what == "nothing":
        bad.write_bytes(b"")
    elif what == "folder":
        bad.mkdir()
    elif what == "text":
        bad.write_text("a letter to a friend\n" * 50)
    elif what == "newer":
        bad.write_bytes(made.read_bytes())
        with closing(sqlite3.connect(bad)) as db:
            db.execute("PRAGMA user_version = 99")
    names = names_in(store.folder)
    assert main(["restore", str(bad), "--data", str(store.folder)]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and str(bad) in said.err and "Traceback" not in said.err
    assert names_in(store.folder) - {"serving.lock"} == names
    now = Store(store.folder)
    assert len(stored_ids(now, vehicle_id)) == 20
    now.close()


def test_a_backup_whose_rows_nobody_wrote_is_refused(store: Store, vehicle_id: str, tmp_path: Path):
    made = store.back_up().path
    with closing(sqlite3.connect(made)) as db:
        guard = taken_away(db, "entries_are_never_changed")
        db.execute("""UPDATE entries SET body = '{"type": "reading", "id": "x"}' WHERE seq = 4""")
        db.execute(guard)
        db.commit()
    store.close()
    with pytest.raises(StoreRefused, match="cannot be read back"):
        restore(made, store.folder)
    now = Store(store.folder)
    assert len(stored_ids(now, vehicle_id)) == 20
    now.close()


def test_without_a_store_there_is_nothing_to_copy(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["backup", str(tmp_path / "copies"), "--data", str(tmp_path / "none")]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not (tmp_path / "copies").exists() and not (tmp_path / "none").exists()


@pytest.mark.skipif(os.name == "nt", reason="a folder there takes files whatever its mark says")
def test_a_place_that_cannot_take_the_copy_is_one_sentence(store: Store, vehicle_id: str, tmp_path: Path):
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreRefused, match=r"backup folder .* cannot be made or used"):
        back_up(store.path, tmp_path / "file" / "copies")
