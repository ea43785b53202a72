"""The vehicle file: read and written the same bit for bit, refused in one sentence with its place."""

import copy
import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture.vehicle_file import (
    BadFile,
    Note,
    Reading,
    VehicleFile,
    check_entries,
    entry_text,
    read_vehicle_file,
    vehicle_from_log,
    write_vehicle_file,
)

DEMOS = sorted((Path(__file__).parents[2] / "demo_vehicles").glob("*.json"))


def a_reading(number: int = 1, **more: object) -> dict:
    return {
        "id": f"reading-{number:04}", "at": "2026-05-02T09:14:07Z", "stage": "mock_up", "type": "reading",
        "reading": "height:lower_left.frame", "value": 612.775, "text": "24 1/8", "unit": "in", "note": "",
    } | more  # fmt: skip


def a_file(*entries: dict, **more: object) -> dict:
    return {
        "format": "plumbtack vehicle", "version": 1, "name": "Orchard truck", "worked_axle": "front",
        "layout": "three_link_panhard", "entries": list(entries or (a_reading(),)),
    } | more  # fmt: skip


def read(raw: object) -> VehicleFile:
    return read_vehicle_file(raw if isinstance(raw, bytes | str) else json.dumps(raw), "orchard.json")


def refusal(raw: object) -> BadFile:
    with pytest.raises(BadFile) as refused:
        read(raw)
    sentence = str(refused.value)
    assert sentence.startswith("orchard.json: ") and sentence.endswith(".") and "\n" not in sentence
    return refused.value


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_a_demo_vehicle_is_written_back_byte_for_byte(path):
    content = path.read_bytes()
    assert write_vehicle_file(read_vehicle_file(content, path.name)).encode() == content


def test_only_six_keys_must_be_there_and_what_was_left_out_stays_out():
    vehicle = read(a_file())
    assert vehicle.display_unit == "mm" and vehicle.facts.tape_class == "II"
    assert set(json.loads(write_vehicle_file(vehicle))) == set(a_file())


def test_a_vehicle_without_entries_is_written_and_read_back():
    empty = read(a_file() | {"entries": []})
    assert read(write_vehicle_file(empty)) == empty


numbers = st.floats(-1e6, 1e6, allow_nan=False)
words = st.text(max_size=30).filter(lambda text: not any("\ud800" <= sign <= "\udfff" for sign in text))
readings = st.builds(
    lambda value, text, note, state, sd, stage: a_reading(
        value=value, text=text, note=note, stage=stage,
        **({"state": state} if state else {}), **({"sd": sd} if sd else {}),
    ),
    numbers, words, words, st.none() | words, st.none() | st.floats(1e-3, 1e6), st.sampled_from(["plan", "welded"]),
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(readings, max_size=5), words.filter(str.strip), st.none() | st.floats(0, 1))
def test_what_is_written_reads_back_the_same_bit_for_bit(entries, name, share):
    for number, entry in enumerate(entries):
        entry["id"] = f"reading-{number:04}"
    facts = {} if share is None else {"facts": {"brake_share_front": share}}
    vehicle = read(a_file() | {"entries": entries, "name": name, **facts})
    text = write_vehicle_file(vehicle)
    again = read_vehicle_file(text, "orchard.json")
    assert again == vehicle and write_vehicle_file(again) == text
    assert [repr(entry.value) for entry in again.entries] == [repr(float(entry["value"])) for entry in entries]


def test_a_byte_order_mark_is_accepted():
    assert read(b"\xef\xbb\xbf" + json.dumps(a_file()).encode()) == read(a_file())
    assert read("\ufeff" + json.dumps(a_file())) == read(a_file())


def test_a_wrong_value_is_named_with_its_entry_and_reading():
    # The sentence of the interface: place, what, what to do.
    assert str(refusal(a_file(a_reading(), a_reading(2, value="abc")))) == (
        'orchard.json: entry 2 (height:lower_left.frame): value must be a number, it is "abc"; '
        "change it there or export the file again."
    )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"value": None}, "value must be a number, it is null"),
        ({"value": True}, "value must be a number, it is true"),
        ({"value": float("nan")}, "value must be a number that ends, it is NaN"),
        ({"value": float("-inf")}, "value must be a number that ends, it is -Infinity"),
        ({"value": 10**400}, "value must be a number that ends, it is Infinity"),
        ({"value": 2e6}, "value must be 1000000 or less, it is 2000000.0"),
        ({"sd": 0}, "sd must be above 0, it is 0"),
        ({"sd": -1.5}, "sd must be above 0, it is -1.5"),
        ({"id": "short"}, 'id must be 8 to 64 letters, digits or dashes, it is "short"'),
        ({"id": "reading-0001\n"}, "id must be 8 to 64 letters"),
        ({"at": "yesterday"}, 'at must be a time like 2026-05-02T09:14:07Z, it is "yesterday"'),
        ({"at": "2026-02-30T00:00:00Z"}, "at must be a time"),
        ({"at": "2026-05-02T09:14:07+02:00"}, "at must be a time"),
        ({"stage": "finished"}, 'stage must be plan, mock_up, tacked, welded or setting_1 to setting_99, it is'),
        (
            {"type": "smell"},
            "type must be reading, withdraw, note, photo, set_aside, keep, move_plan, holes, aims, begin or close, "
            'it is "smell"',
        ),
        ({"colour": "red"}, 'the key "colour" is not known here'),
        ({"text": 24}, "text must be text, it is 24"),
        ({"note": "x" * 10_001}, "note has more than 10000 characters"),
        ({"text": "\ud800"}, "text holds half a character"),
        ({"kept": 1}, "kept must be true or false, it is 1"),
        ({"reading": "height:lower_lfet.frame"}, "did you mean"),
        ({"reading": "hight:lower_left.frame"}, "no kind of reading hight; did you mean height"),
        ({"reading": "height"}, "kind:subject"),
        ({"reading": "height:upper_left.frame"}, "upper_left.frame"),
    ],
)
def test_a_form_fault_in_an_entry_is_said_with_its_place(change, said):
    refused = refusal(a_file(a_reading(), a_reading(2, **change)))
    assert refused.place.startswith("entry 2") and said in str(refused)


