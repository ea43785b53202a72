"""From the command to the first page served, beside a bare Flask program under the same server.

Ours is timed to the page of one who is not let in, which the door alone serves, and to the list of vehicles of one who
is, for which the whole program is loaded. Both programs run from compiled modules, as they are when installed.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

from tests.benchmarks.clock import bare_python, in_turn, said
from tests.conftest import free_port
from tests.hard.machine import HOST, served

ROUNDS = 5
DEMO = Path(__file__).parents[2] / "demo_vehicles" / "orchard_truck.json"
COMMANDS = (["--help"], ["report", str(DEMO)], ["points", str(DEMO)])
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


def at_the_door() -> None:
    with served(whole=False) as server:
        until_answered(f"{server.base}/")


def let_in() -> None:
    with served(whole=False) as server:
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        opener.open(server.way_in, timeout=30).close()


def command(arguments: list[str]) -> Callable[[], object]:
    return lambda: subprocess.run([sys.executable, "-m", "capture.cli", *arguments], check=True, capture_output=True)


def run() -> None:
    with tempfile.TemporaryDirectory() as compiled, patch.dict(os.environ, PYTHONPYCACHEPREFIX=compiled):
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        plain, strangers, list_shown = in_turn((bare, at_the_door, let_in), ROUNDS)
        python, *commands = in_turn((bare_python, *map(command, COMMANDS)), ROUNDS)
    print(f"\nCommand to page served: bare Flask {said(plain)}")
    for name, taken in (("not let in yet", strangers), ("let in, the list", list_shown)):
        print(f"  {name:18s}{said(taken)}   {taken / plain:.2f} times")
    print(f"Commands without a server: one bare Python start {said(python)}")
    for arguments, taken in zip(COMMANDS, commands, strict=True):
        print(f"  {arguments[0]:18s}{said(taken)}   {taken / python:.1f} times")
