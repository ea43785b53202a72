"""The cut list on the phone: parts in both units, the tube by hand, no length finer than the readings allow."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from capture.cut_list import COARSE, GUESSED, PARTS, READY, REFUSED, NoSuchPlan, cut_lines, lengths
from capture.drawings.link import laid, link_drawing, shortened
from capture.link_parts import parts_of_link
from capture.report import build
from capture.screens.cut_form import copied
from capture.vehicle_file import Facts, VehicleFile, read_vehicle_file, write_vehicle_file
from geometry.cutting import End, cut
from geometry.layouts import LAYOUTS
from geometry.threads import USUAL
from tests.conftest import vehicle_object

DEMOS = Path(__file__).parents[2] / "demo_vehicles"
ORCHARD = json.loads((DEMOS / "orchard_truck.json").read_text(encoding="utf-8"))
PITCH = 25.4 / 12
"""1 1/4-12: a turn goes 2.1167 mm."""


def thread(hand: str, length: float = 76.2) -> dict:
    return {"pitch": PITCH, "hand": hand, "diameter": 31.75, "length": length, "jam_nut": 15.875, "lip": 5.0}


def facts_with(**parts: dict) -> dict:
    """The truck's own facts, and its lower left link with parts."""
    lower = {"frame": {"standing": 55.0}, "axle": {"standing": 55.0}}
    made = {
        "tubes": {"lower_left": {"outside_diameter": 50.8, "wall": 6.35}},
        "threads": {"lower_left": {"frame": thread("right"), "axle": thread("left")}},
        "joints": {"lower_left": lower},
    }
    return {**ORCHARD["facts"], **made, **parts}


@pytest.fixture
def truck(client: FlaskClient) -> str:
    """The demo truck with one link's parts stated: its address."""
    answer = client.post("/vehicles", json={**ORCHARD, "facts": facts_with()})
    return f"/vehicles/{answer.json['id']}"


def vehicle(**parts: dict) -> VehicleFile:
    return read_vehicle_file(json.dumps({**ORCHARD, "facts": facts_with(**parts)}), "truck.json")


def line_of(made: VehicleFile, link: str, plan: str | None = None):
    return next(line for line in cut_lines(build(made), plan) if line.link.name == link)


def test_the_tube_is_the_length_less_what_stands_between_by_hand():
    line = line_of(vehicle(), "lower_left")
    # By hand, each end: 55 standing, 15.875 nut, half of 76.2 - 31.75 - 15.875 = 14.2875, 5 lip: 90.1625.
    assert line.state == READY and line.made is not None
    assert line.made.length == pytest.approx(line.length.value - 2 * 90.1625, abs=1e-9)
    assert line.made.each_way == pytest.approx(28.575, abs=1e-9)
    assert line.made.sd == line.length.sd


def test_a_give_or_take_beyond_the_adjustment_is_said_and_no_fine_length_shown(client: FlaskClient):
    # By hand: 48.2 of thread less a diameter and a nut leaves 0.575, half of it either way at one end alone.
    short = {"lower_left": {"frame": thread("right", 48.2)}}
    line = line_of(vehicle(threads=short), "lower_left")
    assert line.state == COARSE and not line.made.within_reach
    assert line.about("mm") % 5 == 0 and abs(line.about("mm") - line.made.length) <= 2.5
    made = client.post("/vehicles", json={**ORCHARD, "display_unit": "mm", "facts": facts_with(threads=short)})
    page = client.get(f"/vehicles/{made.json['id']}/cut/lower_left").text
    assert f"<small>about</small> {line.about('mm'):.0f} mm" in page
    assert f"{line.made.length:.1f}" not in page
    assert "No length finer than 5 mm can be stated yet" in page and "longer still" in page
    assert "is more than the 0.3 mm it can be set either way" in page
    assert "To make the length surer" in page and "/measure?at=span" in page


def test_what_is_missing_is_named_and_nothing_is_made_up():
    assert line_of(vehicle(), "lower_right").state == PARTS
    half = {"lower_left": {"frame": {"pitch": PITCH, "hand": "right"}}}
    line = line_of(vehicle(threads=half), "lower_left")
    assert line.state == PARTS and line.made is None
    assert [place for place, _ in line.parts.missing] == [
        f"threads.lower_left.frame.{part}" for part in ("diameter", "length", "jam_nut", "lip")
    ]


