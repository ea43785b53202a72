"""A disk that fills while phones send: 507 with a sentence, nothing half stored, all before intact, and on with room.

The disk is a small memory disk, which takes the right to mount one; without it this says so and tries nothing.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.conftest import LiveServer, free_port, reading_object
from tests.hard.machine import HOST
from tests.hard.phones import Line, Phone, broken_promises, new_vehicle

NO_RIGHT = "Not tried: a small disk cannot be mounted here, which takes root and a system that allows it."


@dataclass
class Found:
    acknowledged_before: int
    acknowledged: int
    said: str
    broken: list[str]


@contextmanager
def small_disk(kilobytes: int) -> Iterator[Path | None]:
    """A folder on a disk of this size; None where none can be mounted."""
    with tempfile.TemporaryDirectory(prefix="plumbtack-full-") as folder:
        mount = ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k,mode=0700", "tmpfs", folder]
        try:
            done = subprocess.run(mount, capture_output=True, check=False)
        except OSError:
            done = None
        if done is None or done.returncode:
            yield None
            return
        try:
            yield Path(folder)
        finally:
            subprocess.run(["umount", "-l", folder], check=True)


def run(kilobytes: int = 1200) -> Found | None:
    """None where no disk can be mounted."""
    with small_disk(kilobytes) as folder:
        if folder is None:
            return None
        server = LiveServer(folder / "data", HOST, free_port(HOST))
        server.start()
        try:
            return _filled(server, folder, kilobytes)
        finally:
            server.stop(9)


def _filled(server: LiveServer, folder: Path, kilobytes: int) -> Found:
    vehicle_id = new_vehicle(server)
    phones = [Phone(f"phone{number}", server, vehicle_id, pause=0) for number in range(3)]
    for phone in phones:
        phone.start()
    until = time.monotonic() + 120
    while not all(phone.full for phone in phones) and time.monotonic() < until:
        time.sleep(0.1)
    before = sum(len(phone.acknowledged) for phone in phones)
    broken = [] if all(phone.full for phone in phones) else ["the disk did not fill"]
    broken += [f"no room: {line}" for line in _whole(server, vehicle_id, phones)]
    large = json.dumps({"entries": [reading_object(1, note="x" * 9000)]}).encode()
    with Line(server) as line:
        answer = line.ask("POST", f"/vehicles/{vehicle_id}/entries", large)
    said = f"{answer.status} {answer.json.get('error', '')}"
    if answer.status != 507:
        broken.append(f"expected 507: {said}")
    subprocess.run(["mount", "-o", f"remount,size={20 * kilobytes}k", str(folder)], check=True)
    time.sleep(2)
    for phone in phones:
        phone.ended.set()
    for phone in phones:
        phone.join(timeout=30)
    after = sum(len(phone.acknowledged) for phone in phones)
    if after <= before:
        broken.append("nothing was acknowledged once there was room")
    broken += broken_promises(server, vehicle_id, phones)
    server.stop(9)
    server.start()
    broken += [f"after a kill: {line}" for line in broken_promises(server, vehicle_id, phones)]
    return Found(before, after, said, broken)


def _whole(server: LiveServer, vehicle_id: str, phones: list[Phone]) -> list[str]:
    """What is lost while there is no room."""
    wanted = {name for phone in phones for name in list(phone.acknowledged) if "back" not in name}
    stored = [entry["id"] for entry in server.ask(f"/vehicles/{vehicle_id}/file")["entries"]]
    return [f"lost: {name}" for name in wanted - set(stored)] + (["twice"] if len(stored) != len(set(stored)) else [])


def main() -> int:
    argparse.ArgumentParser(prog="python -m tests.hard.full_disk", description=__doc__).parse_args()
    found = run()
    if found is None:
        print(NO_RIGHT, file=sys.stderr)
        return 3
    print(f"{found.acknowledged_before} entries acknowledged until the disk was full, {found.acknowledged} in the end")
    print(f"said: {found.said}")
    print("\n".join(found.broken[:20]) or "none lost, none twice, none changed; the report is that of the file")
    return 1 if found.broken else 0


if __name__ == "__main__":
    sys.exit(main())
