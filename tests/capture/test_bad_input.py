"""Geometry and weights that cannot be: a sentence in place of each figure, never nan, on screen and in JSON."""

from __future__ import annotations

import json
import re

import pytest

from capture import report
from capture.screens.families import BY_KEY
from capture.vehicle_file import read_vehicle_file
from geometry.layouts import LAYOUTS
from geometry.points import points_of, typical_places
from tests.conftest import reading_object, vehicle_object

CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
NOT_A_NUMBER = re.compile(r"(?<![\w&-])(nan|inf|infinity|undefined|None)(?![\w-])", re.IGNORECASE)
ALL = [(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")]


def vehicle(layout, axle, spoil, sd=0.05):
    """A vehicle file with every point read once, after `spoil` has changed places and scalars. sd: None for usual."""
    places = {name: list(place) for name, place in typical_places(layout, axle, 2700.0, 840.0).items()
              if name in points_of(layout, axle)}
    scalars = {"cg_height:estimate": 700.0, "travel:bump": 80.0, "travel:droop": 100.0, "incline:pinion": 4.0,
               "incline:gearbox_output": -3.0, **{f"weight:{corner}": 480.0 for corner in CORNERS}}
    spoil(places, scalars, LAYOUTS[layout])
    readings = {f"{kind}:{name}": place[axis] for name, place in places.items()
                for axis, kind in enumerate(("fore_aft", "lateral", "height"))} | scalars
    entries = [reading_object(number, float(value), reading=name, text="", **({"sd": sd} if sd else {}))
               for number, (name, value) in enumerate(readings.items())]
    facts = {"brake_share_front": 0.6, "drive_share_front": 0.5, "rough_wheelbase": 2700.0, "tyre_diameter": 840.0}
    return vehicle_object(layout=layout, worked_axle=axle, entries=entries, facts=facts)


def no_length(places, scalars, layout):
    """A link whose two ends are in one place."""
    link = layout.links[0]
    for end in link.axle:
        places[end] = list(places[link.frame])


def twins_in_one_place(places, scalars, layout):
    """Two links through the same four bolts."""
    first, second = layout.links[:2]
    places[second.frame] = list(places[first.frame])
    for one, other in zip(first.axle, second.axle, strict=True):
        places[other] = list(places[one])


def in_one_line(places, scalars, layout):
    """Every link along the middle of the vehicle, at one height."""
    for number, link in enumerate(layout.links):
        places[link.frame] = [600.0 + 150.0 * number, 0.0, 500.0]
        for step, end in enumerate(link.axle):
            places[end] = [30.0 * number + 40.0 * step, 0.0, 500.0]


def all_in_one_place(places, scalars, layout):
    for place in places.values():
        place[:] = [0.0, 0.0, 400.0]


def weightless(places, scalars, layout):
    for corner in CORNERS:
        scalars[f"weight:{corner}"] = 0.0


def no_height(places, scalars, layout):
    scalars["cg_height:estimate"] = 0.0


def parallel(places, scalars, layout):
    """Links that run alike: the instant centre is nowhere."""
    for link in layout.links:
        if link.role in ("lower", "upper"):
            x, y, z = places[link.axle[0]]
            places[link.frame] = [x + (700.0 if places[link.frame][0] > x else -700.0), y, z + 40.0]


def far_travel(places, scalars, layout):
    scalars["travel:bump"] = scalars["travel:droop"] = 480.0
    for link in layout.links:
        if link.role == "panhard":
            places[link.frame] = [places[link.axle[0]][0], places[link.axle[0]][1] - 150.0, places[link.axle[0]][2]]


def upside_down(places, scalars, layout):
    """Below the floor: heights typed with a minus."""
    for link in layout.links:
        places[link.frame][2] *= -1.0


def straight_ahead(places, scalars, layout):
    """Links that all run along the vehicle: without a panhard bar nothing holds the axle across."""
    for link in layout.links:
        if link.role != "panhard":
            places[link.frame][1] = places[link.axle[0]][1]


def kingpins_lying(places, scalars, layout):
    for name, place in places.items():
        if name.startswith("kingpin"):
            place[2] = 400.0


def drag_link_of_no_length(places, scalars, layout):
    if "drag_link.axle" in places:
        places["drag_link.axle"] = list(places["drag_link.frame"])


def shaft_of_no_length(places, scalars, layout):
    places["driveshaft.axle"] = list(places["driveshaft.frame"])


SPOILS = (no_length, twins_in_one_place, in_one_line, all_in_one_place, weightless, no_height, parallel, far_travel,
          upside_down, straight_ahead, kingpins_lying, drag_link_of_no_length, shaft_of_no_length)


def told(layout, axle, spoil, sd=0.05):
    made = report.build(read_vehicle_file(json.dumps(vehicle(layout, axle, spoil, sd)), "made"))
    return json.loads(json.dumps(made.as_json(), allow_nan=False))


@pytest.mark.parametrize(("layout", "axle"), ALL)
@pytest.mark.parametrize("spoil", SPOILS, ids=lambda spoil: spoil.__name__)
def test_every_figure_has_a_number_or_says_why_it_has_none(layout, axle, spoil):
    for key, figure in told(layout, axle, spoil)["figures"].items():
        if figure["value"] is None:
            assert figure["sd"] is None and (figure["needs"] or figure.get("reason")), key
            assert not figure.get("reason") or figure["reason"].endswith("."), key
        else:
            assert figure["sd"] is not None, key


@pytest.mark.parametrize(("layout", "axle"), ALL)
@pytest.mark.parametrize("sd", [0.05, None], ids=["sharp", "usual"])
@pytest.mark.parametrize(("spoil", "keys", "says"), [
    (no_length, ("roll_centre_height", "anti_geometric"), "in one place"),
    (no_height, ("anti_geometric", "cg.z"), "at the floor"),
    (weightless, ("cg.x",), "add up to nothing"),
    (shaft_of_no_length, ("driveshaft_angle.axle", "driveshaft_plunge"), "in one place"),
], ids=lambda given: getattr(given, "__name__", None))
def test_the_sentence_names_what_cannot_be(layout, axle, spoil, keys, says, sd):
    """At the usual give or take what is in one place does not fall in one place quite; the sentence is the same."""
    figures = told(layout, axle, spoil, sd)["figures"]
    for key in keys:
        assert figures[key]["value"] is None and says in figures[key]["reason"], key


@pytest.mark.parametrize("sd", [0.05, None], ids=["sharp", "usual"])
@pytest.mark.parametrize(("layout", "spoil"), [
    ("three_link_panhard", twins_in_one_place),
    ("three_link_panhard", in_one_line),
    ("four_link", twins_in_one_place),
    ("four_link", in_one_line),
    ("four_link", straight_ahead),
], ids=lambda given: getattr(given, "__name__", given))
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_links_that_leave_the_axle_loose_have_a_sentence_in_place_of_figures(layout, axle, spoil, sd):
    figures = told(layout, axle, spoil, sd)["figures"]
    for key in ("roll_centre_height", "anti_geometric", "instant_centre.x"):
        assert figures[key]["value"] is None and "free to move" in figures[key]["reason"], key


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_link_of_no_length_points_nowhere(layout):
    figures = told(layout, "rear", no_length, None)["figures"]
    name = LAYOUTS[layout].links[0].name
    for key in (f"link_incline.{name}", f"link_plan.{name}"):
        assert figures[key]["value"] is None and "in one place" in figures[key]["reason"], key
    assert figures[f"link_length.{name}"]["value"] < 20.0


@pytest.mark.parametrize("sd", [0.05, None], ids=["sharp", "usual"])
def test_a_kingpin_or_drag_link_that_cannot_be_is_named(sd):
    figures = told("three_link_panhard", "front", kingpins_lying, sd)["figures"]
    for key in ("caster", "kingpin_inclination.left", "scrub.right", "trail.left", "bump_steer_75"):
        assert figures[key]["value"] is None and "kingpin's top" in figures[key]["reason"], key
    figures = told("three_link_panhard", "front", drag_link_of_no_length, sd)["figures"]
    for key in ("match.length", "match.plan"):
        assert figures[key]["value"] is None and "drag link's two ends" in figures[key]["reason"], key


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize("layout", ["three_link_panhard", "four_link", "four_link_panhard"])
def test_links_that_run_alike_have_an_anti_figure_and_no_instant_centre(layout, axle):
    figures = told(layout, axle, parallel)["figures"]
    assert figures["instant_centre.x"]["value"] is None
    assert figures["instant_centre.x"]["reason"]


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize("layout", ["three_link_panhard", "four_link_panhard", "radius_arms_panhard"])
def test_travel_beyond_reach_leaves_gaps_in_the_sweep_or_says_what_the_bushings_swallow(layout, axle):
    rows = told(layout, axle, far_travel)["sweep"]
    if layout == "three_link_panhard":
        assert rows[0]["lateral_shift"] is None and rows[-1]["lateral_shift"] is None
        assert any(row["lateral_shift"] is not None for row in rows)
        for row, way in ((rows[0], "droop"), (rows[-1], "bump")):
            assert row["reason"].startswith("The links bind at ") and f"mm of {way}" in row["reason"]
        assert all(("reason" in row) == (row["lateral_shift"] is None) for row in rows)
    else:
        assert all(row["binding"] is None or row["binding"] >= 0.0 for row in rows)


def test_a_sweep_that_cannot_be_had_at_all_says_why_at_every_step():
    rows = told("three_link_panhard", "front", no_length, None)["sweep"]
    assert rows and all("in one place" in row["reason"] for row in rows)


@pytest.mark.parametrize("spoil", SPOILS, ids=lambda spoil: spoil.__name__)
@pytest.mark.parametrize(("layout", "axle"), [("three_link_panhard", "front"), ("radius_arms_panhard", "rear")])
def test_no_page_shows_what_is_no_number(client, layout, axle, spoil):
    made = client.post("/vehicles", json=vehicle(layout, axle, spoil)).json["id"]
    families = [key for key in BY_KEY if (key, axle) != ("steering", "rear")]
    pages = [f"behaviour/{page}" for page in ("roll_centre_height?way=40", "anti_geometric",
                                              *(f"family/{key}" for key in families))]
    for page in ("behaviour", "shape", *pages):
        answer = client.get(f"/vehicles/{made}/{page}")
        assert answer.status_code == 200, page
        plain = re.sub(r"<style.*?</style>", "", answer.text, flags=re.S)
        assert not NOT_A_NUMBER.search(plain), (page, NOT_A_NUMBER.search(plain))
