"""Readings as a table: the same after out and in, every refused line told, nothing half taken; through the command."""

import csv
import io
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.cli import main
from capture.log import observations
from capture.table_file import BadTable, read_table, take_table, write_blank, write_table
from capture.table_landing import landing
from capture.table_text import harmless
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
    assert list(lines[0]) == ["reading", "value (mm/deg/kg)", "unit", "note", "stage", "at"]
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
        ("reading;value\nheight:upper.frame;612,125\n", 612.125, "mm"),
        ("sep=;\r\nreading;value (cm)\r\nheight:upper.frame;61,25\r\n", 612.5, "cm"),
        ("reading,value,words\nheight:upper.frame,612.5,how high\nheight:upper.axle,,\n", 612.5, "mm"),
        ("reading,value (mm/deg/kg)\nheight:upper.frame,612.5\n", 612.5, "mm"),
    ],
)
def test_a_line_is_read_as_it_would_be_typed(orchard, text, value, unit):
    (entry,) = taken(text, orchard)
    assert (entry["value"], entry["unit"], entry["stage"], entry["at"]) == (value, unit, "mock_up", AT)
    assert check_entries([entry], bare(orchard))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_letters_of_a_spreadsheet_are_read_whatever_it_wrote_them_in(orchard, encoding):
    text = "reading;value;note\r\nheight:upper.frame;612,5;Lücke rechts\r\nincline:pinion;4,5°;\r\n"
    table = take_table(text.encode(encoding), "more.csv", orchard, "mock_up", AT)
    assert [(one["value"], one["note"]) for one in table.entries] == [(612.5, "Lücke rechts"), (4.5, "")]
    assert bool(table.remark) == (encoding == "cp1252")
    # The same table in other letters is the same entries.
    assert [one["id"] for one in table.entries] == [one["id"] for one in taken(text, orchard)]


def test_a_comma_in_a_table_parted_by_commas_is_asked_back(orchard):
    (said,) = refused('reading,value\nheight:upper.frame,"1,234"\n', orchard)
    assert "1,234 has two meanings" in said


def test_a_blank_table_has_a_line_for_each_reading_and_takes_what_is_filled_in(orchard):
    blank = write_blank([("height:upper.frame", "Height, =upper"), ("incline:pinion", "Pinion")], orchard)
    assert "height:upper.frame,,in,,\"Height, =upper\"" in blank and "incline:pinion,,deg,,Pinion" in blank
    table = take_table(blank.replace("height:upper.frame,,", "height:upper.frame,24 1/8,").encode(), "b.csv", orchard,
                       "mock_up", AT)
    assert [one["value"] for one in table.entries] == [612.775] and table.empty == 1


def test_a_table_beside_the_record_says_what_is_there_what_is_alike_and_what_is_new(orchard):
    own = taken(write_table(observations(orchard), orchard), orchard)
    found = landing(own, orchard, stated=True)
    assert not found.new and not found.alike and len(found.there) == len(own)
    again = [entry | {"at": "2026-09-09T09:09:09Z"} for entry in own]
    assert len(landing(again, orchard, stated=False).alike) == len(own)
    assert len(landing(again, orchard, stated=True).new) == len(own)
    other = [entry | {"value": entry["value"] + 1.0, "at": AT} for entry in own]
    assert len(landing(other, orchard, stated=False).new) == len(own)


NAMES = ["height:upper.frame", "incline:upper.frame~upper.axle", "weight:total", "lateral:lower_left.axle"]
ANY_VALUE = st.floats(-999_999, 999_999, allow_nan=False).filter(lambda value: value == 0 or abs(value) > 1e-12)
ANY_NOTE = st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=40)
ANY_LINE = st.tuples(st.sampled_from(NAMES), ANY_VALUE, ANY_NOTE)


