"""`plumbtack report --json`, and the articulation beside it, against a second, independent calculation: they agree.

The second calculation shares no line with the program: scipy solves the fit with differences for derivatives, closes
the links numerically, and takes speeds and spreads from small real moves. Only the program's own typical places are
handed over, as they are the program's own choice; one test shows that they hardly matter.

Allowances: points 0.01 mm, a residual 0.01 of its reading's spread; figures 0.02 of their own spread or 0.05 %;
spreads 0.2 %, along the sweep 0.5 %. Differences leave about six digits, and where an angle without a sign is near
zero a little less, so these allowances lie above what they lose and far below what a wrong formula would do.
"""

from __future__ import annotations

import json
import math
from functools import cache

import numpy as np
import pytest

from capture import report
from capture.cli import main
from capture.vehicle_file import read_vehicle_file
from geometry.assumptions import usual_scalar
from geometry.points import SCALARS
from tests.demo.make_demo_vehicles import all_vehicles
from tests.reference.figures import all_figures, spread, sweep_step
from tests.reference.fit import Reference, takes
from tests.reference.made import made

CASES = {
    "front three-link, everything read": lambda: made("three_link_panhard", "front", 11),
    "rear three-link, six tenths read, two stages": lambda: made("three_link_panhard", "rear", 12, 0.6, True),
    "front four-link, half read": lambda: made("four_link", "front", 13, 0.5),
    "rear four-link, everything read, two stages": lambda: made("four_link", "rear", 14, 1.0, True),
    "front four-link with panhard, seven tenths read": lambda: made("four_link_panhard", "front", 15, 0.7),
    "rear four-link with panhard, two stages": lambda: made("four_link_panhard", "rear", 16, 0.8, True),
    "front radius arms, everything read": lambda: made("radius_arms_panhard", "front", 17),
    "rear radius arms, seven tenths read, two stages": lambda: made("radius_arms_panhard", "rear", 18, 0.7, True),
    "orchard truck": lambda: all_vehicles()["orchard_truck.json"],
    "creek wagon": lambda: all_vehicles()["creek_wagon.json"],
    "quarry hauler": lambda: all_vehicles()["quarry_hauler.json"],
}
ANGLES = ("floor.pitch", "floor.bank", "pinion", "gearbox_output")
LAYOUT_CASES = list(CASES)[:8:2]
"""One of each layout, where a spread of every figure is taken by moving every unknown."""


@cache
def reference(case: str, guess: float = 0.0, stage: str | None = None) -> Reference:
    """The second calculation of a case; `guess` moves every typical place by that many mm each way."""
    vehicle = CASES[case]()
    scale = report.build(read_vehicle_file(json.dumps(vehicle).encode(), case), stage).fit.scale
    used = takes(vehicle, stage)[1]
    own = {take.name.split(":")[1] for take in used if ":keep_clear" in take.name or ":mark" in take.name}
    places = scale.places | {name: scale.place(name) for name in own}
    usual = {name: usual_scalar(name, scale.tyre_diameter, scale.cg_height)[0] for name in SCALARS}
    scalars = {name: math.degrees(value) if name in ANGLES else value for name, value in usual.items()}
    return Reference(vehicle, {name: np.add(place, guess) for name, place in places.items()}, scalars, 0.0, stage)


@cache
def told(case: str, *options: str) -> dict:
    """What the command prints for the case's file."""
    import contextlib
    import io
    import tempfile
    from pathlib import Path

    printed = io.StringIO()
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(printed):
        path = Path(folder) / "vehicle.json"
        path.write_text(json.dumps(CASES[case]()), encoding="utf-8")
        assert main(["report", str(path), "--json", *options]) == 0
    return json.loads(printed.getvalue())


@pytest.fixture(params=CASES)
def case(request) -> str:
    return request.param


def test_the_same_readings_count_at_the_same_stage(case):
    mine, theirs = reference(case), told(case)
    assert theirs["stage"] == mine.stage
    assert sorted(theirs["fit"]["each"]) == sorted(take.key for take in mine.used)
    assert theirs["fit"]["readings"] == len(mine.used)
    assert theirs["fit"]["unknowns"] == len(mine.unknowns)
    assert theirs["fit"]["assumptions"] == len(mine.assumed)


