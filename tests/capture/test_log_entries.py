"""Plans, rows of holes and the closing of a stage: in the log, apart from the readings, the same after every export."""

import hashlib
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture.fingerprint import canonical, fingerprint, in_groups
from capture.log import observations
from capture.vehicle_file import BadFile, VehicleFile, check_entries, read_vehicle_file, write_vehicle_file


def logged(number: int, kind: str, **more: object) -> dict:
    return {"id": f"decided-{number:04}", "at": "2026-05-02T09:14:07Z", "type": kind} | more


def a_reading(number: int, stage: str = "mock_up", value: float = 612.5) -> dict:
    return logged(number, "reading", stage=stage, reading="height:lower_left.frame", value=value)


def a_file(*entries: dict) -> dict:
    return {
        "format": "plumbtack vehicle", "version": 1, "name": "Orchard truck", "worked_axle": "front",
        "layout": "three_link_panhard", "entries": list(entries),
    }  # fmt: skip


def read(*entries: dict) -> VehicleFile:
    return read_vehicle_file(json.dumps(a_file(*entries)), "orchard.json")


def refused(*entries: dict) -> str:
    with pytest.raises(BadFile) as trouble:
        read(*entries)
    assert str(trouble.value).endswith(".") and "\n" not in str(trouble.value)
    return str(trouble.value)


def a_close(number: int, *before: dict, stage: str = "welded") -> dict:
    return logged(number, "close", stage=stage, fingerprint=fingerprint(read(*before).entries))


MOVES = [
    {"move": "point_to", "point": "upper.frame", "to": [None, 12.0, -3.5]},
    {"move": "point_by", "point": "lower_left.frame", "by": [0.0, 0.0, 25.4]},
    {"move": "link_to", "link": "upper", "length": 702.0},
    {"move": "link_by", "link": "panhard", "by": -4.0},
    {"move": "tyre_to", "diameter": 889.0},
    {"move": "ride_by", "worked": 50.0},
    {"move": "cg_to", "height": 700.0, "along": None},
]
A_PLAN = logged(1, "move_plan", name="higher uppers", moves=MOVES, keep_lengths=True)
A_PHOTO = logged(3, "photo", stage="mock_up", point="upper.frame", sha256="0f" * 32, width=1600, height=1200)
A_ROW = logged(2, "holes", point="upper.frame", places=[[0.0, 0.0, -25.4], [0.0, 0.0, 0.0]], used=1)


numbers = st.floats(-20_000, 20_000, allow_nan=False)
places = st.lists(numbers, min_size=3, max_size=3)
moves = st.one_of(
    st.builds(lambda to: MOVES[0] | {"to": to}, st.lists(st.none() | numbers, min_size=3, max_size=3)),
    st.builds(lambda by: MOVES[1] | {"by": by}, places),
    st.builds(lambda by: MOVES[3] | {"by": by}, numbers),
    st.builds(lambda worked, other: MOVES[5] | {"worked": worked, "other": other}, numbers, numbers),
)


def aimed(one: float, two: float, ends: list[list[float]]) -> dict:
    """Wants, rooms and keep-outs with these numbers in their order."""
    low, high = ([pick(pair) for pair in zip(*ends, strict=True)] for pick in (min, max))
    return {
        "wants": [{"figure": "anti_dive", "low": min(one, two), "high": max(one, two)},
                  {"figure": "caster", "low": one}],
        "rooms": [{"point": "upper.frame", "low": low, "high": high}],
        "keep_outs": [{"name": "sump", "low": low, "high": high}],
    }


AIMS = logged(4, "aims", **aimed(20.0, 60.0, [[0.0, 0.0, 500.0], [50.0, 10.0, 600.0]]))


decided = st.one_of(
    st.builds(lambda made, keep: logged(0, "move_plan", name="a plan", moves=made, keep_lengths=keep),
              st.lists(moves, max_size=4), st.booleans()),
    st.builds(lambda far: logged(0, "holes", point="upper.frame", places=[[0.0, 0.0, 0.0], *far]),
              st.lists(places, max_size=4)),
    st.builds(lambda one, two, ends: logged(0, "aims", **aimed(one, two, ends)), numbers, numbers,
              st.lists(places, min_size=2, max_size=2)),
    st.builds(lambda value, stage: a_reading(0, stage, value), numbers, st.sampled_from(["plan", "mock_up"])),
    st.builds(lambda wide, note: A_PHOTO | {"width": wide, "note": note}, st.integers(1, 4096), st.text(max_size=9)),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(decided, max_size=6), st.booleans())
