"""Eight phones post 500 readings each as fast as they are answered, on one vehicle and on eight; reports are read.

Then the screens of a vehicle with 5,000 entries beside those of one with 60, each opened right after a new reading.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.benchmarks.vehicles import measured
from tests.conftest import LiveServer
from tests.hard.machine import memory, served
from tests.hard.phones import Line, new_vehicle, reading, shares

ROOMS = ("walk", "measure", "second-look", "shape", "behaviour", "record", "report", "file")
MORE_ROOMS = (
    *("ready", "facts", "what-if", "plans", "holes", "aims"),
    *("cut", "sheet", "table", "paper", "stage", "close", "compare", "cautions", "photos"),
)
LATER = "2026-05-02T09:14:07Z"
AT_MOST = 3.0
"""How much longer a screen of the large vehicle may take, at p95."""


@dataclass
class Posted:
    took: list[float] = field(default_factory=list)
    reports: list[float] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)
    seconds: float = 0.0


@dataclass(frozen=True)
class Opened:
    """Seconds it took to open a room, each time: on the small and on the large vehicle."""

    room: str
    small: list[float]
    large: list[float]


def post(server: LiveServer, vehicles: list[str], phones: int = 8, each: int = 500) -> Posted:
    """Phone n posts to vehicle n, beginning again with the first when there are fewer."""
    found = Posted()
    ended = threading.Event()

    def phone(number: int) -> None:
        line, vehicle_id = Line(server, 60), vehicles[number % len(vehicles)]
        for turn in range(each):
            entry = reading(f"phone{number}", turn)
            began = time.monotonic()
            answer = line.ask("POST", f"/vehicles/{vehicle_id}/entries", json.dumps({"entries": [entry]}).encode())
            found.took.append(time.monotonic() - began)
            if answer.status != 200 or answer.json != {"stored": [entry["id"]]}:
                found.broken.append(f"{answer.status}: {answer.body[:200]!r}")
        line.close()

    def reader() -> None:
        line, turn = Line(server, 120), 0
        while not ended.wait(0.2):
            began = time.monotonic()
            answer = line.ask("GET", f"/vehicles/{vehicles[turn % len(vehicles)]}/report")
            found.reports.append(time.monotonic() - began)
            turn += 1
            if answer.status != 200:
                found.broken.append(f"report: {answer.status} {answer.body[:200]!r}")
        line.close()

    threads = [threading.Thread(target=phone, args=(number,)) for number in range(phones)]
    watching = threading.Thread(target=reader)
    began = time.monotonic()
    for thread in [watching, *threads]:
        thread.start()
    for thread in threads:
        thread.join()
    found.seconds = time.monotonic() - began
    ended.set()
    watching.join()
    stored = [entry["id"] for name in vehicles for entry in server.ask(f"/vehicles/{name}/file")["entries"]]
    wanted = {reading(f"phone{number}", turn)["id"] for number in range(phones) for turn in range(each)}
    found.broken += [f"lost: {name}" for name in sorted(wanted - set(stored))]
    if len(stored) != len(wanted):
        found.broken.append(f"{len(stored)} stored, {len(wanted)} sent")
    return found


def screens(server: LiveServer, sizes: tuple[int, int] = (60, 5000), times: int = 20) -> Iterator[Opened]:
    """For each room the seconds it took right after a new reading, for each size of vehicle in turn.

    The reading is one more take of what the vehicle has already; each room has new vehicles, so the sizes stay about
    what they are.
    """
    line = Line(server, 120)
    files = [measured(size) for size in sizes]
    for room in (*ROOMS, *MORE_ROOMS):
        vehicles = [line.ask("POST", "/vehicles", json.dumps(file).encode()).json["id"] for file in files]
        took: list[list[float]] = [[] for _ in sizes]
        for turn in range(times + 1):
            for at, (vehicle_id, file) in enumerate(zip(vehicles, files, strict=True)):
                take = file["entries"][turn] | {"id": f"again-{room}-{turn:02d}", "at": LATER}
                body = json.dumps({"entries": [take]}).encode()
                assert line.ask("POST", f"/vehicles/{vehicle_id}/entries", body).status == 200
                began = time.monotonic()
                answer = line.ask("GET", f"/vehicles/{vehicle_id}/{room}")
                assert answer.status == 200, (room, answer.status)
                if turn:  # the first warms up
                    took[at].append(time.monotonic() - began)
        yield Opened(room, *took)
    line.close()


def p95(took: list[float]) -> float:
    """By nearest rank."""
    return sorted(took)[math.ceil(0.95 * len(took)) - 1]


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.hard.load", description=__doc__)
    asked.add_argument("--each", type=int, default=500, help="readings a phone")
    asked.add_argument("--entries", type=int, default=5000, help="entries of the large vehicle")
    chosen = asked.parse_args()
    broken = []
    for count in (1, 8):
        with served() as server:
            found = post(server, [new_vehicle(server) for _ in range(count)], each=chosen.each)
            print(
                f"\n8 phones, {chosen.each} readings each, on {count} vehicle{'s' if count > 1 else ''}: "
                f"{found.seconds:.1f} s, lost {sum(line.startswith('lost') for line in found.broken)}"
            )
            print(f"  posts   {shares(found.took)}")
            print(
                f"  reports {shares(found.reports)} ({len(found.reports)} read meanwhile); memory {memory(server)} MB"
            )
            broken += found.broken
    with served() as server:
        print(f"\nright after a new reading, p95 in ms with 60 and with {chosen.entries} entries:")
        for opened in screens(server, (60, chosen.entries)):
            small, large = p95(opened.small), p95(opened.large)
            ratio = large / small
            print(f"  {opened.room:12} {1000 * small:7.0f} {1000 * large:7.0f}   {ratio:.1f} times", flush=True)
            if ratio > AT_MOST and opened.room not in ("report", "file"):
                broken.append(f"{opened.room}: {ratio:.1f} times as long as with 60 entries")
        print(f"  memory {memory(server)} MB")
    print("\n".join(broken[:20]) or "none lost, and the large vehicle stays usable")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
