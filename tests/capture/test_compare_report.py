"""Two stages compared through the command: the page, its words, and one sentence for what cannot be compared."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from capture import compare_report
from capture.cli import main
from capture.compare_words import figure_sentence, moved, point_sentence, summary
from capture.vehicle_file import VehicleFile, read_vehicle_file
from capture.walk import FRAME_MARKS
from geometry.compare import NOT_READ, NOT_SEEN, SURE, WITHIN, Comparison, FigureChange, PointChange

QUARRY = Path(__file__).parents[2] / "demo_vehicles" / "quarry_hauler.json"


@pytest.fixture(scope="module")
def quarry() -> VehicleFile:
    return read_vehicle_file(QUARRY.read_bytes(), QUARRY.name)


def run(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    status = main(arguments)
    printed = capsys.readouterr()
    return status, printed.out, printed.err


def a_change(
    name: str = "lower_right.frame", by=(0.2, 3.1, -0.4), category: str = SURE, before=(900.0, -420.0, 420.0)
) -> PointChange:
    after = tuple(a + b for a, b in zip(before, by, strict=True))
    cov = ((0.5, 0.0, 0.0), (0.0, 0.5, 0.0), (0.0, 0.0, 0.5))
    return PointChange(name, before, after, by, (0.7, 0.7, 0.7), cov, 1e-6, category)


def test_the_sure_change_is_said_first_and_the_rest_is_within_the_tape(quarry):
    points = (a_change(), a_change("lower_left.frame", category=WITHIN))
    said = summary(Comparison(points, (), 1e-4, 1e-4), quarry)
    assert said == ["The right lower link's frame bolt went 3.1 mm inboard, sure; the rest is within the tape."]


@pytest.mark.parametrize(
    ("by", "before", "said"),
    [
        ((0.0, 3.0, 0.0), (900.0, -420.0, 420.0), "3 mm inboard"),
        ((0.0, 3.0, 0.0), (900.0, 420.0, 420.0), "3 mm outboard"),
        ((0.0, -3.0, 0.0), (900.0, 420.0, 420.0), "3 mm inboard"),
        ((0.0, -3.0, 0.0), (900.0, 20.0, 420.0), "3 mm to the right"),
        ((-4.0, 0.5, 2.0), (900.0, 420.0, 420.0), "4 mm rearward and 2 mm up"),
        ((4.0, 0.5, -0.2), (900.0, 420.0, 420.0), "4 mm ahead"),
    ],
)
def test_the_way_is_named_from_where_the_point_stands(quarry, by, before, said):
    assert moved(a_change(by=by, before=before), "mm") == said


def test_lengths_are_said_in_the_persons_unit(quarry):
    inches = quarry.model_copy(update={"display_unit": "in"})
    assert point_sentence(a_change(by=(0.0, 3.175, 0.0)), inches).endswith("went 1/8 in inboard, sure.")


def test_a_figure_says_from_where_to_where(quarry):
    change = FigureChange("anti_squat", "%", 61.0, 52.0, -9.0, 1.5, 1e-6, SURE)
    assert figure_sentence(change, quarry) == "Anti-squat went from 61 % to 52 %, sure."
    small = replace(change, after=61.2, by=0.2)
    assert figure_sentence(small, quarry) == "Anti-squat changed by +0.2 %, sure."


def test_what_was_not_read_again_is_named_and_never_called_unmoved(quarry):
    said = summary(Comparison((a_change(category=NOT_READ),), (), 1e-4, 1e-4), quarry)
    assert said == ["The right lower link's frame bolt was not read again: a move there would not show."]


def test_frame_marks_that_only_a_height_is_asked_of_are_not_named_as_standing_on_a_guess(quarry):
    marks = tuple(a_change(f"mark.{one}", category=NOT_SEEN) for one in FRAME_MARKS)
    assert summary(Comparison(marks, (), 1e-4, 1e-4), quarry) == []
    (said,) = summary(Comparison((*marks, a_change(category=NOT_SEEN)), (), 1e-4, 1e-4), quarry)
    assert said.startswith("The right lower link's frame bolt still stands on a guess in some direction")


def test_the_page_says_it_all_within_80_columns(quarry, capsys):
    status, page, err = run("compare", str(QUARRY), "mock-up", "tacked", capsys=capsys)
    assert (status, err) == (0, "")
    assert "From mock-up to tacked" in page and "Points\n------" in page and "Figures\n-------" in page
    assert "give or take" in page and all(len(line) <= 84 for line in page.splitlines())
    assert not {"error", "invalid", "outlier", "standard deviation"} & set(page.lower().split())


def test_the_json_has_every_point_and_figure_and_the_walk(quarry, capsys):
    status, out, _ = run("compare", str(QUARRY), "mock_up", "tacked", "--json", capsys=capsys)
    found = json.loads(out)
    assert status == 0 and out.count("\n") == 1
    assert (found["format"], found["from"], found["to"]) == ("plumbtack comparison", "mock_up", "tacked")
    compared = compare_report.build(quarry, "mock_up", "tacked")
    assert set(found["points"]) == set(compared.after.fit.placed())
    point = found["points"]["upper_left.frame"]
    assert [a - b for a, b in zip(point["to"], point["from"], strict=True)] == pytest.approx(point["change"])
    figure = found["figures"]["anti_squat"]
    assert figure["to"] - figure["from"] == pytest.approx(figure["change"])
    assert {category for each in found["points"].values() for category in [each["category"]]} <= {
        "sure change", "within the tape", "not seen", "not read again",
    }  # fmt: skip
    assert found["proof"]["readings"] and found["carried"] == len(compared.after.stage_view.carried)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("tacked", "mock_up", "tacked comes after mock-up; name the earlier stage first: mock_up tacked."),
        ("mock_up", "mock_up", "mock-up is compared with itself; name two stages."),
        ("mock_up", "welded", "there are no readings at welded; mock-up and tacked have some."),
        ("plan", "tacked", "there are no readings at plan; mock-up and tacked have some."),
        ("painted", "welded", "there is no stage painted; the stages are plan, mock_up, tacked, welded and then "
         "setting_1 to setting_99."),
    ],
)
def test_stages_that_cannot_be_compared_are_refused_in_one_sentence(before, after, said, capsys):
    status, out, err = run("compare", str(QUARRY), before, after, capsys=capsys)
    assert (status, out) == (2, "")
    assert err == f"{QUARRY}: {said}\n"


def test_a_vehicle_without_any_reading_is_refused(tmp_path, capsys):
    bare = tmp_path / "bare.json"
    bare.write_text(
        '{"format": "plumbtack vehicle", "version": 1, "name": "Bare", "worked_axle": "rear", "layout": "four_link", '
        '"entries": []}'
    )
    status, out, err = run("compare", str(bare), "mock_up", "tacked", capsys=capsys)
    assert (status, out) == (2, "") and err.endswith("there are no readings at mock-up; no stage has any.\n")


def test_a_missing_file_is_refused_like_everywhere(capsys):
    status, out, err = run("compare", "nowhere.json", "mock_up", "tacked", capsys=capsys)
    assert (status, out) == (2, "") and err == "nowhere.json: there is no such file; check the name and the folder.\n"
