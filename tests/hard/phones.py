"""Made phones that send readings through the door and remember what was acknowledged."""

from __future__ import annotations

import hashlib
import http.client
import json
import random
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from tests.conftest import LiveServer, vehicle_object
from tests.hard.other_entries import other_entry, photo_form, picture

MOST_PHOTOS = 25
"""Of one phone: a vehicle holds 100."""
JOINTS = tuple(f"{link}.{end}" for link in ("lower_left", "lower_right", "upper") for end in ("frame", "axle"))
NAMES = (
    *(f"{kind}:{point}" for point in JOINTS for kind in ("height", "fore_aft", "lateral")),
    "wheelbase:left",
    "span:lower_left.axle~lower_left.frame",
    "height:wheel_left.centre",
    "height:wheel_right.centre",
)


def new_vehicle(server: LiveServer) -> str:
    """An empty vehicle; its id."""
    return server.ask("/vehicles", vehicle_object())["id"]


def reading(phone: str, number: int) -> dict[str, Any]:
    """The entry of this number; the same again for the same phone and number, all its values plausible."""
    name = NAMES[number % len(NAMES)]
    value = {"height": 450.0, "fore_aft": 900.0, "lateral": 450.0}.get(name.partition(":")[0], 2700.0)
    return {
        "id": f"{phone}-{number:07d}",
        "at": f"2026-05-02T{number // 3600 % 24:02d}:{number // 60 % 60:02d}:{number % 60:02d}.{len(phone):03d}Z",
        "stage": "mock_up",
        "type": "reading",
        "reading": name,
        "value": value + number % 7 / 8,
        "unit": "mm",
    }


def taking_back(phone: str, number: int) -> dict[str, Any]:
    """The withdrawal of this number's reading."""
    entry = reading(phone, number)
    return {"id": f"{phone}-back-{number:07d}", "at": entry["at"], "type": "withdraw", "of": entry["id"]}


@dataclass
class Answer:
    status: int
    body: bytes
    headers: dict[str, str]

    @property
    def json(self) -> Any:
        return json.loads(self.body)


class Line:
    """One connection kept open, as a browser keeps it; opened anew after trouble."""

    def __init__(self, server: LiveServer, timeout: float = 30.0) -> None:
        self.server, self.timeout, self.key = server, timeout, server.key
        self._connection: http.client.HTTPConnection | None = None

    def ask(self, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None) -> Answer:
        """Raises OSError or HTTPException when there was no answer."""
        if self._connection is None:
            self._connection = http.client.HTTPConnection(self.server.host, self.server.port, timeout=self.timeout)
        told = {"Authorization": f"Bearer {self.key}", **(headers or {})}
        try:
            self._connection.request(method, path, body, told)
            answer = self._connection.getresponse()
            return Answer(answer.status, answer.read(), {name.lower(): value for name, value in answer.getheaders()})
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def __enter__(self) -> Line:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