def test_parts_that_leave_no_tube_are_refused_in_the_persons_unit():
    far = {"lower_left": {"frame": {"standing": 800.0}, "axle": {"standing": 800.0}}}
    line = line_of(vehicle(joints=far), "lower_left")
    assert line.state == REFUSED and "so no tube is left" in line.said and " in " in line.said and "mm" not in line.said


def test_a_vehicle_with_only_guesses_says_what_is_missing_and_leads_there(client: FlaskClient):
    vehicle_id = client.post("/vehicles", json=vehicle_object()).json["id"]
    assert "Nothing is measured yet" in client.get(f"/vehicles/{vehicle_id}/cut").text
    one = {"id": "only-000001", "at": "2026-05-02T09:14:07Z", "stage": "mock_up", "type": "reading",
           "reading": "height:lower_left.frame", "value": 612.5, "text": "612.5", "unit": "mm", "note": ""}
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [one]})
    assert client.get(f"/vehicles/{vehicle_id}/cut").text.count("mostly guessed yet") == 4
    page = client.get(f"/vehicles/{vehicle_id}/cut/lower_left").text
    assert "span%3Alower_left.frame~lower_left.axle" in page and "Cut the tube to" not in page
    line = cut_lines(build(VehicleFile.model_validate(vehicle_object(facts=facts_with()))))[0]
    assert line.state == GUESSED


@pytest.mark.parametrize("path", sorted(DEMOS.glob("*.json")), ids=lambda path: path.stem)
def test_every_layout_has_a_line_and_a_page_for_every_link(client: FlaskClient, path: Path):
    raw = json.loads(path.read_text(encoding="utf-8"))
    at = f"/vehicles/{client.post('/vehicles', json=raw).json['id']}/cut"
    links = [link.name for link in LAYOUTS[raw["layout"]].links]
    lines = [line.link.name for line in cut_lines(build(read_vehicle_file(path.read_bytes(), path.name)))]
    assert [name for name in lines if name not in ("drag_link", "tie_rod")] == links == lines[:len(links)]
    page = client.get(at).text
    for link in links:
        assert f'href="{at}/{link}"' in page
        assert client.get(f"{at}/{link}").status_code == 200
    assert client.get(f"{at}/axle").status_code == 404


# The form.


def fields(page: str) -> list[str]:
    return re.findall(r'<(?:input type="text"|select class="in") id="([^"]+)"', page)


