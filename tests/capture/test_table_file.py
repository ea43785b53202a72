"""Readings as a table: the same after out and in, every refused line told, nothing half taken; through the command."""

import csv
import io
import json
from pathlib import Path

import pytest

from capture.cli import main
from capture.log import observations
from capture.table_file import BadTable, read_table, write_table
from capture.vehicle_file import VehicleFile, check_entries, read_vehicle_file

DEMOS = Path(__file__).parents[2] / "demo_vehicles"
ORCHARD = DEMOS / "orchard_truck.json"
AT = "2026-05-02T09:14:07Z"


@pytest.fixture
def orchard() -> VehicleFile:
    return read_vehicle_file(ORCHARD.read_bytes(), ORCHARD.name)


def bare(vehicle: VehicleFile) -> VehicleFile:
    return vehicle.model_copy(update={"entries": []})


def taken(text: str | bytes, vehicle: VehicleFile) -> list[dict]:
    return read_table(text if isinstance(text, bytes) else text.encode(), "more.csv", vehicle, "mock_up", AT)


def refused(text: str | bytes, vehicle: VehicleFile) -> tuple[str, ...]:
    with pytest.raises(BadTable) as trouble:
        taken(text, vehicle)
    for sentence in trouble.value.sentences:
        assert sentence.startswith("more.csv: ") and sentence.endswith(".") and "\n" not in sentence
    return trouble.value.sentences


@pytest.mark.parametrize("path", sorted(DEMOS.glob("*.json")), ids=lambda path: path.stem)
def test_what_goes_out_comes_in_again_the_same_to_the_last_digit(path):
    vehicle = read_vehicle_file(path.read_bytes(), path.name)
    view = observations(vehicle)
    entries = taken(write_table(view, vehicle), vehicle)
    assert [(one["reading"], one["value"], one["stage"]) for one in entries] == [
        (take.name, take.value, take.stage) for take in view.takes
    ]
    assert check_entries(entries, bare(vehicle))


def test_the_heading_names_the_columns_and_every_line_its_unit(orchard):
    lines = list(csv.DictReader(io.StringIO(write_table(observations(orchard), orchard))))
    assert list(lines[0]) == ["reading", "value", "unit", "note", "stage", "at"]
    assert {line["unit"] for line in lines} <= {"mm", "deg", "kg"}


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("reading,value,unit\nheight:upper.frame,24 1/8,in\n", 612.775, "in"),
        ("reading,value (in)\nheight:upper.frame,24 1/8\n", 612.775, "in"),
        ("reading,value [mm]\nheight:upper.frame,612.775\n", 612.775, "mm"),
        ("reading,value\nheight:upper.frame,612.775\n", 612.775, "mm"),
        ('reading;value;note\nheight:upper.frame;"612,5";left alone\n', 612.5, "mm"),
        ("Reading\tValue\nheight:upper.frame\t612.5\n", 612.5, "mm"),
        ("\ufeffreading,value\r\nheight:upper.frame,612.5\r\n\r\n,\r\n", 612.5, "mm"),
        ("value,reading\n24 1/8 in,height:upper.frame\n", 612.775, "in"),
    ],
)
def test_a_line_is_read_as_it_would_be_typed(orchard, text, value, unit):
    (entry,) = taken(text, orchard)
    assert (entry["value"], entry["unit"], entry["stage"], entry["at"]) == (value, unit, "mock_up", AT)
    assert check_entries([entry], bare(orchard))


