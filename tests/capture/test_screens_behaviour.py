"""Behaviour and its families: each opens on every vehicle, moves without script, says what it waits for."""

from __future__ import annotations

import gzip
import json
import re

import pytest

from capture import places
from capture.screens.families import FAMILIES
from capture.walk import walk_of
from geometry.figures import catalogue, loads
from geometry.figures.nudges import nudges
from geometry.figures.trust import Answer
from geometry.fit import Setup, fit
from geometry.layouts import LAYOUTS
from tests.conftest import reading_object, vehicle_object

DEMOS = {path.stem: path for path in places.demo_vehicles()}
ROD = "lower_left"
KEYS = [family.key for family in FAMILIES]


@pytest.fixture(scope="module")
def demo_client(tmp_path_factory):
    """One program with all demo vehicles: nothing here changes them."""
    from capture import create_app
    from capture.settings import Settings

    app = create_app(Settings(tmp_path_factory.mktemp("behaviour") / "data", allowed_hosts=("localhost",)))
    client = app.test_client()
    client.environ_base["HTTP_ORIGIN"] = "http://localhost"
    client.get("/in", query_string={"key": app.extensions["plumbtack"].pairing.key})
    ids = {name: client.post("/vehicles", json=json.loads(path.read_text(encoding="utf-8"))).json["id"]
           for name, path in DEMOS.items()}
    yield client, ids, app
    app.extensions["plumbtack"].store.close()


def family(demo_client, name, key, query=""):
    client, ids, _ = demo_client
    return client.get(f"/vehicles/{ids[name]}/behaviour/family/{key}{query}")


def ways(page):
    return json.loads(re.search(r'<script type="application/json" id="ways"[^>]*>(.*?)</script>', page.text)[1])


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("key", KEYS)
def test_every_family_opens_on_every_demo_vehicle_light_and_without_inline_style_or_script(demo_client, name, key):
    page = family(demo_client, name, key)
    if key == "steering" and name == "quarry_hauler":
        assert page.status_code == 404, "a rear axle does not steer"
        return
    assert page.status_code == 200
    assert len(gzip.compress(page.data)) < 60_000
    assert "style=" not in page.text and not re.search(r"\son[a-z]+=", page.text)
    assert not re.search(r"<script(?![^>]*\bsrc=)(?![^>]*application/json)", page.text)
    assert "nan" not in re.sub(r"<[^>]*(href|aria-label)=[^>]*>", "", page.text).lower().split()


@pytest.mark.parametrize("query", [
    "?way=nan", "?way=1e999", "?way=&path=", "?path=sideways&way=40", "?way=-99999", "?case=none", "?case=step&way=x",
    "?path=crossed&way=120", "?path=crossed&way=-120", "?way=<b>",
])
def test_nothing_asked_of_a_family_ends_in_a_fault(demo_client, query):
    for key in KEYS:
        assert family(demo_client, "orchard_truck", key, query).status_code == 200, key
    client, ids, _ = demo_client
    assert client.get(f"/vehicles/{ids['orchard_truck']}/behaviour/caster{query}").status_code == 200


def test_an_unknown_family_is_a_404(demo_client):
    assert family(demo_client, "orchard_truck", "flying").status_code == 404


def heard(html: str) -> str:
    """What is read aloud: of a raised fraction its plain words."""
    return re.sub(r"<[^>]*>", "", re.sub(r'<span aria-hidden="true">\d*<span class="fr">.*?</span></span>', "", html))


def test_the_axle_moves_by_links_alone(demo_client):
    page = family(demo_client, "orchard_truck", "anti")
    bump = re.search(r'href="([^"]*way=1\d\d)#moving"[^>]*>Bump', page.text)[1].replace("&amp;", "&")
    client, _, _ = demo_client
    moved = client.get(bump)
    said = moved.text[moved.text.index("<b data-where>"):]
    assert re.match(r"\d[\d /]* in bump", heard(said))
    wheel = r'<g transform="translate\(([-\d.]+) ([-\d.]+)\)'
    rest, up = (float(re.search(wheel, text.text[text.text.index("moving"):])[2]) for text in (page, moved))
    assert up < rest - 5, "in bump the wheel stands higher on the paper"


def test_every_step_has_its_words_and_its_points(demo_client):
    for path, way in ways(family(demo_client, "orchard_truck", "steering")).items():
        assert len(way["said"]) == len(way["points"]) == len(way["turns"]), path
        assert way["said"][way["ride"]] == "ride height"
        assert len({len(row) for row in way["points"]}) == 1


def test_the_curves_say_what_is_read_at_the_asked_travel(demo_client):
    _, ids, app = demo_client
    report = app.extensions["plumbtack"].models.at(ids["orchard_truck"])
    column = report.standing[0].columns["caster.left"]
    at = report.sheet.sweep.travel.index(50.0)
    page = family(demo_client, "orchard_truck", "steering", "?path=heave&way=50")
    assert f"1 15/16 in bump: {column.values[at]:.1f}°" in heard(page.text)