def test_the_points_stand_in_the_same_place_with_the_same_spread(case):
    mine, theirs = reference(case), told(case)["points"]
    places = mine.to_vehicle(mine.value)
    assert sorted(theirs) == sorted(places)
    for name, place in places.items():
        found = theirs[name]
        assert [found[axis] for axis in "xyz"] == pytest.approx(place.tolist(), abs=0.01), name
        expected = np.sqrt(np.diag(mine.point_covariance(name)))
        assert found["sd"] == pytest.approx(expected.tolist(), rel=2e-3), name
        assert found["known"] == mine.known(name), name


def test_every_readings_residual_spread_and_test_is_the_same(case):
    mine, theirs = reference(case), told(case)["fit"]
    for number, take in enumerate(mine.used):
        found = theirs["each"][take.key]
        assert found["sd"] == pytest.approx(take.sd, rel=1e-9), take.key
        assert found["residual"] == pytest.approx(mine.residual[number], abs=0.01 * take.sd), take.key
        assert found["redundancy"] == pytest.approx(mine.redundancy[number], abs=2e-4), take.key
        if mine.redundancy[number] > 0.01:
            assert found["w"] == pytest.approx(mine.w[number], abs=0.02), take.key
            expected = 4.1321 * take.sd / np.sqrt(mine.redundancy[number])
            assert found["smallest_findable"] == pytest.approx(expected, rel=5e-3), take.key
    assert theirs["redundancy"] == pytest.approx(float(mine.redundancy.sum()), abs=1e-3)
    if mine.redundancy.sum() >= 0.5:
        assert theirs["variance_factor"] == pytest.approx(mine.variance_factor(), rel=1e-3)


def test_redundancies_of_readings_and_assumptions_add_up_to_rows_less_unknowns(case):
    mine = reference(case)
    spare = mine.redundancy.sum() + mine.redundancy_of_assumptions.sum()
    assert spare == pytest.approx(len(mine.used) + len(mine.assumed) - len(mine.unknowns), abs=1e-6)


def that_matter(mine: Reference) -> list[int]:
    """The unknowns that a figure can hang on."""
    aside = ("mark", "keep_")
    return [number for number, (name, _) in enumerate(mine.unknowns) if not name.startswith(aside)]


@pytest.mark.parametrize("stage", ["plan", "mock_up", "tacked", "welded"])
def test_each_stage_sees_its_own_takes(stage):
    case = "rear four-link with panhard, two stages"
    mine, theirs = reference(case, stage=stage), told(case, "--stage", stage)
    assert theirs["stage"] == stage
    assert sorted(theirs["fit"]["each"]) == sorted(take.key for take in mine.used)
    places = mine.to_vehicle(mine.value)
    for name, place in places.items():
        found = theirs["points"][name]
        assert [found[axis] for axis in "xyz"] == pytest.approx(place.tolist(), abs=0.01), name
        assert found["sd"] == pytest.approx(np.sqrt(np.diag(mine.point_covariance(name))).tolist(), rel=2e-3), name


def worked_out(mine: Reference, value: np.ndarray) -> dict:
    _, scalars = mine.split(value)
    facts = mine.vehicle["facts"]
    read = {used.name for used in mine.used}
    return all_figures(mine.to_vehicle(value), scalars, mine.layout, mine.worked_axle, facts, read)


def test_the_figures_are_the_same(case):
    mine, theirs = reference(case), told(case)["figures"]
    for key, value in worked_out(mine, mine.value).items():
        found = theirs[key]
        if value is None:
            assert found["value"] is None, key
        else:
            assert found["value"] == pytest.approx(value, abs=max(5e-4 * abs(value), 0.02 * found["sd"])), key


@pytest.mark.parametrize("case", [*LAYOUT_CASES, "creek wagon"])
def test_the_spreads_of_the_figures_are_the_same(case):
    mine, theirs = reference(case), told(case)["figures"]
    columns = that_matter(mine)
    for key, expected in spread(lambda value: worked_out(mine, value), mine.value, mine.covariance, columns).items():
        if key.startswith("link_plan") and theirs[key]["value"] > 89.9:
            continue  # folded at 90: a small move both ways sees no slope there
        assert theirs[key]["sd"] == pytest.approx(expected, rel=2e-3), key


