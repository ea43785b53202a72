"""A doubt about stated parts, kept: "I have looked, it is so", until one of the sizes it hangs on is changed."""

from __future__ import annotations

import html
import json
import pathlib

import pytest

from capture import report, report_text
from capture.log_entries import Keep
from capture.screens.settle import REASONS_FOR_PARTS
from capture.sheet import trust_part
from capture.vehicle_file import BadFile, read_vehicle_file, write_vehicle_file

TUBE = {"outside_diameter": 38.1, "wall": 6.35}
THREAD = {"pitch": 1.8143, "hand": "right", "diameter": 25.4}
"""A 1 in thread and a tube 1 in inside: nothing to cut the thread in, no room for an insert."""
PLACES = ["tubes.upper", "threads.upper.frame"]
REASON = "rule:tube_neither_nor"
SIZES = {"tubes.upper": {"outside_diameter": 38.1, "wall": 6.35},
         "threads.upper.frame": {"diameter": 25.4, "pitch": 1.8143}}
KEPT = {"id": "keep-0001", "at": "2026-05-03T10:00:00Z", "type": "keep", "facts": SIZES, "doubt": REASON, "beyond": 6,
        "note": "bored tube, tried"}


def file_of(tube=TUBE, thread=THREAD, entries=(), **facts):
    return {"format": "plumbtack vehicle", "version": 1, "name": "Stated", "worked_axle": "front",
            "layout": "three_link_panhard",
            "facts": {"tubes": {"upper": tube}, "threads": {"upper": {"frame": thread}}, **facts},
            "entries": list(entries)}


def read(**changes):
    return read_vehicle_file(json.dumps(file_of(**changes)), "stated.json")


def built(**changes):
    return report.build(read(**changes))


@pytest.fixture
def stated(client):
    """A vehicle of which nothing is measured yet, with a tube that does not fit its thread."""
    return client.post("/vehicles", json=file_of()).json["id"]


@pytest.fixture
def parts(app):
    return app.extensions["plumbtack"]


def test_a_kept_doubt_about_parts_is_open_no_more_and_the_report_says_it_was_kept_and_why():
    before, after = built().as_json(), built(entries=[KEPT]).as_json()
    (open_doubt,) = before["doubts"]
    assert open_doubt["facts"] == PLACES and "kept" not in before and after["doubts"] == []
    assert after["kept"] == [open_doubt | {"at": KEPT["at"], "note": "bored tube, tried"}]


@pytest.mark.parametrize("changes", [
    {"tube": TUBE | {"wall": 6.0}}, {"tube": {"outside_diameter": 38.0, "wall": 6.35}},
    {"thread": THREAD | {"diameter": 25.0}}, {"thread": THREAD | {"pitch": 2.0}},
])
def test_it_opens_again_when_one_of_the_sizes_is_changed(changes):
    opened = built(entries=[KEPT], **changes)
    assert [doubt.reason for doubt in opened.doubts] == [REASON] and opened.settled == ()


@pytest.mark.parametrize("changes", [
    {"tube": TUBE | {"yield_stress": 400}}, {"thread": THREAD | {"hand": "left", "length": 50}},
    {"brake_share_front": 0.6},
])
def test_it_stays_kept_when_something_else_is_stated(changes):
    assert built(entries=[KEPT], **changes).doubts == ()


def test_a_size_stated_beside_the_kept_ones_opens_it_again():
    kept = KEPT | {"facts": {"tubes.upper": {"outside_diameter": 26.0}, "threads.upper.frame": SIZES[PLACES[1]]},
                   "doubt": "rule:tube_too_narrow"}
    assert built(tube={"outside_diameter": 26.0}, entries=[kept]).doubts == ()
    opened = built(tube={"outside_diameter": 26.0, "wall": 3.0}, entries=[kept])
    assert "rule:tube_too_narrow" in [doubt.reason for doubt in opened.doubts]


def test_another_end_or_another_reason_of_the_same_tube_is_not_kept_with_it():
    other = KEPT | {"facts": {"tubes.upper": SIZES["tubes.upper"], "threads.upper.axle": SIZES[PLACES[1]]}}
    assert len(built(entries=[other]).doubts) == 1
    assert len(built(entries=[KEPT | {"doubt": "rule:insert_too_wide"}]).doubts) == 1


def test_a_keep_of_parts_taken_back_opens_the_doubt_again():
    back = {"id": "back-0001", "at": KEPT["at"], "type": "withdraw", "of": KEPT["id"]}
    assert len(built(entries=[KEPT, back]).doubts) == 1


def test_a_keep_of_parts_comes_out_of_the_file_as_it_went_in_and_after_its_parts_are_gone_too():
    for vehicle in (read(entries=[KEPT]), read(entries=[KEPT], threads={}, tubes={})):
        text = write_vehicle_file(vehicle)
        assert json.loads(text)["entries"] == [KEPT]
        assert read_vehicle_file(text, "again.json") == vehicle


