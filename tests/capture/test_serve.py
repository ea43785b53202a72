"""The server as a process: its port, its addresses, its code, its stop, and what a kill leaves."""

from __future__ import annotations

import http.client
import io
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from capture import networks, places, qr, serve, serve_words
from capture.networks import Network
from capture.serve import CannotServe, addresses_of, allowed_hosts, listen, run
from capture.serve_words import THROWAWAY
from capture.settings import Address
from capture.store import Store
from capture.store_file import FILE_NAME
from tests.conftest import LiveServer, free_port, network_host, reading_object, vehicle_object


def test_the_phone_comes_in_at_a_network_address_and_a_program_with_the_key(live_server: LiveServer):
    assert live_server.ask("/vehicles") == []
    vehicle_id = live_server.ask("/vehicles", vehicle_object())["id"]
    answer = live_server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": [reading_object(1)]})
    assert answer == {"stored": ["entry-000001"]}
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(live_server.base + "/", timeout=10)
    with refused.value as answer:
        assert answer.code == 403


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_stops_cleanly(live_server: LiveServer, number: int):
    assert live_server.stop(number) == 0
    assert live_server.said.rstrip().endswith(serve_words.STOPPED)
    assert "Traceback" not in live_server.said


def test_it_says_where_the_data_is_and_the_store_is_there(live_server: LiveServer):
    assert str(live_server.data) in live_server.said
    assert (live_server.data / FILE_NAME).is_file()


def test_it_says_the_guests_address_and_that_one_only_looks(live_server: LiveServer):
    (line,) = [line for line in live_server.said.splitlines() if line.startswith("For guests")]
    guest = LiveServer(live_server.data, live_server.host, live_server.port, key=line.partition("/in?key=")[2])
    assert guest.key != live_server.key and guest.ask("/vehicles") == []
    with pytest.raises(urllib.error.HTTPError) as refused:
        guest.ask("/vehicles", vehicle_object())
    with refused.value as answer:
        assert answer.code == 403


def test_requests_under_way_are_answered_before_it_stops(live_server: LiveServer):
    vehicle_id = live_server.ask("/vehicles", vehicle_object())["id"]
    holder = Store(live_server.data)
    answers: list[object] = []
    sender = threading.Thread(
        target=lambda: answers.append(
            live_server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": [reading_object(1)]})
        )
    )
    with holder._writing():  # the post waits for the store, and the stop for the post
        sender.start()
        time.sleep(0.5)
        live_server.process.send_signal(signal.SIGTERM)
        time.sleep(0.5)
    sender.join(timeout=15)
    assert live_server.stop() == 0
    assert answers == [{"stored": ["entry-000001"]}]
    assert [entry.id for entry in holder.vehicle(vehicle_id).entries] == ["entry-000001"]
    holder.close()


def test_a_kill_between_posts_loses_nothing_that_was_acknowledged(live_server: LiveServer):
    vehicle_id = live_server.ask("/vehicles", vehicle_object())["id"]
    acknowledged: list[str] = []
    number = 0
    for turn in range(20):
        if turn >= 4 and len(acknowledged) > 10:  # a slow machine takes more turns to acknowledge as many
            break
        stop_at = time.monotonic() + 0.15 + 0.1 * turn
        killer = threading.Timer(stop_at - time.monotonic(), live_server.process.kill)
        killer.start()
        while True:
            try:
                answer = live_server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": [reading_object(number)]})
            except (OSError, http.client.HTTPException):  # refused, cut off, or cut within the answer
                break  # the same entry is sent again once the server is back
            acknowledged += answer["stored"]
            number += 1
        killer.join()
        live_server.stop(signal.SIGKILL)
        live_server.start()
    live_server.ask(f"/vehicles/{vehicle_id}/entries", {"entries": [reading_object(number)]})
    stored = [entry["id"] for entry in live_server.ask(f"/vehicles/{vehicle_id}/file")["entries"]]
    assert len(acknowledged) > 10
    assert stored == [f"entry-{each:06d}" for each in range(number + 1)]
    assert set(acknowledged) <= set(stored)


