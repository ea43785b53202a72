"""Reports in memory: the newest always, worked out once."""

from __future__ import annotations

import threading
import time

import pytest

from capture import models, report
from capture.models import Models
from capture.store import NoSuchVehicle, Store
from capture.vehicle_file import VehicleFile, check_entries
from capture.worked import Workshop
from tests.conftest import reading_object, vehicle_object


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows by the number of entries each time a report is made."""
    made: list[int] = []
    really = report.build

    def build(vehicle: VehicleFile, stage: str | None, workshop: Workshop) -> report.Report:
        made.append(len(vehicle.entries))
        time.sleep(0.02)  # long enough for others to ask meanwhile
        return really(vehicle, stage, workshop)

    monkeypatch.setattr(report, "build", build)
    return made


@pytest.fixture
def vehicle(store: Store) -> str:
    return store.create(VehicleFile.model_validate(vehicle_object()))


def add(store: Store, vehicle_id: str, number: int) -> None:
    store.add_entries(vehicle_id, check_entries([reading_object(number)], store.head(vehicle_id)))


def test_a_report_is_made_once_and_anew_when_the_log_grows(store: Store, vehicle: str, built: list[int]):
    made = Models(store)
    first = made.at(vehicle)
    assert made.at(vehicle) is first and built == [0]
    add(store, vehicle, 1)
    assert len(made.at(vehicle).stage_view.observations) == 1 and built == [0, 1]
    add(store, vehicle, 1)  # sent again: nothing new
    assert made.at(vehicle) is made.at(vehicle) and built == [0, 1]


def test_what_another_program_adds_is_seen_too(store: Store, vehicle: str):
    made = Models(store)
    made.at(vehicle)
    other = Store(store.folder)
    add(other, vehicle, 1)
    other.close()
    assert len(made.at(vehicle).stage_view.observations) == 1


def test_each_stage_has_its_own_report(store: Store, vehicle: str, built: list[int]):
    made = Models(store)
    add(store, vehicle, 1)
    assert made.at(vehicle, "welded").stage_view.stage == "welded"
    assert made.at(vehicle, "mock_up").stage_view.stage == "mock_up"
    assert made.at(vehicle).stage_view.stage == "mock_up"
    assert len(built) == 3


def test_many_asking_at_once_make_one_report(store: Store, vehicle: str, built: list[int]):
    made = Models(store)
    found: list[report.Report] = []
    askers = [threading.Thread(target=lambda: found.append(made.at(vehicle))) for _ in range(8)]
    for asker in askers:
        asker.start()
    for asker in askers:
        asker.join()
    assert len(found) == 8 and len(set(map(id, found))) == 1 and built == [0]


def test_the_version_told_belongs_to_the_report(store: Store, vehicle: str):
    made = Models(store)
    add(store, vehicle, 1)
    shown, version = made.at_version(vehicle)
    assert version == store.version(vehicle) and len(shown.stage_view.observations) == 1


def test_only_so_many_reports_are_held(store: Store, built: list[int], monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(models, "KEPT", 2)
    made = Models(store)
    ids = [store.create(VehicleFile.model_validate(vehicle_object())) for _ in range(3)]
    for vehicle_id in ids:
        made.at(vehicle_id)
    made.at(ids[2])
    assert len(built) == 3
    made.at(ids[0])
    assert len(built) == 4


def test_of_long_logs_fewer_reports_are_held(store: Store, built: list[int], monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(models, "MOST_ENTRIES", 3)
    made = Models(store)
    ids = [store.create(VehicleFile.model_validate(vehicle_object())) for _ in range(2)]
    for number in (1, 2):
        for vehicle_id in ids:
            add(store, vehicle_id, number)
    made.at(ids[0])
    made.at(ids[1])
    made.at(ids[1])
    assert len(built) == 2
    made.at(ids[0])
    assert len(built) == 3


def test_an_unknown_vehicle_has_no_report(store: Store):
    with pytest.raises(NoSuchVehicle):
        Models(store).at("0000000000000000")