def test_a_small_change_is_read_with_the_digits_its_curve_shows(demo_client):
    """Toe-in of the demo changes by hundredths of a degree: a tenth would read nought all the way."""
    _, ids, app = demo_client
    report = app.extensions["plumbtack"].models.at(ids["orchard_truck"])
    column = report.sheet.sweep.columns["toe_in"]
    value, sd = column.values[0], column.sd[0]
    assert 0.001 < abs(value) < 0.05
    page = family(demo_client, "orchard_truck", "steering", "?path=heave&way=-120").text
    assert f"4 3/4 in droop: −{abs(value):.2f}° ± {2 * sd:.2f}°" in heard(page)


def test_what_lies_behind_the_axle_is_said_to_lie_behind_it(demo_client):
    client, ids, app = demo_client
    report = app.extensions["plumbtack"].models.at(ids["orchard_truck"])
    assert -3100 < report.sheet.figures["instant_centre.x"].value < -2700, "behind a front axle, mm"
    page = family(demo_client, "orchard_truck", "anti").text
    assert re.search(r'Instant centre, behind the axle</span>.*?</th><td class="n">115 in</td>', page, re.S)
    assert "ride height: 115 in ± 7" in page and "−115" not in page
    assert "130 in ± 9 if the likeliest correction is right" in page.replace("\n", "")
    quarry = family(demo_client, "quarry_hauler", "anti").text
    assert "Instant centre, ahead of the axle" in quarry and "3060 mm" in quarry and "+3060" not in quarry
    opened = client.get(f"/vehicles/{ids['orchard_truck']}/behaviour/instant_centre.x").text
    moves = re.findall(r'<li><a href="[^"]*point=upper.frame">[^<]*</a>(.*?)</li>', opened, re.S)
    assert "higher" in moves[0], "the uppers flatter, the lines meet further back"


def test_a_change_at_ride_height_counts_from_there_and_has_no_spread(demo_client):
    page = family(demo_client, "orchard_truck", "roll").text
    assert "ride height: 0 in, counted from here" in page and "ride height: 0°, counted from here" in page
    assert "ride height: 0 in ±" not in page


def test_heading_caster_and_pinion_are_shown_as_whole_values(demo_client):
    steering = family(demo_client, "orchard_truck", "steering").text
    for title in ("Left wheel turns left over travel", "Right wheel turns left, one wheel up",
                  "Caster, left, over travel", "Caster, right, over travel"):
        assert title in steering
    assert "Pinion over travel" in family(demo_client, "orchard_truck", "driveline").text


def test_a_doubted_figure_says_what_it_would_be(demo_client):
    _, ids, app = demo_client
    report = app.extensions["plumbtack"].models.at(ids["orchard_truck"])
    assert "anti_dive" in report.corrected, "the demo has an open doubt that moves it"
    would_be = report.corrected["anti_dive"]
    page = family(demo_client, "orchard_truck", "anti").text
    assert f"{would_be.value:.0f} % ± {2 * would_be.sd:.0f} if the likeliest correction is right" in page


def test_what_changes_a_figure_is_said_in_words(demo_client):
    client, ids, _ = demo_client
    page = client.get(f"/vehicles/{ids['quarry_hauler']}/behaviour/anti_squat").text
    assert "What changes it" in page
    assert re.search(r"Left lower link, frame bolt</a> .*?higher is [\d.]+ % more; [\d.]+ (mm|in) for 1 %\.", page)


def test_a_guessed_height_of_the_centre_of_gravity_is_to_be_weighed_and_not_guessed_again(demo_client):
    client, ids, _ = demo_client
    page = client.get(f"/vehicles/{ids['orchard_truck']}/behaviour/anti_dive").text
    tighter = page.partition("What would make it tighter")[2].partition("</section>")[0]
    assert "guessed height of the centre of gravity" in tighter
    assert f'href="/vehicles/{ids["orchard_truck"]}/behaviour/family/balance"' in tighter
    assert "estimate once more" not in tighter
    page = client.get(f"/vehicles/{ids['orchard_truck']}/behaviour/roll_centre_height").text
    assert "guessed height" not in page


def test_both_opinions_and_common_practice_stand_at_a_band(demo_client):
    page = family(demo_client, "orchard_truck", "anti").text
    assert "Trail vehicles are often built with 0 to 30" in page and "Common practice" in page


def tightened(demo_client, name, key):
    client, ids, _ = demo_client
    page = client.get(f"/vehicles/{ids[name]}/behaviour/{key}").text
    part = re.search(r"What would make it tighter</h2>(.*?)</section>", page, re.S)[1]
    return re.findall(r'<a href="([^"]*)">(.*?)</a></th><td class="n">± (.*?)</td>', part), part


def test_a_guessed_height_is_tightened_by_weighing_and_not_by_another_guess(demo_client):
    for key in ("anti_dive", "cg.z"):
        gains, _ = tightened(demo_client, "orchard_truck", key)
        assert gains[0][1] == "Weighing with the rear raised 24 in" and gains[0][0].endswith("/family/balance"), key
        assert not [said for _, said, _ in gains if "estimate" in said]
    assert int(tightened(demo_client, "orchard_truck", "anti_dive")[0][0][2]) < 8, "± 8 now"


