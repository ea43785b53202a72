"""The page that makes a vehicle: six answers, each refused in one sentence and sent back as it was typed."""

from __future__ import annotations

import html

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from capture.entry import NotAReading
from capture.screens.new import LONGEST_NAME, Typed, read_wheelbase, vehicle_from
from capture.vehicle_file import VehicleFile
from geometry.layouts import LAYOUTS

GOOD = {"name": "Orchard truck", "axle": "front", "layout": "three_link_panhard", "unit": "in",
        "wheelbase": "106 in", "tyre": "35x12.50R15"}


def test_five_answers_make_a_vehicle_and_lead_to_its_walk(client, store):
    answer = client.post("/new", data=GOOD)
    assert answer.status_code == 303
    line = store.vehicles()[0]
    assert answer.headers["Location"] == f"/vehicles/{line.id}/walk"
    made = store.vehicle(line.id)
    assert (made.name, made.worked_axle, made.layout, made.display_unit) == (
        "Orchard truck", "front", "three_link_panhard", "in")
    assert made.facts.rough_wheelbase == pytest.approx(2692.4)  # 106 x 25.4
    assert made.facts.tyre_diameter == pytest.approx(889.0)
    assert made.facts.tyre_size == "35x12.50R15"
    assert made.entries == []


def test_the_same_form_sent_again_is_the_vehicle_it_made_and_one_filled_in_otherwise_is_another(client, store):
    first, again = (client.post("/new", data=GOOD | {"id": "a-page-of-its-own"}) for _ in range(2))
    assert first.headers["Location"] == again.headers["Location"] and len(store.vehicles()) == 1
    client.post("/new", data=GOOD | {"id": "a-page-of-its-own", "name": "Creek wagon"})
    client.post("/new", data=GOOD)
    assert len(store.vehicles()) == 3


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_layout_has_a_picture_that_makes_it(client, store, layout):
    assert f'value="{layout}"' in client.get("/new").text
    assert client.post("/new", data=GOOD | {"layout": layout}).status_code == 303
    assert store.vehicles()[0].layout == layout


@pytest.mark.parametrize(("text", "mm"), [("106 in", 2692.4), ("106", 2692.4), ("2700", 2700.0), ("2700 mm", 2700.0),
                                          ("270 cm", 2700.0), ("8' 10", 2692.4), ("106 1/2", 2705.1)])
def test_a_wheelbase_is_read_as_people_write_it(text, mm):
    assert read_wheelbase(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(("field", "typed"), [
    ("name", ""), ("name", "   "), ("name", "x" * (LONGEST_NAME + 1)), ("name", "bell\x07"), ("axle", "middle"),
    ("layout", "five_link"), ("unit", "cubit"), ("wheelbase", ""), ("wheelbase", "long"), ("wheelbase", "12"),
    ("wheelbase", "106 kg"), ("tyre", ""), ("tyre", "round"), ("tyre", "3"),
])
def test_an_answer_that_cannot_be_taken_is_said_beside_its_field_and_nothing_is_made(client, store, field, typed):
    answer = client.post("/new", data=GOOD | {field: typed})
    assert answer.status_code == 422
    assert f'id="{field}-refused"' in answer.text
    assert answer.text.count('class="refused"') == 1
    assert store.vehicles() == []


def test_a_refused_form_keeps_what_he_typed(client):
    answer = client.post("/new", data=GOOD | {"name": 'The "old" <one>', "tyre": "round"})
    assert 'value="The &#34;old&#34; &lt;one&gt;"' in answer.text
    assert 'value="106 in"' in answer.text
    assert 'value="round"' in answer.text
    assert "<one>" not in answer.text


def test_a_book_pasted_into_the_name_is_not_sent_back_whole(client):
    answer = client.post("/new", data=GOOD | {"name": "x" * 10_000})
    assert answer.status_code == 422
    assert "10000 characters" in answer.text
    assert len(answer.text) < 30_000


def test_a_form_without_any_field_is_refused_not_broken(client):
    assert client.post("/new", data={}).status_code == 422


@pytest.mark.parametrize("name", ["<script>alert(1)</script>", "שלום ‏truck", "{{ 7*7 }}", "a" * LONGEST_NAME, "&amp;"])
def test_any_name_that_fits_is_shown_as_it_is(client, store, name):
    answer = client.post("/new", data=GOOD | {"name": name})
    if answer.status_code == 422:
        assert 'id="name-refused"' in answer.text
        return
    shown = client.get("/").text
    assert html.escape(store.vehicles()[0].name, quote=False) in shown.replace("&#39;", "'").replace("&#34;", '"')
    assert "<script>alert" not in shown


@given(st.fixed_dictionaries({key: st.text(max_size=120) for key in GOOD}))
def test_no_answers_break_the_form(answers):
    made = vehicle_from(Typed(**answers))
    assert isinstance(made, VehicleFile) or all(sentence.endswith((".", "?")) for sentence in made.values())


@example("²")
@given(st.text(max_size=60))
def test_no_text_breaks_the_wheelbase(text):
    try:
        assert 1200 <= read_wheelbase(text) <= 8000
    except NotAReading as refused:
        assert str(refused)
