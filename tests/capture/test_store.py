"""The store: real SQLite files, many threads, kills, and whatever order things are sent in."""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
import threading
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture import places
from capture.store import Conflict, NoSuchVehicle, Store, StoreBusy, StoreFull, StoreRefused
from capture.store_file import FILE_NAME
from capture.vehicle_file import check_entries, read_vehicle_file, write_vehicle_file
from tests.conftest import reading_object, vehicle_object


@pytest.fixture
def fresh(tmp_path: Path):
    made = Store(tmp_path)
    yield made
    made.close()


def new_vehicle(store: Store, **changes: Any) -> str:
    return store.create(read_vehicle_file(json.dumps(vehicle_object(**changes)), "test"))


def entries(*objects: dict[str, Any]) -> list[Any]:
    return check_entries(list(objects), read_vehicle_file(json.dumps(vehicle_object()), "test"))


def stored_ids(store: Store, vehicle_id: str) -> list[str]:
    return [entry.id for entry in store.vehicle(vehicle_id).entries]


def test_what_is_stored_comes_back_in_the_order_it_came_in(fresh: Store):
    vehicle_id = new_vehicle(fresh)
    sent = [reading_object(number) for number in (7, 3, 5)]
    assert fresh.add_entries(vehicle_id, entries(*sent)) == [one["id"] for one in sent]
    assert stored_ids(fresh, vehicle_id) == [one["id"] for one in sent]


def test_every_demo_vehicle_comes_back_bit_for_bit(fresh: Store):
    paths = places.demo_vehicles()
    assert len(paths) >= 3
    for path in paths:
        vehicle = read_vehicle_file(path.read_bytes(), path.name)
        back = fresh.vehicle(fresh.create(vehicle))
        assert back == vehicle
        assert write_vehicle_file(back) == write_vehicle_file(vehicle)


def test_a_new_store_opened_again_still_has_everything(tmp_path: Path):
    first = Store(tmp_path)
    vehicle_id = new_vehicle(first)
    first.add_entries(vehicle_id, entries(reading_object(1)))
    first.close()
    again = Store(tmp_path)
    assert stored_ids(again, vehicle_id) == ["entry-000001"]
    again.close()


def test_every_connection_waits_for_the_disk(fresh: Store):
    found = []

    def ask() -> None:
        with fresh._writing() as db:
            found.append([db.execute(f"PRAGMA {name}").fetchone()[0]
                          for name in ("journal_mode", "synchronous", "foreign_keys")])

    ask()
    for _ in range(2):
        thread = threading.Thread(target=ask)
        thread.start()
        thread.join()
    assert found == [["wal", 2, 1]] * 3  # 2 is FULL


@pytest.mark.parametrize("change", ["UPDATE entries SET body = '{}'", "DELETE FROM entries", "DELETE FROM vehicles"])
def test_the_file_itself_refuses_to_change_or_lose_an_entry(fresh: Store, change: str):
    vehicle_id = new_vehicle(fresh)
    fresh.add_entries(vehicle_id, entries(reading_object(1)))
    db = sqlite3.connect(fresh.path)
    db.execute("PRAGMA foreign_keys = ON")
    with pytest.raises(sqlite3.IntegrityError):
        db.execute(change)
    db.close()
    assert stored_ids(fresh, vehicle_id) == ["entry-000001"]


def test_the_same_entry_sent_again_counts_as_stored_and_is_there_once(fresh: Store):
    vehicle_id = new_vehicle(fresh)
    for _ in range(3):
        assert fresh.add_entries(vehicle_id, entries(reading_object(1))) == ["entry-000001"]
    assert stored_ids(fresh, vehicle_id) == ["entry-000001"]


def test_a_conflict_keeps_nothing_of_the_request(fresh: Store):
    vehicle_id = new_vehicle(fresh)
    fresh.add_entries(vehicle_id, entries(reading_object(1, 600.0)))
    with pytest.raises(Conflict, match="entry-000001"):
        fresh.add_entries(vehicle_id, entries(reading_object(2), reading_object(1, 601.0), reading_object(3)))
    assert [(entry.id, entry.value) for entry in fresh.vehicle(vehicle_id).entries] == [("entry-000001", 600.0)]


def test_two_vehicles_may_use_the_same_ids(fresh: Store):
    one, other = new_vehicle(fresh), new_vehicle(fresh)
    fresh.add_entries(one, entries(reading_object(1, 600.0)))
    fresh.add_entries(other, entries(reading_object(1, 700.0)))
    assert [fresh.vehicle(vehicle_id).entries[0].value for vehicle_id in (one, other)] == [600.0, 700.0]