def test_where_no_one_reading_helps_the_page_says_so(demo_client):
    gains, part = tightened(demo_client, "orchard_truck", "roll_steer")
    assert gains == [] and "No one reading alone" in part


def test_a_picture_that_stands_on_guesses_says_so_and_names_no_line_that_is_not_drawn(client):
    bolts = ("lower_left.axle", "lower_left.frame", "upper.axle", "upper.frame")
    names = [f"{kind}:{bolt}" for kind in ("height", "fore_aft") for bolt in bolts]
    made = typical("three_link_panhard", "front", names)
    address = f"/vehicles/{client.post('/vehicles', json=made).json['id']}/behaviour/family"
    caption = re.search(r'<p class="q small caption">(.*?)</p>', client.get(f"{address}/anti").text)[1]
    assert caption == "Lit: from the tyre to the instant centre.", "no share of braking, no line of 100 %"
    tight = client.get(f"{address}/clearance").text
    assert "Mostly guessed." in re.search(r'<p class="q small caption">(.*?)</p>', tight)[1]
    assert re.search(r'<svg class="[^"]*tight[^"]*".*?>about ', tight, re.S)


def test_every_family_of_a_hardly_measured_vehicle_opens_with_its_sentence_and_a_picture_of_it(demo_client):
    for one in FAMILIES:
        page = family(demo_client, "creek_wagon", one.key).text
        assert re.search(r'<figure class="famf[^>]*><svg', page), one.key
        assert f'<p class="fam lead">{one.sentence}' in page, one.key


def test_lengths_and_loads_carry_their_spread_on_the_drawing_too(demo_client):
    for key, least in (("links", 4), ("loads", 4), ("balance", 2)):
        page = family(demo_client, "orchard_truck", key).text
        drawn = re.search(r'<figure class="famf[^>]*>(<svg.*?</svg>)', page, re.S)
        assert len(re.findall(r"<text[^>]*>(?:(?!</text>).)*±", drawn[1], re.S)) >= least, key


def test_loads_are_a_table_of_links_and_cases_with_their_caution(demo_client):
    page = family(demo_client, "orchard_truck", "loads", "?case=step")
    assert "Loads: the left wheel against a step" in page.text
    assert "A sizing aid, not a rating" in page.text and "licensed engineer decide" in page.text
    every = re.search(r"<h2>Every case</h2>.*?</table>", page.text, re.S)[0]
    assert every.count('<th scope="row" colspan="3">') == 4 and every.count('<td class="n">') == 4 * len(loads.CASES)
    assert every.count('<td class="n q">±') == 4 * len(loads.CASES) == every.count('<th scope="row">')


def test_what_a_reserve_waits_for_leads_to_the_very_field(demo_client):
    client, _, _ = demo_client
    page = family(demo_client, "orchard_truck", "loads").text
    asked = re.findall(r'State the (yield stress|upper link).*?<a href="([^"#]+)#([^"]+)">', page)
    assert [(said, field) for said, _, field in asked] == [
        ("yield stress", "tubes.lower_right.yield_stress"), ("upper link", "threads.upper.frame.diameter"),
        ("yield stress", "tubes.lower_left.yield_stress"), ("yield stress", "tubes.panhard.yield_stress")]
    for _, address, field in asked:
        assert f'id="{field}"' in client.get(address).text


def test_what_rests_on_a_doubt_says_so_wherever_it_stands(demo_client):
    """The slip is in one lower link's frame end: what hangs on that height carries the sign, what does not goes
    without."""
    sign = ", rests on a reading in doubt"

    def signed(key, pattern):
        found = re.findall(pattern, family(demo_client, "orchard_truck", key).text, re.S)
        assert found, pattern
        return {said.split("<")[0].strip() for said in found if sign in said}, len(found)

    curves, of = signed("anti", r"<figcaption>(.*?)</figcaption>")
    assert curves == {"Anti figure before any share", "Instant centre, behind the axle"}
    curves, of = signed("roll", r"<figcaption>(.*?)</figcaption>")
    assert "Axle turns left, one wheel up" in curves and "Roll centre over travel" not in curves
    leaning, of = signed("joints", r'<th scope="row">(.*?)</th>')
    assert "Upper link, axle end" in leaning and "Right lower link, frame end" not in leaning and of == 8
    assert signed("loads", r'<th scope="row">(.*?)</th>')[0] == set(), "an inch of height hardly moves a load"
    for key, led in (("anti", True), ("joints", True), ("loads", False), ("balance", False)):
        page = family(demo_client, "orchard_truck", key).text
        assert ("1 doubt is still open; figures that rest on it carry this sign." in page) is led, key


def test_nothing_carries_the_sign_where_nothing_is_in_doubt(demo_client):
    for key in ("anti", "roll", "loads", "joints", "clearance", "links"):
        assert "in doubt" not in family(demo_client, "quarry_hauler", key).text, key


def test_where_bushings_decide_the_family_and_the_list_of_figures_say_so(client):
    made = client.post("/vehicles", json=typical("radius_arms_panhard", "rear")).json["id"]
    words = "How the bushings give decides this one"
    assert client.get(f"/vehicles/{made}/behaviour").text.count(words) == 2, "roll centre and roll steer"
    assert client.get(f"/vehicles/{made}/behaviour/family/roll").text.count(words) == 3, "and the roll axis"
    assert words not in client.get(f"/vehicles/{made}/behaviour/family/anti").text


