"""A posted reading against a bare Flask route that commits one row: same SQLite settings, same client, in turn.

Both are asked in-process, so that no network is timed. The refit is a second request, the report after the post.
"""

from __future__ import annotations

import json
import sqlite3
import statistics
import tempfile
from collections.abc import Callable
from pathlib import Path

from flask import Flask, jsonify, request

from capture import create_app
from capture.log import observations
from capture.report import setup_of
from capture.settings import Settings
from capture.vehicle_file import read_vehicle_file
from geometry.fit import fit
from tests.benchmarks.clock import one, said
from tests.benchmarks.vehicles import measured

PAIRS, WARM = 150, 10


def bare_route(folder: Path) -> Callable[[dict], object]:
    """The least that keeps a row: one table, one insert, one commit with the same care for the disk."""
    app, path = Flask("bare"), folder / "bare.sqlite"
    db = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    for setting in ("journal_mode = WAL", "synchronous = FULL", "fullfsync = ON", "foreign_keys = ON"):
        db.execute(f"PRAGMA {setting}")
    db.execute("CREATE TABLE entries (seq INTEGER PRIMARY KEY, id TEXT UNIQUE, body TEXT)")

    @app.post("/entries")
    def add():
        entry = request.get_json()["entries"][0]
        db.execute("BEGIN IMMEDIATE")
        db.execute("INSERT INTO entries (id, body) VALUES (?, ?)", (entry["id"], json.dumps(entry)))
        db.execute("COMMIT")
        return jsonify({"stored": [entry["id"]]})

    client = app.test_client()
    return lambda body: client.post("/entries", json=body)


def our_door(folder: Path) -> tuple[Callable[[dict], object], Callable[[], object]]:
    """Our own route over a vehicle of 60 readings, and the report that follows."""
    app = create_app(Settings(folder / "data"))
    parts = app.extensions["plumbtack"]
    vehicle_id = parts.store.create(read_vehicle_file(json.dumps(measured(60)).encode(), "timed"))
    client = app.test_client()
    key = {"Authorization": f"Bearer {parts.pairing.key}", "Origin": "http://localhost"}
    return (
        lambda body: client.post(f"/vehicles/{vehicle_id}/entries", json=body, headers=key),
        lambda: client.get(f"/vehicles/{vehicle_id}/report", headers=key),
    )


def entry(number: int) -> dict:
    return {
        "id": f"posted-{number:06d}", "at": "2026-05-02T09:14:07Z", "stage": "mock_up", "type": "reading",
        "reading": "height:lower_left.frame", "value": 430.0 + 0.01 * (number % 7), "text": "430", "unit": "mm",
        "note": "",
    }  # fmt: skip


def checked(answer) -> None:
    if answer.status_code != 200:
        raise SystemExit(f"answered {answer.status_code}: {answer.get_data(as_text=True)[:200]}")


def run() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        bare, (post, report) = bare_route(folder), our_door(folder)
        rows = []
        for number in range(PAIRS + WARM):
            body = {"entries": [entry(number)]}
            pair = [lambda: checked(bare(body)), lambda: checked(post(body))]  # noqa: B023  called at once
            first, second = (0, 1) if number % 2 else (1, 0)
            taken = {first: one(pair[first]), second: one(pair[second])}
            refit = one(lambda: checked(report())) if number % 10 == 0 else None
            rows.append((taken[0], taken[1], refit))
        rows = rows[WARM:]
        plain, ours = (statistics.median(row[column] for row in rows) for column in (0, 1))
        ratio = statistics.median(row[1] / row[0] for row in rows)
        refit = statistics.median(row[2] for row in rows if row[2] is not None)
        print(f"\nA posted reading, {PAIRS} pairs in turn, synchronous=FULL, WAL")
        print(f"  bare Flask route {said(plain)}   ours {said(ours)}   median ratio of the pairs {ratio:.2f}")
        print(f"  with the refit and the whole report after it {said(ours + refit)}")
        _p95_with_a_refit(rows)


def _p95_with_a_refit(rows: list[tuple[float, float, float | None]]) -> None:
    """Entry to answer, beside a bare route that would do one refit of the same vehicle before it answers."""
    vehicle = read_vehicle_file(json.dumps(measured(60)).encode(), "timed")
    setup, seen = setup_of(vehicle), observations(vehicle).observations
    fit(setup, seen)
    refits = [one(lambda: fit(setup, seen)) for _ in rows]
    plain = p95([row[0] + refit for row, refit in zip(rows, refits, strict=True)])
    ours = p95([row[1] for row in rows])
    ratio = ours / plain
    print(f"  p95: bare route and one refit {said(plain)}   ours, entry to answer {said(ours)}   {ratio:.2f} times")


def p95(taken: list[float]) -> float:
    return sorted(taken)[min(len(taken) - 1, int(0.95 * len(taken)))]