def test_the_form_keeps_both_units_and_a_thread_by_the_name_on_the_part(client: FlaskClient, truck: str):
    typed = {
        "tubes.upper.outside_diameter": "1 3/4", "tubes.upper.wall": "6 mm", "joints.upper.frame.standing": "41.5 mm",
        "joints.upper.frame.made": "rod end, 5/8 bolt", "threads.upper.frame.size": "3/4-16",
        "threads.upper.frame.hand": "left", "threads.upper.frame.length": "2 1/2", "threads.upper.frame.jam_nut": "0.5",
        "threads.upper.frame.lip": "0", "joints.upper.axle.standing": "1 5/8", "threads.upper.axle.size": "",
    }
    answer = client.post(f"{truck}/cut/upper/parts", data=typed)
    assert answer.status_code == 303, answer.text
    facts = Facts.model_validate(client.get(f"{truck}/file").json["facts"])
    assert facts.tubes["upper"].outside_diameter == 44.45 and facts.tubes["upper"].wall == 6.0
    kept = facts.threads["upper"]["frame"]
    assert (kept.pitch, kept.diameter) == (USUAL["3/4-16"].pitch, USUAL["3/4-16"].diameter)
    assert (kept.hand, kept.length, kept.jam_nut, kept.lip) == ("left", 63.5, 12.7, 0.0)
    assert facts.joints["upper"]["frame"].made == "rod end, 5/8 bolt" and "axle" not in facts.threads["upper"]
    page = client.get(f"{truck}/cut/upper").text
    assert "Cut the tube to" in page and '<option value="3/4-16" selected>' in page
    # Sent again as it is shown, every value stays to the last digit.
    shown = dict(re.findall(r'<input type="text" id="([^"]+)" name="[^"]+" value="([^"]*)"', page))
    chosen = re.findall(r'<select class="in" id="([^"]+)".*?<option value="([^"]*)" selected>', page, re.DOTALL)
    assert client.post(f"{truck}/cut/upper/parts", data={**shown, **dict(chosen)}).status_code == 303
    assert Facts.model_validate(client.get(f"{truck}/file").json["facts"]) == facts


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"joints.upper.frame.standing": "soon"}, "is not a number"),
        ({"joints.upper.frame.standing": "4000"}, "it should lie between"),
        ({"threads.upper.frame.size": "3/4-16"}, "Choose the thread’s hand too"),
        ({"threads.upper.frame.size": "7/16-99"}, "Choose one of the threads in the list"),
        ({"tubes.upper.outside_diameter": "1", "tubes.upper.wall": "2"}, "cannot be more than half the outside"),
        ({"tubes.upper.wall": "0.25"}, "Type the tube’s outside diameter too"),
        ({"threads.upper.frame.size": "other", "threads.upper.frame.hand": "left"}, "Type the thread’s pitch too"),
    ],
)
def test_a_field_that_cannot_be_taken_comes_back_with_a_sentence_and_nothing_changes(
    client: FlaskClient, truck: str, typed: dict[str, str], said: str
):
    before = client.get(f"{truck}/file").json["facts"]
    answer = client.post(f"{truck}/cut/upper/parts", data=typed)
    assert answer.status_code == 422 and said in answer.text
    assert client.get(f"{truck}/file").json["facts"] == before


def test_nothing_turns_takes_the_whole_thread_away_and_other_facts_stay(client: FlaskClient, truck: str):
    before = client.get(f"{truck}/file").json["facts"]
    full = {**thread("left"), "yield_stress": 400.0, "insert": 44.0}
    facts = {**before, "threads": {"lower_left": {"frame": full, "axle": thread("left")}}}
    other = f"/vehicles/{client.post('/vehicles', json={**ORCHARD, 'facts': facts}).json['id']}"
    answer = client.post(f"{other}/cut/lower_left/parts", data={"threads.lower_left.frame.size": ""})
    assert answer.status_code == 303
    after = client.get(f"{other}/file").json["facts"]
    assert list(after["threads"]["lower_left"]) == ["axle"]
    assert {key: value for key, value in after.items() if key != "threads"} == {
        key: value for key, value in before.items() if key != "threads"}


def test_the_parts_of_one_side_are_taken_for_the_other(client: FlaskClient, truck: str):
    assert "The same parts as the left lower link" in client.get(f"{truck}/cut/lower_right").text
    assert client.post(f"{truck}/cut/lower_right/parts", data={"deed": "copy"}).status_code == 303
    facts = Facts.model_validate(client.get(f"{truck}/file").json["facts"])
    assert parts_of_link(facts, "lower_right").frame.end == parts_of_link(facts, "lower_left").frame.end
    assert "The same parts as" not in client.get(f"{truck}/cut/lower_right").text
    links = {link.name: link for link in LAYOUTS["three_link_panhard"].links}
    assert copied(vehicle(), links["lower_right"], links["lower_left"])["tubes"]["lower_right"]["wall"] == 6.35


def test_a_radius_arm_asks_nothing_of_a_thread_at_its_axle(client: FlaskClient):
    arms = vehicle_object(layout="radius_arms_panhard")
    vehicle_id = client.post("/vehicles", json=arms).json["id"]
    asked = fields(client.get(f"/vehicles/{vehicle_id}/cut/arm_left").text)
    assert "threads.arm_left.frame.size" in asked and "joints.arm_left.axle.standing" in asked
    assert not any(key.startswith("threads.arm_left.axle") for key in asked)


# Plans.


def planned(length: float) -> dict:
    plan = {"id": "plan-000001", "at": "2026-06-01T08:00:00Z", "type": "move_plan", "name": "Longer & lower",
            "moves": [{"move": "link_to", "link": "lower_left", "length": length}]}
    return {**ORCHARD, "facts": facts_with(), "entries": [*ORCHARD["entries"], plan]}


