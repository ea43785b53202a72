"""While the rest is loaded the door answers strangers and lets in; everything else waits and comes from the whole."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from werkzeug.test import Client

from capture import create_app, places
from capture.later import later
from capture.opening import Opening
from capture.pairing import Pairing
from capture.settings import Settings
from capture.store_errors import StoreBusy
from capture.store_settings import StoreSettings


class Loading:
    """An opening whose whole program comes when `go` is set, or fails where `fault` is."""

    def __init__(self, folder: Path) -> None:
        self.settings = Settings(folder, allowed_hosts=("localhost",))
        self.store = StoreSettings(folder)
        self.paired = Pairing(self.store)
        self.go, self.failed = threading.Event(), threading.Event()
        self.fault: Exception | None = None
        self.opening = Opening(self.settings, self.paired, self._whole)
        self.opening.start(self.failed.set)
        self.app = None

    def _whole(self):
        self.go.wait(20)
        if self.fault is not None:
            raise self.fault
        self.app = create_app(self.settings, self.paired)
        return self.app

    def client(self) -> Client:
        return Client(self.opening)


@pytest.fixture
def loading(tmp_path: Path) -> Iterator[Loading]:
    made = Loading(tmp_path)
    yield made
    made.go.set()
    made.opening.end()
    made.store.close()
    if made.app is not None:
        made.app.extensions["plumbtack"].store.close()


def meanwhile(work: Callable[[], object]) -> tuple[threading.Thread, list[object]]:
    found: list[object] = []
    thread = threading.Thread(target=lambda: found.append(work()))
    thread.start()
    return thread, found


def test_strangers_have_their_page_and_the_code_its_cookie_before_the_rest_is_there(loading: Loading):
    stranger = loading.client()
    page = stranger.get("/")
    assert page.status_code == 403 and "This phone is not paired yet" in page.text
    assert page.headers["Content-Security-Policy"].startswith("default-src 'none'")
    style = page.text.partition('rel="stylesheet" href="')[2].partition('"')[0]
    assert stranger.get(style).status_code == 200
    assert stranger.get("/in?key=guessed").status_code == 403
    let_in = stranger.get(f"/in?key={loading.paired.key}")
    assert let_in.status_code == 303 and loading.paired.key in let_in.headers["Set-Cookie"]


def test_the_page_of_strangers_is_the_one_the_whole_program_has(loading: Loading):
    before = loading.client().get("/")
    loading.go.set()
    loading.opening.end()
    after = loading.client().get("/")
    assert (before.text, before.status, dict(before.headers)) == (after.text, after.status, dict(after.headers))


def test_who_is_let_in_waits_and_gets_the_list_of_vehicles(loading: Loading):
    client = loading.client()
    client.get(f"/in?key={loading.paired.key}")
    thread, found = meanwhile(lambda: client.get("/"))
    thread.join(0.3)
    assert thread.is_alive() and found == []
    loading.go.set()
    thread.join(30)
    assert found[0].status_code == 200 and "New vehicle" in found[0].text


def test_a_program_without_a_key_waits_and_is_told_in_json(loading: Loading):
    thread, found = meanwhile(lambda: loading.client().get("/vehicles"))
    thread.join(0.3)
    assert found == []
    loading.go.set()
    thread.join(30)
    assert found[0].status_code == 401 and "Bearer" in found[0].json["error"]


def test_another_name_than_the_servers_is_refused_at_the_door_too(loading: Loading):
    loading.go.set()
    assert loading.client().get("/", headers={"Host": "elsewhere.example"}).status_code == 421


def test_when_the_rest_cannot_be_loaded_the_server_is_told_and_nobody_waits(loading: Loading):
    loading.fault = StoreBusy("Another program holds the store.")
    client = loading.client()
    client.get(f"/in?key={loading.paired.key}")
    loading.go.set()
    answer = client.get("/")
    assert answer.status_code == 503 and "terminal says why" in answer.text
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert loading.failed.is_set() and loading.opening.trouble is loading.fault


def test_the_door_is_there_without_the_sums_the_models_of_entries_and_the_screens():
    heavy = "{'numpy', 'pydantic', 'geometry.fit', 'capture.store', 'capture.report', 'capture.walk'}"
    code = f"import sys, capture.serve, capture.screens.filters; print(sorted({heavy} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True).stdout == "[]\n"


@pytest.mark.parametrize("arguments", [["--help"], ["report", "--help"], ["backup", "--help"], ["sheet", "--help"]])
def test_help_loads_neither_the_web_nor_the_sums(arguments: list[str]):
    code = (
        "import sys; from capture.cli import main\ntry: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        "print(sorted({'numpy', 'pydantic', 'flask', 'sqlite3', 'geometry.fit'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True)
    assert run.stdout.endswith("\n[]\n")


def test_a_report_waits_for_no_plans_and_no_comparing():
    heavy = "{'flask', 'geometry.aims', 'geometry.what_if', 'geometry.compare', 'geometry.bring_back', 'capture.plans'}"
    code = f"import sys; from capture.cli import main; main(sys.argv[1:]); print(sorted({heavy} & set(sys.modules)))"
    asked = ["report", str(places.demo_vehicles()[0])]
    run = subprocess.run([sys.executable, "-c", code, *asked], capture_output=True, text=True)
    assert run.stdout.endswith("\n[]\n"), run


def test_a_backup_is_made_without_the_sums_and_the_web(tmp_path: Path):
    StoreSettings(tmp_path / "data").close()
    code = (
        "import sys; from capture.cli import main; status = main(sys.argv[1:])\n"
        "print(status, sorted({'numpy', 'pydantic', 'flask', 'geometry.fit'} & set(sys.modules)))"
    )
    asked = ["backup", str(tmp_path / "copies"), "--data", str(tmp_path / "data")]
    run = subprocess.run([sys.executable, "-c", code, *asked], capture_output=True, text=True)
    assert run.stdout.endswith("\n0 []\n"), run


def test_a_later_module_is_loaded_when_something_of_it_is_used():
    module = later("colorsys")
    sys.modules.pop("colorsys", None)
    assert "colorsys" not in sys.modules
    assert module.rgb_to_hsv(0.0, 0.0, 1.0)[2] == 1.0
    assert "colorsys" in sys.modules
    with pytest.raises(AttributeError):
        _ = module.nothing_of_this_name
