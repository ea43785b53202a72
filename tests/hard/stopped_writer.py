"""A process that stands still (SIGSTOP): the server itself while phones send, and another program in mid-write."""

from __future__ import annotations

import argparse
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass

from tests.hard.machine import served
from tests.hard.phones import Line, Phone, broken_promises, new_vehicle

HOLDS = (
    "import sqlite3, sys; db = sqlite3.connect(sys.argv[1], timeout=30, isolation_level=None); "
    "db.execute('BEGIN IMMEDIATE'); print('holding', flush=True); sys.stdin.read()"
)


@dataclass
class Found:
    acknowledged: int
    broken: list[str]
    read_while_held: float
    """Seconds a read took while another program held the store."""


def run(stops: int, seconds: float = 1.5, seed: int = 1) -> Found:
    luck = random.Random(seed)
    with served() as server:
        vehicle_id = new_vehicle(server)
        sending = [Phone(f"phone{number}", server, vehicle_id, timeout=0.5, pause=0.02) for number in range(3)]
        for phone in sending:
            phone.start()
        for _ in range(stops):
            time.sleep(luck.random() * 0.5)
            server.process.send_signal(signal.SIGSTOP)
            time.sleep(luck.random() * seconds)
            server.process.send_signal(signal.SIGCONT)
        slowest = max(_held(server, vehicle_id, seconds) for _ in range(max(1, stops // 5)))
        time.sleep(1)
        for phone in sending:
            phone.ended.set()
        for phone in sending:
            phone.join(timeout=30)
        return Found(
            sum(len(phone.acknowledged) for phone in sending), broken_promises(server, vehicle_id, sending), slowest
        )


def _held(server, vehicle_id: str, seconds: float) -> float:
    """Another program takes the store's lock and stands still; what a read takes meanwhile."""
    code = [sys.executable, "-c", HOLDS, str(server.data / "plumbtack.sqlite3")]
    with subprocess.Popen(code, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        other.stdout.readline()
        other.send_signal(signal.SIGSTOP)
        began = time.monotonic()
        with Line(server) as line:
            line.ask("GET", f"/vehicles/{vehicle_id}/file")
        took = time.monotonic() - began
        time.sleep(seconds)
        other.kill()
    return took


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.hard.stopped_writer", description=__doc__)
    asked.add_argument("--stops", type=int, default=30)
    found = run(asked.parse_args().stops)
    print(f"{found.acknowledged} entries acknowledged; a read while another held it: {found.read_while_held:.2f} s")
    print("\n".join(found.broken[:20]) or "none lost, none twice, none changed; the report is that of the file")
    return 1 if found.broken or not found.acknowledged else 0


if __name__ == "__main__":
    sys.exit(main())
