"""`plumbtack paper`: the walk to print as one file, blank or of a vehicle, and one sentence where it cannot be."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from capture.walk import MORE, walk_of
from tests.capture.test_cli import ORCHARD, refused, run


def numbers(text: str) -> list[int]:
    return [int(number) for number in re.findall(r'<b class="no">(\d+)\.</b>', text)]


def written(tmp_path: Path, capsys, *arguments: str) -> str:
    out = tmp_path / "walk.html"
    status, printed, err = run("paper", *arguments, "-o", str(out), capsys=capsys)
    assert (status, err) == (0, "") and str(out) in printed
    return out.read_text(encoding="utf-8")


def test_without_a_file_it_is_the_blank_walk_of_the_first_layout_with_a_line_for_the_name(tmp_path, capsys):
    text = written(tmp_path, capsys)
    asked = [step for step in walk_of("three_link_panhard", "front").steps if step.priority != MORE]
    assert numbers(text) == list(range(1, len(asked) + 1)) and text.count('class="box"') == len(asked)
    assert "<h1>The walk on paper</h1>" in text and "<dt>Vehicle</dt>" in text
    assert text.startswith("<!doctype html>") and text.rstrip().endswith("</html>")
    assert text.index("<span>in mm</span>") > 0 and "<span>mm in</span>" not in text


@pytest.mark.parametrize(("layout", "axle"), [("four_link", "rear"), ("radius_arms_panhard", "front")])
def test_layout_axle_and_unit_of_the_blank_walk_are_chosen(tmp_path, capsys, layout, axle):
    text = written(tmp_path, capsys, "--layout", layout, "--axle", axle, "--unit", "mm", "--whole")
    assert len(numbers(text)) == len(walk_of(layout, axle).steps)
    assert f"{axle.capitalize()} axle, " in text and "<span>mm in</span>" in text


def test_with_a_vehicle_file_it_is_the_walk_of_that_vehicle(tmp_path, capsys):
    text = written(tmp_path, capsys, ORCHARD)
    assert re.search("<h1>.*Orchard truck.*: the walk on paper</h1>", text) and "<dt>Vehicle</dt>" not in text
    assert len(numbers(text)) > 30


def test_the_file_holds_all_it_needs(tmp_path, capsys):
    text = written(tmp_path, capsys, ORCHARD)
    assert "<script" not in text and "@media print" in text
    assert not re.findall(r'(?:src|href)="(?!#)', text) and "url(" not in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--layout", "five_link"), "--layout five_link is none; there are three_link_panhard, four_link,"),
        (("--axle", "middle"), "--axle middle is none; there are front and rear."),
        (("--unit", "cm"), "--unit cm is none; there are in and mm."),
        ((ORCHARD, "--axle", "rear"), "the vehicle file says its axle itself"),
        (("nothing.json",), "there is no such file"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence_and_leaves_nothing_behind(tmp_path, capsys, arguments, said):
    assert said in refused("paper", *arguments, "-o", str(tmp_path / "walk.html"), capsys=capsys)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_left_alone(tmp_path, capsys):
    out = tmp_path / "walk.html"
    out.write_text("mine", encoding="utf-8")
    assert "is there already; name a new one" in refused("paper", "-o", str(out), capsys=capsys)
    assert out.read_text(encoding="utf-8") == "mine"