def test_export_import_export_is_the_identity_with_plans_holes_aims_and_a_closed_stage(entries, closed):
    entries = [entry | {"id": f"decided-{number:04}"} for number, entry in enumerate(entries)]
    if closed:
        entries.append(a_close(900, *entries, stage="mock_up"))
    first = write_vehicle_file(read(*entries))
    again = read_vehicle_file(first, "orchard.json")
    assert write_vehicle_file(again) == first
    assert fingerprint(again.entries) == fingerprint(read(*entries).entries)


def test_plans_holes_and_aims_never_touch_a_reading():
    alone, among = read(a_reading(3)), read(A_PLAN, a_reading(3), A_ROW, AIMS)
    assert observations(among).observations == observations(alone).observations


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        (A_ROW | {"places": []}, "places must have 1 or more in it"),
        (A_ROW | {"used": 2}, "used names hole 3 of a row of 2"),
        (A_ROW | {"used": 0}, "that one must be at 0, 0, 0"),
        (A_ROW | {"point": "upper.farme"}, "there is no point upper.farme"),
        (A_PLAN | {"name": "  "}, "name must not be blank"),
        (A_PLAN | {"moves": [{"move": "jump"}]}, "move must be point_to, point_by, link_to, link_by"),
        (A_PLAN | {"moves": [{"point": "upper.frame"}]}, "move is missing; it is one of point_to"),
        (A_PLAN | {"moves": [MOVES[3] | {"link": "upper_left"}]}, 'this layout has no "upper_left", only lower_left'),
        (A_PLAN | {"moves": [MOVES[1] | {"by": [1.0, 2.0]}]}, "by must have 3 or more in it"),
        (A_PLAN | {"moves": [MOVES[1] | {"point": "arm_left.frame"}]}, "there is no point arm_left.frame"),
        (AIMS | {"wants": [{"figure": "caster"}]}, "neither low nor high is stated"),
        (AIMS | {"wants": [{"figure": "caster", "low": 6.0, "high": 4.0}]}, "low is above high: 6 and 4"),
        (AIMS | {"rooms": [AIMS["rooms"][0] | {"point": "upper.farme"}]}, "there is no point upper.farme"),
        (AIMS | {"rooms": [AIMS["rooms"][0] | {"low": [0.0, 0.0, 900.0]}]}, "low is above high along z: 900 and"),
        (AIMS | {"keep_outs": [AIMS["keep_outs"][0] | {"name": " "}]}, "name must not be blank"),
        (AIMS | {"wants": AIMS["wants"] * 30}, "wants must have 10 or fewer in it"),
        (A_PHOTO | {"point": "upper.farme"}, "there is no point upper.farme"),
        (A_PHOTO | {"reading": "height:upper.frame"}, "a photo is of a reading or of a point, not of both"),
        (A_PHOTO | {"sha256": "0F" * 32}, "sha256 must be 64 hexadecimal digits"),
        (A_PHOTO | {"width": 0}, "width must be 1 or more"),
        (A_PHOTO | {"width": 80.5}, "width must be a whole number"),
        (
            logged(1, "close", stage="plan", fingerprint="0" * 64),
            "stage must be mock_up, tacked, welded or setting_1 to",
        ),
    ],
)
def test_what_cannot_be_decided_is_refused_with_its_place(entry, said):
    sentence = refused(a_reading(7), entry)
    assert sentence.startswith("orchard.json: entry 2 (") and said in sentence


# Closing a stage.


def test_another_picture_makes_another_fingerprint():
    other = A_PHOTO | {"sha256": "0e" * 32}
    assert fingerprint(read(A_PHOTO).entries) != fingerprint(read(other).entries)


