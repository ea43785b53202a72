"""What can be the matter with a data folder: one sentence with what to do, and nothing in it touched."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture import store_file
from capture.cli import main
from capture.serve import run
from capture.store import Store, StoreBusy, StoreFull, StoreRefused
from capture.store_backup import backups_in
from capture.store_file import FILE_NAME
from tests.capture.test_store import entries, new_vehicle, stored_ids
from tests.conftest import reading_object


@pytest.fixture
def filled(tmp_path: Path) -> Path:
    """A folder with 200 entries in its store and nobody at work."""
    store = Store(tmp_path / "data")
    store.add_entries(new_vehicle(store), entries(*(reading_object(number) for number in range(200))))
    store.close()
    return store.folder


def cut_in_half(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def cut_to_nothing(path: Path) -> None:
    path.write_bytes(b"")


def damage_one_page(path: Path) -> None:
    content = bytearray(path.read_bytes())
    with closing(sqlite3.connect(path)) as db:
        (page,) = db.execute("SELECT MAX(rootpage) FROM sqlite_master WHERE name = 'entries'").fetchone()
    content[(page - 1) * 4096 : (page - 1) * 4096 + 300] = b"\xa5" * 300
    path.write_bytes(content)


def damage_the_beginning(path: Path) -> None:
    path.write_bytes(b"\0" * 100 + path.read_bytes()[100:])


def put_something_else(path: Path) -> None:
    path.write_text("these are last week's readings, typed by hand\n" * 300)


def put_another_programs_database(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE recipes (name TEXT)")


def make_it_newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")


def put_a_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


TROUBLES: dict[Callable[[Path], None], str] = {
    cut_in_half: "damaged", cut_to_nothing: "empty", damage_one_page: "damaged", damage_the_beginning: "beginning",
    put_something_else: "no store of Plumbtack", put_another_programs_database: "another program",
    make_it_newer: "newer Plumbtack", put_a_folder: "is a folder",
}  # fmt: skip


def is_one_sentence(said: str) -> bool:
    return "\n" not in said.strip() and said.strip().endswith(".") and ". " not in said and "Traceback" not in said


@pytest.mark.parametrize("trouble", TROUBLES, ids=lambda trouble: trouble.__name__)
def test_what_stands_in_the_stores_place_is_named_and_left_as_it_is(
    filled: Path, trouble: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
):
    path = filled / FILE_NAME
    trouble(path)
    before = path.read_bytes() if path.is_file() else None
    names = set(os.listdir(filled))
    with pytest.raises(StoreRefused, match=TROUBLES[trouble]) as refused:
        Store(filled)
    assert is_one_sentence(str(refused.value)) and str(path) in str(refused.value)
    assert run(filled, host="127.0.0.1", port=0) == 2
    assert capsys.readouterr().err.strip() == str(refused.value)
    assert (path.read_bytes() if path.is_file() else None) == before
    assert {name for name in os.listdir(filled) if not name.endswith(("-wal", "-shm"))} == names


@pytest.mark.parametrize("written", [b'"value": 61@.5', b'"value": 6\xff2.5', b"'value\": 612.5", b'"wahre": 612.5'])
def test_a_row_damaged_while_at_work_is_told_in_a_sentence_and_never_shown(filled: Path, written: bytes):
    path = filled / FILE_NAME
    whole, row = path.read_bytes(), re.compile(rb'("entry-000150", .{80,140})"value": 612.5')
    shown = []
    for found in row.finditer(whole):  # in its table, and in the index that has it in full
        at = found.end(1)
        store = Store(filled)
        path.write_bytes(whole[:at] + written + whole[at + len(written) :])
        try:
            shown.append(store.vehicle(store.vehicles()[0].id).entries[150].value)
        except StoreBusy as trouble:
            assert "is damaged: stop the program" in str(trouble) and is_one_sentence(str(trouble))
        store.close()
        with pytest.raises(StoreRefused, match="damaged"):
            Store(filled)
        path.write_bytes(whole)
    assert shown == [612.5]


def test_damage_is_told_with_the_backup_that_helps(filled: Path):
    store = Store(filled)
    newest = store.back_up().path
    store.close()
    cut_in_half(filled / FILE_NAME)
    with pytest.raises(StoreRefused, match=f"plumbtack restore --data {filled} {newest}"):
        Store(filled)


@pytest.mark.skipif(os.name == "nt", reason="another shell quotes in another way")
def test_the_command_that_helps_can_be_typed_as_it_stands_and_meets_this_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    folder = tmp_path / "my trucks"
    store = Store(folder)
    store.add_entries(new_vehicle(store), entries(reading_object(1)))
    store.back_up()
    store.close()
    cut_in_half(folder / FILE_NAME)
    assert main(["backup", str(tmp_path / "copies"), "--data", str(folder)]) == 2
    said = capsys.readouterr().err
    with pytest.raises(StoreRefused) as refused:
        Store(folder)
    assert said == f"{refused.value}\n"
    name, *words = shlex.split(said.partition("back with ")[2].removesuffix(".\n"))
    assert name == "plumbtack" and main(words) == 0
    Store(folder).close()


def test_in_the_usual_folder_the_command_that_helps_names_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("capture.places.data_folder", lambda: tmp_path)
    (tmp_path / FILE_NAME).write_bytes(b"")
    with pytest.raises(StoreRefused, match="put a copy of it back with plumbtack restore FILE, or start"):
        Store(tmp_path)


def test_a_store_that_is_gone_while_its_backups_are_there_is_not_begun_anew(filled: Path):
    store = Store(filled)
    store.back_up()
    store.close()
    (filled / FILE_NAME).unlink()
    with pytest.raises(StoreRefused, match="is gone, but"):
        Store(filled)
    assert not (filled / FILE_NAME).exists()
    (filled / "backups").rename(filled / "moved-away")
    store = Store(filled)
    assert store.vehicles() == []
    store.close()


def test_a_log_left_without_its_store_is_not_written_over(filled: Path):
    (filled / FILE_NAME).unlink()
    log = filled / (FILE_NAME + "-wal")
    log.write_bytes(b"what was committed last" * 200)
    with pytest.raises(StoreRefused, match="is gone, but"):
        Store(filled)
    assert log.read_bytes() == b"what was committed last" * 200


def test_what_a_kill_left_of_a_new_store_is_not_taken_for_one(tmp_path: Path):
    (tmp_path / ".beginning-x1").write_bytes(b"half a store")
    os.utime(tmp_path / ".beginning-x1", (0, 0))
    store = Store(tmp_path)
    store.hold()
    assert store.vehicles() == [] and not (tmp_path / ".beginning-x1").exists()
    store.close()


@contextmanager
def as_nobody() -> Iterator[None]:
    """As somebody whom permissions hold back: they do not hold root back."""
    if os.name == "nt" or os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def anybodys() -> Iterator[Path]:
    """A folder that everybody may enter; pytest's own are for one user."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    for part in folder.rglob("*"):
        part.chmod(0o700)
    shutil.rmtree(folder)


