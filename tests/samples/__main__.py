"""Writes the sample of the newest layout, if there is none yet."""

from __future__ import annotations

import io
import json
import sqlite3
import sys
import tempfile
from pathlib import Path

from PIL import Image

from capture import places
from capture.pairing import pairing_key
from capture.picture import cleaned
from capture.store import Store
from capture.vehicle_file import Photo, check_entries, read_vehicle_file, write_vehicle_file
from tests.conftest import reading_object, vehicle_object
from tests.samples import sample


def main() -> int:
    path = sample(len(list(places.upgrades_folder().glob("[0-9]*.sql"))))
    if path.exists():
        print(f"{path} is there and stays as it is.", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        store = Store(Path(folder))
        pairing_key(store)
        ids = filled(store)
        said = {vehicle_id: json.loads(write_vehicle_file(store.vehicle(vehicle_id))) for vehicle_id in ids}
        with sqlite3.connect(path) as copy, store._reading() as db:
            db.backup(copy)
        store.close()
    path.with_suffix(".json").write_text(json.dumps(said, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    return 0


def filled(store: Store) -> list[str]:
    """A demo vehicle, and one with an entry of each type, a long text and signs of many scripts."""
    demo = places.demo_vehicles()[0]
    whole = read_vehicle_file(demo.read_bytes(), demo.name)
    short = store.create(read_vehicle_file(json.dumps(vehicle_object(name="Zweibrücken ‮wagen 🛻")), "sample"))
    head = store.head(short)
    logged = {"at": "2026-05-02T10:00:00Z"}
    for batch in (
        [reading_object(number, 600 + number / 8, note="x" * 500 if number == 3 else "") for number in range(12)],
        [{"id": "withdraw-01", **logged, "type": "withdraw", "of": "entry-000002", "note": "read the other bolt"}],
        [{"id": "set-aside-1", **logged, "type": "set_aside", "of": "entry-000004"},
         {"id": "note-000001", **logged, "type": "note", "note": "tyres at 2.4 bar"}],
    ):  # fmt: skip
        known = [entry.id for entry in store.vehicle(short).entries]
        store.add_entries(short, check_entries(batch, head, known))
    long = store.create(whole)
    store.add_photo(long, *_photo())
    return [long, short]


def _photo() -> tuple[Photo, bytes]:
    """A photo of a bracket, as a phone sends it."""
    sent = io.BytesIO()
    Image.linear_gradient("L").resize((640, 480)).save(sent, "JPEG")
    picture = cleaned(sent.getvalue())
    entry = Photo(id="photo-000001", at="2026-05-02T10:05:00Z", stage="mock_up", type="photo",
                  point="lower_left.frame", sha256=picture.sha256,
                  width=picture.width, height=picture.height)  # fmt: skip
    return entry, picture.content


if __name__ == "__main__":
    sys.exit(main())
