"""Two vehicles with thousands of entries each on one server: both measured and looked at all at once, none mixed up."""

from __future__ import annotations

import argparse
import json
import random
import sys
import threading
import time
from dataclasses import dataclass, field
from typing import Any

from capture.report import build
from capture.vehicle_file import read_vehicle_file
from tests.benchmarks.vehicles import measured
from tests.conftest import LiveServer
from tests.hard.load import MORE_ROOMS, ROOMS
from tests.hard.machine import memory, served
from tests.hard.phones import Line, reading, shares

NAMED = ("Blue vehicle", "Green vehicle")
DATA = ("report", "file")


@dataclass
class Found:
    screens: list[float] = field(default_factory=list)
    posts: list[float] = field(default_factory=list)
    memories: list[float] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)


@dataclass
class Owner:
    """Who works on one of the two: one phone posts, another goes from screen to screen."""

    server: LiveServer
    name: str
    vehicle_id: str
    began: int
    """Entries there at the start."""
    found: Found
    ended: threading.Event
    posted: int = 0

    def post(self) -> None:
        with Line(self.server, 120) as line:
            while not self.ended.wait(0.1):
                entry = reading(f"{self.name.split()[0]}phone", self.posted)
                began = time.monotonic()
                body = json.dumps({"entries": [entry]}).encode()
                answer = line.ask("POST", f"/vehicles/{self.vehicle_id}/entries", body)
                self.found.posts.append(time.monotonic() - began)
                if answer.status != 200:
                    self.found.broken.append(f"{answer.status}: {answer.body[:200]!r}")
                self.posted += 1

    def look(self) -> None:
        luck = random.Random(self.name)
        others = [name.encode() for name in NAMED if name != self.name]
        with Line(self.server, 120) as line:
            while not self.ended.is_set():
                room = luck.choice((*ROOMS, *ROOMS, *MORE_ROOMS))
                began = time.monotonic()
                answer = line.ask("GET", f"/vehicles/{self.vehicle_id}/{room}")
                if room not in DATA:
                    self.found.screens.append(time.monotonic() - began)
                if answer.status != 200 or any(name in answer.body for name in others):
                    self.found.broken.append(f"{self.name}, {room}: {answer.status}, or the other one's name on it")

    def mixed_up(self) -> list[str]:
        """What is not its own, or missing, in the end."""
        file = self.server.ask(f"/vehicles/{self.vehicle_id}/file")
        own = {entry["id"] for entry in file["entries"]}
        told = [reading(f"{self.name.split()[0]}phone", number)["id"] for number in range(self.posted)]
        found = [] if file["name"] == self.name else [f"{self.name} is called {file['name']}"]
        found += [f"{self.name}: lost {entry}" for entry in told if entry not in own]
        if len(file["entries"]) != self.began + self.posted:
            found.append(f"{self.name}: {len(file['entries'])} entries, not {self.began} + {self.posted}")
        again = build(read_vehicle_file(json.dumps(file), "the file")).as_json()
        if json.loads(json.dumps(again)) != self.server.ask(f"/vehicles/{self.vehicle_id}/report"):
            found.append(f"{self.name}: the report is not that of its file")
        return found


def run(entries: int, seconds: float, samples: int = 10) -> Found:
    found, ended = Found(), threading.Event()
    with served() as server:
        owners = [Owner(server, name, _stored(server, name, entries), entries, found, ended) for name in NAMED]
        threads = [threading.Thread(target=work) for owner in owners for work in (owner.post, owner.look, owner.look)]
        for thread in threads:
            thread.start()
        for _ in range(samples):
            ended.wait(seconds / samples)
            found.memories.append(memory(server) or 0.0)
        ended.set()
        for thread in threads:
            thread.join(timeout=120)
        found.broken += [line for owner in owners for line in owner.mixed_up()]
        server.stop()
        if "Traceback" in server.said:
            found.broken.append("a traceback: " + server.said[server.said.index("Traceback") :][-1500:])
    return found


def _stored(server: LiveServer, name: str, entries: int) -> str:
    """A vehicle of this name with so many entries, all named after it; its id."""
    whole = measured(entries)
    told: list[dict[str, Any]] = [
        entry | {"id": f"{name.split()[0]}-{entry['id']}"} for entry in whole["entries"]
    ]
    return server.ask("/vehicles", whole | {"name": name, "entries": told})["id"]


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.hard.side_by_side", description=__doc__)
    asked.add_argument("--entries", type=int, default=5000, help="of each vehicle")
    asked.add_argument("--minutes", type=float, default=2)
    chosen = asked.parse_args()
    found = run(chosen.entries, 60 * chosen.minutes)
    print(f"two vehicles of {chosen.entries} entries, a phone posting and two looking at each, {chosen.minutes:g} min")
    print(f"  {len(found.screens)} screens {shares(found.screens)}")
    print(f"  {len(found.posts)} posts   {shares(found.posts)}")
    print(f"  memory, MB: {[round(each) for each in found.memories]}")
    print("\n".join(found.broken[:20]) or "nothing lost and nothing mixed up")
    return 1 if found.broken else 0


if __name__ == "__main__":
    sys.exit(main())