def test_the_version_grows_with_every_entry_and_every_changed_fact_and_only_then(fresh: Store):
    vehicle_id, other = new_vehicle(fresh), new_vehicle(fresh)
    versions = [fresh.version(vehicle_id)]
    fresh.add_entries(vehicle_id, entries(reading_object(1)))
    versions.append(fresh.version(vehicle_id))
    fresh.add_entries(vehicle_id, entries(reading_object(2), reading_object(3)))
    versions.append(fresh.version(vehicle_id))
    vehicle = fresh.vehicle(vehicle_id)
    fresh.change_facts(vehicle_id, vehicle.model_copy(update={"name": "Renamed"}))
    versions.append(fresh.version(vehicle_id))
    assert versions == sorted(set(versions))
    fresh.add_entries(vehicle_id, entries(reading_object(1)))
    fresh.add_entries(other, entries(reading_object(1)))
    assert fresh.version(vehicle_id) == versions[-1]
    assert fresh.vehicle(vehicle_id).name == "Renamed"


def test_an_unknown_vehicle_is_said_so(fresh: Store):
    for ask in (fresh.vehicle, fresh.head, fresh.version, lambda name: fresh.add_entries(name, [])):
        with pytest.raises(NoSuchVehicle):
            ask("0000000000000000")


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.lists(st.lists(st.integers(0, 12), max_size=5), max_size=12))
def test_any_order_and_repetition_of_sends_stores_each_once_in_order_of_first_arrival(batches: list[list[int]]):
    folder = Path(tempfile.mkdtemp())
    try:
        store = Store(folder)
        vehicle_id = new_vehicle(store)
        for batch in batches:
            numbers = list(dict.fromkeys(batch))
            assert store.add_entries(vehicle_id, entries(*map(reading_object, numbers))) == [
                f"entry-{number:06d}" for number in numbers
            ]
        expected = list(dict.fromkeys(number for batch in batches for number in batch))
        assert stored_ids(store, vehicle_id) == [f"entry-{number:06d}" for number in expected]
        store.close()
    finally:
        shutil.rmtree(folder)


def test_threads_posting_the_same_entries_at_once_store_each_once(fresh: Store):
    vehicle_id = new_vehicle(fresh)
    troubles: list[BaseException] = []

    def post(turn: int) -> None:
        try:
            for number in range(20):
                fresh.add_entries(vehicle_id, entries(reading_object((number * (turn + 1)) % 20)))
        except BaseException as trouble:
            troubles.append(trouble)

    threads = [threading.Thread(target=post, args=(turn,)) for turn in (0, 2, 6, 8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert troubles == []
    assert sorted(stored_ids(fresh, vehicle_id)) == [f"entry-{number:06d}" for number in range(20)]


def test_a_store_of_a_newer_version_is_refused_and_left_alone(tmp_path: Path):
    Store(tmp_path).close()
    db = sqlite3.connect(tmp_path / FILE_NAME)
    db.execute("PRAGMA user_version = 99")
    db.close()
    with pytest.raises(StoreRefused, match="newer Plumbtack"):
        Store(tmp_path)
    db = sqlite3.connect(tmp_path / FILE_NAME)
    assert db.execute("PRAGMA user_version").fetchone() == (99,)
    db.close()


def test_a_damaged_store_is_refused_and_left_alone(tmp_path: Path):
    store = Store(tmp_path)
    vehicle_id = new_vehicle(store)
    store.add_entries(vehicle_id, entries(*(reading_object(number) for number in range(200))))
    store.close()
    path = tmp_path / FILE_NAME
    content = bytearray(path.read_bytes())
    for at in range(4096 * 3, len(content) - 2000, 4096):
        content[at : at + 1500] = b"\xa5" * 1500
    path.write_bytes(content)
    with pytest.raises(StoreRefused, match="damaged"):
        Store(tmp_path)
    assert path.read_bytes() == bytes(content)


def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path: Path):
    path = tmp_path / FILE_NAME
    path.write_text("these are last week's readings, typed by hand\n" * 30)
    before = path.read_bytes()
    with pytest.raises(StoreRefused):
        Store(tmp_path)
    assert path.read_bytes() == before


def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path):
    db = sqlite3.connect(tmp_path / FILE_NAME)
    db.execute("CREATE TABLE recipes (name TEXT)")
    db.commit()
    db.close()
    before = (tmp_path / FILE_NAME).read_bytes()
    with pytest.raises(StoreRefused, match="another program"):
        Store(tmp_path)
    assert (tmp_path / FILE_NAME).read_bytes() == before
    db = sqlite3.connect(tmp_path / FILE_NAME)
    assert [name for (name,) in db.execute("SELECT name FROM sqlite_master")] == ["recipes"]
    db.close()


def test_a_data_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path):
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreRefused, match="cannot be made"):
        Store(tmp_path / "file" / "data")


