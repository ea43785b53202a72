"""A vehicle file with its photos: a zip, or the folder that comes out of it.

    vehicle.json      the vehicle file as ever
    photos/ID.jpg     the picture of each photo's entry
    photos.csv        the same as a list to read: of what, when, at which stage

Nothing of a zip is ever written to a disk by the name it has in there: names are only compared. Sizes are counted while
reading, whatever the zip says of itself.
"""

from __future__ import annotations

import csv
import io
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from capture import file_words, photos
from capture.json_text import LARGEST_BYTES, BadFile, plain, shown
from capture.log_entries import Photo
from capture.picture import LARGEST_STORED, NotAPicture, stored_before
from capture.store_photos import MOST_PHOTOS
from capture.table_text import harmless
from capture.vehicle_file import VehicleFile, read_vehicle_file, write_vehicle_file

ZIP_BEGINS = (b"PK\x03\x04", b"PK\x05\x06")
LARGEST_ZIP = 64 * 1024 * 1024
MOST_FILES = 400
VEHICLE, LIST, FOLDER = "vehicle.json", "photos.csv", "photos"
PICTURE = re.compile(r"photos/([A-Za-z0-9-]{8,64})\.jpg")
NOT_OURS = re.compile(r"(^|/)(__MACOSX/|\.DS_Store$|Thumbs\.db$|desktop\.ini$|\._)")
"""What computers add to folders by themselves."""
OLDEST = (1980, 1, 1, 0, 0, 0)
"""The time every file of a zip has, so that the same vehicle gives the same zip."""
COLUMNS = ("file", "taken", "stage", "of", "note", "withdrawn")


@dataclass(frozen=True)
class WithPhotos:
    """A vehicle and the pictures that came with it, by their entries' ids."""

    vehicle: VehicleFile
    pictures: dict[str, bytes]

    @property
    def left_behind(self) -> int:
        """Photos whose picture did not come."""
        return sum(entry.id not in self.pictures for entry in photos.all_photos(self.vehicle))


def is_zip(content: bytes) -> bool:
    return content.startswith(ZIP_BEGINS)


def read_any(content: bytes, name: str) -> WithPhotos:
    """A vehicle file, or a zip of one with its photos. Raises BadFile."""
    return read_zip(content, name) if is_zip(content) else WithPhotos(read_vehicle_file(content, name), {})


# ---- out ----