def test_a_figure_in_a_table_stands_against_its_band_with_both_opinions(demo_client):
    page = family(demo_client, "orchard_truck", "driveline").text
    row = re.search(r"Joint at the gearbox, angle.*?</tr>.*?</tr>", page, re.S)[0]
    assert "Above the usual band. Usual at road speed: 0.5° to 3°." in row
    assert "Shafts that turn only at low speed run more" in row and "Common practice" in row
    after = re.search(r"Joint at the pinion, angle.*?</tr>.*?</tr>", page, re.S)[0]
    assert "At the edge of the usual band" in after and "Usual at road speed" not in after, "the same band, said above"


@pytest.mark.parametrize("known", [True, False])
def test_what_would_flatten_a_guessed_bump_steer_is_said_to_be_guessed_too(client, known):
    vehicle = json.loads(DEMOS["orchard_truck"].read_text(encoding="utf-8"))
    vehicle["entries"] = [one for one in vehicle["entries"]
                          if known or (":kingpin" not in one.get("reading", "") and one["type"] == "reading")]
    made = client.post("/vehicles", json=vehicle).json["id"]
    page = client.get(f"/vehicles/{made}/behaviour/family/steering").text
    flatten = page.partition("To flatten bump steer")[2].partition("</section>")[0]
    assert "degrees of bump steer" in flatten
    assert ("mostly guessed so far, and this with it" in flatten) is not known


def test_a_reserve_has_no_more_places_than_its_spread_and_its_yield_the_sellers_unit(client, orchard):
    ends = {f"threads.{ROD}.{end}.{part}": text for end in ("frame", "axle")
            for part, text in (("diameter", "1 1/4"), ("pitch", "12 per inch"), ("hand", "right"))}
    keep(client, orchard, ends | {f"tubes.{ROD}.outside_diameter": "2", f"tubes.{ROD}.wall": "1/4",
                                  f"tubes.{ROD}.yield_stress": "55 ksi", f"tubes.{ROD}.joint_offset": "0"})
    page = client.get(f"/vehicles/{orchard}/behaviour/family/loads").text
    left = page.partition("What is left over")[2]
    rows = re.findall(r"<td class=\"n\">\s*([\d.]+)\s*</td>\s*<td[^>]*>\s*± ([\d.]+)", left)
    assert rows
    for reserve, give in rows:
        assert len(reserve.partition(".")[2]) == len(give.partition(".")[2])
        assert "." not in reserve or float(give) < 1.0, (reserve, give)
    assert "Yield 55 ksi, as stated" in left and "Yield 379 N/mm²" not in left


def test_loads_without_weights_wait_for_them_with_a_link_there(demo_client):
    page = family(demo_client, "creek_wagon", "loads")
    assert re.search(r'href="/vehicles/\w+/measure\?at=weight%3Afront"', page.text)
    assert "A sizing aid, not a rating" in page.text


def test_a_family_of_a_vehicle_with_nothing_measured_leads_to_the_walk(client, vehicle_id):
    for key in KEYS:
        page = client.get(f"/vehicles/{vehicle_id}/behaviour/family/{key}")
        assert page.status_code == 200 and "Start the walk" in page.text, key


def test_a_family_is_sent_anew_when_the_log_has_grown(client, vehicle_id, store):
    before = client.get(f"/vehicles/{vehicle_id}/behaviour/family/roll")
    asked = re.search(r'hx-get="([^"]*)"', before.text)[1].replace("&amp;", "&")
    assert client.get(asked).status_code == 204
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    after = client.get(asked)
    assert after.status_code == 200 and after.text.lstrip().startswith("<main") and "roll centre" in after.text


def test_a_nudge_is_turned_the_way_that_makes_the_figure_greater():
    # Source: by hand, -0.5 % a mm along z is 1.5 % for 3 mm the other way.
    found = nudges((Answer("a", (0.1, 0.0, -0.5)), Answer("b", (0.7, 0.2, 0.0))), 3.0)
    assert [(one.point, one.way) for one in found] == [("b", "further forward"), ("a", "lower")]
    assert [one.more for one in found] == pytest.approx([2.1, 1.5])
    assert [one.for_one for one in found] == pytest.approx([1 / 0.7, 2.0])


# ---- facts ----


@pytest.fixture
def orchard(client):
    return client.post("/vehicles", json=json.loads(DEMOS["orchard_truck"].read_text(encoding="utf-8"))).json["id"]


def as_shown(page):
    """Everything the form would send back untouched."""
    fields = dict(re.findall(r'<input type="text" id="[^"]*" name="([^"]*)" value="([^"]*)"', page.text))
    selects = re.findall(r'<select class="in" id="[^"]*" name="([^"]*)"[^>]*>(.*?)</select>', page.text, re.S)
    for name, options in selects:
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        fields[name] = chosen[1] if chosen else ""
    return fields


