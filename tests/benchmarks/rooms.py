"""Each room of a vehicle with 5,000 entries beside the same room with 60, opened right after a new reading, in turn."""

from __future__ import annotations

import statistics

from tests.benchmarks.clock import said
from tests.hard.load import p95, screens
from tests.hard.machine import served

SMALL, LARGE, TIMES = 60, 5000, 8


def run() -> None:
    print(f"\nA room right after a new reading, {TIMES} times, with {SMALL} and with {LARGE} entries")
    with served() as server:
        for room, (small, large) in screens(server, (SMALL, LARGE), TIMES).items():
            middle = statistics.median(large) / statistics.median(small)
            print(
                f"  {room:12s} p95 {said(p95(small))} {said(p95(large))}   {p95(large) / p95(small):5.1f} times"
                f"   medians {middle:5.1f} times"
            )