def write_zip(vehicle: VehicleFile, pictures: Mapping[str, bytes]) -> bytes:
    """The same vehicle with the same pictures always gives the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        _put(made, VEHICLE, write_vehicle_file(vehicle).encode("utf-8"), zipfile.ZIP_DEFLATED)
        _put(made, LIST, _list(vehicle, pictures).encode("utf-8-sig"), zipfile.ZIP_DEFLATED)
        for entry in photos.all_photos(vehicle):
            if entry.id in pictures:
                _put(made, f"{FOLDER}/{entry.id}.jpg", pictures[entry.id], zipfile.ZIP_STORED)
    return out.getvalue()


def _put(made: zipfile.ZipFile, name: str, content: bytes, how: int) -> None:
    info = zipfile.ZipInfo(name, OLDEST)
    info.compress_type = how
    info.create_system = 3  # the same on every system
    info.external_attr = 0o644 << 16
    made.writestr(info, content)


def _list(vehicle: VehicleFile, pictures: Mapping[str, bytes]) -> str:
    """The photos as a table."""
    gone = photos.withdrawn(vehicle)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for entry in photos.all_photos(vehicle):
        file = f"{FOLDER}/{entry.id}.jpg" if entry.id in pictures else "left behind"
        of = entry.reading or entry.point or "the vehicle"
        withdrawn = gone[entry.id].note or "yes" if entry.id in gone else ""
        writer.writerow(map(harmless, (file, entry.at, entry.stage, of, entry.note, withdrawn)))
    return out.getvalue()


# ---- in ----


def read_zip(content: bytes, name: str) -> WithPhotos:
    """What `write_zip` wrote, or that folder packed again by hand. Raises BadFile."""
    name = plain(name, 200)
    if len(content) > LARGEST_ZIP:
        raise BadFile(file_words.zip_too_large(name, LARGEST_ZIP // 1_000_000))
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            found = dict(_members(packed, name))
            if len(found) > MOST_PHOTOS + 1:
                raise BadFile(file_words.too_many_photos(name, len(found) - 1, MOST_PHOTOS))
            if VEHICLE not in found:
                raise BadFile(file_words.no_vehicle_in_zip(name, VEHICLE))
            text = _content(packed, found[VEHICLE], LARGEST_BYTES, name)
            vehicle = read_vehicle_file(text, f"{name}, {VEHICLE}")
            pictures = {_id(member): _content(packed, info, LARGEST_STORED, name)
                        for member, info in found.items() if member != VEHICLE}
    except BadFile:
        raise
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, ValueError, OSError):
        raise BadFile(file_words.zip_damaged(name)) from None
    return _checked(vehicle, pictures, name)


def read_folder(folder: Path, name: str) -> WithPhotos:
    """The unpacked folder. Raises BadFile, and OSError where it cannot be read."""
    vehicle = read_vehicle_file(_file(folder / VEHICLE, LARGEST_BYTES), f"{plain(name, 200)}, {VEHICLE}")
    pictures = {}
    for entry in photos.all_photos(vehicle):
        file = folder / FOLDER / f"{entry.id}.jpg"
        if file.is_file():
            pictures[entry.id] = _file(file, LARGEST_STORED)
    return _checked(vehicle, pictures, plain(name, 200))


def _id(member: str) -> str:
    """"photos/ID.jpg" -> ID."""
    return member.removeprefix(f"{FOLDER}/").removesuffix(".jpg")


def _file(path: Path, most: int) -> bytes:
    with path.open("rb") as file:
        return file.read(most + 1)


def _members(packed: zipfile.ZipFile, name: str) -> Iterator[tuple[str, zipfile.ZipInfo]]:
    """The files of ours, by the name they have where vehicle.json lies."""
    infos = [info for info in packed.infolist() if not info.is_dir() and not NOT_OURS.search(info.filename)]
    if len(infos) > MOST_FILES:
        raise BadFile(file_words.too_many_files(name, len(infos), MOST_FILES))
    above = _folder_above(infos)
    seen: set[str] = set()
    for info in infos:
        member = info.filename.removeprefix(above)
        if member not in (VEHICLE, LIST) and not PICTURE.fullmatch(member):
            raise BadFile(file_words.strange_file(name, shown(info.filename)))
        if member in seen:
            raise BadFile(file_words.file_twice(name, shown(info.filename)))
        if stat.S_ISLNK(info.external_attr >> 16):
            raise BadFile(file_words.file_is_a_link(name, shown(info.filename)))
        seen.add(member)
        if member != LIST:
            yield member, info


def _folder_above(infos: list[zipfile.ZipInfo]) -> str:
    """The one folder all lies in, where somebody packed the folder instead of what is in it."""
    first = next((info.filename for info in infos if info.filename.endswith(f"/{VEHICLE}")), "")
    above = first.removesuffix(VEHICLE)
    plain_name = re.fullmatch(r"[^/\\\0]{1,200}/", above) and above not in ("../", "./")
    return above if plain_name and all(info.filename.startswith(above) for info in infos) else ""


def _content(packed: zipfile.ZipFile, info: zipfile.ZipInfo, most: int, name: str) -> bytes:
    """The file, of which no more is unpacked than it may have."""
    with packed.open(info) as file:
        content = file.read(most + 1)
    if len(content) > most:
        raise BadFile(file_words.file_too_large(name, shown(info.filename), _size(most)))
    return content


def _size(most: int) -> str:
    return f"{most // 1_000_000} MB" if most >= 1_000_000 else f"{most // 1000} kB"


def _checked(vehicle: VehicleFile, pictures: dict[str, bytes], name: str) -> WithPhotos:
    """Every picture is that of its entry, and a picture."""
    entries = {entry.id: entry for entry in photos.all_photos(vehicle)}
    for entry_id, content in pictures.items():
        _check_picture(entries.get(entry_id), entry_id, content, name)
    return WithPhotos(vehicle, pictures)


def _check_picture(entry: Photo | None, entry_id: str, content: bytes, name: str) -> None:
    place = f"{FOLDER}/{entry_id}.jpg"
    if entry is None:
        raise BadFile(file_words.photo_without_entry(name, place), place)
    try:
        picture = stored_before(content)
    except NotAPicture as trouble:
        raise BadFile(file_words.photo_refused(name, place, str(trouble)), place) from None
    if picture.sha256 != entry.sha256 or (picture.width, picture.height) != (entry.width, entry.height):
        raise BadFile(file_words.another_picture(name, place), place)