def test_facts_sent_back_untouched_stay_to_the_last_digit(client, orchard, store):
    before = store.vehicle(orchard).facts
    answer = client.post(f"/vehicles/{orchard}/facts/parts", data=as_shown(client.get(f"/vehicles/{orchard}/facts")))
    assert answer.status_code == 303
    assert store.vehicle(orchard).facts == before


def test_facts_typed_in_plain_words_reach_the_figures(client, orchard, app):
    typed = {"slip_travel": "4 in", "driveshaft_joints": "double", "tubes.lower_left.yield_stress": "55 ksi",
             "joints.upper.frame.rated": "22", "joints.upper.frame.bolt": "across", "steer_lock": "32",
             "threads.upper.frame.pitch": "12 per inch", "threads.upper.frame.hand": "left"}
    assert client.post(f"/vehicles/{orchard}/facts/parts", data=typed).status_code == 303
    report = app.extensions["plumbtack"].models.at(orchard)
    facts = report.vehicle.facts
    assert facts.slip_travel == pytest.approx(101.6) and facts.driveshaft_joints == "double" and facts.steer_lock == 32
    # Source: by hand, 55 x 6.894757 N/mm2; 25.4 / 12 mm.
    assert facts.tubes["lower_left"].yield_stress == pytest.approx(379.21, abs=0.01)
    assert facts.tubes["lower_left"].outside_diameter == 50.8, "what was not in the form stays"
    assert facts.joints["upper"]["frame"].bolt == [0.0, 1.0, 0.0]
    assert facts.threads["upper"]["frame"].pitch == pytest.approx(2.11667, abs=1e-5)
    assert report.sheet.figures["driveshaft_slip_left"].value is not None


def test_facts_opened_again_stand_in_the_unit_they_were_typed_in(client, orchard):
    typed = {"tubes.lower_left.yield_stress": "55 ksi", "threads.upper.frame.pitch": "12 per inch",
             "threads.upper.frame.hand": "left", "tyre_width": "305 mm", "unsprung_mass": "150 kg",
             "loads.drive_torque": "2500 N m", "tubes.upper.outside_diameter": "1 11/16"}
    assert client.post(f"/vehicles/{orchard}/facts/parts", data=typed).status_code == 303
    shown = as_shown(client.get(f"/vehicles/{orchard}/facts"))
    assert {key: shown[key] for key in typed} == typed | {"tubes.upper.outside_diameter": "1 11/16 in"}


def keep(client, vehicle, typed):
    answer = client.post(f"/vehicles/{vehicle}/facts/parts", data=typed)
    assert answer.status_code == 303, re.findall(r'class="refused".*?</p>', answer.text, re.S)


def test_a_tilted_bolt_is_kept_as_its_direction_and_shown_as_it_was_said(client, orchard, store):
    keep(client, orchard, {"joints.upper.frame.bolt": "across", "joints.upper.frame.bolt_tilt": "30",
                           "joints.upper.frame.bolt_turn": "0"})
    # Source: by hand, sin 30 deg = 1/2, cos 30 deg = 0.8660.
    assert store.vehicle(orchard).facts.joints["upper"]["frame"].bolt == pytest.approx([0.0, 0.866025, 0.5], abs=1e-6)
    shown = as_shown(client.get(f"/vehicles/{orchard}/facts"))
    said = [shown[f"joints.upper.frame.{part}"] for part in ("bolt", "bolt_tilt", "bolt_turn")]
    assert said == ["across", "30°", "0°"]


def test_a_bolt_said_as_any_vector_in_a_file_stays_to_the_last_digit(client, store):
    vehicle = json.loads(DEMOS["orchard_truck"].read_text(encoding="utf-8"))
    vehicle["facts"]["joints"] = {"upper": {"frame": {"bolt": [0.123456789, 3.0, -0.4]}}}
    made = client.post("/vehicles", json=vehicle).json["id"]
    keep(client, made, as_shown(client.get(f"/vehicles/{made}/facts")))
    assert store.vehicle(made).facts.joints["upper"]["frame"].bolt == [0.123456789, 3.0, -0.4]


def test_loads_and_the_axles_own_mass_are_stated_in_plain_words(client, orchard, store):
    keep(client, orchard, {"loads.grip": "0.9", "loads.drive_torque": "1850 lb ft", "loads.spring_across": "60",
                           "anti_counts_unsprung": "yes"})
    facts = store.vehicle(orchard).facts
    # Source: by hand, 1850 x 1.3558179483 N m (NIST SP 811).
    assert facts.loads.drive_torque == pytest.approx(2508.263, abs=1e-2)
    assert (facts.loads.grip, facts.loads.spring_across, facts.anti_counts_unsprung) == (0.9, 0.6, True)
    keep(client, orchard, {"loads.grip": "", "loads.drive_torque": "", "loads.spring_across": "",
                           "anti_counts_unsprung": ""})
    facts = store.vehicle(orchard).facts
    assert facts.loads is None and not facts.anti_counts_unsprung


RAIL = {"start": "mark.front_left", "end": "mark.rear_left", "width": "60 mm", "height": "4 3/4 in"}


