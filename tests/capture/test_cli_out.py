"""What a command prints: -o - prints what would be written, and a place that takes no more is told in one sentence."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.capture.test_cli import ORCHARD, ROOT, run

HAULER = ORCHARD.replace("orchard_truck", "quarry_hauler")
FULL = Path("/dev/full")
WITH_FILE = [("sheet", ORCHARD, "--short"), ("paper",), ("paper", ORCHARD)]
PRINTING = [("report", ORCHARD), ("report", ORCHARD, "--json"), ("table", ORCHARD), ("points", ORCHARD),
            ("compare", HAULER, "mock_up", "tacked"), ("paper", "-o", "-")]


def started(*arguments: str, **more: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "capture.cli", *arguments], cwd=ROOT, stderr=subprocess.PIPE,
                          encoding="utf-8", timeout=120, check=False, **more)


@pytest.mark.parametrize("command", WITH_FILE)
def test_minus_prints_what_would_be_written_and_makes_no_file(command, tmp_path: Path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    out = tmp_path / "there.html"
    assert run(*command, "-o", str(out), capsys=capsys)[0] == 0
    status, printed, err = run(*command, "-o", "-", capsys=capsys)
    assert (status, err) == (0, "") and printed == out.read_text(encoding="utf-8")
    assert [path.name for path in tmp_path.iterdir()] == ["there.html"]


def test_a_table_taken_in_is_printed_and_its_count_goes_beside(tmp_path: Path, monkeypatch, capsys):
    more, new = tmp_path / "more.csv", tmp_path / "new.json"
    more.write_text("reading,value (in),at\nheight:upper.frame,24 1/8,2026-05-03T10:00:00Z\n")
    monkeypatch.chdir(tmp_path)
    command = ("table", ORCHARD, "--take", str(more), "--stage", "tacked", "-o")
    assert run(*command, str(new), capsys=capsys)[0] == 0
    status, printed, err = run(*command, "-", capsys=capsys)
    assert (status, err) == (0, "1 reading taken in.\n") and printed == new.read_text(encoding="utf-8")
    assert not (tmp_path / "-").exists()


@pytest.mark.skipif(not FULL.exists(), reason="this system has no /dev/full")
@pytest.mark.parametrize("command", PRINTING)
def test_a_full_disk_behind_the_output_is_told_in_one_sentence(command):
    with FULL.open("w") as full:
        ended = started(*command, stdout=full)
    assert ended.returncode == 2 and ended.stderr.count("\n") == 1
    assert "cannot be printed whole (no space left on device)" in ended.stderr


@pytest.mark.skipif(not FULL.exists(), reason="this system has no /dev/full")
def test_the_key_and_the_greeting_say_so_too(tmp_path: Path):
    for more in (("--print-key",), ("--host", "127.0.0.1", "--port", "0")):
        with FULL.open("w") as full:
            ended = started("--data", str(tmp_path / "data"), *more, stdout=full)
        assert ended.returncode == 2 and ended.stderr.count("\n") == 1 and "cannot be printed" in ended.stderr


@pytest.mark.skipif(os.name == "nt", reason="a shell closes the output otherwise there")
@pytest.mark.parametrize("command", PRINTING)
def test_a_closed_output_is_told_in_one_sentence(command):
    ended = started(*command, preexec_fn=lambda: os.close(1))
    assert ended.returncode == 2 and ended.stderr.count("\n") == 1 and "nowhere to print to" in ended.stderr


@pytest.mark.parametrize("command", PRINTING)
def test_a_reader_that_has_seen_enough_is_no_trouble(command):
    read, write = os.pipe()
    os.close(read)
    ended = started(*command, stdout=write)
    os.close(write)
    assert (ended.returncode, ended.stderr) == (0, "")
