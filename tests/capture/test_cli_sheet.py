"""`plumbtack sheet`: one file, whole or not at all, and a sentence where it cannot be."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from capture import cli_sheet
from capture.vehicle_zip import write_zip
from tests.capture.test_cli import CREEK, ORCHARD, refused, run
from tests.capture.test_vehicle_zip import PICTURE, a_vehicle, packed


@pytest.mark.parametrize(("more", "said"), [((), "whole sheet"), (("--short",), "short form")])
def test_it_writes_the_file_and_says_so(more: tuple[str, ...], said: str, tmp_path: Path, capsys):
    out = tmp_path / "truck.html"
    status, printed, err = run("sheet", ORCHARD, "-o", str(out), *more, capsys=capsys)
    assert (status, err) == (0, "") and said in printed.lower() and str(out) in printed
    text = out.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>") and text.rstrip().endswith("</html>") and said in text
    assert [path.name for path in tmp_path.iterdir()] == ["truck.html"]


def test_a_stage_can_be_asked_for(tmp_path: Path, capsys):
    quarry = ORCHARD.replace("orchard_truck", "quarry_hauler")
    for typed, said in (("mock-up", "Stage: mock-up"), ("tacked", "Stage: tacked")):
        out = tmp_path / f"{typed}.html"
        assert run("sheet", quarry, "-o", str(out), "--stage", typed, capsys=capsys)[0] == 0
        assert said in out.read_text(encoding="utf-8")


def test_the_zip_and_its_folder_bring_the_photos(tmp_path: Path, capsys):
    file = tmp_path / "truck.zip"
    file.write_bytes(write_zip(a_vehicle(1), {"photo-000001": PICTURE.content}))
    zipfile.ZipFile(file).extractall(tmp_path / "truck")
    for name in (file, tmp_path / "truck"):
        out = tmp_path / f"{name.name}.html"
        assert run("sheet", str(name), "-o", str(out), capsys=capsys)[0] == 0
        assert "data:image/jpeg;base64," in out.read_text(encoding="utf-8")
        assert run("report", str(name), "--json", capsys=capsys)[0] == 0


def test_out_must_be_named_and_new(tmp_path: Path, capsys):
    there = tmp_path / "there.html"
    there.write_text("mine", encoding="utf-8")
    assert "-o" in refused("sheet", ORCHARD, capsys=capsys)
    assert "is there already; name a new one" in refused("sheet", ORCHARD, "-o", str(there), capsys=capsys)
    assert there.read_text(encoding="utf-8") == "mine"
    assert "this is a folder" in refused("sheet", ORCHARD, "-o", str(tmp_path), capsys=capsys)
    assert "there is no folder" in refused("sheet", ORCHARD, "-o", str(tmp_path / "no" / "x.html"), capsys=capsys)


def test_a_folder_that_takes_no_file_is_told(tmp_path: Path, capsys, monkeypatch: pytest.MonkeyPatch):
    def denied(**_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(cli_sheet.tempfile, "mkstemp", denied)
    said = refused("sheet", ORCHARD, "-o", str(tmp_path / "x"), capsys=capsys)
    assert "cannot be written (permission denied)" in said


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("nothing.json", None, "there is no such file"),
        ("half.json", b"{", "not JSON"),
        ("half.zip", packed({"photos/photo-000001.jpg": b"x"}), "there is no vehicle.json"),
        ("bomb.zip", packed({"vehicle.json": b" " * 50_000_000}), "larger than 20 MB when unpacked"),
    ],
)
def test_a_file_that_cannot_be_used_leaves_nothing_behind(name, content, said, tmp_path: Path, capsys):
    file, out = tmp_path / name, tmp_path / "out"
    out.mkdir()
    if content is not None:
        file.write_bytes(content)
    assert said in refused("sheet", str(file), "-o", str(out / "x.html"), capsys=capsys)
    assert list(out.iterdir()) == []


@pytest.mark.parametrize(("stage", "said"), [("finished", "--stage"), ("plan", "there are no readings at plan")])
def test_a_stage_that_is_not_there_is_told(stage: str, said: str, tmp_path: Path, capsys):
    assert said in refused("sheet", CREEK, "-o", str(tmp_path / "x.html"), "--stage", stage, capsys=capsys)
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_fills_up_leaves_no_half_sheet(tmp_path: Path, capsys, monkeypatch: pytest.MonkeyPatch):
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(cli_sheet.os, "fsync", full)
    said = refused("sheet", ORCHARD, "-o", str(tmp_path / "x.html"), capsys=capsys)
    assert "cannot be written (no space left on device)" in said and list(tmp_path.iterdir()) == []


def test_a_file_that_came_there_meanwhile_is_not_written_over(tmp_path: Path, capsys, monkeypatch: pytest.MonkeyPatch):
    out = tmp_path / "x.html"
    monkeypatch.setattr(cli_sheet, "check_out", lambda _: out.write_text("mine", encoding="utf-8"))
    assert "is there already" in refused("sheet", ORCHARD, "-o", str(out), capsys=capsys)
    assert out.read_text(encoding="utf-8") == "mine" and len(list(tmp_path.iterdir())) == 1
