"""Stores of every layout there has been open, come up to date and keep every entry."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from capture.store import Store, StoreRefused
from capture.store_check import upgrades
from capture.store_file import FILE_NAME
from capture.vehicle_file import check_entries, read_vehicle_file, write_vehicle_file
from tests.conftest import reading_object
from tests.samples import sample

LAYOUTS = range(1, len(upgrades()) + 1)


def layout_of(path: Path) -> int:
    with closing(sqlite3.connect(path)) as db:
        return db.execute("PRAGMA user_version").fetchone()[0]


@pytest.fixture(params=LAYOUTS)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> int:
    """The layout of the store that lies in the folder."""
    shutil.copy(sample(request.param), tmp_path / FILE_NAME)
    assert layout_of(tmp_path / FILE_NAME) == request.param
    return request.param


def test_every_entry_of_an_old_store_is_kept_bit_for_bit(old: int, tmp_path: Path):
    wanted = json.loads(sample(old).with_suffix(".json").read_text(encoding="utf-8"))
    store = Store(tmp_path)
    assert layout_of(store.path) == len(upgrades())
    assert len(wanted) == 2 and {line.id for line in store.vehicles()} == set(wanted)
    for vehicle_id, said in wanted.items():
        assert json.loads(write_vehicle_file(store.vehicle(vehicle_id))) == said
        assert len(said["entries"]) >= 12
    store.close()


def test_an_old_store_goes_on_where_it_was(old: int, tmp_path: Path):
    store = Store(tmp_path)
    line = next(line for line in store.vehicles() if line.entries == 15)
    version = store.version(line.id)
    store.add_entries(line.id, check_entries([reading_object(700)], store.head(line.id)))
    assert store.version(line.id) > version
    assert [entry.id for entry in store.vehicle(line.id).entries][-1] == "entry-000700"
    with store._reading() as db:
        assert len(db.execute("SELECT value FROM settings WHERE name = 'pairing_key'").fetchone()[0]) == 24
    store.close()


def test_what_an_upgrade_began_from_is_kept_as_a_backup(old: int, tmp_path: Path):
    Store(tmp_path).close()
    backups = list((tmp_path / "backups").glob("*"))
    if old == LAYOUTS[-1]:
        assert backups == []
    else:
        assert [layout_of(path) for path in backups] == [old] and f"-layout-{old}." in backups[0].name


def test_an_upgraded_store_and_a_new_one_have_the_same_tables(old: int, tmp_path: Path):
    found = []
    for folder in (tmp_path, tmp_path / "new"):
        store = Store(folder)
        with store._reading() as db:
            found.append(sorted(db.execute("SELECT type, name, sql FROM sqlite_master")))
        store.close()
    assert found[0] == found[1]


def test_a_store_of_a_newer_layout_is_refused_in_one_sentence_and_left_alone(old: int, tmp_path: Path):
    path = tmp_path / FILE_NAME
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    with pytest.raises(StoreRefused, match=r"newer Plumbtack .*install the newer") as refused:
        Store(tmp_path)
    assert str(refused.value).count(". ") == 0 and path.read_bytes() == before


def test_no_upgrade_without_room_for_the_copy_before_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    from capture import store_file
    from capture.store_errors import StoreFull

    def no_room(*_: object) -> None:
        raise StoreFull("The laptop's disk is full.")

    shutil.copy(sample(1), tmp_path / FILE_NAME)
    monkeypatch.setattr(store_file, "back_up", no_room)
    with pytest.raises(StoreRefused, match="could not be brought up to date"):
        Store(tmp_path)
    assert layout_of(tmp_path / FILE_NAME) == 1


def test_the_samples_hold_what_the_program_reads(old: int):
    for said in json.loads(sample(old).with_suffix(".json").read_text(encoding="utf-8")).values():
        assert read_vehicle_file(json.dumps(said), "sample").name == said["name"]