def test_a_rail_and_a_body_of_the_persons_own_are_kept_and_taken_away_again(client, orchard, store):
    own = {f"bodies.another.{part}": said for part, said in (RAIL | {"diameter": "2 1/2 in"}).items()}
    keep(client, orchard, {f"bodies.left_rail.{part}": said for part, said in RAIL.items()} | own
         | {"body_name": "Exhaust, rear"})
    bodies = store.vehicle(orchard).facts.bodies
    assert sorted(bodies) == ["exhaust_rear", "left_rail"]
    assert (bodies["left_rail"].width, bodies["left_rail"].height) == (60.0, pytest.approx(120.65))
    assert bodies["exhaust_rear"].diameter == pytest.approx(63.5)
    assert "Exhaust rear" in client.get(f"/vehicles/{orchard}/facts").text
    keep(client, orchard, {f"bodies.left_rail.{part}": "" for part in RAIL})
    assert sorted(store.vehicle(orchard).facts.bodies) == ["exhaust_rear"]


@pytest.mark.parametrize(("typed", "field", "said"), [
    ({"bodies.left_rail.start": "mark.front_left"}, "bodies.left_rail.end", "Choose the point it runs to"),
    ({f"bodies.left_rail.{part}": said for part, said in RAIL.items() if part != "height"}, "bodies.left_rail.height",
     "height too"),
    ({f"bodies.left_rail.{part}": said for part, said in (RAIL | {"end": "mark.front_left"}).items()},
     "bodies.left_rail.end", "another point"),
    ({f"bodies.another.{part}": said for part, said in RAIL.items()}, "body_name", "Say what it is"),
    ({"body_name": "exhaust"}, "bodies.another.start", "Choose the points"),
    ({"joints.upper.frame.bolt_tilt": "10"}, "joints.upper.frame.bolt", "Choose how the bolt lies"),
    ({"joints.upper.frame.bolt_tilt": "89"}, "joints.upper.frame.bolt_tilt", "it should lie between"),
    ({"loads.grip": "plenty"}, "loads.grip", "such as 0.8"),
    ({"loads.drive_torque": "20 horses"}, "loads.drive_torque", "2500 N m"),
    ({"bodies.left_rail.start": "mark.nowhere_at_all"}, "bodies.left_rail.start", "Choose one of"),
])
def test_what_is_half_said_of_bodies_bolts_and_loads_is_asked_for(client, orchard, store, typed, field, said):
    before = store.vehicle(orchard).facts
    answer = client.post(f"/vehicles/{orchard}/facts/parts", data=typed)
    assert answer.status_code == 422
    assert said in re.search(rf'id="{re.escape(field)}-said">.*?</p>', answer.text, re.S)[0]
    assert store.vehicle(orchard).facts == before


def test_a_section_that_is_no_tube_is_stated_for_a_radius_arm(client, store):
    made = client.post("/vehicles", json=typical("radius_arms_panhard", "front")).json["id"]
    typed = {"tubes.arm_left.outside_diameter": "50 mm", "tubes.arm_left.section_modulus": "12 cm3"}
    answer = client.post(f"/vehicles/{made}/facts/parts", data=typed)
    assert answer.status_code == 422 and "or neither" in answer.text
    keep(client, made, typed | {"tubes.arm_left.section_area": "14 cm2"})
    tube = store.vehicle(made).facts.tubes["arm_left"]
    assert (tube.section_modulus, tube.section_area) == (12_000.0, 1_400.0)


@pytest.mark.parametrize(("field", "typed", "said"), [
    ("brake_share_front", "lots", "between 0 and 100"),
    ("slip_travel", "0", "it should lie between"),
    ("slip_travel", "12 kg", "is a weight"),
    ("driveshaft_joints", "triple", "Choose one of"),
    ("tubes.lower_left.yield_stress", "strong", "such as 379 or 55 ksi"),
    ("tubes.lower_left.wall", "2 in", "more than half the outside"),
    ("tubes.tie_rod.wall", "5 mm", "outside diameter too"),
    ("threads.upper.frame.pitch", "0 per inch", "how many threads"),
    ("threads.upper.frame.hand", "left", "pitch too"),
    ("steer_lock", "9" * 60, "too many"),
    ("joints.upper.frame.rated", "1e999", "type a single reading"),
])
def test_a_fact_that_cannot_be_taken_is_refused_in_one_sentence_and_nothing_changes(
    client, orchard, store, field, typed, said
):
    before = store.vehicle(orchard).facts
    answer = client.post(f"/vehicles/{orchard}/facts/parts", data={field: typed, "tyre_width": "12 in"})
    assert answer.status_code == 422
    assert said in re.search(rf'id="{re.escape(field.rpartition(".")[0])}[^"]*-said">.*?</p>', answer.text, re.S)[0]
    assert "nothing was changed" in answer.text and 'value="12 in"' in answer.text
    assert store.vehicle(orchard).facts == before


def test_over_a_form_with_refused_fields_the_sentence_leads_to_the_first_of_them(client, orchard):
    shown = as_shown(client.get(f"/vehicles/{orchard}/facts"))
    answer = client.post(f"/vehicles/{orchard}/facts/parts", data=shown | {
        "tubes.panhard.wall": "thick", "tubes.lower_left.wall": "thin"})
    assert answer.status_code == 422
    leads = re.search(r'role="alert">.*?<a href="#([^"]+)">2 fields could not be taken', answer.text, re.S)[1]
    refused = re.findall(r'id="([^"]+)"[^>]*aria-invalid="true"', answer.text)
    assert len(refused) == 2 and leads == refused[0]


