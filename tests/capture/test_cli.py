"""The command: reports on stdout, one plain sentence on stderr, exit statuses, and a start without the web."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from capture.cli import main, parser

ROOT = Path(__file__).parents[2]
DEMOS = ROOT / "demo_vehicles"
CREEK, ORCHARD = str(DEMOS / "creek_wagon.json"), str(DEMOS / "orchard_truck.json")

SPARSE = Path(CREEK).read_bytes()


def run(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    try:
        status = main(arguments)
    except SystemExit as stopped:
        status = int(stopped.code or 0)
    printed = capsys.readouterr()
    return status, printed.out, printed.err


def refused(*arguments: str, capsys: pytest.CaptureFixture[str]) -> str:
    """The one sentence on stderr of a command that must be refused without printing anything else."""
    status, out, sentence = run(*arguments, capsys=capsys)
    assert status == 2 and out == ""
    assert sentence.count("\n") == 1 and sentence.endswith(".\n")
    return sentence


def fresh_python(*arguments: str, **more: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, capture_output=True, text=True, encoding="utf-8", timeout=60, **more
    )


def test_json_is_one_object_a_file_one_a_line(capsys):
    status, out, err = run("report", CREEK, ORCHARD, "--json", capsys=capsys)
    assert (status, err) == (0, "")
    reports = [json.loads(line) for line in out.splitlines()]
    assert len(reports) == 2 and reports[0]["fit"]["readings"] == 12
    assert all(one["format"] == "plumbtack report" for one in reports)


def test_without_json_it_is_a_page_a_file(capsys):
    status, out, err = run("report", CREEK, ORCHARD, capsys=capsys)
    assert (status, err) == (0, "")
    assert out.startswith("Creek wagon") and "\n\nOrchard truck (invented)\n=====" in out


def test_a_stage_can_be_asked_for(capsys):
    quarry = str(DEMOS / "quarry_hauler.json")
    stages = [
        json.loads(run("report", quarry, "--json", *more, capsys=capsys)[1])["stage"]
        for more in ((), ("--stage", "mock_up"), ("--stage", "welded"))
    ]
    assert stages == ["tacked", "mock_up", "welded"]


def test_a_stage_without_readings_says_which_have_some(capsys):
    sentence = refused("report", CREEK, "--stage", "plan", capsys=capsys)
    assert sentence == f"{CREEK}: there are no readings at plan; only mock-up has some.\n"


def test_a_missing_file_is_named(capsys, tmp_path):
    assert "there is no such file" in refused("report", str(tmp_path / "gone.json"), capsys=capsys)


def test_a_folder_is_called_a_folder(capsys, tmp_path):
    assert "this is a folder" in refused("report", str(tmp_path), capsys=capsys)


def test_a_file_that_may_not_be_read_is_named(capsys, monkeypatch):
    def closed(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("capture.cli_files.open", closed, raising=False)
    assert "may not be read" in refused("report", CREEK, capsys=capsys)


@pytest.mark.parametrize(
    ("content", "said"),
    [  # of the demo file: one value made text, one point's name misspelt
        (b"", "it is empty"),
        (b"hello", "not JSON from line 1, column 1"),
        (b'{"format": "plumbtack vehicle", "version": 3}', "newer Plumbtack"),
        (b"\x89PNG\r\n\x1a\n", "line 1 is not UTF-8"),
        (b'{"format": "plumbtack vehicle", "version": 1, "name": "a\nb"}', "not JSON from line 1"),
        (SPARSE.replace(b'"value": 404.8125', b'"value": "16"'), 'value must be a number, it is "16"'),
        (SPARSE.replace(b"height:wheel_left.centre", b"height:wheel_lft.centre"), "did you mean"),
    ],
    ids=["empty", "no json", "newer", "picture", "line break in a text", "value", "reading"],
)
def test_a_file_of_the_wrong_form_is_refused_with_its_place(content, said, capsys, tmp_path):
    path = tmp_path / "truck.json"
    path.write_bytes(content)
    sentence = refused("report", str(path), capsys=capsys)
    assert sentence.startswith(str(path)) and said in sentence


def test_one_refused_file_stops_the_command_before_anything_is_printed(capsys, tmp_path):
    refused("report", CREEK, str(tmp_path / "gone.json"), "--json", capsys=capsys)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("report",), "FILE"),
        (("report", CREEK, "--stage", "finished"), "finished"),
        (("report", CREEK, "--colour"), "--colour"),
        (("rapport",), "there is no command called 'rapport'; it is one of report, compare"),
        (("points", CREEK, "--drawing", "sied"), "--drawing called 'sied'; it is one of side, top, end;"),
        (("sheet", CREEK), "-o/--output is missing"),
        (("sheet", CREEK, "-o"), "nothing stands after -o/--output"),
        (("--port", "many"), "'many' is no port"),
        (("--port", "70000"), "'70000' is no port"),
    ],
)
def test_what_the_command_does_not_understand_is_said_in_one_sentence(arguments, said, capsys):
    sentence = refused(*arguments, capsys=capsys)
    assert said in sentence and "--help says more" in sentence
    assert not {"invalid", "argument", "arguments", "error"} & set(sentence.split())


def test_serving_is_handed_what_was_asked_for(monkeypatch, tmp_path):
    from capture import serve

    handed = {}
    monkeypatch.setattr(serve, "run", lambda **asked: handed.update(asked) or 7)
    asked = ("--data", str(tmp_path), "--host", "192.168.1.20", "--port", "8080", "--demo", "--print-key",
             "--new-key")
    assert main(asked) == 7
    assert handed == {
        "data": tmp_path, "host": "192.168.1.20", "port": 8080, "demo": True, "print_key": True, "new_key": True
    }  # fmt: skip


def test_help_has_an_example_for_every_subcommand(capsys):
    status, out, _ = run("--help", capsys=capsys)
    assert status == 0 and "plumbtack --demo" in out and "Ctrl-C" in out
    status, out, _ = run("report", "--help", capsys=capsys)
    assert status == 0 and "plumbtack report truck.json" in out and "--stage" in out
    _, backup, _ = run("backup", "--help", capsys=capsys)
    _, restore, _ = run("restore", "--help", capsys=capsys)
    assert "plumbtack backup /media/stick" in backup and "plumbtack restore /media/stick/" in restore
    for text in (parser().format_help(), out, backup, restore):
        assert max(len(line) for line in text.splitlines()) <= 80


def test_the_version_is_printed(capsys):
    status, out, _ = run("--version", capsys=capsys)
    assert status == 0 and out.startswith("plumbtack ")


def test_a_fault_of_our_own_is_one_sentence_too(capsys, monkeypatch):
    from capture.report import Report

    def fail(_: Report) -> dict:
        raise ZeroDivisionError("by\nnothing")

    monkeypatch.setattr(Report, "as_json", fail)
    status, out, sentence = run("report", CREEK, "--json", capsys=capsys)
    assert status == 1 and out == "" and sentence.count("\n") == 1
    assert "fault of Plumbtack" in sentence and "ZeroDivisionError" in sentence


def test_a_report_needs_neither_web_nor_database_and_says_nothing_on_stderr():
    script = (
        "import sys; from capture.cli import main; status = main(sys.argv[1:]);"
        "loaded = {'flask', 'jinja2', 'sqlite3', 'waitress', 'qrcode'} & set(sys.modules);"
        "sys.exit(status or len(loaded) * 10)"
    )
    done = fresh_python("-X", "dev", "-W", "error", "-c", script, "report", CREEK, ORCHARD, "--json")
    assert (done.returncode, done.stderr) == (0, "")


def test_the_threads_are_settled_before_the_library_for_sums_is_loaded():
    script = (
        "import os, sys; from capture import cli; early = 'numpy' in sys.modules;"
        "cli.main(['report', sys.argv[1], '--json']); sys.exit(early or os.environ['OPENBLAS_NUM_THREADS'] != '1')"
    )
    clean = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    assert fresh_python("-c", script, CREEK, env=clean).returncode == 0


def test_a_reader_that_has_seen_enough_ends_the_command_quietly():
    command = [sys.executable, "-m", "capture.cli", "report", *[ORCHARD] * 4, "--json"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        running.stdout.read(10)
        running.stdout.close()
        assert running.stderr.read() == b""
        assert running.wait(timeout=60) == 0


def test_a_terminal_that_knows_only_plain_letters_still_gets_the_page():
    done = fresh_python("-m", "capture.cli", "report", CREEK, env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0 and done.stderr == "" and "Anti-dive" in done.stdout and "?" in done.stdout