def test_a_taken_port_gives_the_next_free_one_and_says_so(tmp_path: Path):
    host = network_host()
    with socket.socket() as taken:
        taken.bind((host, 0))
        taken.listen()
        port = taken.getsockname()[1]
        server = LiveServer(tmp_path, host, port)
        server._wait = lambda: None
        server.start(whole=False)
        server.stop()
    said = re.search(r"Port (\d+) is taken, so it uses (\d+)\.", server.said)
    assert said is not None and int(said[1]) == port < int(said[2])
    assert f"http://{host}:{said[2]}/in?key=" in server.said and f"http://{host}:{port}/" not in server.said


def test_a_second_server_on_the_same_data_says_so_and_does_not_start(
    live_server: LiveServer, capsys: pytest.CaptureFixture[str]
):
    assert run(live_server.data, host="127.0.0.1", port=0) == 2
    said = capsys.readouterr()
    assert "already" in said.err and said.err.count("\n") == 1 and said.out == ""
    assert live_server.ask("/vehicles") == []
    live_server.stop(signal.SIGKILL)
    live_server.start()  # a killed one leaves nothing behind that locks the folder
    assert live_server.ask("/vehicles") == []


def test_the_demo_is_a_throwaway_copy_of_every_demo_vehicle(tmp_path: Path):
    host = network_host()
    server = LiveServer(tmp_path / "unused", host, free_port(host), options={"demo": True})
    before = {path: path.read_bytes() for path in places.demo_vehicles()}
    env_temp = tmp_path / "temp"
    env_temp.mkdir()
    os.environ["TMPDIR"], old = str(env_temp), os.environ.get("TMPDIR")
    try:
        server.start()
    finally:
        os.environ.pop("TMPDIR") if old is None else os.environ.update(TMPDIR=old)
    names = [vehicle["name"] for vehicle in server.ask("/vehicles")]
    assert len(names) == len(before) >= 3
    server.ask("/vehicles", vehicle_object())
    assert len(list(env_temp.iterdir())) == 1
    assert server.stop(signal.SIGINT) == 0
    assert THROWAWAY in server.said
    assert list(env_temp.iterdir()) == [] and not (tmp_path / "unused").exists()
    assert before == {path: path.read_bytes() for path in places.demo_vehicles()}


def test_print_key_prints_the_key_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert run(tmp_path, print_key=True) == 0
    first = capsys.readouterr()
    assert run(tmp_path, print_key=True) == 0
    assert capsys.readouterr().out == first.out
    assert len(first.out.split()) == 1 and first.err == ""


def test_the_demo_has_no_key_to_print(capsys: pytest.CaptureFixture[str]):
    assert run(None, demo=True, print_key=True) == 2
    assert "new key" in capsys.readouterr().err


def test_a_store_it_cannot_use_is_one_sentence_and_status_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    (tmp_path / FILE_NAME).write_bytes(b"not a database, but it was somebody's once\n" * 40)
    assert run(tmp_path, host="127.0.0.1", port=0) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "Traceback" not in said and FILE_NAME in said


@pytest.mark.parametrize(("host", "port"), [("203.0.113.7", 0), ("no such host", 0), ("127.0.0.1", 70000), ("", -5)])
def test_a_host_or_port_that_cannot_be_served_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], host: str, port: int
):
    # 203.0.113.0/24 is kept for documents: no machine has it.
    assert run(tmp_path, host=host, port=port) == 2
    said = capsys.readouterr().err
    helps = (": leave --host out for all it has.\n", ": choose another with --port.\n")
    assert said.count("\n") == 1 and said.endswith(helps)


