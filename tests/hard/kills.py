"""The server killed with -9 at random moments, also while it starts, and phones that go on sending: nothing is lost."""

from __future__ import annotations

import argparse
import random
import signal
import subprocess
import sys
import time
from dataclasses import dataclass

from tests.conftest import LiveServer
from tests.hard.machine import served
from tests.hard.phones import Phone, broken_promises, new_vehicle


@dataclass
class Found:
    kills: int
    acknowledged: int
    photos: int
    broken: list[str]


def run(kills: int, phones: int = 3, seed: int = 1, longest: float = 0.6) -> Found:
    """longest: seconds between a start and its kill at most."""
    luck = random.Random(seed)
    with served() as server:
        vehicle_id = new_vehicle(server)
        sending = [Phone(f"phone{number}", server, vehicle_id, pause=0.02) for number in range(phones)]
        for phone in sending:
            phone.start()
        for number in range(kills):
            time.sleep(luck.random() * longest)
            server.stop(signal.SIGKILL)
            if number % 10 == 9:
                _killed_while_starting(server, luck.random())
            server.start()
        for phone in sending:
            phone.ended.set()
        for phone in sending:
            phone.join(timeout=30)
        acknowledged = sum(len(phone.acknowledged) for phone in sending)
        photos = sum(len(phone.photos) for phone in sending)
        return Found(kills, acknowledged, photos, broken_promises(server, vehicle_id, sending))


def _killed_while_starting(server: LiveServer, after: float) -> None:
    told = {"host": server.host, "port": server.port, **server.options}
    code = f"from pathlib import Path; from capture.serve import run; run(Path({str(server.data)!r}), **{told!r})"
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as begun:
        time.sleep(after)
        begun.kill()


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.hard.kills", description=__doc__)
    asked.add_argument("--kills", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    chosen = asked.parse_args()
    began = time.monotonic()
    found = run(chosen.kills, seed=chosen.seed)
    print(f"{found.kills} kills in {time.monotonic() - began:.0f} s, {found.acknowledged} entries and "
          f"{found.photos} photos acknowledged")
    print("\n".join(found.broken[:20]) or "none lost, none twice, none changed; the report is that of the file")
    return 1 if found.broken or not found.acknowledged else 0


if __name__ == "__main__":
    sys.exit(main())
