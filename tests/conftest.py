"""A fresh store, a paired client and a real server on the network, for every test that needs one."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import settings

import capture  # noqa: F401  first of all: it sets how many threads the sums may use

if TYPE_CHECKING:  # the fixtures load the web themselves, so that the tests of geometry do not
    from flask import Flask
    from flask.testing import FlaskClient

    from capture.store import Store

settings.register_profile("unhurried", deadline=None)  # what is true does not hang on how busy the machine is
settings.load_profile("unhurried")


@pytest.fixture
def app(tmp_path: Path) -> Iterator[Flask]:
    """The program over a fresh store, as a browser at http://localhost meets it."""
    from capture import create_app
    from capture.settings import Settings

    made = create_app(Settings(tmp_path / "data", allowed_hosts=("localhost",)))
    yield made
    made.extensions["plumbtack"].store.close()


@pytest.fixture
def store(app: Flask) -> Store:
    """The store under `app`."""
    return app.extensions["plumbtack"].store


@pytest.fixture
def stranger(app: Flask) -> FlaskClient:
    """A client that sends our Origin and has no key."""
    client = app.test_client()
    client.environ_base["HTTP_ORIGIN"] = "http://localhost"
    return client


@pytest.fixture
def client(app: Flask, stranger: FlaskClient) -> FlaskClient:
    """A paired client that sends our Origin, like a page of ours does."""
    stranger.get("/in", query_string={"key": app.extensions["plumbtack"].pairing.key})
    return stranger


def vehicle_object(**changes: Any) -> dict[str, Any]:
    """A vehicle file with nothing measured yet."""
    return {
        "format": "plumbtack vehicle",
        "version": 1,
        "name": "Test truck",
        "worked_axle": "front",
        "layout": "three_link_panhard",
        "entries": [],
    } | changes


def reading_object(number: int, value: float = 612.5, **changes: Any) -> dict[str, Any]:
    """An entry of the log; the same number makes the same entry."""
    return {
        "id": f"entry-{number:06d}",
        "at": "2026-05-02T09:14:07Z",
        "stage": "mock_up",
        "type": "reading",
        "reading": "height:lower_left.frame",
        "value": value,
        "text": str(value),
        "unit": "mm",
        "note": "",
    } | changes


@pytest.fixture
def vehicle_id(client: FlaskClient) -> str:
    """A vehicle in the store of `app`, nothing measured."""
    answer = client.post("/vehicles", json=vehicle_object())
    assert answer.status_code == 201, answer.text
    return answer.json["id"]


@dataclass
class LiveServer:
    """The real program in its own process. Kill it, stop it, start it again on the same port and data."""

    data: Path
    host: str
    port: int
    key: str = ""
    process: subprocess.Popen[str] | None = None
    said: str = ""
    options: dict[str, Any] = field(default_factory=dict)

    @property
    def base(self) -> str:
        """http://HOST:PORT"""
        return f"http://{self.host}:{self.port}"

    @property
    def way_in(self) -> str:
        """The address in the square code."""
        return f"{self.base}/in?key={self.key}"

    def start(self, whole: bool = True) -> None:
        """whole: waits until all of the program is loaded, not only its door."""
        told = {"host": self.host, "port": self.port, **self.options}
        code = (
            "import sys; from pathlib import Path; from capture.serve import run; "
            f"sys.exit(run(Path({str(self.data)!r}), **{told!r}))"
        )
        self.process = subprocess.Popen(
            [sys.executable, "-c", code],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            env={**os.environ, "PYTHONIOENCODING": "utf-8"},
            encoding="utf-8",
        )
        from capture.serve_words import RUNNING

        self.said = self.key = ""
        for line in self.process.stdout:
            self.said += line
            if "/in?key=" in line and not self.key:
                self.key = line.partition("/in?key=")[2].split()[0]
            if line.startswith(RUNNING):
                break
        else:
            raise AssertionError(f"the server did not start: {self.said}")
        self._wait()
        if whole:
            self.ask("/vehicles")

    def _wait(self) -> None:
        for _ in range(200):
            try:
                with socket.create_connection((self.host, self.port), timeout=1):
                    return
            except OSError:
                time.sleep(0.05)
        raise AssertionError("the server does not listen")

    def stop(self, number: int = signal.SIGTERM) -> int:
        """Sends the signal and waits; the exit status."""
        if self.process is None:
            return 0
        if self.process.poll() is None:
            self.process.send_signal(number)
        self.said += self.process.communicate(timeout=20)[0] or ""
        status, self.process = self.process.returncode, None
        return status

    def ask(self, path: str, body: Any = None, method: str | None = None) -> Any:
        """One request of a program with the key; the JSON it answers."""
        request = urllib.request.Request(
            self.base + path,
            data=None if body is None else json.dumps(body).encode(),
            headers={"Authorization": f"Bearer {self.key}", "Content-Type": "application/json"},
            method=method,
        )
        with urllib.request.urlopen(request, timeout=30) as answer:
            return json.loads(answer.read())


def free_port(host: str) -> int:
    with socket.socket() as probe:
        probe.bind((host, 0))
        return probe.getsockname()[1]


def network_host() -> str:
    """An address of this machine that is not the loopback, where it has one: a loopback hides what phones miss."""
    from capture.networks import networks

    return next((network.host for network in networks()), "127.0.0.1")


@pytest.fixture
def live_server(tmp_path: Path) -> Iterator[LiveServer]:
    """The program serving a fresh folder in its own process, at a network address."""
    host = network_host()
    server = LiveServer(tmp_path / "live", host, free_port(host))
    server.start()
    yield server
    server.stop(signal.SIGKILL)


def arms_on_read_wheels(client: Any, **changes: Any) -> str:
    """The id of radius arms of which only the wheels were read: every link's bolt stands on a guess."""
    names = [f"{kind}:wheel_{side}.centre" for kind in ("height", "fore_aft", "lateral") for side in ("left", "right")]
    values = {"height": 411.0, "fore_aft": -403.0, "lateral": 789.0}
    entries = [reading_object(number, values[name.split(":")[0]] * (-1 if name.startswith("lateral") and "right" in name
               else 1), reading=name) for number, name in enumerate(names)]
    vehicle = vehicle_object(layout="radius_arms_panhard", entries=entries, **changes)
    return client.post("/vehicles", json=vehicle).json["id"]