def test_a_figure_that_waits_for_a_fact_leads_to_its_field(demo_client):
    client, ids, _ = demo_client
    page = client.get(f"/vehicles/{ids['orchard_truck']}/behaviour/driveshaft_slip_left").text
    assert f'href="/vehicles/{ids["orchard_truck"]}/facts#slip_travel"' in page
    assert 'id="slip_travel"' in client.get(f"/vehicles/{ids['orchard_truck']}/facts").text


# ---- where it is tight ----


def test_the_picture_of_a_gap_shows_the_chosen_pair_at_its_lock_from_the_chosen_side(demo_client):
    client, ids, _ = demo_client
    address = f"/vehicles/{ids['orchard_truck']}/behaviour/family/clearance"
    page = client.get(address).text
    pairs = re.findall(r'href="[^"]*pair=([^"#&]*)#picture"', page)
    assert len(set(pairs)) >= 8
    chosen = client.get(f"{address}?pair={pairs[3]}&view=end").text
    label = re.search(r'<svg class="d tight"[^>]*aria-label="([^"]*)"', chosen)[1]
    assert "seen from behind" in chosen and re.search(r"steered \d+° (left|right)", label)
    assert label != re.search(r'<svg class="d tight"[^>]*aria-label="([^"]*)"', page)[1]
    assert len(re.findall('aria-current="true"><span>(?:At|With the) ', chosen)) == 1
    assert client.get(f"{address}?pair=nobody~nothing&view=inside").status_code == 200


def test_a_stated_rail_waits_for_its_marks_and_then_stands_among_the_gaps(client, orchard):
    keep(client, orchard, {f"bodies.left_rail.{part}": said for part, said in RAIL.items()})
    address = f"/vehicles/{orchard}/behaviour/family/clearance"
    waiting = client.get(address).text.partition("Still waiting for")[2]
    assert "at=fore_aft%3Amark.front_left" in waiting or "at=fore_aft:mark.front_left" in waiting
    more = [reading_object(900 + number, value, reading=f"{kind}:mark.{mark}", text="", stage="mock_up")
            for number, (kind, mark, value) in enumerate(
                (kind, mark, value) for mark, x in (("front_left", 300.0), ("rear_left", -1500.0))
                for kind, value in (("fore_aft", x), ("lateral", 640.0), ("height", 560.0)))]
    assert client.post(f"/vehicles/{orchard}/entries", json={"entries": more}).status_code == 200
    page = client.get(address).text
    assert "left rail" in page and "mark.front_left" not in page.partition("Still waiting for")[2]


# ---- every layout, and hardly anything measured ----


def typical(layout, axle, names=None):
    """A vehicle file with readings of the layout's usual places."""
    setup = Setup(layout, axle, 2700.0, 840.0)
    names = names or [step.reading for step in walk_of(layout, axle, ()).steps]
    first = fit(setup, [])
    values, _ = first.predict(names)
    readings = [reading_object(number, float(value), reading=name, text="")
                for number, (name, value) in enumerate(zip(names, values, strict=True))]
    facts = {"rough_wheelbase": 2700.0, "tyre_diameter": 840.0}
    return vehicle_object(layout=layout, worked_axle=axle, entries=readings, facts=facts)


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_every_family_of_every_layout_opens_measured_and_hardly_measured(client, layout, axle):
    for names in (None, ["height:wheel_left.centre"]):
        made = client.post("/vehicles", json=typical(layout, axle, names)).json["id"]
        for key in KEYS:
            wanted = 404 if key == "steering" and axle == "rear" else 200
            assert client.get(f"/vehicles/{made}/behaviour/family/{key}?path=crossed&way=60").status_code == wanted, key
        assert client.get(f"/vehicles/{made}/facts").status_code == 200
        for figure in catalogue(layout, axle):
            assert client.get(f"/vehicles/{made}/behaviour/{figure}?way=-40").status_code == 200, figure


def test_links_in_one_place_are_a_sentence_and_no_fault(client):
    vehicle = typical("three_link_panhard", "front")
    places = {entry["reading"]: entry["value"] for entry in vehicle["entries"]}
    for entry in vehicle["entries"]:
        kind, _, point = entry["reading"].partition(":")
        if point == "upper.frame" and kind in ("height", "fore_aft", "lateral"):
            entry["value"] = places[f"{kind}:upper.axle"]
    vehicle["entries"] = [entry for entry in vehicle["entries"] if "~upper" not in entry["reading"]]
    made = client.post("/vehicles", json=vehicle).json["id"]
    for key in KEYS:
        assert client.get(f"/vehicles/{made}/behaviour/family/{key}").status_code == 200, key


