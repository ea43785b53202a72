"""Two phones, a resend, a store put back: whatever order entries come in, the model is the same.

The log keeps the order of arrival, because no phone's clock can be trusted. What the model makes of the readings does
not depend on it: takes of one reading are numbered, and rows go into the fit, by the times the phones wrote down.
"""

from __future__ import annotations

import json
import random
from typing import Any

import pytest
from flask.testing import FlaskClient

from capture.report import Report, build
from capture.store import Store
from tests.reference.made import made

CLOSE = 1e-9
"""mm, deg, % alike: far below what a double of this size loses in one sum over a few hundred readings."""


def by_entry(report: Report) -> dict[str, tuple[float, ...]]:
    """What the fit says of each take, by the id of its entry."""
    fit = report.fit
    rows = zip(fit.observations, fit.residual, fit.sd, fit.redundancy, fit.w, strict=True)
    return {seen.id: tuple(map(float, row)) for seen, *row in rows}


def keys(report: Report) -> dict[str, str]:
    """Which take is the second of its reading, by the id of its entry."""
    return {take.id: take.key for take in report.stage_view.takes}


def numbers(report: Report) -> dict[str, tuple[float, ...]]:
    """Everything the report counts, by name."""
    points = {name: (point.x, point.y, point.z, *point.sd) for name, point in report.fit.placed().items()}
    figures = {key: (figure.value, figure.sd) for key, figure in report.sheet.figures.items()
               if figure.value is not None and figure.sd is not None}  # fmt: skip
    return {**points, **figures, **by_entry(report)}


def left_out(report: Report) -> set[tuple[str, str]]:
    return {(out.entry.id, out.why) for out in report.stage_view.left_out}


def doubted(report: Report) -> list[tuple[str, set[str]]]:
    ids = {take.key: take.id for take in report.stage_view.takes}
    return [(doubt.reason, {ids[key] for key in doubt.readings}) for doubt in report.doubts]


def sent(client: FlaskClient, head: dict[str, Any], entries: list[dict[str, Any]], size: int) -> str:
    """A vehicle whose entries came in through the door in this order, so many at once."""
    vehicle_id = client.post("/vehicles", json=head).json["id"]
    for start in range(0, len(entries), size):
        batch = entries[start : start + size]
        answer = client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": batch})
        assert answer.json == {"stored": [entry["id"] for entry in batch]}
    return vehicle_id


@pytest.mark.parametrize("layout", ["three_link_panhard", "four_link"])
def test_any_order_of_arrival_gives_the_same_model(client: FlaskClient, store: Store, layout: str):
    whole = made(layout, "front", 5)
    head = whole | {"entries": []}
    entries = [entry | {"at": f"2026-05-02T{9 + number // 60:02d}:{number % 60:02d}:07Z"}
               for number, entry in enumerate(whole["entries"])]  # fmt: skip
    assert any(entry["type"] == "withdraw" for entry in entries) and len(entries) > 100
    first = build(store.vehicle(sent(client, head, entries, 50)))
    wanted = numbers(first)
    for seed, size in ((1, 1), (2, 7), (3, 50)):
        shuffled = random.Random(seed).sample(entries, len(entries))
        vehicle = store.vehicle(sent(client, head, shuffled, size))
        assert {entry.id for entry in vehicle.entries} == {entry["id"] for entry in entries}
        found = build(vehicle)
        assert left_out(found) == left_out(first)
        assert doubted(found) == doubted(first)
        assert keys(found) == keys(first) and any(key.endswith("#2") for key in keys(found).values())
        got = numbers(found)
        assert got.keys() == wanted.keys()
        worst = max(abs(one - other) for name in wanted for one, other in zip(wanted[name], got[name], strict=True))
        assert worst < CLOSE


def chain(length: int) -> list[dict[str, Any]]:
    """A reading, its withdrawal, the withdrawal of that, and so on."""
    reading = json.loads(
        '{"id": "link-0000", "at": "2026-05-02T09:14:07Z", "stage": "mock_up", "type": "reading", '
        '"reading": "height:upper_left.frame", "value": 700.5}'
    )
    links = [{"id": f"link-{number:04d}", "at": "2026-05-02T09:14:07Z", "type": "withdraw",
              "of": f"link-{number - 1:04d}"} for number in range(1, length)]  # fmt: skip
    return [reading, *links]


@pytest.mark.parametrize("length", [2, 3, 4, 5])
def test_what_takes_back_what_took_back_means_the_same_in_any_order(client: FlaskClient, store: Store, length: int):
    head = made("four_link", "front", 5) | {"entries": []}
    counts = set()
    for seed in range(6):
        entries = random.Random(seed).sample(chain(length), length)
        vehicle = store.vehicle(sent(client, head, entries, 1))
        assert len(vehicle.entries) == length
        counts.add(len(build(vehicle).stage_view.takes))
    assert counts == {length % 2}  # an even number of entries ends with the reading withdrawn


def test_a_clock_that_is_off_changes_the_order_and_nothing_else(client: FlaskClient, store: Store):
    whole = made("four_link", "front", 5)
    head, entries = whole | {"entries": []}, whole["entries"]
    readings = []
    for shift in (0, 1):
        moved = [entry | {"at": f"2026-05-02T{9 + shift * (number % 2):02d}:{number % 60:02d}:07.{number:03d}Z"}
                 for number, entry in enumerate(entries)]  # fmt: skip
        report = build(store.vehicle(sent(client, head, moved, 200)))
        readings.append({name: (point.x, point.y, point.z) for name, point in report.fit.placed().items()})
    for name, place in readings[0].items():
        assert place == pytest.approx(readings[1][name], abs=1e-5), name  # mm: another order of sums, no other model