def test_the_sweep_is_the_same(case):
    mine, rows = reference(case), {row["travel"]: row for row in told(case)["sweep"]}
    _, scalars = mine.split(mine.value)
    bump, droop = (scalars.get(f"travel.{end}", 100.0) for end in ("bump", "droop"))
    assert max(rows) == 10.0 * np.floor((bump + 0.1) / 10.0)
    assert min(rows) == -10.0 * np.floor((droop + 0.1) / 10.0)
    assert len(rows) == round((max(rows) - min(rows)) / 10.0) + 1
    for travel in (min(rows), -40.0, 0.0, 30.0, max(rows)):
        step = sweep_step(mine.to_vehicle(mine.value), scalars, mine.layout, mine.worked_axle, travel)
        for key, value in step.items():
            found = rows[travel][key]
            if value is None:
                assert found is None, (key, travel)
            else:
                off = max(5e-4 * abs(value), 2e-3 if "instant" not in key else 1.0)
                assert found == pytest.approx(value, abs=off), (key, travel)


@pytest.mark.parametrize("case", LAYOUT_CASES)
def test_the_spreads_along_the_sweep_are_the_same(case):
    mine, rows = reference(case), {row["travel"]: row for row in told(case)["sweep"]}
    columns = that_matter(mine)

    def step(value):
        _, scalars = mine.split(value)
        return sweep_step(mine.to_vehicle(value), scalars, mine.layout, mine.worked_axle, 50.0)

    for key, expected in spread(step, mine.value, mine.covariance, columns).items():
        if expected > 1e-6:
            assert rows[50.0]["sd"][key] == pytest.approx(expected, rel=5e-3), key


@cache
def articulated(case: str) -> list[dict]:
    """The report's articulation, a dict a step: lift, columns, and their spreads under "sd"."""
    table = report.build(read_vehicle_file(json.dumps(CASES[case]()).encode(), case)).articulation
    return [
        {"lift": lift, **{key: column.values[step] for key, column in table.columns.items()},
         "sd": {key: column.sd[step] for key, column in table.columns.items()}}
        for step, lift in enumerate(table.travel)
    ]


def crossed(row: dict, bump: float, droop: float) -> tuple[float, float]:
    """Travel at the centre and lift of a step with one wheel up and the other down by the same share of their stops."""
    share = row["lift"] / (bump + droop)
    left, right = (share * (bump if share > 0 else droop), -share * (droop if share > 0 else bump))
    assert left - right == pytest.approx(row["lift"])
    return 0.5 * (left + right), row["lift"]


def stops(scalars: dict) -> tuple[float, float]:
    return scalars.get("travel.bump", 100.0), scalars.get("travel.droop", 100.0)


def test_the_articulation_to_the_stops_is_the_same(case):
    mine, rows = reference(case), articulated(case)
    _, scalars = mine.split(mine.value)
    bump, droop = stops(scalars)
    assert (rows[0]["lift"], rows[-1]["lift"]) == pytest.approx((-bump - droop, bump + droop), abs=0.02)
    for row in (rows[0], rows[7], rows[11], rows[14], rows[-1]):
        at = crossed(row, bump, droop)
        step = sweep_step(mine.to_vehicle(mine.value), scalars, mine.layout, mine.worked_axle, *at)
        for key, value in step.items():
            assert row[key] == pytest.approx(value, abs=max(5e-4 * abs(value), 2e-3)), (key, row["lift"])


@pytest.mark.parametrize("case", LAYOUT_CASES)
def test_the_spreads_along_the_articulation_are_the_same(case):
    mine, row = reference(case), articulated(case)[15]
    columns = that_matter(mine)
    travel, lift = crossed(row, *stops(mine.split(mine.value)[1]))

    def step(value):
        _, scalars = mine.split(value)
        return sweep_step(mine.to_vehicle(value), scalars, mine.layout, mine.worked_axle, travel, lift)

    for key, expected in spread(step, mine.value, mine.covariance, columns).items():
        if expected > 1e-6:
            assert row["sd"][key] == pytest.approx(expected, rel=5e-3), key


@pytest.mark.parametrize("case", ["front three-link, everything read", "quarry hauler"])
def test_other_typical_places_move_no_well_read_point_by_a_tenth_of_its_spread(case):
    here, there = reference(case), reference(case, 80.0)
    for name, place in here.to_vehicle(here.value).items():
        spreads = np.sqrt(np.diag(here.point_covariance(name)))
        assert np.abs(there.to_vehicle(there.value)[name] - place).max() < 0.1 * spreads.min(), name

