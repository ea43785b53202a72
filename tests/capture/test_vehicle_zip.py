"""A vehicle with its photos as a zip: out and in again the same, and nothing else gets in by it."""

from __future__ import annotations

import csv
import io
import stat
import zipfile
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from capture import vehicle_zip
from capture.fingerprint import fingerprint
from capture.json_text import BadFile
from capture.store import Store
from capture.vehicle_file import VehicleFile, write_vehicle_file
from capture.vehicle_zip import read_any, read_folder, read_zip, write_zip
from tests.capture.test_picture import a_photo, sent
from tests.capture.test_store_photos import a_picture, an_entry
from tests.conftest import reading_object, vehicle_object

PICTURE = a_picture()
PHOTO = "photos/photo-000001.jpg"


def a_vehicle(*photos: int) -> VehicleFile:
    bodies = [an_entry(PICTURE, number).model_dump(exclude_unset=True) for number in photos]
    return VehicleFile.model_validate(vehicle_object(entries=[reading_object(1), *bodies]))


def packed(files: dict[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as made:
        for name, content in files.items():
            made.writestr(name, content)
    return out.getvalue()


def whole(**more: bytes) -> dict[str, bytes]:
    return {"vehicle.json": write_vehicle_file(a_vehicle(1)).encode(), PHOTO: PICTURE.content} | more


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 255), st.text(max_size=20), st.booleans()), max_size=4))
def test_out_in_and_out_again_is_the_identity_with_photos_and_fingerprint(taken):
    pictures, bodies = {}, [reading_object(1)]
    for number, (shade, note, withdrawn) in enumerate(taken):
        picture = a_picture(shade)
        entry = an_entry(picture, number, note=note)
        bodies.append(entry.model_dump(exclude_unset=True))
        pictures[entry.id] = picture.content
        if withdrawn:
            bodies.append({"id": f"withdraw-{number}", "at": "2026-05-02T11:00:00Z", "type": "withdraw",
                           "of": entry.id, "note": note})  # fmt: skip
    vehicle = VehicleFile.model_validate(vehicle_object(entries=bodies))
    first = write_zip(vehicle, pictures)
    again = read_zip(first, "truck.zip")
    assert again.pictures == pictures and again.left_behind == 0
    assert fingerprint(again.vehicle.entries) == fingerprint(vehicle.entries)
    assert write_zip(again.vehicle, again.pictures) == first


def test_a_new_installation_gives_the_same_zip(client: FlaskClient, store: Store):
    first = store.create(a_vehicle(1), {"photo-000001": PICTURE.content})
    exported = client.get(f"/vehicles/{first}/record/zip")
    assert exported.headers["Content-Type"] == "application/zip"
    assert exported.headers["Content-Disposition"] == 'attachment; filename="test-truck.zip"'
    answer = client.post("/import", data={"file": (io.BytesIO(exported.data), "test-truck.zip")})
    assert answer.status_code == 303
    second = answer.location.split("/")[2]
    assert second != first and store.photo(second, "photo-000001") == PICTURE.content
    assert client.get(f"/vehicles/{second}/record/zip").data == exported.data


def test_the_plain_file_stays_as_it_is_and_says_what_it_leaves_behind(client: FlaskClient, store: Store):
    made = store.create(a_vehicle(1), {"photo-000001": PICTURE.content})
    page = client.get(f"/vehicles/{made}/record").text
    assert "The plain file leaves 1 photo behind" in page
    assert client.get(f"/vehicles/{made}/record/file").text == write_vehicle_file(a_vehicle(1))
    found = read_any(client.get(f"/vehicles/{made}/record/file").data, "truck.json")
    assert found.left_behind == 1


def test_the_list_says_of_what_each_photo_is_and_no_note_is_a_formula():
    vehicle = VehicleFile.model_validate(vehicle_object(entries=[
        an_entry(PICTURE, 1, note="=HYPERLINK(1)").model_dump(exclude_unset=True)]))
    made = zipfile.ZipFile(io.BytesIO(write_zip(vehicle, {"photo-000001": PICTURE.content})))
    rows = list(csv.reader(io.StringIO(made.read("photos.csv").decode("utf-8-sig"))))
    assert rows[1] == [PHOTO, "2026-05-02T10:05:00Z", "mock_up", "upper.frame", "'=HYPERLINK(1)", ""]


@pytest.mark.parametrize("above", ["", "orchard-truck/"])
def test_a_folder_packed_by_hand_is_taken_and_what_systems_add_is_passed_over(above: str):
    files = {above + name: content for name, content in whole().items()}
    files |= {"__MACOSX/._vehicle.json": b"x", above + ".DS_Store": b"x", above + "photos/Thumbs.db": b"x"}
    found = read_zip(packed(files), "truck.zip")
    assert found.pictures == {"photo-000001": PICTURE.content}


