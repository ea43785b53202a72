"""Pictures in the store: with their entry or not at all, sent twice, never changed, in every backup."""

from __future__ import annotations

import io
import sqlite3
from pathlib import Path

import pytest
from PIL import Image

from capture import store_photos
from capture.picture import Picture, cleaned
from capture.store import Conflict, Store
from capture.store_backup import back_up
from capture.store_photos import TooManyPhotos
from capture.store_restore import restore
from capture.vehicle_file import Photo, VehicleFile
from tests.conftest import reading_object, vehicle_object


def a_picture(shade: int = 90) -> Picture:
    sent = io.BytesIO()
    Image.new("RGB", (40, 30), (shade, 120, 200)).save(sent, "JPEG")
    return cleaned(sent.getvalue())


def an_entry(picture: Picture, number: int = 1, **changes: object) -> Photo:
    return Photo.model_validate({
        "id": f"photo-{number:06d}", "at": "2026-05-02T10:05:00Z", "stage": "mock_up", "type": "photo",
        "point": "upper.frame", "sha256": picture.sha256, "width": picture.width, "height": picture.height,
    } | changes)  # fmt: skip


@pytest.fixture
def truck(store: Store) -> str:
    return store.create(VehicleFile.model_validate(vehicle_object()))


def test_a_photo_and_its_entry_are_stored_together_and_sending_again_changes_nothing(store: Store, truck: str):
    picture = a_picture()
    for _ in range(3):
        assert store.add_photo(truck, an_entry(picture), picture.content) == "photo-000001"
    assert [entry.type for entry in store.vehicle(truck).entries] == ["photo"]
    assert store.photo(truck, "photo-000001") == picture.content and store.photos(truck) == ["photo-000001"]


def test_a_photo_sent_again_but_written_a_little_differently_is_the_one_stored(store: Store, truck: str):
    first, again = a_picture(), a_picture(91)
    store.add_photo(truck, an_entry(first), first.content)
    store.add_photo(truck, an_entry(again, at="2026-05-02T10:09:00Z"), again.content)
    assert store.photo(truck, "photo-000001") == first.content


def test_one_id_for_two_things_is_refused_and_what_was_there_stays(store: Store, truck: str):
    picture = a_picture()
    store.add_photo(truck, an_entry(picture), picture.content)
    with pytest.raises(Conflict, match="photo-000001 is already stored with other content"):
        store.add_photo(truck, an_entry(picture, point="panhard.frame"), picture.content)
    assert store.vehicle(truck).entries[0].point == "upper.frame"


def test_a_log_that_came_without_its_pictures_takes_each_later_if_it_is_the_right_one(store: Store, truck: str):
    picture, other = a_picture(), a_picture(200)
    store.add_entries(truck, [an_entry(picture)])
    assert store.photo(truck, "photo-000001") is None and store.photos(truck) == []
    with pytest.raises(Conflict, match="another picture than the one its entry names"):
        store.add_photo(truck, an_entry(picture), other.content)
    store.add_photo(truck, an_entry(picture), picture.content)
    assert store.photo(truck, "photo-000001") == picture.content


def test_a_vehicle_holds_so_many_photos_and_no_more(store: Store, truck: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(store_photos, "MOST_PHOTOS", 2)
    picture = a_picture()
    for number in (1, 2):
        store.add_photo(truck, an_entry(picture, number), picture.content)
    with pytest.raises(TooManyPhotos, match="holds 2 photos already"):
        store.add_photo(truck, an_entry(picture, 3), picture.content)
    assert len(store.vehicle(truck).entries) == 2
    store.add_photo(truck, an_entry(picture, 2), picture.content)


@pytest.mark.parametrize("deed", ["UPDATE photos SET picture = x'00'", "DELETE FROM photos"])
def test_no_picture_is_ever_changed_or_deleted(store: Store, truck: str, deed: str):
    picture = a_picture()
    store.add_photo(truck, an_entry(picture), picture.content)
    with pytest.raises(sqlite3.IntegrityError, match="never"), store._writing() as db:
        db.execute(deed)


def test_no_picture_without_its_entry(store: Store, truck: str):
    with pytest.raises(sqlite3.IntegrityError), store._writing() as db:
        store_photos.add_all(db, truck, {"photo-000009": b"x"})


def test_backup_and_restore_keep_the_pictures(store: Store, truck: str, tmp_path: Path):
    picture = a_picture()
    store.add_photo(truck, an_entry(picture), picture.content)
    store.add_entries(truck, [])
    made = back_up(store.path, tmp_path / "stick")
    assert made.entries == 1
    restore(made.path, tmp_path / "elsewhere")
    again = Store(tmp_path / "elsewhere")
    assert again.photo(truck, "photo-000001") == picture.content
    again.close()


def test_a_vehicle_made_with_its_photos_has_them_all_or_is_not_made(store: Store):
    picture = a_picture()
    body = an_entry(picture).model_dump(exclude_unset=True)
    vehicle = VehicleFile.model_validate(vehicle_object(entries=[reading_object(1), body]))
    made = store.create(vehicle, {"photo-000001": picture.content})
    assert store.photos(made) == ["photo-000001"]
    with pytest.raises(sqlite3.IntegrityError):
        store.create(vehicle, {"photo-000002": picture.content})
    assert len(store.vehicles()) == 1