@pytest.mark.skipif(os.name == "nt", reason="folders there take files whatever their read-only mark says")
@pytest.mark.parametrize("with_store", [True, False])
def test_a_read_only_folder_is_one_sentence(anybodys: Path, with_store: bool):
    if with_store:
        Store(anybodys).close()
    anybodys.chmod(0o555)
    with as_nobody(), pytest.raises(StoreRefused, match=r"cannot be written by you: change its permissions") as refused:
        Store(anybodys)
    assert is_one_sentence(str(refused.value)) and str(anybodys) in str(refused.value)


@pytest.mark.skipif(os.name == "nt", reason="folders there take files whatever their read-only mark says")
def test_a_read_only_file_is_one_sentence_when_something_is_stored(anybodys: Path):
    store = Store(anybodys)
    vehicle_id = new_vehicle(store)
    store.close()
    anybodys.chmod(0o777)
    (anybodys / FILE_NAME).chmod(0o444)
    with as_nobody():
        with pytest.raises(StoreRefused, match=r"cannot be written by you: change its permissions") as at_the_start:
            Store(anybodys)
        store = Store(anybodys, checked=True)
        with pytest.raises(StoreBusy, match=r"cannot be written: .* change the permissions") as later:
            store.add_entries(vehicle_id, entries(reading_object(1)))
        store.close()
    assert is_one_sentence(str(at_the_start.value)) and is_one_sentence(str(later.value))


