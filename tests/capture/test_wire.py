"""What the first view of the walk costs on the air, and what it still asks for afterwards."""

from __future__ import annotations

import gzip
import json
import re

from flask.testing import FlaskClient

from tests.benchmarks.vehicles import measured

MOST_BYTES = 150_000
PACKED = {"Accept-Encoding": "gzip"}


def wire_bytes(answer) -> int:
    return len(answer.data) + sum(len(name) + len(value) + 4 for name, value in answer.headers)


def test_the_first_view_of_the_walk_with_sixty_readings_and_all_drawings_fits_in_150_kb(client: FlaskClient):
    vehicle_id = client.post("/vehicles", data=json.dumps(measured(60)), content_type="application/json").json["id"]
    page = client.get(f"/vehicles/{vehicle_id}/measure", headers=PACKED)
    assert page.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in page.headers["Vary"]
    text = gzip.decompress(page.data).decode()
    files = sorted(set(re.findall(r'(?:src|href)="(/static/[^"]+)"', text)))
    answers = [client.get(file, headers=PACKED) for file in files]
    assert {answer.status_code for answer in answers} == {200}
    assert sum(map(wire_bytes, [page, *answers])) <= MOST_BYTES
    assert text.count("<svg") > 10


def test_the_files_of_the_walk_are_kept_by_the_browser_and_not_asked_for_again(client: FlaskClient, vehicle_id: str):
    text = client.get(f"/vehicles/{vehicle_id}/measure").text
    for file in set(re.findall(r'(?:src|href)="(/static/[^"]+)"', text)):
        assert "immutable" in client.get(file).headers["Cache-Control"], file


def test_a_packed_and_an_unpacked_answer_say_the_same(client: FlaskClient, vehicle_id: str):
    address = f"/vehicles/{vehicle_id}/record"
    assert gzip.decompress(client.get(address, headers=PACKED).data) == client.get(address).data
