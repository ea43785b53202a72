"""Photos on the server: taken in, shown where they belong, withdrawn, and never more than they may be."""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask.testing import FlaskClient
from PIL import Image

from capture.picture import cleaned
from capture.store import Store
from tests.capture.test_picture import a_png_header
from tests.conftest import reading_object

READING = "height:lower_left.frame"


def a_jpeg(shade: int = 90, size: tuple[int, int] = (800, 600), **how: Any) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, (shade, 120, 200)).save(out, "JPEG", **how)
    return out.getvalue()


def send(client: FlaskClient, vehicle_id: str, content: bytes | None = None, script: bool = False, **form: str) -> Any:
    """As the form does; with `script` as the page's script does."""
    data: dict[str, Any] = {"id": "photo-000001", "stage": "mock_up"} | form
    if content != b"":
        data["picture"] = (io.BytesIO(a_jpeg() if content is None else content), "IMG_0001.JPG")
    headers = {"Accept": "application/json"} if script else {"Accept": "text/html"}
    return client.post(f"/vehicles/{vehicle_id}/photos", data=data, headers=headers,
                       content_type="multipart/form-data")


@pytest.fixture
def truck(client: FlaskClient, vehicle_id: str) -> str:
    """A vehicle with one reading."""
    client.post(f"/vehicles/{vehicle_id}/entries", json={"entries": [reading_object(1)]})
    return vehicle_id


def test_a_photo_sent_by_the_form_is_in_the_log_and_on_the_page(client: FlaskClient, store: Store, truck: str):
    answer = send(client, truck, point="lower_left.frame", note="upper hole")
    assert answer.status_code == 303 and answer.location.endswith("point=lower_left.frame#photo-photo-000001")
    entry = store.vehicle(truck).entries[-1]
    assert (entry.type, entry.point, entry.note, entry.width, entry.height) == (
        "photo", "lower_left.frame", "upper hole", 800, 600)  # fmt: skip
    page = client.get(answer.location).text
    assert f'src="/vehicles/{truck}/photos/photo-000001?small=1"' in page and "upper hole" in page
    shape = client.get(f"/vehicles/{truck}/shape?point=lower_left.frame").text
    assert "photos/photo-000001?small=1" in shape and "Photos: 1" in shape
    assert "photos/photo-000001?small=1" in client.get(f"/vehicles/{truck}/record").text


def test_a_photo_of_a_reading_stands_at_the_reading(client: FlaskClient, truck: str):
    send(client, truck, reading=READING)
    assert "photo-000001" in client.get(f"/vehicles/{truck}/photos", query_string={"reading": READING}).text
    other = client.get(f"/vehicles/{truck}/photos", query_string={"reading": "height:upper.frame"}).text
    assert "photo-000001" not in other
    measure = client.get(f"/vehicles/{truck}/measure?at={READING}").text
    assert f'data-photo="/vehicles/{truck}/photos"' in measure and "1 photo of this" in measure
    assert ">1 photo</a>" in client.get(f"/vehicles/{truck}/record").text


def test_the_script_is_told_the_id_and_may_send_again(client: FlaskClient, store: Store, truck: str):
    for _ in range(3):
        answer = send(client, truck, script=True, at="2026-05-02T09:14:07Z")
        assert answer.status_code == 200 and answer.json == {"stored": "photo-000001"}
    assert [entry.type for entry in store.vehicle(truck).entries] == ["reading", "photo"]


def test_the_picture_is_served_as_nothing_but_a_jpeg_and_kept_by_its_id(client: FlaskClient, store: Store, truck: str):
    send(client, truck)
    answer = client.get(f"/vehicles/{truck}/photos/photo-000001")
    assert answer.data == store.photo(truck, "photo-000001")
    assert answer.headers["Content-Type"] == "image/jpeg" and answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "immutable" in answer.headers["Cache-Control"] and "private" in answer.headers["Cache-Control"]
    small = client.get(f"/vehicles/{truck}/photos/photo-000001?small=1")
    assert max(Image.open(io.BytesIO(small.data)).size) == 320 and len(small.data) < len(answer.data)


def test_strangers_see_no_photo(client: FlaskClient, app: Any, truck: str):
    send(client, truck)
    assert app.test_client().get(f"/vehicles/{truck}/photos/photo-000001").status_code in (401, 403)


