"""Mixed work for minutes: memory and open files at the end as after the first fifth."""

from __future__ import annotations

import argparse
import json
import random
import sys
import threading
import time
from dataclasses import dataclass, field

from tests.conftest import LiveServer
from tests.hard.load import MORE_ROOMS, ROOMS
from tests.hard.machine import memory, open_files, served
from tests.hard.other_entries import CYCLE, other_entry, photo_form, picture
from tests.hard.phones import NAMES, Line, new_vehicle, reading

VEHICLES = 4
ENTRIES = 120
"""On each vehicle, there from the first: readings are sent again and facts changed, so that all is worked out anew
again and again while the data stays as large as it is."""
PHOTOS = 6
"""On each vehicle, the first there from the start."""
FORM = {"Content-Type": "application/x-www-form-urlencoded", "Accept": "text/html"}


@dataclass
class Found:
    requests: int = 0
    memories: list[float] = field(default_factory=list)
    files: list[int] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)


def run(seconds: float, workers: int = 4, samples: int = 20) -> Found:
    found, ended = Found(), threading.Event()
    with served() as server:
        vehicles = [new_vehicle(server) for _ in range(VEHICLES)]
        there = {"entries": [reading("soakphone", number) for number in range(ENTRIES)]}
        for vehicle_id in vehicles:
            server.ask(f"/vehicles/{vehicle_id}/entries", there)
            with Line(server) as line:
                line.ask("POST", f"/vehicles/{vehicle_id}/photos", *photo_form("soakphone-photo-000", picture()))
        threads = [threading.Thread(target=_work, args=(server, vehicles, n, found, ended)) for n in range(workers)]
        for thread in threads:
            thread.start()
        for _ in range(samples):
            ended.wait(seconds / samples)
            found.memories.append(memory(server) or 0.0)
            found.files.append(open_files(server) or 0)
        ended.set()
        for thread in threads:
            thread.join(timeout=60)
        server.stop()
        if "Traceback" in server.said:
            found.broken.append("a traceback: " + server.said[server.said.index("Traceback") :][-1500:])
    early = samples // 5
    if found.memories[-1] > 1.15 * found.memories[early] + 15:
        found.broken.append(f"memory grew from {found.memories[early]:.0f} to {found.memories[-1]:.0f} MB")
    if max(found.files[-3:]) > max(found.files[: early + 1]) + 6:
        found.broken.append(f"open files grew from {max(found.files[: early + 1])} to {max(found.files[-3:])}")
    return found


def _work(server: LiveServer, vehicles: list[str], number: int, found: Found, ended: threading.Event) -> None:
    luck, line = random.Random(number), Line(server, 60)
    tags: dict[str, str] = {}
    turn = 0
    while not ended.is_set():
        turn += 1
        vehicle_id = luck.choice(vehicles)
        act = luck.random()
        if act < 0.15:
            again = reading("soakphone", turn % ENTRIES)
            other = other_entry("soakphone", turn % len(CYCLE), reading("soakphone", 0))
            body = json.dumps({"entries": [again, other]}).encode()
            answer = line.ask("POST", f"/vehicles/{vehicle_id}/entries", body)
        elif act < 0.18:
            number = turn % PHOTOS
            body, told = photo_form(f"soakphone-photo-{number:03d}", picture())
            answer = line.ask("POST", f"/vehicles/{vehicle_id}/photos", body, told)
        elif act < 0.2:
            query = "?small=1" if luck.random() < 0.5 else ""
            answer = line.ask("GET", f"/vehicles/{vehicle_id}/photos/soakphone-photo-000{query}")
        elif act < 0.3:
            body = f"brake_share_front={luck.randrange(40, 80)}&unsprung_mass={luck.randrange(150, 300)}&tape_class=II"
            answer = line.ask("POST", f"/vehicles/{vehicle_id}/facts", body.encode(), FORM)
        elif act < 0.5:
            answer = line.ask("GET", f"/vehicles/{vehicle_id}/fresh?v={luck.randrange(500)}&room=walk")
        elif act < 0.65:
            query = f"reading={luck.choice(NAMES)}&value={luck.uniform(300, 900):.1f}&unit=mm"
            answer = line.ask("GET", f"/vehicles/{vehicle_id}/remark?{query}")
        else:
            room = luck.choice((*ROOMS, *ROOMS, *MORE_ROOMS))
            path = luck.choice(("/", "/vehicles", *[f"/vehicles/{vehicle_id}/{room}"] * 8))
            headers = {"If-None-Match": tags[path]} if path in tags and luck.random() < 0.5 else {}
            answer = line.ask("GET", path, None, {**headers, "Accept-Encoding": luck.choice(("gzip", "identity"))})
            tags[path] = answer.headers.get("etag", "")
        if luck.random() < 0.02:
            line.close()  # a phone that sleeps
        found.requests += 1
        if answer.status not in (200, 204, 303, 304):
            found.broken.append(f"{answer.status}: {answer.body[:200]!r}")
        time.sleep(0.01)
    line.close()


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.hard.soak", description=__doc__)
    asked.add_argument("--minutes", type=float, default=10)
    chosen = asked.parse_args()
    found = run(60 * chosen.minutes)
    print(f"{found.requests} requests in {chosen.minutes:g} minutes")
    print(f"memory, MB: {[round(each) for each in found.memories]}")
    print(f"open files: {found.files}")
    print("\n".join(found.broken[:20]) or "memory and open files at the end as after the first fifth")
    return 1 if found.broken else 0


if __name__ == "__main__":
    sys.exit(main())