@pytest.mark.parametrize(("changes", "said"), [
    ({"facts": {}}, "names the readings it keeps in of, or the stated parts in facts; this one neither"),
    ({"facts": None}, "facts"),
    ({"of": ["keep-0002"]}, "of readings or of stated parts, not of both"),
    ({"facts": {"tubes.rear_wing": {"wall": 3}}}, 'this layout has no "rear_wing", only lower_left,'),
    ({"facts": {"upper": {"wall": 3}}}, "places are named like tubes.lower_left or threads.lower_left.frame"),
    ({"facts": {"threads.upper": {"pitch": 3}}}, "places are named like"),
    ({"facts": {"threads.upper.middle": {"pitch": 3}}}, "a link's end is frame, axle, axle_front,"),
    ({"facts": {"tubes.upper": {}}}, "without a size that was stated there"),
    ({"facts": {"tubes.upper": {"pitch": 2}}}, "has outside_diameter or wall, and no pitch"),
    ({"facts": {"tubes.upper": {"wall": -2}}}, "wall must be above 0"),
    ({"facts": {"tubes.upper": {"colour": 2}}}, "colour"),
])
def test_a_keep_that_names_nothing_is_refused_in_one_sentence_with_its_place(client, stated, changes, said):
    with pytest.raises(BadFile, match="entry 1") as refused:
        read(entries=[KEPT | changes])
    sentence = str(refused.value)
    assert said in sentence and "\n" not in sentence and sentence.count(". ") == 0
    answer = client.post(f"/vehicles/{stated}/entries", json={"entries": [KEPT | changes]})
    assert answer.status_code == 422 and said in answer.get_data(as_text=True).replace("\\", "")


# ---- on the phone, without script ----


def look(client, vehicle):
    return html.unescape(client.get(f"/vehicles/{vehicle}/second-look").text)


def settle_href(page):
    return page.split("I have looked, it is so")[0].rpartition('href="')[2].partition('"')[0]


def keep(client, vehicle, **form):
    name = f"{REASON} {' '.join(PLACES)}"
    return client.post(f"/vehicles/{vehicle}/settle", data={"take": name, "deed": "keep", **form})


def test_from_second_look_to_settle_to_kept_with_his_words_and_open_again(client, stated, parts):
    page = client.get(settle_href(look(client, stated)))
    said = html.unescape(page.text)
    assert page.status_code == 200 and "Keep it as stated" in said and "Set it aside" not in said
    assert f"/vehicles/{stated}/facts#tubes.upper.outside_diameter" in said
    assert all(reason in said for reason in REASONS_FOR_PARTS)
    bare = keep(client, stated)
    assert bare.status_code == 422 and "Say in a few words why" in bare.text
    answer = keep(client, stated, reason=REASONS_FOR_PARTS[0], note="bored by a friend")
    assert answer.status_code == 303
    (entry,) = parts.store.vehicle(stated).entries
    assert isinstance(entry, Keep) and entry.of == [] and entry.note == "I have looked, it is so. bored by a friend"
    assert {place: {size: value for size, value in sizes if value} for place, sizes in entry.facts.items()} == SIZES
    assert parts.models.at(stated).doubts == ()
    back = html.unescape(client.get(answer.headers["Location"]).text)
    assert "Kept as stated, until one of its sizes is changed." in back
    assert "Kept: Tube and thread, upper link, frame end" in back and "bored by a friend" in back
    client.post(f"/vehicles/{stated}/settle/back", data={"of": entry.id})
    assert len(parts.models.at(stated).doubts) == 1 and "Settled" not in look(client, stated)


def test_what_is_not_offered_for_parts_is_not_taken(client, stated, parts):
    for deed in ("correct", "aside"):
        name = f"{REASON} {' '.join(PLACES)}"
        answer = client.post(f"/vehicles/{stated}/settle", data={"take": name, "deed": deed, "of": "", "text": "24"})
        assert answer.status_code == 422 and parts.store.vehicle(stated).entries == []


def test_record_text_and_sheet_show_it_as_kept_and_the_record_that_it_was_when_it_opens_again(client, stated, parts):
    keep(client, stated, note="bored by a friend")
    record = html.unescape(client.get(f"/vehicles/{stated}/record").text)
    assert "Tube and thread, upper link, frame end: kept as stated, “bored by a friend”" in record
    now = parts.models.at(stated)
    (line,) = trust_part.settled(now)
    assert line.how.startswith("kept as stated, ") and line.why == "bored by a friend"
    assert "Tube and thread, upper link, frame end: bored by a friend." in " ".join(report_text.page(now).split())
    changed = parts.store.vehicle(stated)
    tubes = {"upper": changed.facts.tubes["upper"].model_copy(update={"wall": 6.0})}
    facts = changed.facts.model_copy(update={"tubes": tubes})
    parts.store.change_facts(stated, changed.model_copy(update={"facts": facts}))
    record = html.unescape(client.get(f"/vehicles/{stated}/record").text)
    assert "frame end: kept, until its sizes were changed, “bored by a friend”" in record
    assert "Tube and thread" in look(client, stated) and "Settled" not in look(client, stated)


def test_the_entry_in_the_readme_is_one_that_is_taken():
    readme = (pathlib.Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    written = readme.partition('{"id": "keep-upper-01"')
    entry = json.loads((written[1] + written[2]).partition("```")[0])
    assert built(entries=[entry]).doubts == ()
