"""Rows of holes on their page: typed, kept as entries, every combination as geometry has it, refusals in a sentence."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from capture import plans
from capture.lengths import say
from capture.report import facts_of
from capture.store import Store
from geometry.holes import Limits, Want, table
from tests.capture.test_what_if_page import demo, entries

UPPER = {"point": "upper.frame", "count": "3", "spacing": "1", "direction": "up", "used": "2"}
PANHARD = {"point": "panhard.frame", "count": "4", "spacing": "3/4", "direction": "up", "used": "1"}


@pytest.fixture
def truck(client: FlaskClient) -> str:
    return demo(client, "orchard_truck")


def add(client: FlaskClient, truck: str, row: dict[str, str], **more: str) -> Any:
    return client.post(f"/vehicles/{truck}/holes", data=row | more)


def lines(page: str) -> list[tuple[str, str]]:
    """Each line of the table: its holes and everything else as plain text."""
    body = page.split("Every combination of holes")[1].split("</table>")[0]
    found = []
    for row in body.split("<tr")[2:]:
        holes = re.search(r'aria-hidden="true">(?:<s>)?([0-9 +]+)', row)[1]
        found.append((holes, re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", row.split("</th>")[1])).strip()))
    return found


def test_a_typed_row_is_kept_as_an_entry_counted_from_the_hole_in_use(client, store: Store, truck):
    assert add(client, truck, UPPER).status_code == 303
    made = entries(store, truck)[-1]
    assert (made.type, made.point, made.used) == ("holes", "upper.frame", 1)
    assert made.places == [[0.0, 0.0, -25.4], [0.0, 0.0, 0.0], [0.0, 0.0, 25.4]]  # by hand: an inch apart


def test_each_hole_may_be_measured_for_itself(client, store: Store, truck):
    typed = "0, 0, -1 1/2\n0, 0, 0\n1/4; 0; 2"
    assert add(client, truck, {"point": "upper.frame", "way": "each", "each": typed}).status_code == 303
    made = entries(store, truck)[-1]
    assert made.used == 1 and made.places == [[0.0, 0.0, -38.1], [0.0, 0.0, 0.0], [6.35, 0.0, 50.8]]


def test_a_slanted_row_goes_so_far_along_its_way(client, store: Store, truck):
    slanted = UPPER | {"direction": "typed", "dx": "3", "dy": "", "dz": "4", "spacing": "5", "count": "2", "used": "1"}
    add(client, truck, slanted)
    assert entries(store, truck)[-1].places[1] == pytest.approx([3 * 25.4, 0.0, 4 * 25.4])


def test_the_table_is_that_of_geometry(app: Flask, client, truck):
    add(client, truck, UPPER)
    add(client, truck, PANHARD)
    page = client.get(f"/vehicles/{truck}/holes?figure=anti_dive&near=50&show=anti_dive&show=roll_centre_height").text
    report = app.extensions["plumbtack"].models.at(truck)
    found = table(report.fit, facts_of(report.vehicle), plans.rows(report.vehicle), Want("anti_dive", 50.0), Limits())
    shown = lines(page)
    assert len(shown) == 12 and len([one for one in found if not one.crossed_out]) > 3
    for (holes, rest), one in zip(shown, found, strict=True):
        assert holes == " + ".join(str(at + 1) for at in one.holes)
        for reason in one.crossed_out:
            assert reason in rest
        if not one.crossed_out:
            assert say(one.figures["anti_dive"], "%", "in") in rest


def test_a_line_leads_to_what_if_with_its_moves(client, truck):
    add(client, truck, UPPER)
    page = client.get(f"/vehicles/{truck}/holes").text
    hrefs = [href.replace("&amp;", "&") for href in re.findall(r'<th scope="row"><a href="([^"]+)"', page)]
    assert len(hrefs) == 3
    moved = [client.get(href).text for href in hrefs]
    assert sum("by,upper.frame,0,0,25.4" in one for one in moved) == 1
    assert sum("by,upper.frame,0,0,-25.4" in one for one in moved) == 1
    assert sum("this is the vehicle as measured" in one for one in moved) == 1
    assert any('value="Upper link, frame, hole 3"' in one for one in moved)


def test_links_that_turn_only_so_far_cross_holes_out(client, truck):
    add(client, truck, UPPER | {"direction": "along", "spacing": "2"})
    page = client.get(f"/vehicles/{truck}/holes?turn=1").text
    crossed = [rest for _, rest in lines(page) if "than it can be made" in rest]
    assert len(crossed) == 2 and 'class="crossedout"' in page


def test_a_row_is_withdrawn_by_an_entry_and_the_last_one_kept_counts(client, store: Store, truck):
    add(client, truck, UPPER)
    add(client, truck, UPPER | {"count": "5"})
    assert len(lines(client.get(f"/vehicles/{truck}/holes").text)) == 5
    there = re.findall(r'name="of" value="([^"]+)"', client.get(f"/vehicles/{truck}/holes").text)
    client.post(f"/vehicles/{truck}/holes/withdraw", data={"of": there})
    assert "Every combination of holes" not in client.get(f"/vehicles/{truck}/holes").text
    assert [entry.type for entry in entries(store, truck)][-4:] == ["holes", "holes", "withdraw", "withdraw"]


def test_the_same_form_sent_twice_keeps_one_row(client, store: Store, truck):
    for _ in range(2):
        assert add(client, truck, UPPER, id="decided-00000001").status_code == 303
    assert [entry.type for entry in entries(store, truck)].count("holes") == 1


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"count": "0"}, "A row of 0 holes has no hole to use"),
        ({"count": ""}, "Type a whole number for holes"),
        ({"count": "-3"}, "Type a whole number for holes"),
        ({"count": "2.5"}, "Type a whole number for holes"),
        ({"count": "101"}, "too many for one row"),
        ({"used": "4"}, "hole 4 is not in a row of 3"),
        ({"used": "0"}, "hole 0 is not in a row of 3"),
        ({"spacing": "0"}, "a spacing above zero"),
        ({"spacing": "an inch"}, "Spacing:"),
        ({"direction": "typed"}, "and a direction"),
        ({"point": "upper.farme"}, "Choose the bolt"),
        ({"way": "each", "each": ""}, "No hole is typed yet"),
        ({"way": "each", "each": "0, 0, 1"}, "None of these is the hole in use"),
        ({"way": "each", "each": "0, 0, 0\n1, 2"}, "Line 2 has 2 lengths and needs 3"),
        ({"way": "each", "each": "0, 0, 0\n1, x, 2"}, "Line 2: "),
        ({"way": "each", "each": "0, 0, 0\n0, 0, 0"}, "Line 2 is the same hole as line 1"),
    ],
)
def test_a_row_that_is_none_is_refused_in_one_sentence_with_what_was_typed(client, store: Store, truck, changes, said):
    before = len(entries(store, truck))
    answer = add(client, truck, UPPER | changes)
    refused = re.search(r'id="row-refused">.*?<span>(.*?)</span></p>', answer.text, re.S)
    assert answer.status_code == 422 and refused and said.lower() in refused[1].lower()
    assert len(entries(store, truck)) == before
    if changes.get("count"):
        assert f'value="{changes["count"]}"' in answer.text


@pytest.mark.parametrize(("query", "said"), [("near=abc", "can be read"), ("turn=-1", "less than nothing"),
                                             ("clear=x", "can be read")])
def test_a_wish_that_cannot_be_read_is_refused_in_one_sentence(client, truck, query, said):
    add(client, truck, UPPER)
    answer = client.get(f"/vehicles/{truck}/holes?{query}")
    assert answer.status_code == 422 and said in answer.text and "Traceback" not in answer.text


def test_fields_show_what_was_asked_and_are_empty_otherwise(client, truck):
    add(client, truck, UPPER)
    for typed in ({}, {"near": "40", "turn": "1/2", "clear": "3/4"}):
        page = client.get(f"/vehicles/{truck}/holes", query_string={"figure": "anti_dive", **typed}).text
        shown = dict(re.findall(r'name="(near|turn|clear)" value="([^"]*)"', page))
        assert shown == {"near": "", "turn": "", "clear": ""} | typed


def test_too_many_combinations_are_refused_in_one_sentence(client, truck):
    for point in ("upper.frame", "panhard.frame"):
        add(client, truck, UPPER | {"point": point, "count": "60"})
    answer = client.get(f"/vehicles/{truck}/holes")
    assert answer.status_code == 422 and "make 3600 combinations and 2000 is the most" in answer.text


def test_the_holes_are_drawn_where_they_are(client, truck):
    add(client, truck, UPPER)
    page = client.get(f"/vehicles/{truck}/holes").text
    assert page.count('class="hole"') == 2 and page.count('class="litf"') == 1


def test_rows_from_the_door_count_like_typed_ones(client, truck):
    body = {"id": "decided-00000007", "at": "2026-05-02T09:14:07Z", "type": "holes", "point": "upper.frame",
            "places": [[0.0, 0.0, 0.0], [0.0, 0.0, 30.0]]}
    assert client.post(f"/vehicles/{truck}/entries", json={"entries": [body]}).status_code == 200
    assert len(lines(client.get(f"/vehicles/{truck}/holes").text)) == 2