def test_a_store_held_by_somebody_else_is_busy_and_keeps_nothing(fresh: Store, monkeypatch: pytest.MonkeyPatch):
    vehicle_id = new_vehicle(fresh)
    holder = sqlite3.connect(fresh.path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with fresh._reading() as db:
        pass
    db.execute("PRAGMA busy_timeout = 50")
    with pytest.raises(StoreBusy, match="holds the store"):
        fresh.add_entries(vehicle_id, entries(reading_object(1)))
    holder.execute("ROLLBACK")
    holder.close()
    assert stored_ids(fresh, vehicle_id) == []
    assert fresh.add_entries(vehicle_id, entries(reading_object(1))) == ["entry-000001"]


def test_a_full_disk_keeps_nothing_of_the_request_and_all_before(fresh: Store):
    vehicle_id = new_vehicle(fresh)
    fresh.add_entries(vehicle_id, entries(reading_object(1)))
    with fresh._reading() as db:
        pass
    (pages,) = db.execute("PRAGMA page_count").fetchone()
    db.execute(f"PRAGMA max_page_count = {pages}")  # SQLite's own way to run out of room
    with pytest.raises(StoreFull, match="disk is full"):
        fresh.add_entries(vehicle_id, entries(*(reading_object(number, note="x" * 2000) for number in range(2, 20))))
    assert stored_ids(fresh, vehicle_id) == ["entry-000001"]


def test_upgrade_steps_are_numbered_without_a_gap_and_never_drop():
    names = sorted(path.name for path in places.upgrades_folder().glob("*.sql"))
    assert [int(name[:4]) for name in names] == list(range(1, len(names) + 1))
    for path in places.upgrades_folder().glob("*.sql"):
        assert "drop" not in path.read_text().lower()


def test_a_failing_upgrade_step_leaves_the_store_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    Store(tmp_path).close()
    step = "CREATE TABLE half_done (x TEXT);\nINSERT INTO nowhere VALUES (1);\n"
    from capture import store_check, store_file

    steps = store_check.upgrades()
    monkeypatch.setattr(store_file, "upgrades", lambda: [*steps, step])
    with pytest.raises(StoreRefused, match="brought up to date"):
        Store(tmp_path)
    db = sqlite3.connect(tmp_path / FILE_NAME)
    assert db.execute("PRAGMA user_version").fetchone() == (len(steps),)
    assert db.execute("SELECT COUNT(*) FROM sqlite_master WHERE name = 'half_done'").fetchone() == (0,)
    db.close()


def test_the_only_sql_lives_in_the_store():
    folder = Path(places.HERE)
    speaking = sorted(path.name for path in folder.rglob("*.py") if "import sqlite3" in path.read_text())
    assert speaking == [
        "store.py", "store_backup.py", "store_check.py", "store_errors.py", "store_file.py", "store_log.py",
        "store_photos.py", "store_restore.py",
    ]  # fmt: skip


def test_a_log_read_before_is_read_on_from_there_and_never_shared(fresh: Store):
    vehicle_id = new_vehicle(fresh)
    fresh.add_entries(vehicle_id, entries(*map(reading_object, range(5))))
    first = fresh.vehicle(vehicle_id)
    first.entries.clear()  # whoever was given it may do as he likes
    other = Store(fresh.folder)  # another program adds
    other.add_entries(vehicle_id, entries(reading_object(7)))
    other.close()
    second = fresh.vehicle(vehicle_id)
    assert [entry.id for entry in second.entries] == [f"entry-{number:06d}" for number in (0, 1, 2, 3, 4, 7)]
    assert fresh.vehicle(vehicle_id) == second and fresh.vehicle(vehicle_id).entries[3] is second.entries[3]


def test_only_so_many_logs_are_held(fresh: Store, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("capture.store.LOGS_KEPT", 2)
    ids = [new_vehicle(fresh) for _ in range(4)]
    for turn in range(2):
        for number, vehicle_id in enumerate(ids):
            fresh.add_entries(vehicle_id, entries(reading_object(10 * turn + number)))
            assert stored_ids(fresh, vehicle_id)[-1] == f"entry-{10 * turn + number:06d}"
    assert len(fresh._read) == 2 and [len(stored_ids(fresh, vehicle_id)) for vehicle_id in ids] == [2] * 4


def test_of_long_logs_fewer_are_held_and_all_of_them_read_whole(fresh: Store, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("capture.store.ENTRIES_KEPT", 5)
    ids = [new_vehicle(fresh) for _ in range(3)]
    for turn in range(3):
        for number, vehicle_id in enumerate(ids):
            fresh.add_entries(vehicle_id, entries(reading_object(10 * turn + number)))
            assert len(stored_ids(fresh, vehicle_id)) == turn + 1
    assert len(fresh._read) == 1
    monkeypatch.setattr("capture.store.ENTRIES_KEPT", 2)
    assert [len(stored_ids(fresh, vehicle_id)) for vehicle_id in ids] == [3] * 3
    assert len(fresh._read) == 1  # the newest always, though it alone is more