def test_the_unpacked_folder_reads_like_the_zip(tmp_path: Path):
    zipfile.ZipFile(io.BytesIO(write_zip(a_vehicle(1, 2), {"photo-000001": PICTURE.content}))).extractall(tmp_path)
    found = read_folder(tmp_path, "truck")
    assert found.pictures == {"photo-000001": PICTURE.content} and found.left_behind == 1
    (tmp_path / "photos" / "photo-000002.jpg").write_bytes(b"no picture")
    with pytest.raises(BadFile, match=r"photos/photo-000002\.jpg: it is no photo as Plumbtack writes them"):
        read_folder(tmp_path, "truck")


def refusal(content: bytes) -> str:
    with pytest.raises(BadFile) as refused:
        read_zip(content, "truck.zip")
    assert str(refused.value).startswith("truck.zip") and "\n" not in str(refused.value)
    return str(refused.value)


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({PHOTO: PICTURE.content}, "there is no vehicle.json"),
        ({}, "there is no vehicle.json"),
        (whole() | {"../../.bashrc": b"x"}, '"../../.bashrc" is none of the files'),
        (whole() | {"/etc/cron.d/x": b"x"}, "none of the files"),
        (whole() | {"photos/../../x.jpg": PICTURE.content}, "none of the files"),
        (whole() | {"photos\\photo-000001.jpg": PICTURE.content}, "none of the files"),
        (whole() | {"photos/photo-000001.exe": b"MZ"}, "none of the files"),
        ({"../vehicle.json": whole()["vehicle.json"]}, "none of the files"),
        (whole() | {"photos/photo-000009.jpg": PICTURE.content}, "the log has no photo with this id"),
        (whole() | {PHOTO: a_picture(200).content}, "another picture than the one its entry names"),
        (whole() | {PHOTO: b"\xff\xd8 no picture"}, "no photo as Plumbtack writes them"),
        (whole() | {PHOTO: PICTURE.content + b"<script>"}, "no photo as Plumbtack writes them"),
        (whole() | {PHOTO: sent(a_photo(), comment=b"where I live")}, "no photo as Plumbtack writes them"),
        ({"vehicle.json": b"{"}, "not JSON"),
    ],
)
def test_what_is_no_vehicle_with_photos_is_refused_with_its_place(files: dict[str, bytes], said: str):
    assert said in refusal(packed(files))


def test_a_bomb_is_not_unpacked():
    bomb = packed(whole() | {PHOTO: b"\0" * 200_000_000})
    assert len(bomb) < 1_000_000
    assert "is larger than 500 kB when unpacked" in refusal(bomb)
    assert "is larger than 20 MB when unpacked" in refusal(packed({"vehicle.json": b" " * 100_000_000}))


def test_many_files_are_not_even_looked_at(monkeypatch: pytest.MonkeyPatch):
    many = {f"photos/photo-{number:06d}.jpg": b"x" for number in range(500)}
    assert "there are 501 files in this zip" in refusal(packed(many | {"vehicle.json": b"{}"}))
    monkeypatch.setattr(vehicle_zip, "MOST_PHOTOS", 3)
    few = {f"photos/photo-{number:06d}.jpg": b"x" for number in range(5)}
    assert "it holds 5 photos, and 3 is the most" in refusal(packed(few | {"vehicle.json": b"{}"}))


def test_a_name_that_stands_twice_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made, pytest.warns(UserWarning, match="Duplicate name"):
        for _ in range(2):
            made.writestr("vehicle.json", whole()["vehicle.json"])
    assert "stands in this zip twice" in refusal(out.getvalue())


def test_a_link_in_a_zip_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        info = zipfile.ZipInfo("vehicle.json")
        info.external_attr = (stat.S_IFLNK | 0o777) << 16
        made.writestr(info, "/etc/passwd")
    assert "is a link and not a file" in refusal(out.getvalue())


def test_a_damaged_zip_is_refused():
    good = packed(whole(), zipfile.ZIP_STORED)
    assert "damaged" in refusal(good[: len(good) // 2])
    place = good.index(PICTURE.content) + 100
    assert "damaged" in refusal(good[:place] + bytes([good[place] ^ 255]) + good[place + 1 :])
    assert "larger than 67 MB" in refusal(b"PK\x03\x04" + b"\0" * (64 * 1024 * 1024))


def test_a_refused_zip_changes_nothing_and_writes_nothing(client: FlaskClient, store: Store, tmp_path: Path):
    before = sorted(tmp_path.rglob("*"))
    bad = packed(whole() | {"../../evil.txt": b"x"})
    answer = client.post("/import", data={"file": (io.BytesIO(bad), "truck.zip")})
    assert answer.status_code == 422 and "none of the files" in answer.text
    assert store.vehicles() == [] and sorted(tmp_path.rglob("*")) == before


def test_a_stored_picture_larger_than_any_of_ours_is_refused():
    noise = Image.effect_noise((1600, 1200), 120).convert("RGB")
    large = io.BytesIO()
    noise.save(large, "JPEG", quality=98)
    assert len(large.getvalue()) > 500_000
    assert "is larger than 500 kB when unpacked" in refusal(packed(whole() | {PHOTO: large.getvalue()}))