@pytest.mark.parametrize("key", ["id", "at", "stage", "type", "reading", "value"])
def test_a_missing_key_of_a_reading_is_named(key):
    entry = a_reading(2)
    del entry[key]
    assert f"{key} is missing" in str(refusal(a_file(a_reading(), entry)))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"name": "  "}, "name must not be blank"),
        ({"worked_axle": "middle"}, 'worked_axle must be front or rear, it is "middle"'),
        ({"layout": "five_link"}, "layout must be three_link_panhard, four_link,"),
        ({"display_unit": "ft"}, 'display_unit must be in or mm, it is "ft"'),
        ({"version": 0}, "version must be 1 or more"),
        ({"version": True}, "version must be a whole number"),
        ({"version": "1"}, "version must be a whole number"),
        ({"format": "other"}, 'format must be "plumbtack vehicle", it is "other"'),
        ({"entries": {}}, "entries must be a list"),
        ({"entries": [3]}, "entry 1: must be an object"),
        ({"owner": "me"}, 'the key "owner" is not known here'),
        ({"facts": []}, "facts must be an object"),
        ({"facts": {"brake_share_front": 1.4}}, "facts: brake_share_front must be 1 or less, it is 1.4"),
        ({"facts": {"tape_class": "IV"}}, "facts: tape_class must be I, II or III"),
        ({"facts": {"tubes": {"lower_left": {"wall": 3.0}}}}, "facts.tubes.lower_left: outside_diameter is missing"),
        ({"facts": {"tubes": {"upper_left": {"outside_diameter": 40.0, "wall": 3.0}}}}, 'has no "upper_left"'),
        ({"facts": {"threads": {"upper": {"top": {}}}}}, "facts.threads.upper: top must be frame, axle,"),
        ({"facts": {"joints": {"upper_left": {}}}}, 'facts.joints: this layout has no "upper_left"'),
        ({"facts": {"joints": {"upper": {"frame": {"bolt": [0, 1]}}}}}, "facts.joints.upper.frame: bolt"),
        ({"facts": {"joints": {"upper": {"middle": {}}}}}, "facts.joints.upper: middle must be frame, axle, left or"),
        ({"facts": {"joints": {"upper": {"axle": {"rated": 120}}}}}, "rated must be 90 or less, it is 120"),
        ({"facts": {"tubes": {"upper": {"outside_diameter": 40, "yield_stress": 0}}}}, "yield_stress must be above 0"),
        ({"facts": {"driveshaft_joints": "triple"}}, 'driveshaft_joints must be single or double, it is "triple"'),
        ({"facts": {"steer_lock": 90}}, "facts: steer_lock must be 70 or less, it is 90"),
        ({"facts": {"rough_wheelbase": 1e-9}}, "rough_wheelbase must be 500 or more"),
    ],
)
def test_a_form_fault_outside_the_entries_is_said_with_its_place(change, said):
    assert said in str(refusal(a_file() | change))


@pytest.mark.parametrize("key", ["version", "name", "worked_axle", "layout", "entries"])
def test_a_missing_key_of_the_file_is_named(key):
    raw = a_file()
    del raw[key]
    assert f"{key} is missing" in str(refusal(raw))


def test_a_newer_version_is_refused_with_its_own_sentence():
    assert "version 2 and comes from a newer Plumbtack" in str(refusal(a_file(version=2)))
    # also when the newer form has keys this program does not know
    assert "newer Plumbtack" in str(refusal(a_file(version=7, rooms=[])))


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        ("", "it is empty"),
        ("{", "not JSON from line 1, column 2"),
        ('{\n  "format": "plumbtack vehicle",\n  "version": 1,,\n}', "not JSON from line 3, column 16"),
        ("[]", "not a Plumbtack vehicle file"),
        ("null", "not a Plumbtack vehicle file"),
        ('{"format": {}}', "format must be"),
        ("[" * 200_000, "too deep"),
        ('{"a":' * 50_000, "too deep"),
        (b"\xff\xfe{\x00", "UTF-16"),
        (b'{"name":\n"caf\xe9"}', "line 2 is not UTF-8"),
        ("1" * 5_000, "not a Plumbtack vehicle file"),
        (b" " * 20_000_001, "larger than 20 MB"),
        ("{" + ",".join(f'"k{i}":1' for i in range(300)) + "}", "300 keys"),
    ],
)  # fmt: skip
def test_what_is_no_vehicle_file_at_all_is_said_plainly(raw, said):
    assert said in str(refusal(raw))


