"""The report: one run from the log to plain JSON, every number finite or null, nothing lost on the way."""

import json
import random
from pathlib import Path

import pytest

from capture import report
from capture.vehicle_file import VehicleFile, read_vehicle_file, write_vehicle_file

DEMOS = {path.stem: path for path in (Path(__file__).parents[2] / "demo_vehicles").glob("*.json")}


def demo(name: str) -> VehicleFile:
    return read_vehicle_file(DEMOS[name].read_bytes(), name)


def strict(made: report.Report) -> dict:
    """The report as a strict reader of JSON gets it: NaN and Infinity fail here."""
    return json.loads(json.dumps(made.as_json(), allow_nan=False))


@pytest.fixture(scope="module")
def orchard() -> dict:
    return strict(report.build(demo("orchard_truck")))


def test_the_report_has_the_parts_of_the_contract_and_no_others(orchard):
    assert list(orchard) == ["format", "version", "stage", "points", "figures", "sweep", "doubts", "fit"]
    assert (orchard["format"], orchard["version"], orchard["stage"]) == ("plumbtack report", 1, "mock_up")


def test_every_point_of_the_fit_is_there_in_the_vehicle_frame(orchard):
    points = orchard["points"]
    assert set(points["lower_left.frame"]) == {"x", "y", "z", "sd", "known"}
    assert len(points["panhard.axle"]["sd"]) == 3 and points["panhard.axle"]["known"] is True
    # The vehicle frame's origin is the worked axle's centre, so its two wheels are as far ahead as behind.
    assert points["wheel_left.centre"]["x"] == pytest.approx(-points["wheel_right.centre"]["x"], abs=1e-9)


def test_no_number_changes_on_its_way_from_the_fit_to_the_report(orchard):
    made = report.build(demo("orchard_truck"))
    for name, point in made.fit.placed().items():
        told = orchard["points"][name]
        assert [told["x"], told["y"], told["z"], *told["sd"]] == [point.x, point.y, point.z, *point.sd]
    for key, figure in made.sheet.figures.items():
        assert (orchard["figures"][key]["value"], orchard["figures"][key]["sd"]) == (figure.value, figure.sd)
    each = orchard["fit"]["each"]
    for number, seen in enumerate(made.fit.observations):
        told = each[seen.key]
        row = (made.fit.residual, made.fit.sd, made.fit.redundancy, made.fit.w)
        assert [told["residual"], told["sd"], told["redundancy"], told["w"]] == [column[number] for column in row]
    step = orchard["sweep"][3]
    for key, column in made.sheet.sweep.columns.items():
        assert (step[key], step["sd"][key]) == (column.values[3], column.sd[3])


def test_a_figure_has_value_sd_unit_and_needs_and_its_marks_only_where_they_hold(orchard):
    dive = orchard["figures"]["anti_dive"]
    assert set(dive) == {"value", "sd", "unit", "needs"} and dive["unit"] == "%" and dive["needs"] == []
    sparse = strict(report.build(demo("creek_wagon")))["figures"]
    assert sparse["anti_dive"]["leans"] is True
    assert sparse["caster"]["value"] is None and "caster:left" in sparse["caster"]["needs"]
    assert sparse["anti_lift_driving"]["needs"] == ["drive_share_front"]


def test_the_sweep_is_a_list_of_steps_with_flat_columns_and_their_sds(orchard):
    steps = orchard["sweep"]
    travels = [step["travel"] for step in steps]
    assert travels == sorted(travels) and all(travel % 10 == 0 for travel in travels) and 0.0 in travels
    columns = set(steps[0]) - {"travel", "sd"}
    assert {"caster_change", "lateral_shift", "instant_centre.x", "anti_geometric", "joint.upper.axle"} <= columns
    assert all(set(step["sd"]) == columns for step in steps)
    ride = next(step for step in steps if step["travel"] == 0.0)
    assert [ride["caster_change"], ride["lateral_shift"]] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_the_mistake_in_the_demo_vehicle_is_among_the_doubts(orchard):
    # Source: the demo vehicle's own description of the reading that was changed by one inch.
    worst = orchard["doubts"][0]
    assert "height:lower_right.frame" in worst["readings"]
    assert set(worst) == {"readings", "reason", "w", "likely"} and set(worst["likely"]) == {"mistake", "value"}