def test_every_line_at_fault_is_told_and_nothing_is_taken(orchard):
    said = refused(
        "reading,value,unit,stage\n"
        "height:upper.frame,612.5,mm,\n"
        "hight:upper.frame,612.5,mm,\n"
        "height:upper_left.frame,612.5,mm,\n"
        "height:upper.frame,soon,mm,\n"
        "height:upper.frame,612.5,furlong,\n"
        "height:upper.frame,612.5,mm,painted\n"
        "incline:pinion,4.5,in,\n",
        orchard,
    )
    assert [sentence.split(": ")[1] for sentence in said] == [f"line {n}" for n in (3, 4, 5, 6, 7, 8)]
    expected = ["did you mean height", "upper_left.frame", "soon", '"furlong"', 'no stage "painted"', "an angle"]
    for sentence, words in zip(said, expected, strict=True):
        assert words in sentence


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "it is empty; the first line names the columns"),
        (b"reading,value\n", "there is no reading below the heading"),
        (b"reading,wert\n", 'line 1: the column "wert" is not known; the columns are reading, value'),
        (b"reading,reading,value\n", 'line 1: the column "reading" stands twice'),
        (b"reading,note\n", "line 1: the column value is missing"),
        ("reading,value\nheight:upper.frame,612".encode("utf-16"), "looks like UTF-16; save it as CSV UTF-8"),
        ("reading,value,note\nheight:upper.frame,612,Lücke\n".encode("latin-1"), "line 2 is not UTF-8 text"),
        (b'reading,value\n"height:upper.frame,612\n', "quotation marks do not pair up"),
        (b"reading,value\nheight:upper.frame,612,5\n", "line 2: there are more cells than columns"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_in_one_sentence(orchard, content, said):
    (sentence,) = refused(content, orchard)
    assert said in sentence


def test_a_note_that_a_spreadsheet_would_run_is_made_harmless(orchard):
    readings = [entry for entry in orchard.entries if entry.type == "reading"]
    noted = [entry.model_copy(update={"note": "=1+1"}) for entry in readings]
    text = write_table(observations(orchard.model_copy(update={"entries": noted})), orchard)
    assert ",'=1+1," in text and ",=1+1," not in text


# Through the command.


def run(*arguments: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    status = main(arguments)
    printed = capsys.readouterr()
    return status, printed.out, printed.err


def test_the_command_adds_a_table_to_a_copy(tmp_path, capsys, orchard):
    more, new = tmp_path / "more.csv", tmp_path / "new.json"
    more.write_text("reading,value (in),note\nheight:upper.frame,24 1/8,second look\nheight:upper.axle,22,\n")
    before = ORCHARD.read_bytes()
    command = ("table", str(ORCHARD), "--take", str(more), "--stage", "tacked", "-o", str(new))
    status, out, err = run(*command, capsys=capsys)
    assert (status, err) == (0, "") and out == f"2 readings taken in: {new}\n"
    written = read_vehicle_file(new.read_bytes(), new.name)
    assert [entry.value for entry in written.entries[-2:]] == [612.775, 558.8]
    assert {entry.stage for entry in written.entries[-2:]} == {"tacked"}
    assert written.entries[: len(orchard.entries)] == orchard.entries and ORCHARD.read_bytes() == before
    again = run("table", str(new), "--take", str(more), "-o", str(tmp_path / "x.json"), capsys=capsys)
    assert again[0] == 2 and "is in" in again[2] and not (tmp_path / "x.json").exists()
    there = run("table", str(ORCHARD), "--take", str(more), "-o", str(new), capsys=capsys)
    assert there[0] == 2 and there[2].endswith("this file is there already; name a new one.\n")


def test_the_command_refuses_a_table_with_one_bad_line_and_writes_nothing(tmp_path, capsys):
    more, new = tmp_path / "more.csv", tmp_path / "new.json"
    more.write_text("reading,value\nheight:upper.frame,612\nheight:nowhere,3\n")
    status, out, err = run("table", str(ORCHARD), "--take", str(more), "-o", str(new), capsys=capsys)
    assert (status, out) == (2, "") and ": line 3: " in err and not new.exists()
    status, out, err = run("table", str(ORCHARD), "--take", str(more), capsys=capsys)
    assert (status, out) == (2, "") and "belong together" in err


def test_the_command_prints_the_table(capsys, orchard):
    status, out, _ = run("table", str(ORCHARD), capsys=capsys)
    assert status == 0
    assert out.startswith("reading,value,unit,note,stage,at\n")
    assert out.count("\n") == 1 + len(observations(orchard).takes)
    missing = run("table", str(ORCHARD), "--stage", "plan", capsys=capsys)
    assert missing[0] == 2 and "there are no readings at plan" in missing[2]


def test_the_json_report_of_the_copy_uses_the_readings(tmp_path, capsys):
    more, new = tmp_path / "more.csv", tmp_path / "new.json"
    more.write_text("reading,value\nheight:keep_clear.winch,500\n")
    run("table", str(ORCHARD), "--take", str(more), "-o", str(new), capsys=capsys)
    _, out, _ = run("report", str(new), "--json", capsys=capsys)
    assert "keep_clear.winch" in json.loads(out)["points"]