@dataclass
class Phone(threading.Thread):
    """Sends entries of all types until told to stop, each again until it is acknowledged, some once more, some out of
    order, and now and then a photo."""

    name_: str
    server: LiveServer
    vehicle_id: str
    timeout: float = 5.0
    pause: float = 0.004
    most: int | None = None
    sent: dict[str, dict[str, Any]] = field(default_factory=dict)
    acknowledged: set[str] = field(default_factory=set)
    took: list[float] = field(default_factory=list)
    refused: list[tuple[int, str]] = field(default_factory=list)
    full: int = 0
    photos: set[str] = field(default_factory=set)
    """Ids of the photos whose picture was acknowledged."""
    tried: set[str] = field(default_factory=set)
    """Ids of the photos sent, acknowledged or not."""

    def __post_init__(self) -> None:
        super().__init__(daemon=True)
        self.ended = threading.Event()
        self._luck = random.Random(self.name_)
        self._line = Line(self.server, self.timeout)

    __hash__ = threading.Thread.__hash__

    def run(self) -> None:
        number, others = 0, 0
        while not self.ended.is_set() and (self.most is None or number < self.most):
            batch = [reading(self.name_, number + step) for step in range(self._luck.choice((1, 1, 1, 2, 5)))]
            number += len(batch)
            if self._luck.random() < 0.05:
                batch.insert(0, taking_back(self.name_, self._luck.randrange(number)))
            if self._luck.random() < 0.15:
                batch.append(other_entry(self.name_, others, batch[-1]))
                others += 1
            if len(self.tried) < MOST_PHOTOS and self._luck.random() < 0.05:
                self._photo(f"{self.name_}-photo-{len(self.tried):06d}")
            if self.acknowledged and self._luck.random() < 0.1:
                batch.append(self.sent[self._luck.choice(sorted(self.acknowledged)[:50])])
            self._until_acknowledged(list({entry["id"]: entry for entry in batch}.values()))
            if self.pause:
                time.sleep(self._luck.random() * 2 * self.pause)
        self._line.close()

    def _until_acknowledged(self, batch: list[dict[str, Any]]) -> None:
        self.sent.update({entry["id"]: entry for entry in batch})
        answer = self._until_answered("entries", json.dumps({"entries": batch}).encode(), {})
        if answer is not None:
            self.acknowledged.update(answer.json["stored"])

    def _photo(self, name: str) -> None:
        self.tried.add(name)
        if self._until_answered("photos", *photo_form(name, picture())) is not None:
            self.photos.add(name)

    def _until_answered(self, where: str, body: bytes, headers: dict[str, str]) -> Answer | None:
        """The answer once it is 200; None when it was refused or this phone is told to stop."""
        while not self.ended.is_set():
            began = time.monotonic()
            try:
                answer = self._line.ask("POST", f"/vehicles/{self.vehicle_id}/{where}", body, headers)
            except (OSError, http.client.HTTPException):
                self.ended.wait(0.02)
                continue
            if answer.status == 200:
                self.took.append(time.monotonic() - began)
                return answer
            if answer.status == 507:
                self.full += 1
            elif answer.status != 503:
                self.refused.append((answer.status, answer.body.decode(errors="replace")[:200]))
                return None
            self.ended.wait(0.2)
        return None


def broken_promises(server: LiveServer, vehicle_id: str, phones: list[Phone]) -> list[str]:
    """What is not as it was promised, each in a line: nothing acknowledged lost, nothing twice, nothing changed."""
    from capture.report import build
    from capture.vehicle_file import read_vehicle_file

    file = server.ask(f"/vehicles/{vehicle_id}/file")
    ids = [entry["id"] for entry in file["entries"]]
    sent = {name: entry for phone in phones for name, entry in phone.sent.items()}
    acknowledged = {name for phone in phones for name in phone.acknowledged}
    tried = {name for phone in phones for name in phone.tried}
    stored = {entry["id"]: entry for entry in file["entries"] if entry["id"] not in tried}
    waiting = {name for name in acknowledged if sent[name]["type"] == "withdraw" and sent[name]["of"] not in stored}
    found = [f"lost: {name}" for name in sorted(acknowledged - stored.keys() - waiting)]
    found += [f"twice: {name}" for name, count in Counter(ids).items() if count > 1]
    found += [f"not as it was sent: {name}" for name, entry in stored.items() if entry != sent.get(name)]
    found += [f"refused: {refused}" for phone in phones for refused in phone.refused]
    found += [line for phone in phones for line in _photos_lost(phone, file["entries"])]
    report = server.ask(f"/vehicles/{vehicle_id}/report")
    again = build(read_vehicle_file(json.dumps(file), "the file")).as_json()
    if json.loads(json.dumps(again)) != report:
        found.append("the report is not that of the file")
    return found


def _photos_lost(phone: Phone, entries: list[dict[str, Any]]) -> list[str]:
    """The acknowledged photos that are not there, or whose picture is not the one their entry names."""
    named = {entry["id"]: entry["sha256"] for entry in entries if entry["id"] in phone.tried}
    found = [f"lost: {name}" for name in sorted(phone.photos - named.keys())]
    with Line(phone.server) as line:
        for name, digest in named.items():
            answer = line.ask("GET", f"/vehicles/{phone.vehicle_id}/photos/{name}")
            if answer.status != 200 or hashlib.sha256(answer.body).hexdigest() != digest:
                found.append(f"a photo without its picture: {name}, {answer.status}")
    return found


def shares(took: list[float]) -> str:
    """p50, p95, p99 and the longest, ms."""
    there = sorted(took) or [0.0]
    marks = [there[min(len(there) - 1, int(len(there) * share))] for share in (0.5, 0.95, 0.99)] + [there[-1]]
    return "p50 {:.1f}, p95 {:.1f}, p99 {:.1f}, longest {:.1f} ms".format(*(1000 * mark for mark in marks))
