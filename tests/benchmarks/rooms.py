"""Each room of a vehicle with 5,000 entries beside the same room with 60, opened right after a new reading, in turn;
and what a room costs the processor after a reading and after a note, which leaves all that was worked out as it was."""

from __future__ import annotations

import json
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from capture import create_app
from capture.settings import Settings
from capture.vehicle_file import read_vehicle_file
from tests.benchmarks.clock import said
from tests.benchmarks.vehicles import measured
from tests.hard.load import p95, screens
from tests.hard.machine import served

SMALL, LARGE, TIMES = 60, 5000, 8
OPENED = ("walk", "measure", "second-look", "shape", "behaviour", "record", "ready", "what-if", "report")


def run() -> None:
    print(f"\nA room right after a new reading, {TIMES} times, with {SMALL} and with {LARGE} entries")
    with served() as server:
        for opened in screens(server, (SMALL, LARGE), TIMES):
            small, large = p95(opened.small), p95(opened.large)
            middle = statistics.median(opened.large) / statistics.median(opened.small)
            print(
                f"  {opened.room:12s} p95 {said(small)} {said(large)}   {large / small:5.1f} times"
                f"   medians {middle:5.1f} times",
                flush=True,
            )
    print("\nA room after a new reading and after a note: the processor's own time, medians")
    for size in (SMALL, LARGE):
        for room, (after_reading, after_note) in by_entry(size).items():
            print(f"  {size:5d} entries  {room:12s} {said(after_reading)} {said(after_note)}")


def by_entry(size: int) -> dict[str, tuple[float, float]]:
    """For each room the processor's seconds after a reading and after a note, in turn, over a vehicle of that size."""
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(Path(folder) / "data"))
        parts, client = app.extensions["plumbtack"], app.test_client()
        file = measured(size)
        address = "/vehicles/" + parts.store.create(read_vehicle_file(json.dumps(file).encode(), "timed"))
        key = {"Authorization": f"Bearer {parts.pairing.key}", "Origin": "http://localhost"}

        def take(number: int) -> dict[str, Any]:
            entries = file["entries"]
            return entries[number % len(entries)] | {"id": f"again-{number:06d}", "at": "2026-05-02T09:14:07Z"}

        made = {room: (_Kind(take), _Kind(note_of)) for room in OPENED}
        number = 0
        for _ in range(TIMES + 1):
            for room, kinds in made.items():
                for kind in kinds:
                    number += 1
                    body = {"entries": [kind.entry(number)]}
                    assert client.post(f"{address}/entries", json=body, headers=key).status_code == 200
                    began = time.process_time()
                    assert client.get(f"{address}/{room}", headers=key).status_code == 200
                    kind.took.append(time.process_time() - began)
        parts.store.close()
        return {room: (first.middle, second.middle) for room, (first, second) in made.items()}


class _Kind:
    def __init__(self, entry: Callable[[int], dict[str, Any]]) -> None:
        self.entry = entry
        self.took: list[float] = []

    @property
    def middle(self) -> float:
        return statistics.median(self.took[1:])  # the first warms up


def note_of(number: int) -> dict[str, Any]:
    return {"id": f"rooms-note-{number:06d}", "at": "2026-05-02T09:14:07Z", "type": "note", "note": "rust"}
