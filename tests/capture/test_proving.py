"""The walk of a later stage: the readings that show a move first, from the stage before alone."""

import json
from pathlib import Path

import pytest

from capture import report
from capture.log import observations
from capture.proving import proving, walk_that_proves
from capture.vehicle_file import VehicleFile, read_vehicle_file
from capture.walk import CORE, Progress, walk_of
from geometry.compare import by_name, compare
from geometry.figures import Facts
from geometry.proof import brackets
from geometry.readings import parse_name

DEMOS = Path(__file__).parents[2] / "demo_vehicles"


@pytest.fixture(scope="module")
def orchard() -> VehicleFile:
    path = DEMOS / "orchard_truck.json"
    return read_vehicle_file(path.read_bytes(), path.name)


def with_entries(vehicle: VehicleFile, *entries: dict) -> VehicleFile:
    raw = vehicle.model_dump(mode="json", exclude_unset=True)
    raw["entries"] += [{"at": "2026-06-02T09:14:07Z"} | entry for entry in entries]
    return read_vehicle_file(json.dumps(raw), "made")


def proved(vehicle: VehicleFile, stage: str):
    found = proving(vehicle, stage)
    names = tuple(observations(vehicle).by_name)
    asked = tuple(step.name for step in found.proof.steps)
    return found, walk_that_proves(walk_of(vehicle.layout, vehicle.worked_axle, (*names, *asked)), found.proof, names)


def test_the_first_stage_and_the_plan_prove_nothing(orchard):
    assert proving(orchard, "mock_up") is None and proving(orchard, "plan") is None


def test_it_says_honestly_what_usual_spreads_show_and_what_finer_reading_would(orchard):
    found = proving(orchard, "tacked")
    assert found.before == "mock_up" and not found.enough and found.move > 2.0
    assert found.move == min(rung.move for rung in found.rungs)
    assert [move for _, move in found.finer] == sorted((move for _, move in found.finer), reverse=True)
    assert all(move < found.move for _, move in found.finer)
    minutes = [rung.minutes for rung in found.rungs]
    assert minutes == sorted(minutes, reverse=True)


@pytest.mark.parametrize("stage", ["tacked", "setting_1"])
def test_what_a_walk_is_said_to_tell_is_what_the_comparison_tells_once_it_is_read(orchard, stage):
    walk, before = proving(orchard, stage), report.build(orchard).fit
    names = [step.name for step in walk.proof.steps for _ in range(step.takes)]
    readings = ({"id": f"asked-{at:04}", "stage": stage, "type": "reading", "reading": name, "value": round(value, 4)}
                for at, (name, value) in enumerate(zip(names, before.predict(names)[0].tolist(), strict=True)))
    begin = {"id": "proving-0009", "type": "begin", "stage": stage, "move": walk.move}
    begin |= {"name": "low tyres"} if stage == "setting_1" else {}
    after = report.build(with_entries(orchard, begin, *readings), stage).fit
    points = by_name(compare(before, after, Facts()).points)
    widest = 2.0 * max(max(points[name].sd) for name in brackets(before))
    assert walk.chosen.told == pytest.approx(widest, rel=0.01) and walk.chosen.sure > 2.0 * widest


def test_the_walk_asks_for_the_proofs_readings_and_the_marks_and_nothing_else_first(orchard):
    found, walk = proved(orchard, "tacked")
    core = [step for step in walk.steps if step.priority == CORE]
    marks = [step for step in core if step.reading.startswith("height:mark.")]
    assert len(core) - len(marks) == sum(step.takes for step in found.proof.steps)
    assert {step.reading for step in core} - {step.reading for step in marks} == {s.name for s in found.proof.steps}
    assert marks[0] == core[0] and marks[-1] == core[-1]


def test_every_reading_of_the_walk_is_at_a_station_where_one_of_its_points_is(orchard):
    _, walk = proved(orchard, "tacked")
    assert "others" not in {step.station for step in walk.steps if step.priority == CORE}
    for step in walk.steps:
        assert parse_name(step.reading, orchard.layout, orchard.worked_axle)
    assert {step.station for step in walk.steps} == {station.key for station in walk.stations}
    order = [station.key for station in walk.stations]
    places = [order.index(step.station) for step in walk.steps]
    assert places == sorted(places)


def test_a_second_reading_comes_after_all_first_ones_of_its_station(orchard):
    _, walk = proved(orchard, "tacked")
    for station in walk.stations:
        takes = [step.take for step in walk.at(station.key)]
        assert takes == sorted(takes)
    assert len({step.key for step in walk.steps}) == len(walk.steps)


def test_every_reading_of_the_usual_walk_stays_in_reach(orchard):
    _, walk = proved(orchard, "tacked")
    usual = walk_of(orchard.layout, orchard.worked_axle, tuple(observations(orchard).by_name))
    assert {step.reading for step in usual.steps} <= {step.reading for step in walk.steps}


def test_the_walk_stays_the_same_while_its_readings_come_in(orchard):
    found, walk = proved(orchard, "tacked")
    first = found.proof.steps[0].name
    entry = {"id": "proving-0001", "type": "reading", "stage": "tacked", "reading": first, "value": 5.0}
    begun = with_entries(orchard, entry)
    again, _ = proved(begun, "tacked")
    assert again.proof == found.proof
    left = Progress(walk, {first: 1})
    assert left.count().done == 1 and left.count().of == sum(step.priority == CORE for step in walk.steps)


def test_the_chosen_walk_is_the_one_its_beginning_names(orchard):
    longest = proving(orchard, "tacked").rungs[0].move
    shortest = proving(orchard, "tacked").rungs[-1]
    begin = {"id": "proving-0002", "type": "begin", "stage": "tacked", "move": shortest.move}
    chosen = proving(with_entries(orchard, begin), "tacked")
    assert chosen.move == shortest.move and sum(step.takes for step in chosen.proof.steps) == shortest.readings
    assert proving(orchard, "tacked", longest).move == longest


def test_a_new_setting_is_asked_for_more_than_a_weld_as_more_may_have_moved(orchard):
    weld, setting = proving(orchard, "welded"), proving(orchard, "setting_1")
    at = max(weld.rungs[0].move, setting.rungs[0].move)
    minutes = [next(rung.minutes for rung in found.rungs if rung.move == at) for found in (weld, setting)]
    assert minutes[1] > minutes[0]


def test_bolts_that_stand_on_a_guess_are_left_out_and_named():
    path = DEMOS / "creek_wagon.json"
    wagon = read_vehicle_file(path.read_bytes(), path.name)
    assert proving(wagon, "tacked") is None