def test_when_every_port_near_is_taken_it_says_so(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(serve, "PORTS_TRIED", 1)
    with listen("127.0.0.1", 0) as taken, pytest.raises(CannotServe, match="--port"):
        listen("127.0.0.1", taken.getsockname()[1])


def test_the_home_network_comes_before_tunnels_and_containers():
    # Source: RFC 1918 names the private networks; the order among them is ours.
    garage = Network("192.168.1.20", "wlan0")
    found = [Network("172.17.0.1", "docker0"), Network("8.8.4.4", "eth1"), Network("10.8.0.2", "tun0"),
             Network("169.254.3.4", "eth0"), garage, Network("10.0.0.5", "en0")]  # fmt: skip
    ranked = sorted(found, key=networks.rank)
    assert ranked[0] == garage and ranked[1].name == "en0" and ranked[-1].host == "169.254.3.4"
    assert ranked.index(found[1]) < ranked.index(found[0])


def test_no_loopback_is_offered_to_a_phone():
    assert not any(network.host.startswith("127.") for network in networks.networks())


def test_hosts_we_answer_to_have_the_port_and_what_host_says():
    shown = (Address("http://192.168.1.20:8021", "wlan0"),)
    hosts = allowed_hosts(None, 8021, shown)
    assert {"192.168.1.20:8021", "localhost:8021", "127.0.0.1:8021", "[::1]:8021"} <= set(hosts)
    assert all(host.endswith(":8021") for host in hosts)
    assert "bench.lan:8021" in allowed_hosts("bench.lan", 8021, ())
    assert "[fd00::2]:8021" in allowed_hosts("fd00::2", 8021, ())
    assert addresses_of("10.1.2.3", 8021) == (Address("http://10.1.2.3:8021"),)
    assert addresses_of("127.0.0.1", 8021) == ()


def test_kept_to_this_machine_it_shows_no_phone_an_address(tmp_path: Path):
    server = LiveServer(tmp_path, "127.0.0.1", free_port("127.0.0.1"))
    server.start()
    assert server.ask("/vehicles") == []
    server.stop()
    assert "No phone can reach it" in server.said and "█" not in server.said


def decoded(text: str) -> list[list[bool]]:
    """The modules a terminal shows, from the half blocks."""
    halves = {" ": (False, False), "▀": (True, False), "▄": (False, True), "█": (True, True)}
    rows: list[list[bool]] = []
    for line in text.splitlines():
        pairs = [halves[sign] for sign in line]
        rows += [[above for above, _ in pairs], [below for _, below in pairs]]
    return rows


def test_the_terminal_shows_the_code_module_for_module_with_its_quiet_zone():
    text = "http://192.168.1.20:8021/in?key=abcdefghijklmnopqrstuvwx"
    wanted = qr.modules(text)
    shown = decoded(qr.in_terminal(text, colours=False))
    assert shown[: len(wanted)] == wanted
    for edge in (*wanted[:4], *wanted[-4:], *([row[at] for row in wanted] for at in (0, 1, 2, 3, -1, -2, -3, -4))):
        assert not any(edge)


def test_with_colours_every_line_is_black_on_white_whatever_the_terminal():
    for line in qr.in_terminal("http://10.0.0.5:8021/in?key=x", colours=True).splitlines():
        assert line.startswith("\x1b[0;30;47m\x1b[38;5;16;48;5;231m") and line.endswith("\x1b[0m")


def test_a_terminal_that_cannot_print_the_code_gets_the_address_alone(monkeypatch: pytest.MonkeyPatch):
    written = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(written, encoding="cp1252"))
    serve._show_code("http://10.0.0.5:8021/in?key=x")
    sys.stdout.flush()
    assert written.getvalue() == b""


def test_the_svg_code_has_one_square_for_each_dark_module():
    text = "http://10.0.0.5:8021/in?key=x"
    drawn = qr.as_svg(text, 'way "in"')
    assert drawn.count("h1v1h-1z") == sum(map(sum, qr.modules(text)))
    assert 'aria-label="way &#34;in&#34;"' in drawn and "style=" not in drawn


@pytest.mark.parametrize(("platform", "variables", "end"), [
    ("linux", {"XDG_DATA_HOME": "/somewhere"}, "/somewhere/plumbtack"),
    ("linux", {"XDG_DATA_HOME": ""}, ".local/share/plumbtack"),
    ("darwin", {}, "Library/Application Support/Plumbtack"),
    ("win32", {"LOCALAPPDATA": "/local"}, "/local/Plumbtack"),
])  # fmt: skip
def test_the_data_goes_where_this_kind_of_machine_keeps_it(
    monkeypatch: pytest.MonkeyPatch, platform: str, variables: dict[str, str], end: str
):
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    assert places.data_folder(platform).as_posix().endswith(end)


def test_importing_the_package_does_not_load_the_web():
    # So that the report without a server does not wait for it.
    code = "import sys, capture; sys.exit('flask' in sys.modules or 'waitress' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
