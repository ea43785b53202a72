"""The long trials in short: a few kills, a few hundred requests."""

from __future__ import annotations

import signal

import pytest

from tests.hard import flipped_bytes, full_disk, fuzz, kills, load, side_by_side, soak, stopped_writer
from tests.hard.machine import served
from tests.hard.phones import new_vehicle


def test_a_few_kills_lose_nothing_that_was_acknowledged():
    found = kills.run(4)
    assert found.broken == [] and found.acknowledged > 20 and found.photos > 0


@pytest.mark.skipif(not hasattr(signal, "SIGSTOP"), reason="no way to stop a process here")
def test_processes_that_stand_still_lose_nothing():
    found = stopped_writer.run(3, seconds=0.8)
    assert found.broken == [] and found.acknowledged > 5
    assert found.read_while_held < 5  # seconds; posts that wait must not use up all threads


def test_a_disk_that_fills_is_507_and_loses_nothing():
    found = full_disk.run(900)
    if found is None:
        pytest.skip(full_disk.NO_RIGHT)
    assert found.broken == [] and found.acknowledged > found.acknowledged_before > 5
    assert found.said.startswith("507 ") and found.said.endswith(".")


def test_a_byte_that_is_not_the_one_written_is_never_taken_for_good():
    found = flipped_bytes.run(3)
    assert found.broken == [] and found.refused > 50 and found.unharmed > 10


def test_a_few_hundred_requests_of_any_kind_find_no_fault():
    found = fuzz.run(400, seed=7)
    assert found.broken == [] and found.requests >= 380
    assert {200, 303, 404, 422} <= set(found.statuses)


@pytest.mark.parametrize("vehicles", [1, 3])
def test_phones_at_full_speed_lose_nothing(vehicles: int):
    with served() as server:
        found = load.post(server, [new_vehicle(server) for _ in range(vehicles)], phones=4, each=12)
    assert found.broken == [] and len(found.took) == 48


def test_two_vehicles_worked_on_at_once_are_not_mixed_up():
    found = side_by_side.run(90, seconds=4, samples=2)
    assert found.broken == [] and len(found.screens) > 5 and len(found.posts) > 5


def test_a_few_seconds_of_mixed_work_find_no_fault():
    found = soak.run(6)
    assert [line for line in found.broken if "grew" not in line] == []  # growth takes minutes to judge
    assert found.requests > 20
