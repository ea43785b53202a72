"""Every address asked with anything: no fault of ours, no traceback, no hang, nothing stored that reads back wrong."""

from __future__ import annotations

import argparse
import http.client
import json
import random
import sys
import time
from collections import Counter
from dataclasses import dataclass, field

from hypothesis import HealthCheck, Phase, given, settings

from tests.benchmarks.vehicles import measured
from tests.conftest import LiveServer
from tests.hard.anything import Request, formed_requests, free_requests, rules
from tests.hard.machine import memory, open_files, served
from tests.hard.page_forms import page_requests
from tests.hard.phones import Line, new_vehicle, shares

SLOWEST = 10.0
"""Seconds to an answer beyond which a request hangs."""
BLOCK = 1000
"""Requests on one vehicle: a log of thousands of readings is for the load trial."""


@dataclass
class Found:
    requests: int = 0
    statuses: Counter[int] = field(default_factory=Counter)
    took: list[float] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)
    memories: list[float] = field(default_factory=list)
    files: list[int] = field(default_factory=list)


def run(requests: int, seed: int = 1) -> Found:
    """A third of the requests without any rule, a third from the form of the vehicle file and bent, a third from the
    forms of the program's own pages, of a vehicle that has been measured."""
    found, there = Found(), rules()
    with served() as server:
        for block in range(max(1, requests // BLOCK)):
            vehicle_id, line = new_vehicle(server), Line(server, SLOWEST)
            each = min(requests, BLOCK) // 3
            _free(
                each,
                block + seed,
                free_requests(there, vehicle_id),
                lambda request, line=line: _ask(line, request, found),
            )
            formed = formed_requests(vehicle_id, random.Random(block + seed), there)
            for _ in range(each):
                _ask(line, formed(), found)
            whole = measured_vehicle(server)
            asked = page_requests(line, whole, random.Random(block + seed))
            for _ in range(min(requests, BLOCK) - 2 * each):
                _ask(line, asked(), found)
            _reads_back(server, vehicle_id, found)
            _reads_back(server, whole, found)
            line.close()
            if (megabytes := memory(server)) is not None:
                found.memories.append(megabytes)
                found.files.append(open_files(server) or 0)
            if server.process.poll() is not None:
                found.broken.append("the server is gone")
                break
        server.stop()
        if "Traceback" in server.said:
            found.broken.append("a traceback: " + server.said[server.said.index("Traceback") :][-1500:])
    found.broken += _grown(found)
    return found


def measured_vehicle(server: LiveServer) -> str:
    """A vehicle of 60 readings, so that every page has something to say; its id."""
    return server.ask("/vehicles", measured(60))["id"]


def _free(count: int, seed: int, requests, ask) -> None:
    from hypothesis import seed as seeded

    @seeded(seed)
    @settings(
        max_examples=count,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(requests)
    def each(request: Request) -> None:
        ask(request)

    each()


def _ask(line: Line, request: Request, found: Found) -> None:
    found.requests += 1
    began = time.monotonic()
    try:
        answer = line.ask(request.method, request.path, request.body, request.headers)
    except (TimeoutError, ConnectionError, http.client.HTTPException) as trouble:
        if isinstance(trouble, TimeoutError) or not _alive(line.server):
            found.broken.append(f"{type(trouble).__name__}: {request}"[:400])
        found.statuses[0] += 1
        return
    except (ValueError, UnicodeError):  # what http.client itself will not send
        found.statuses[-1] += 1
        line.close()
        return
    found.took.append(time.monotonic() - began)
    found.statuses[answer.status] += 1
    if (answer.status >= 500 and answer.status != 501) or b"Traceback" in answer.body:
        found.broken.append(f"{answer.status}: {request}"[:600])
    if answer.status >= 400 and answer.headers.get("content-type", "").startswith("application/json"):
        said = json.loads(answer.body or b'{"error": "."}').get("error", "")
        if not said.endswith((".", "?")) or "\n" in said:
            found.broken.append(f"no sentence: {said[:200]!r}")


def _alive(server: LiveServer) -> bool:
    return server.process is not None and server.process.poll() is None


def _reads_back(server: LiveServer, vehicle_id: str, found: Found) -> None:
    """What was stored is a file the program takes, and comes out of it the same."""
    from capture.vehicle_file import BadFile, read_vehicle_file, write_vehicle_file

    line = Line(server, 60)
    answer = line.ask("GET", f"/vehicles/{vehicle_id}/file")
    try:
        if write_vehicle_file(read_vehicle_file(answer.body, "stored")).encode() != answer.body:
            found.broken.append("a stored vehicle reads back otherwise")
    except BadFile as trouble:
        found.broken.append(f"stored, and refused when read back: {trouble}")
    for path in ("walk", "report"):
        status = line.ask("GET", f"/vehicles/{vehicle_id}/{path}").status
        if status not in (200, 422):
            found.broken.append(f"{path} of what was stored: {status}")
    line.close()


def _grown(found: Found) -> list[str]:
    """Memory and files at the end against those after a third of the way."""
    if len(found.memories) < 6:
        return []
    third = found.memories[len(found.memories) // 3]
    broken = []
    if found.memories[-1] > 1.25 * third + 20:
        broken.append(f"memory grew from {third:.0f} to {found.memories[-1]:.0f} MB")
    if found.files[-1] > found.files[len(found.files) // 3] + 5:
        broken.append(f"open files grew from {found.files[len(found.files) // 3]} to {found.files[-1]}")
    return broken


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.hard.fuzz", description=__doc__)
    asked.add_argument("--requests", type=int, default=20_000)
    asked.add_argument("--seed", type=int, default=1)
    chosen = asked.parse_args()
    began = time.monotonic()
    found = run(chosen.requests, chosen.seed)
    print(f"{found.requests} requests in {time.monotonic() - began:.0f} s: {shares(found.took)}")
    print(f"answers: {dict(sorted(found.statuses.items()))} (-1: not sent by the client, 0: connection closed)")
    print(f"memory, MB: {[round(each) for each in found.memories]}; open files: {found.files}")
    print("\n".join(found.broken[:30]) or "no fault, no traceback, no hang; what was stored reads back the same")
    return 1 if found.broken else 0


if __name__ == "__main__":
    sys.exit(main())
