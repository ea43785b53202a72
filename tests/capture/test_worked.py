"""What a new entry does not touch is not worked out again, and what is taken from before is what scratch would give."""

from __future__ import annotations

import json
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from capture import report, worked
from capture.log import NoReadings
from capture.models import Models
from capture.store import Store
from capture.vehicle_file import VehicleFile, check_entries, read_vehicle_file
from capture.worked import Worked, Workshop
from geometry.figures import Facts
from geometry.fit import Setup
from tests.conftest import reading_object, vehicle_object

DEMO = Path(__file__).parents[2] / "demo_vehicles" / "orchard_truck.json"
AT = "2026-06-02T09:14:07Z"
NAMES = ("height:lower_left.frame", "height:lower_left.axle", "span:lower_left.axle~lower_left.frame",
         "span:lower_left.frame~lower_left.axle")  # fmt: skip


@pytest.fixture
def work(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often each of the sums was done."""
    done: Counter[str] = Counter()

    def counted(place: Any, name: str) -> None:
        really = getattr(place, name)

        def sums(*given: Any) -> Any:
            done[name] += 1
            return really(*given)

        monkeypatch.setattr(place, name, sums)

    for place, name in ((worked, "fit"), (worked.doubt, "judge"), (worked.figures, "sheet"),
                        (worked.what_if, "Measured"), (worked.aims, "aim"), (worked.compare, "compare")):  # fmt: skip
        counted(place, name)
    return done


@pytest.fixture
def truck(store: Store) -> str:
    """A whole vehicle, measured at one stage."""
    return store.create(read_vehicle_file(DEMO.read_bytes(), "the truck"))


def add(store: Store, vehicle_id: str, *entries: dict[str, Any]) -> None:
    store.add_entries(vehicle_id, check_entries(list(entries), store.head(vehicle_id), known=None))


def entry(name: str, **said: Any) -> dict[str, Any]:
    return {"id": f"later-{name}", "at": AT, **said}


def later(number: int, **changes: Any) -> dict[str, Any]:
    return reading_object(number, at=AT, **changes)


def shown(models: Models, vehicle_id: str, stage: str | None = None) -> report.Report:
    """A report of which every part has been looked at."""
    found = models.at(vehicle_id, stage)
    found.as_json()
    return found


UNTOUCHED = {
    "note": {"type": "note", "note": "rust at the left bracket"},
    "photo": {"type": "photo", "stage": "mock_up", "sha256": "0" * 64, "width": 8, "height": 8},
}


@pytest.mark.parametrize("kind", list(UNTOUCHED))
def test_what_is_no_reading_leaves_fit_doubts_and_figures_as_they_are(
    store: Store, truck: str, work: Counter[str], kind: str
):
    models = Models(store)
    before = shown(models, truck)
    work.clear()
    add(store, truck, entry(kind, **UNTOUCHED[kind]))
    after = shown(models, truck)
    assert len(after.vehicle.entries) == len(before.vehicle.entries) + 1
    assert not work and after.fit is before.fit and after.sheet is before.sheet
    assert after.stage_view is before.stage_view


def test_a_stage_begun_leaves_the_numbers_of_every_stage(store: Store, truck: str, work: Counter[str]):
    models = Models(store)
    before = shown(models, truck)
    work.clear()
    add(store, truck, entry("begin", type="begin", stage="tacked"))
    assert shown(models, truck).fit is before.fit and not work


def test_a_kept_doubt_is_sorted_anew_from_the_doubts_already_judged(store: Store, truck: str, work: Counter[str]):
    models = Models(store)
    add(store, truck, later(1, value=900.0))
    before = shown(models, truck)
    first = before.doubts[0]
    ids = [before.stage_view.by_key[key].id for key in first.readings]
    work.clear()
    add(store, truck, entry("keep", type="keep", stage="mock_up", of=ids, doubt=first.reason, beyond=abs(first.w)))
    after = shown(models, truck)
    assert not work
    assert first not in after.doubts and [one.doubt for one in after.settled] == [first]


def test_a_reading_of_a_later_stage_leaves_the_earlier_one(store: Store, truck: str, work: Counter[str]):
    models = Models(store)
    before = shown(models, truck, "mock_up")
    work.clear()
    add(store, truck, later(1, stage="tacked"))
    assert shown(models, truck, "mock_up").fit is before.fit and not work
    assert shown(models, truck, "tacked").fit is not before.fit and work["fit"] == 1


def test_a_new_reading_is_one_fit_one_judging_and_one_sheet(store: Store, truck: str, work: Counter[str]):
    models = Models(store)
    shown(models, truck)
    work.clear()
    add(store, truck, later(1, value=shown(models, truck).stage_view.by_name["height:lower_left.frame"][0].value))
    shown(models, truck)
    shown(models, truck)
    assert work == {"fit": 1, "judge": 1, "sheet": 1}


def test_a_reading_taken_back_finds_what_stood_before_it_and_let_in_again_what_stood_after(
    store: Store, truck: str, work: Counter[str]
):
    models = Models(store)
    without = shown(models, truck)
    add(store, truck, later(1))
    with_it = shown(models, truck)
    work.clear()
    add(store, truck, entry("back", type="withdraw", of=later(1)["id"]))
    assert shown(models, truck).fit is without.fit
    add(store, truck, entry("again", type="withdraw", of="later-back"))
    assert shown(models, truck).fit is with_it.fit
    assert not work


def test_a_share_of_braking_changes_figures_and_neither_fit_nor_doubts(store: Store, truck: str, work: Counter[str]):
    models = Models(store)
    shown(models, truck)

    def state(**facts: Any) -> None:
        head = store.head(truck)
        changed = head.facts.model_copy(update=facts)
        store.change_facts(truck, head.model_copy(update={"facts": changed}))

    work.clear()
    state(brake_share_front=0.55)
    shown(models, truck)
    assert work == {"sheet": 1}
    state(tape_class="III")
    shown(models, truck)
    assert work == {"fit": 1, "judge": 1, "sheet": 2}
    state(brake_share_front=0.62)
    assert work["fit"] == 1


def test_a_new_name_of_the_vehicle_works_out_nothing(store: Store, truck: str, work: Counter[str]):
    models = Models(store)
    shown(models, truck)
    work.clear()
    store.change_facts(truck, store.head(truck).model_copy(update={"name": "Another"}))
    assert shown(models, truck).vehicle.name == "Another" and not work


def test_aims_and_comparisons_stand_through_a_note(client: FlaskClient, store: Store, truck: str, work: Counter[str]):
    wants = [{"figure": "caster", "low": 3.0, "high": 5.0}]
    add(store, truck, entry("aims", type="aims", wants=wants, rooms=[
        {"point": "lower_left.frame", "low": [-1000.0, 200.0, 500.0], "high": [-900.0, 400.0, 650.0]}]),
        later(1, stage="tacked"))  # fmt: skip
    rooms = ("aims/answer", "what-if", "compare?from=mock_up&to=tacked", "record")
    pages = [f"/vehicles/{truck}/{room}" for room in rooms]
    assert {client.get(page).status_code for page in pages} == {200}
    assert work["aim"] == 1 and work["compare"] == 1
    work.clear()
    add(store, truck, entry("note", type="note", note="the left nut was loose"))
    assert {client.get(page).status_code for page in pages} == {200}
    assert not work


def test_the_latest_stage_asked_for_by_its_name_is_the_same_view(store: Store, truck: str):
    models = Models(store)
    assert models.at(truck).stage_view is models.at(truck, "mock_up").stage_view
    add(store, truck, later(1, stage="tacked"))
    assert models.at(truck).stage_view is models.at(truck, "tacked").stage_view
    assert models.at(truck, "mock_up").stage_view is not models.at(truck).stage_view


def test_what_a_landed_reading_did_is_told_from_the_report_before_it(
    client: FlaskClient, store: Store, truck: str, work: Counter[str]
):
    client.get(f"/vehicles/{truck}/report")
    work.clear()
    add(store, truck, later(1))
    answer = client.get(f"/vehicles/{truck}/expectations?v=0&landed={later(1)['id']}")
    assert answer.json["landed"]["id"] == later(1)["id"]
    assert work["fit"] == work["judge"] == 1  # of the log with it; the one without it is known


# What is taken from before is what scratch would give.


def a_log(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Entries as phones may send them: late, from before, taking back what comes later, and taken back themselves."""
    found: list[dict[str, Any]] = []
    for number in range(draw(st.integers(2, 9))):
        at = f"2026-05-02T09:{draw(st.integers(0, 9)):02d}:07Z"
        of = f"entry-{draw(st.integers(0, 9).filter(lambda other, own=number: other != own)):06d}"
        stage = draw(st.sampled_from(("mock_up", "mock_up", "tacked")))
        name = draw(st.sampled_from(NAMES))
        value = 600.0 + draw(st.integers(0, 3))
        found.append(draw(st.sampled_from((
            reading_object(number, value, at=at, reading=name, stage=stage),
            reading_object(number, value, at=at, reading=name, stage=stage),
            {"id": f"entry-{number:06d}", "at": at, "type": "withdraw", "of": of},
            {"id": f"entry-{number:06d}", "at": at, "type": "note", "note": "n"},
            {"id": f"entry-{number:06d}", "at": at, "type": "set_aside", "of": of},
        ))))  # fmt: skip
    return found


def said(made: Any, *asked: Any) -> Any:
    """Everything a report says, or why there is none."""
    try:
        return json.dumps(made(*asked).as_json())
    except NoReadings as why:
        return str(why)


@settings(max_examples=25, deadline=None)
@given(st.composite(a_log)(), st.data())
def test_after_any_entries_in_any_order_the_reports_are_those_of_a_program_started_anew(entries: Any, data: Any):
    with tempfile.TemporaryDirectory() as folder:
        store = Store(Path(folder) / "data")
        vehicle_id = store.create(VehicleFile.model_validate(vehicle_object()))
        models = Models(store)
        for one in data.draw(st.permutations(entries)):
            of = next((other for other in entries if other["id"] == one.get("of")), None)
            if one["type"] == "set_aside" and (of is None or of["type"] != "reading"):
                continue
            add(store, vehicle_id, one)
            if data.draw(st.booleans()):
                continue  # several come at once
            anew = Store(Path(folder) / "data")
            vehicle = anew.vehicle(vehicle_id)
            assert store.vehicle(vehicle_id) == vehicle
            for stage in (None, "mock_up", "tacked"):
                assert said(models.at, vehicle_id, stage) == said(report.build, vehicle, stage)
            anew.close()
        store.close()


# What is held is bounded, and nothing else passes for it.


def test_only_so_many_sets_of_readings_are_held(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(worked, "MOST_SETS", 3)
    shop, vehicle = Workshop(), VehicleFile.model_validate(vehicle_object(entries=[reading_object(1)]))
    setup = report.setup_of(vehicle)
    sets = [report.build(VehicleFile.model_validate(vehicle_object(entries=[reading_object(1, 600.0 + n)])))
            .stage_view.observations for n in range(5)]  # fmt: skip
    made = [shop.worked(setup, one) for one in sets]
    assert shop.worked(setup, sets[4]) is made[4] and shop.worked(setup, sets[2]) is made[2]
    assert shop.worked(setup, sets[0]) is not made[0]


def test_long_logs_are_held_only_up_to_so_many_readings_and_the_newest_always(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(worked, "MOST_READINGS", 5)
    shop = Workshop()
    logs = [[reading_object(n) for n in range(size)] for size in (3, 2, 4, 9)]
    views = [shop.view(VehicleFile.model_validate(vehicle_object(entries=one)), None) for one in logs]
    made = [shop.worked(Setup("three_link_panhard", "front"), view.observations) for view in views]
    assert shop.worked(Setup("three_link_panhard", "front"), views[3].observations) is made[3]
    assert shop.worked(Setup("three_link_panhard", "front"), views[2].observations) is not made[2]


def test_of_one_part_only_the_last_few_facts_are_held(work: Counter[str]):
    held = Worked(Setup("three_link_panhard", "front"), ())
    for share in (0.1, 0.2, 0.3, 0.4, 0.4, 0.2, 0.1):
        held.sheet(Facts(brake_share_front=share))
    assert work == {"fit": 1, "sheet": 5}


def test_what_is_held_of_plans_over_many_facts_is_a_few_hundred_kilobytes(store: Store, truck: str):
    # Each vehicle ready for plans holds megabytes while it is asked; facts are changed a hundred times in an evening.
    vehicle = store.vehicle(truck)
    made = Worked(report.setup_of(vehicle), Workshop().view(vehicle, None).observations)
    sums = [made.measured(Facts(brake_share_front=share)) for share in (0.5, 0.55, 0.6, 0.65, 0.7)]
    for one in sums:
        assert one.figures and one.columns
    assert len(made._held["measured"]) == 1
    assert bytes_of(sums[-1].ride) < 500_000


def bytes_of(thing: Any, seen: set[int] | None = None) -> int:
    """Of all arrays that hang on it."""
    seen = set() if seen is None else seen
    if id(thing) in seen:
        return 0
    seen.add(id(thing))
    if isinstance(thing, np.ndarray):
        return thing.nbytes if thing.base is None else bytes_of(thing.base, seen)
    parts = thing.values() if isinstance(thing, dict) else thing if isinstance(thing, list | tuple) else ()
    return sum(bytes_of(part, seen) for part in (*parts, *getattr(thing, "__dict__", {}).values()))


def test_two_vehicles_with_the_same_ids_and_other_values_are_not_taken_for_each_other():
    shop = Workshop()
    made = [report.build(VehicleFile.model_validate(vehicle_object(entries=[reading_object(1, value)])), None, shop)
            for value in (600.0, 700.0)]  # fmt: skip
    assert [one.stage_view.observations[0].value for one in made] == [600.0, 700.0]
    assert made[0].fit is not made[1].fit