def test_a_store_that_another_program_keeps_to_itself_is_told(filled: Path, monkeypatch: pytest.MonkeyPatch):
    from capture import store_check

    monkeypatch.setattr(store_check, "WAIT_SECONDS", 0.05)
    monkeypatch.setattr(store_file, "BUSY_SECONDS", 0.05)
    with closing(sqlite3.connect(filled / FILE_NAME, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("PRAGMA journal_mode = WAL")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(StoreRefused, match="held by another program") as refused:
            Store(filled)
        other.execute("ROLLBACK")
    assert is_one_sentence(str(refused.value))
    Store(filled).close()


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="no way to stop a process here")
def test_a_writer_that_stands_still_delays_others_and_loses_nothing(filled: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(store_file, "BUSY_SECONDS", 0.3)
    store = Store(filled)
    (line,) = store.vehicles()
    code = (
        "import sqlite3, sys; db = sqlite3.connect(sys.argv[1], isolation_level=None); db.execute('BEGIN IMMEDIATE'); "
        "print('holding', flush=True); sys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(store.path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as writer:
        assert writer.stdout.readline() == b"holding\n"
        writer.send_signal(signal.SIGSTOP)
        with pytest.raises(Exception, match="Another program holds the store"):
            store.add_entries(line.id, entries(reading_object(500)))
        assert len(stored_ids(store, line.id)) == 200  # reading goes on
        writer.kill()
    assert store.add_entries(line.id, entries(reading_object(500))) == ["entry-000500"]
    assert len(stored_ids(store, line.id)) == 201
    store.close()


def test_while_another_program_holds_the_store_there_is_always_a_thread_left_for_reading():
    from capture.serve import THREADS

    assert THREADS - store_file.MOST_IN_LINE >= 8


def test_those_that_find_the_line_full_are_told_at_once(filled: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(store_file, "MOST_IN_LINE", 2)
    monkeypatch.setattr(store_file, "BUSY_SECONDS", 3.0)
    store = Store(filled)
    (line,) = store.vehicles()
    said: list[tuple[float, str]] = []

    def post(number: int) -> None:
        began = time.monotonic()
        try:
            store.add_entries(line.id, entries(reading_object(600 + number)))
        except StoreBusy as trouble:
            said.append((time.monotonic() - began, str(trouble)))

    with closing(sqlite3.connect(store.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        posting = [threading.Thread(target=post, args=(number,)) for number in range(6)]
        for thread in posting:
            thread.start()
        time.sleep(1.0)
        at_once = list(said)
        other.execute("ROLLBACK")
        for thread in posting:
            thread.join()
    assert len(at_once) == 4 and all(took < 1.0 and "try again" in sentence for took, sentence in at_once)
    assert len(said) == 4 and len(stored_ids(store, line.id)) == 202
    store.close()


def test_a_full_disk_is_507_with_a_sentence_and_all_before_is_there(
    app: Flask, client: FlaskClient, store: Store, vehicle_id: str
):
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    with store._reading() as db:
        pass
    (pages,) = db.execute("PRAGMA page_count").fetchone()
    db.execute(f"PRAGMA max_page_count = {pages}")  # SQLite's own way to run out of room
    many = [reading_object(number, note="x" * 2000) for number in range(2, 20)]
    answer = client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": many})
    assert answer.status_code == 507 and is_one_sentence(answer.json["error"]) and "full" in answer.json["error"]
    assert [entry["id"] for entry in client.get(f"/vehicles/{vehicle_id}/file").json["entries"]] == ["entry-000001"]
    assert client.get(f"/vehicles/{vehicle_id}/report").status_code == 200
    db.execute("PRAGMA max_page_count = 1000000")
    assert client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": many}).status_code == 200


def test_a_full_disk_does_not_keep_out_who_is_paired(filled: Path):
    from capture.pairing import pairing_key

    store = Store(filled)
    key = pairing_key(store)
    with store._reading() as db:
        pass
    db.execute("PRAGMA query_only = ON")  # any write would fail
    assert pairing_key(store) == key
    store.close()


def test_two_programs_that_begin_a_store_at_once_share_it(tmp_path: Path):
    code = (
        "import sys; from pathlib import Path; from capture.store import Store; s = Store(Path(sys.argv[1])); "
        "print(s.setting('who', sys.argv[2]))"
    )
    both = [
        subprocess.Popen([sys.executable, "-c", code, str(tmp_path), str(turn)], stdout=subprocess.PIPE, text=True)
        for turn in range(3)
    ]
    said = {each.communicate(timeout=60)[0].strip() for each in both}
    assert len(said) == 1 and [each.returncode for each in both] == [0, 0, 0]
    assert backups_in(tmp_path / "backups") == []


def test_a_backup_on_a_full_disk_is_one_sentence(filled: Path, monkeypatch: pytest.MonkeyPatch):
    from capture import store_backup

    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    store = Store(filled)
    monkeypatch.setattr(store_backup.os, "open", no_room)
    with pytest.raises(StoreRefused, match=r"The disk of the backup folder .* is full: make room"):
        store.back_up()
    store.close()


def test_what_the_store_says_of_a_full_disk_is_its_own_kind():
    from capture.store_errors import not_now

    assert isinstance(not_now(sqlite3.OperationalError("database or disk is full")), StoreFull)
