"""Timing with as little noise as a shared machine allows: medians of repeated runs, rivals taken in turn."""

from __future__ import annotations

import gc
import statistics
import subprocess
import sys
import time
from collections.abc import Callable


def one(work: Callable[[], object]) -> float:
    """Seconds for one call."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


LEAST_S = 0.02
"""A turn lasts this long at least: what is quick is called again and again, as what is slow calls its own parts."""


def mean_of_turn(work: Callable[[], object]) -> float:
    """Seconds a call, over as many calls as fill a turn."""
    start, calls = time.perf_counter(), 0
    while calls == 0 or time.perf_counter() - start < LEAST_S:
        work()
        calls += 1
    return (time.perf_counter() - start) / calls


def in_turn(works: tuple[Callable[[], object], ...], rounds: int) -> tuple[float, ...]:
    """Median seconds of each, a turn one after the other `rounds` times; a first call warms up and is not counted."""
    for work in works:
        work()
    gc.collect()
    taken = [[mean_of_turn(work) for work in works] for _ in range(rounds)]
    return tuple(statistics.median(column) for column in zip(*taken, strict=True))


def bare_python() -> None:
    """One start of Python that does nothing."""
    subprocess.run([sys.executable, "-c", "pass"], check=True)


def said(seconds: float) -> str:
    return f"{1000.0 * seconds:8.2f} ms"