def test_lengths_of_a_named_plan_are_cut_too(client: FlaskClient):
    made = read_vehicle_file(json.dumps(planned(880.0)), "truck.json")
    line = line_of(made, "lower_left", "Longer & lower")
    assert line.length.value == pytest.approx(880.0, abs=1e-6)
    assert line.made.length == pytest.approx(880.0 - 2 * 90.1625, abs=1e-6)
    at = f"/vehicles/{client.post('/vehicles', json=planned(880.0)).json['id']}/cut"
    page = client.get(at).text
    assert 'href="' + at + '?plan=Longer+%26+lower"' in page
    assert "700 mm" in client.get(f"{at}?plan=Longer+%26+lower").text and "700 mm" not in page
    inside = client.get(f"{at}/lower_left?plan=Longer+%26+lower").text
    assert 'value="Longer &amp; lower"' in inside and "/set?plan=Longer+%26+lower" in inside


def test_a_plan_that_is_not_there_or_cannot_be_followed_is_said(client: FlaskClient):
    with pytest.raises(NoSuchPlan, match="no plan of that name"):
        lengths(build(vehicle()), "Another")
    made = read_vehicle_file(json.dumps(planned(2000.0)), "truck.json")
    with pytest.raises(NoSuchPlan, match="cannot be followed"):
        lengths(build(made), "Longer & lower")
    at = f"/vehicles/{client.post('/vehicles', json=planned(2000.0)).json['id']}/cut"
    answer = client.get(f"{at}?plan=Longer+%26+lower")
    assert answer.status_code == 200 and "This plan cannot be followed" in answer.text


# The steering's rods.


def with_rods(**more: dict) -> VehicleFile:
    """The truck with its tie rod and drag link: a 7/8-18 ball joint at each end, right and left."""
    def ends(first: str, second: str) -> tuple[dict, dict]:
        joints = {end: {"standing": 45.0} for end in (first, second)}
        turning = {"pitch": 25.4 / 18, "diameter": 22.225, "length": 60.0, "jam_nut": 12.0, "lip": 0.0}
        return joints, {first: turning | {"hand": "right"}, second: turning | {"hand": "left"}}

    (tie_joints, tie), (drag_joints, drag) = ends("left", "right"), ends("frame", "axle")
    joints = facts_with()["joints"] | {"tie_rod": tie_joints, "drag_link": drag_joints}
    return vehicle(joints=joints, threads=facts_with()["threads"] | {"tie_rod": tie, "drag_link": drag})


def test_a_rod_is_as_long_as_its_own_tape_says_and_its_tube_by_hand():
    made = with_rods()
    read = {entry.reading: entry.value for entry in made.entries if entry.type == "reading"}
    for rod, span in (("tie_rod", "span:tie_rod.left~tie_rod.right"),
                      ("drag_link", "span:drag_link.axle~drag_link.frame")):
        line = line_of(made, rod)
        assert line.state == READY and line.length.value == pytest.approx(read[span], abs=3 * line.length.sd)
        assert 0.0 < line.length.sd < 2.0
        # By hand, each end: 45 standing, 12 nut, half of 60 - 22.225 - 12 = 12.8875.
        assert line.made.length == pytest.approx(line.length.value - 2 * 69.8875, abs=1e-9)
        assert line.made.each_way == pytest.approx(25.775, abs=1e-9)


def test_a_rods_length_has_the_spread_of_the_tape_along_it():
    fitted = build(with_rods()).fit
    (predicted,), (sd,) = fitted.predict(["span:tie_rod.left~tie_rod.right"])
    length = line_of(with_rods(), "tie_rod").length
    assert (length.value, length.sd) == pytest.approx((predicted, sd), rel=1e-6) and not length.leans


