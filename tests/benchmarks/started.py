"""From the command to the first page served, beside a bare Flask program under the same server."""

from __future__ import annotations

import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable

from tests.benchmarks.clock import in_turn, said
from tests.conftest import free_port
from tests.hard.machine import HOST, served

ROUNDS = 5
BARE = """
import sys
from flask import Flask
from waitress import serve
app = Flask("bare")
app.add_url_rule("/", view_func=lambda: "served")
serve(app, host=sys.argv[1], port=int(sys.argv[2]), _quiet=True)
"""


def until_answered(address: str) -> None:
    """Asks until the server says anything at all; a page of its own for those not let in counts."""
    ends = time.monotonic() + 60.0
    while time.monotonic() < ends:
        try:
            urllib.request.urlopen(address, timeout=5).close()
            return
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.005)
    raise SystemExit(f"{address} did not answer within a minute")


def bare() -> None:
    port = free_port(HOST)
    process = subprocess.Popen([sys.executable, "-c", BARE, HOST, str(port)])
    try:
        until_answered(f"http://{HOST}:{port}/")
    finally:
        process.kill()
        process.wait()


def ours() -> None:
    with served() as server:
        until_answered(f"{server.base}/")


def run() -> None:
    works: tuple[Callable[[], object], ...] = (bare, ours)
    plain, whole = in_turn(works, ROUNDS)
    print(f"\nCommand to page served: bare Flask {said(plain)}   ours {said(whole)}   {whole / plain:.2f} times")