def test_a_withdrawn_photo_stays_stored_and_is_not_shown(client: FlaskClient, store: Store, truck: str):
    send(client, truck, point="lower_left.frame")
    answer = client.post(f"/vehicles/{truck}/photos/photo-000001/withdraw", data={"note": "the wrong side"})
    assert answer.status_code == 303
    assert client.get(f"/vehicles/{truck}/photos/photo-000001").status_code == 404
    page = client.get(f"/vehicles/{truck}/photos").text
    assert "small=1" not in page and "the wrong side" in page
    assert "photo-000001" not in client.get(f"/vehicles/{truck}/sheet").text
    assert store.photo(truck, "photo-000001") is not None
    assert [entry.type for entry in store.vehicle(truck).entries] == ["reading", "photo", "withdraw"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "No photo was chosen yet"),
        (b"%PDF-1.7 not a picture", "no photo that can be read here"),
        (a_png_header(60_000, 60_000), "60000 by 60000 pixels"),
    ],
)
@pytest.mark.parametrize("script", [True, False])
def test_what_is_no_photo_is_refused_with_a_sentence_and_stores_nothing(
    client: FlaskClient, store: Store, truck: str, content: bytes, said: str, script: bool
):
    answer = send(client, truck, content, script=script, note="kept as typed")
    assert answer.status_code == 422
    assert said in (answer.json["error"] if script else answer.text)
    assert script or 'value="kept as typed"' in answer.text
    assert len(store.vehicle(truck).entries) == 1


def test_a_photo_of_60_mb_is_refused_by_its_size_alone(client: FlaskClient, store: Store, truck: str):
    answer = client.post(f"/vehicles/{truck}/photos", data=b"x", content_type="multipart/form-data; boundary=x",
                         environ_overrides={"CONTENT_LENGTH": "60000000"})
    assert answer.status_code == 413 and "This photo has 60 MB; 20 MB is the most." in answer.text
    assert len(store.vehicle(truck).entries) == 1


def test_an_upload_on_the_wire_larger_than_that_is_told_in_words_too(live_server: Any):
    import urllib.error
    import urllib.request

    from tests.conftest import vehicle_object

    made = live_server.ask("/vehicles", vehicle_object())["id"]
    request = urllib.request.Request(
        f"{live_server.base}/vehicles/{made}/photos", data=b"x" * 30_000_000,
        headers={"Authorization": f"Bearer {live_server.key}", "Content-Type": "multipart/form-data; boundary=x"},
    )  # fmt: skip
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=30)
    assert refused.value.code == 413 and b"20 MB is the most" in refused.value.read()


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"point": "upper.farme"}, "there is no point upper.farme"),
        ({"reading": "height:nowhere"}, "nowhere"),
        ({"stage": "finished"}, "stage must be"),
        ({"id": "short"}, "id must be 8 to 64"),
        ({"at": "yesterday"}, "at must be a time"),
        ({"point": "upper.frame", "reading": READING}, "of a reading or of a point, not of both"),
    ],
)
def test_a_photo_of_nothing_there_is_refused(client: FlaskClient, store: Store, truck: str, form: dict, said: str):
    answer = send(client, truck, script=True, **form)
    assert answer.status_code == 422 and said in answer.json["error"]
    assert len(store.vehicle(truck).entries) == 1


def test_an_id_that_is_another_entry_is_refused_and_that_one_stays(client: FlaskClient, store: Store, truck: str):
    answer = send(client, truck, script=True, id="entry-000001")
    assert answer.status_code == 409 and store.vehicle(truck).entries[0].type == "reading"


def test_guests_may_look_at_photos_and_send_none(app: Any, client: FlaskClient, truck: str):
    send(client, truck)
    guest = app.test_client()
    guest.environ_base["HTTP_ORIGIN"] = "http://localhost"
    guest.get("/in", query_string={"key": app.extensions["plumbtack"].pairing.guest_key})
    assert guest.get(f"/vehicles/{truck}/photos/photo-000001").status_code == 200
    assert "Keep this photo" not in guest.get(f"/vehicles/{truck}/photos").text
    assert send(guest, truck, id="photo-000002").status_code == 403


def test_a_picture_whose_entry_came_alone_is_said_to_be_left_behind(client: FlaskClient, truck: str):
    picture = cleaned(a_jpeg())
    entry = {"id": "photo-000007", "at": "2026-05-02T09:14:07Z", "stage": "mock_up", "type": "photo",
             "sha256": picture.sha256, "width": picture.width, "height": picture.height}  # fmt: skip
    assert client.post(f"/vehicles/{truck}/entries", json={"entries": [entry]}).status_code == 200
    assert "left behind" in client.get(f"/vehicles/{truck}/photos").text
    assert client.get(f"/vehicles/{truck}/photos/photo-000007").status_code == 404