def test_a_rod_nobody_has_read_has_no_line_and_no_page(client: FlaskClient):
    bare = {**ORCHARD, "entries": [entry for entry in ORCHARD["entries"] if "tie_rod" not in entry.get("reading", "")]}
    assert "tie_rod" not in [line.link.name for line in cut_lines(build(read_vehicle_file(json.dumps(bare), "x")))]
    at = f"/vehicles/{client.post('/vehicles', json=bare).json['id']}/cut"
    assert client.get(f"{at}/tie_rod").status_code == 404 == client.get(f"{at}/tie_rod/set").status_code
    assert client.get(f"{at}/drag_link").status_code == 200


def test_a_rods_page_has_its_drawing_its_parts_and_its_turns(client: FlaskClient):
    at = f"/vehicles/{client.post('/vehicles', json=json.loads(write_vehicle_file(with_rods()))).json['id']}/cut"
    assert "Tie rod" in client.get(at).text and "Drag link" in client.get(at).text
    page = client.get(f"{at}/tie_rod").text
    assert "Left end" in page and "Right end" in page and "Cut the tube to" in page and "<svg" in page
    typed = {"joints.tie_rod.left.standing": "2 in", "tubes.tie_rod.outside_diameter": "1 1/2 in"}
    assert client.post(f"{at}/tie_rod/parts", data=typed).status_code == 303
    facts = client.get(at.removesuffix("/cut") + "/file").json["facts"]
    assert facts["joints"]["tie_rod"]["left"]["standing"] == 50.8
    assert facts["tubes"]["tie_rod"]["outside_diameter"] == 38.1
    turns = client.get(f"{at}/tie_rod/set?now=1200+mm&wanted=1210+mm&left=20+mm&right=20+mm").text
    assert "seen from the left end, looking towards the right" in turns


# The links between the rooms.


def test_a_plan_leads_to_its_cut_list_and_back_and_ready_to_cut_to_the_list(client: FlaskClient):
    home = f"/vehicles/{client.post('/vehicles', json=planned(880.0)).json['id']}"
    to_cut = f'{home}/cut?plan=Longer+%26+lower"'
    assert to_cut in client.get(f"{home}/plans").text
    assert to_cut in client.get(f"{home}/what-if?plan=Longer+%26+lower").text
    listed = client.get(f"{home}/cut?plan=Longer+%26+lower").text
    assert f'{home}/what-if?plan=Longer+%26+lower"' in listed
    assert f'{home}/cut/lower_left?plan=Longer+%26+lower"' in listed
    assert f'class="tb-back" href="{to_cut}' in client.get(f"{home}/cut/lower_left?plan=Longer+%26+lower").text
    assert f'href="{home}/cut"' in client.get(f"{home}/ready").text


# The drawing.


def test_the_drawing_is_to_scale_and_says_what_it_leaves_out():
    ends = [end.end for end in parts_of_link(vehicle().facts, "lower_left").ends]
    made = cut(905.0, 1.0, *ends)
    at = laid(made.length, ends, 50.8)
    out = shortened(made.length, ends, 50.8)
    # From eye to eye, the break apart, the paper holds the length less what is left out, at one scale.
    drawn = (at.eyes[1] - at.eyes[0] - 14.0) / at.scale
    assert out > 0 and drawn == pytest.approx(905.0 - out, abs=1e-6)
    assert (at.faces[0] - at.eyes[0]) / at.scale == pytest.approx(ends[0].taken_off)
    assert at.tall / at.scale == pytest.approx(50.8)


@pytest.mark.parametrize("length", [60.0, 250.0, 774.0, 1500.0])
@pytest.mark.parametrize("outside", [None, 20.0, 90.0])
def test_whatever_the_parts_the_drawing_stays_on_its_paper(length: float, outside: float | None):
    from capture.drawings.link import HEIGHT, WIDTH, Said

    welded, threaded = End("axle end", 41.0), parts_of_link(vehicle().facts, "lower_left").frame.end
    drawing = link_drawing(length, [threaded, welded], outside, Said("a", "b", "c", "d", "e", "link"))
    xs = [float(x) for x in re.findall(r'\b(?:x|cx)="(-?[\d.]+)"', drawing)]
    ys = [float(y) for y in re.findall(r'\b(?:y|cy)="(-?[\d.]+)"', drawing)]
    assert min(xs) >= 0 and max(xs) <= WIDTH and min(ys) >= 0 and max(ys) <= HEIGHT