@given(st.lists(ANY_LINE, min_size=1, max_size=6))
def test_whatever_readings_go_out_come_in_again_with_every_digit_and_note(lines):
    """Property: out and in is the identity, but for a note that a spreadsheet would run and blanks at a note's ends."""
    made = [
        {"id": f"any-{number:06d}", "at": AT, "stage": "mock_up", "type": "reading", "reading": name, "value": value,
         "note": note}
        for number, (name, value, note) in enumerate(lines)
    ]
    vehicle = bare(read_vehicle_file(ORCHARD.read_bytes(), ORCHARD.name))
    whole = vehicle.model_copy(update={"entries": check_entries(made, vehicle)})
    written = write_table(observations(whole), whole)
    back = read_table(written.encode(), "own.csv", whole, "tacked", "2030-01-01T00:00:00Z")
    notes = [harmless(one["note"]).strip() for one in made]
    sent = sorted(
        (one["reading"], one["value"], one["at"], one["stage"], note) for one, note in zip(made, notes, strict=True)
    )
    assert sorted((one["reading"], one["value"], one["at"], one["stage"], one["note"]) for one in back) == sent


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
        ("reading,value\nheight:upper.frame,612".encode("utf-16")[:-1], "its letters cannot be read; save it as CSV"),
        (b"reading,value,note\nheight:upper.frame,612,\x81\n", "line 2 is not UTF-8 text"),
        (b"PK\x03\x04rest of a workbook", "it is a spreadsheet’s own file; save it there as CSV UTF-8"),
        (b"sep=;\nreading;wert\n", 'line 2: the column "wert" is not known'),
        (b"reading,value\nheight:upper.frame,\n", "there is no reading below the heading"),
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
    again = run("table", str(new), *command[2:6], "-o", str(tmp_path / "x.json"), capsys=capsys)
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
    assert out.startswith("reading,value (mm/deg/kg),unit,note,stage,at\n")
    assert out.count("\n") == 1 + len(observations(orchard).takes)
    missing = run("table", str(ORCHARD), "--stage", "plan", capsys=capsys)
    assert missing[0] == 2 and "there are no readings at plan" in missing[2]


def test_the_json_report_of_the_copy_uses_the_readings(tmp_path, capsys):
    more, new = tmp_path / "more.csv", tmp_path / "new.json"
    more.write_text("reading,value\nheight:keep_clear.winch,500\n")
    run("table", str(ORCHARD), "--take", str(more), "-o", str(new), capsys=capsys)
    _, out, _ = run("report", str(new), "--json", capsys=capsys)
    assert "keep_clear.winch" in json.loads(out)["points"]


def test_the_command_prints_a_blank_table_with_a_line_for_each_reading_of_the_walk(capsys, orchard):
    status, out, _ = run("table", str(ORCHARD), "--blank", capsys=capsys)
    lines = list(csv.DictReader(io.StringIO(out)))
    assert status == 0 and len(lines) > 40 and {line["value"] for line in lines} == {""}
    assert [line["words"].partition(".")[0] for line in lines] == [str(n + 1) for n in range(len(lines))]
    with pytest.raises(BadTable, match="there is no reading below the heading"):
        taken(out, orchard)


def test_the_command_asks_back_what_the_file_says_already(tmp_path, capsys, orchard):
    more, new = tmp_path / "more.csv", tmp_path / "new.json"
    take = observations(orchard).takes[0]
    more.write_text(f"reading,value,stage\n{take.name},{take.value!r},{take.stage}\nheight:keep_clear.winch,500,\n")
    command = ("table", str(ORCHARD), "--take", str(more), "-o", str(new))
    status, out, err = run(*command, capsys=capsys)
    assert (status, out) == (2, "") and "1 line says what" in err and "--again" in err and not new.exists()
    status, out, err = run(*command, "--again", capsys=capsys)
    assert (status, err) == (0, "") and out.startswith("2 readings taken in")


def test_the_command_takes_an_exported_table_back_only_where_it_says_something_new(tmp_path, capsys, orchard):
    more, new = tmp_path / "more.csv", tmp_path / "new.json"
    _, out, _ = run("table", str(ORCHARD), capsys=capsys)
    more.write_text(out)
    status, _, err = run("table", str(ORCHARD), "--take", str(more), "-o", str(new), capsys=capsys)
    assert status == 2 and "already" in err and not new.exists()
    more.write_text(out + "height:keep_clear.winch,500,mm,,mock_up,2026-05-03T10:00:00Z\n")
    status, said, _ = run("table", str(ORCHARD), "--take", str(more), "-o", str(new), capsys=capsys)
    assert status == 0 and said.startswith("1 reading taken in")