def test_the_fit_accounts_for_every_reading(orchard):
    fit = orchard["fit"]
    assert set(fit) == {"readings", "unknowns", "assumptions", "redundancy", "variance_factor", "each"}
    assert fit["readings"] == len(fit["each"])
    assert sum(each["redundancy"] for each in fit["each"].values()) == pytest.approx(fit["redundancy"], abs=1e-6)
    for each in fit["each"].values():
        assert set(each) == {"residual", "sd", "redundancy", "w", "smallest_findable"}


def test_carried_readings_are_marked_and_others_are_not():
    made = report.build(demo("quarry_hauler"), "tacked")
    each = strict(made)["fit"]["each"]
    carried = {key for key, one in each.items() if one.get("carried")}
    assert carried == made.stage_view.carried and 0 < len(carried) < len(each)
    assert all(one.get("carried") in (None, True) for one in each.values())


def test_a_reading_that_nothing_checks_has_no_smallest_findable_mistake():
    lonely = demo("creek_wagon")
    lonely = lonely.model_copy(update={"entries": lonely.entries[:1]})
    (each,) = strict(report.build(lonely))["fit"]["each"].values()
    assert each["redundancy"] < 0.5
    assert each["smallest_findable"] is None or each["smallest_findable"] > 0


def test_an_empty_vehicle_has_a_report_of_guesses():
    empty = demo("creek_wagon").model_copy(update={"entries": []})
    told = strict(report.build(empty))
    assert told["stage"] == "mock_up" and told["fit"]["readings"] == 0 and told["doubts"] == []
    assert not any(point["known"] for point in told["points"].values())


def test_exported_and_read_back_the_report_is_the_same_bit_for_bit(orchard):
    again = read_vehicle_file(write_vehicle_file(demo("orchard_truck")), "again")
    assert strict(report.build(again)) == orchard


def test_parts_are_worked_out_once_and_only_when_asked_for():
    made = report.build(demo("creek_wagon"))
    assert not {"fit", "doubts", "sheet"} & set(vars(made))
    fitted = made.fit
    assert made.fit is fitted and "sheet" not in vars(made)


def test_figures_that_hang_on_a_doubted_reading_are_known():
    made = report.build(demo("orchard_truck"))
    assert "anti_dive" in made.doubted and "caster" not in made.doubted
    assert report.build(demo("creek_wagon")).doubted == frozenset()


def test_what_is_missing_is_listed_with_the_readings_it_waits_for():
    made = report.build(demo("creek_wagon"))
    assert made.missing["pinion_angle"] == ("incline:pinion",)
    assert "anti_dive" not in made.missing


@pytest.mark.parametrize("name", sorted(DEMOS))
def test_any_selection_of_readings_gives_a_report_of_finite_numbers(name):
    whole = demo(name)
    draw = random.Random(20260502)
    for size in (1, 2, 5, 20):
        some = [entry for entry in whole.entries if entry.type == "reading"]
        chosen = sorted(draw.sample(some, min(size, len(some))), key=some.index)
        told = strict(report.build(whole.model_copy(update={"entries": chosen})))
        assert told["fit"]["readings"] <= size
        assert all(point["z"] is not None and None not in point["sd"] for point in told["points"].values())


@pytest.mark.parametrize("value", [0.0, -1e6, 1e6, 1e-300, 999_999.5])
def test_a_value_far_out_of_range_still_gives_a_report(value):
    whole = demo("creek_wagon")
    mad = whole.entries[3].model_copy(update={"value": value})
    told = strict(report.build(whole.model_copy(update={"entries": [*whole.entries[:3], mad, *whole.entries[4:]]})))
    assert told["fit"]["readings"] == 12