def test_what_is_waited_for_stands_in_rows_of_its_own_and_a_place_s_fraction_in_one_piece(demo_client):
    client, ids, _ = demo_client
    told = client.get(f"/vehicles/{ids['creek_wagon']}/behaviour").text
    rows = re.search(r'<section class="sheet page waits">(.*?)</section>', told, re.DOTALL)[1]
    assert re.search(r"waits for</p><ul><li><a [^>]*>[^<]+</a></li>", rows)
    assert not re.search(r"</a>\s*[,.]", rows), "no comma or stop alone on a line behind a link"
    joints = family(demo_client, "orchard_truck", "joints").text
    places = re.findall(r'<span class="under"><a [^>]*>(.*?)</a></span>', joints, re.DOTALL)
    assert places and all(place.startswith("<span>At ") for place in places)


def test_how_high_to_raise_one_end_leads_to_the_readings_of_a_lift_until_they_are_there(client, orchard):
    address = f"/vehicles/{orchard}/behaviour/family/balance"
    assert client.get(address).text.count("at=lifted_rise%3Arear") + client.get(address).text.count(
        "at=lifted_rise:rear") == 1
    lift = [reading_object(940, 450.0, reading="lifted_rise:rear", text="", stage="mock_up"),
            reading_object(941, 1000.0, reading="lifted_weight:front", text="", unit="kg", stage="mock_up")]
    assert client.post(f"/vehicles/{orchard}/entries", json={"entries": lift}).status_code == 200
    page = client.get(address).text
    assert "How high to raise one end" in page and "lifted_" not in page


def with_eleven_readings(client, *more):
    """The demo truck with its first eleven readings and some more, (name, value, unit) each."""
    whole = json.loads(DEMOS["orchard_truck"].read_text(encoding="utf-8"))
    first = [entry for entry in whole["entries"] if entry["type"] == "reading"][:11]
    rest = [reading_object(950 + at, value, reading=name, unit=unit, text="", stage="mock_up")
            for at, (name, value, unit) in enumerate(more)]
    return client.post("/vehicles", json=whole | {"entries": first + rest}).json["id"]


WEIGHED = (("weight:front", 950.0, "kg"), ("weight:rear", 900.0, "kg"), ("cg_height:estimate", 700.0, "mm"))


@pytest.mark.parametrize("key", ["clearance", "loads"])
def test_what_stands_on_guesses_is_called_guessed_and_leads_to_the_readings_that_would_tell(client, key):
    vehicle = with_eleven_readings(client, *WEIGHED)
    page = client.get(f"/vehicles/{vehicle}/behaviour/family/{key}").text
    table, _, waiting = page.partition("Still waiting for")
    assert "guessed" in table and "Next to nothing" not in table
    asked = re.findall(r'href="[^"]*at=([^"&]*)"', waiting)
    assert asked and not [name for name in asked if "weight" in name or "cg_height" in name]
    assert all(client.get(f"/vehicles/{vehicle}/measure?at={name}").status_code == 200 for name in asked)


def test_why_a_figure_cannot_be_had_stands_on_its_family_s_page(client):
    nothing = (("weight:front", 0.0, "kg"), ("weight:rear", 0.0, "kg"), ("cg_height:estimate", 700.0, "mm"))
    page = client.get(f"/vehicles/{with_eleven_readings(client, *nothing)}/behaviour/family/balance").text
    assert page.count("The wheel weights add up to nothing: weigh again.") == 1


def test_loads_wait_for_all_their_scales_at_once(client):
    page = client.get(f"/vehicles/{with_eleven_readings(client)}/behaviour/family/loads").text
    waiting = page.partition("Still waiting for")[2]
    for name in ("weight:front", "weight:rear", "cg_height:estimate"):
        assert name in waiting.replace("%3A", ":")


def test_every_link_that_cannot_be_said_stands_in_the_table_however_many_can(client):
    whole = json.loads(DEMOS["orchard_truck"].read_text(encoding="utf-8"))
    tube = {"outside_diameter": 50.8, "wall": 6.35, "yield_stress": 379.0}
    thread = {"diameter": 25.4, "pitch": 1.814, "hand": "right"}
    stated = ("lower_left", "lower_right", "panhard")
    facts = whole["facts"] | {"tubes": dict.fromkeys(stated, tube),
                              "threads": {link: {"frame": thread, "axle": thread} for link in stated}}
    vehicle = client.post("/vehicles", json=whole | {"facts": facts}).json["id"]
    page = client.get(f"/vehicles/{vehicle}/behaviour/family/loads").text.partition("What is left over")[2]
    assert page.count(", as stated.") == 12
    assert "State the upper link" in page
    assert "next to nothing in this case" not in page and page.count(">waits<") == 1



@pytest.mark.parametrize(("left", "right", "said"), [(500.0, 460.0, "left"), (460.0, 500.0, "right")])
def test_the_weight_acts_so_far_to_the_side_it_acts_on(client, left, right, said):
    read = tuple((f"weight:{end}_{side}", value, "kg") for end in ("front", "rear")
                 for side, value in (("left", left), ("right", right)))
    vehicle = with_eleven_readings(client, *read)
    page = client.get(f"/vehicles/{vehicle}/behaviour/family/balance").text
    _, _, row = page.partition(f"Centre of gravity, {said} of the centreline")
    assert row and "\N{MINUS SIGN}" not in row.partition("</tr>")[0]