def test_the_fingerprint_is_that_of_the_canonical_lines():
    # Source: the hash of the lines written by hand, keys sorted, no blanks.
    line = (
        '{"at":"2026-05-02T09:14:07Z","id":"decided-0003","reading":"height:lower_left.frame","stage":"mock_up",'
        '"type":"reading","value":612.5}\n'
    )
    assert fingerprint(read(a_reading(3)).entries) == hashlib.sha256(line.encode()).hexdigest()
    assert in_groups("0123456789abcdef") == "01234567 89abcdef"


def test_any_change_before_the_closing_is_seen():
    before = [a_reading(1), a_reading(2, "welded"), A_ROW | {"id": "decided-0009"}]
    closing = a_close(5, *before)
    assert read(*before, closing)
    changed = [a_reading(1, value=612.6), *before[1:]]
    for wrong in (changed, before[1:], [before[1], before[0], before[2]], [*before, a_reading(6)]):
        assert "fingerprint is not that of the entries before it" in refused(*wrong, closing)


@pytest.mark.parametrize(
    "late",
    [
        a_reading(8, "welded"),
        a_reading(8, "tacked"),
        logged(8, "withdraw", of="decided-0002"),
        logged(8, "set_aside", of="decided-0001"),
    ],
)
def test_a_closed_stage_takes_nothing_more_and_gives_nothing_back(late):
    before = [a_reading(1), a_reading(2, "welded")]
    sentence = refused(*before, a_close(5, *before), late)
    assert sentence.startswith("orchard.json: entry 4 (") and "is closed and stays as it is" in sentence


def test_what_changes_no_closed_record_goes_on():
    before = [a_reading(1), a_reading(2, "tacked")]
    a_plan, a_note = A_PLAN | {"id": "decided-0020"}, logged(8, "note", note="painted", stage="tacked")
    after = [a_reading(6, "welded"), a_reading(7, "plan"), a_plan, a_note]
    assert len(read(*before, a_close(5, *before, stage="tacked"), *after).entries) == 7


def test_a_stage_is_closed_once():
    before = [a_reading(1, "welded")]
    closing = a_close(5, *before)
    assert "the record of welded is closed" in refused(*before, closing, a_close(6, *before, closing))


def test_a_request_is_checked_against_the_log_and_may_repeat_it():
    before = [a_reading(1, "welded")]
    vehicle = read(*before, a_close(5, *before))
    assert check_entries(before, vehicle, known=None)
    with pytest.raises(BadFile, match="the record of welded is closed"):
        check_entries([a_reading(9, "welded")], vehicle, known=None)


def test_the_door_holds_a_closed_stage_shut_and_the_export_still_reads_back(client, vehicle_id):
    before = [a_reading(1, "welded")]
    address = f"/vehicles/{vehicle_id}/entries"
    assert client.post(address, json={"entries": before}).status_code == 200
    wrong = client.post(address, json={"entries": [a_close(4) | {"fingerprint": "0" * 64}]})
    assert wrong.status_code == 422 and "fingerprint" in wrong.text
    assert client.post(address, json={"entries": [a_close(5, *before)]}).status_code == 200
    late = client.post(address, json={"entries": [a_reading(9, "welded")]})
    assert late.status_code == 422 and "is closed and stays as it is" in late.json["error"]
    assert client.post(address, json={"entries": before}).status_code == 200  # sent once more, as phones do
    exported = client.get(f"/vehicles/{vehicle_id}/file").text
    assert len(read_vehicle_file(exported, "exported").entries) == 2


def test_the_fingerprint_of_a_log_that_grew_shrank_or_was_changed_is_that_of_its_lines():
    def of_lines(entries):
        return hashlib.sha256("".join(canonical(one) + "\n" for one in entries).encode()).hexdigest()

    whole = read(*(a_reading(number) for number in range(1, 9))).entries
    for count in (3, 8, 5, 0, 8, 6):
        assert fingerprint(whole[:count]) == of_lines(whole[:count])
    changed = [*whole[:2], whole[2].model_copy(update={"value": 1.0}), *whole[3:]]
    assert fingerprint(changed) == of_lines(changed) != of_lines(whole)
    said = whole[1].model_copy(update={"note": whole[1].note})
    said.__pydantic_fields_set__.add("note")  # says no more, but is written with one key more
    assert said == whole[1] and fingerprint([whole[0], said]) == of_lines([whole[0], said])
    assert fingerprint([whole[0], said]) != fingerprint(whole[:2])