def test_a_key_standing_twice_is_named_with_its_place():
    text = json.dumps(a_file(a_reading(), a_reading(2))).replace('"id": "reading-0002"', '"id": "a", "id": "b"')
    assert refusal(text).place == "entry 2" and 'the key "id" stands twice' in str(refusal(text))
    assert 'the key "name" stands twice' in str(refusal(json.dumps(a_file()).replace("{", '{"name": "x",', 1)))


def test_too_many_entries_are_refused_by_their_number():
    assert "100001" in str(refusal(a_file() | {"entries": [0] * 100_001}))


def test_an_id_used_twice_is_named_with_both_places():
    refused = refusal(a_file(a_reading(), a_reading(2), a_reading(1, value=1.0)))
    assert refused.place.startswith("entry 3") and "stands in entry 1 already" in str(refused)


def withdraw(of: str, number: int = 9, kind: str = "withdraw") -> dict:
    return {"id": f"later-{number:04}", "at": "2026-05-02T10:00:00Z", "stage": "mock_up", "type": kind, "of": of}


def test_what_is_withdrawn_or_set_aside_must_be_in_the_file():
    read(a_file(a_reading(), withdraw("reading-0001")))
    assert "no entry with that id" in str(refusal(a_file(a_reading(), withdraw("reading-0002"))))
    assert "no entry with that id" in str(refusal(a_file(a_reading(), withdraw("reading-0002", kind="set_aside"))))
    assert "names the entry itself" in str(refusal(a_file(a_reading(), withdraw("later-0009"))))


def test_only_readings_can_be_set_aside():
    note = {"id": "note-0001", "at": "2026-05-02T10:00:00Z", "type": "note", "note": "dark by now"}
    assert "only readings" in str(refusal(a_file(a_reading(), note, withdraw("note-0001", kind="set_aside"))))


def test_entries_of_a_request_may_withdraw_what_the_log_knows():
    vehicle = read(a_file())
    assert check_entries([withdraw("reading-0001")], vehicle, {"reading-0001"})[0].of == "reading-0001"
    with pytest.raises(BadFile) as refused:
        check_entries([a_reading(2, value="x")], vehicle)
    assert str(refused.value) == (
        'the request: entry 1 (height:lower_left.frame): value must be a number, it is "x".'
    )


def test_a_value_outside_the_physical_range_is_kept():
    # What a person recorded is kept; the fit and the doubts judge it.
    assert read(a_file(a_reading(value=-999_999.0))).entries[0].value == -999_999.0


def test_a_vehicle_put_together_from_a_log_is_the_one_that_was_stored():
    vehicle = read(a_file(a_reading(), withdraw("reading-0001"), display_unit="in"))
    head = json.loads(vehicle.model_dump_json(exclude_unset=True, exclude={"entries", "format", "version"}))
    bodies = [json.loads(entry_text(entry)) for entry in vehicle.entries]
    assert vehicle_from_log(head, bodies) == vehicle


def test_the_text_of_an_entry_does_not_hang_on_the_order_of_its_keys():
    entry = a_reading()
    turned = dict(reversed(entry.items()))
    assert entry_text(Reading(**entry)) == entry_text(Reading(**turned))
    assert entry_text(Reading(**entry)) != entry_text(Reading(**entry | {"note": "x"}))


def test_a_note_may_name_a_reading_and_must_name_one_that_exists():
    note = {"id": "note-0001", "at": "2026-05-02T10:00:00.25Z", "type": "note", "reading": "height:lower_left.frame"}
    assert isinstance(read(a_file(note)).entries[0], Note)
    assert refusal(a_file(note | {"reading": "height:nowhere"})).place == "entry 1 (height:nowhere)"


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=150)
@given(st.data(), json_values)
def test_any_value_in_any_place_is_read_or_refused_in_one_sentence(data, value):
    raw = copy.deepcopy(json.loads(DEMOS[1].read_text()))
    raw["entries"] = raw["entries"][:3]
    target = data.draw(st.sampled_from([raw, raw["facts"], raw["facts"]["tubes"], raw["entries"][1], raw["entries"]]))
    if isinstance(target, list):
        target[data.draw(st.integers(0, 2))] = value
    else:
        target[data.draw(st.sampled_from([*target, "other"]))] = value
    try:
        read(json.dumps(raw))
    except BadFile as refused:
        assert "\n" not in str(refused)


@settings(max_examples=200)
@given(st.binary(max_size=80) | st.text(max_size=80))
def test_any_content_is_refused_in_one_sentence(content):
    refusal(content)
