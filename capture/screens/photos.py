"""Photos of a vehicle, of a reading or of a bracket: taken on the phone, shown where they belong, withdrawn.

Without the page's script the form sends the picture as the camera made it; with it the phone makes it smaller first and
holds it back while the laptop is away.
"""

from __future__ import annotations

import secrets
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import Blueprint, Response, abort, jsonify, make_response, redirect, render_template, request
from geometry.errors import BadName
from geometry.points import point_named
from geometry.readings import parse_name
from werkzeug.wrappers import Response as Answer

from capture import answers
from capture import photos as logged
from capture.log import FIRST_STAGE
from capture.picture import NotAPicture, cleaned, smaller
from capture.screens import decided, photo_words, words
from capture.screens.readings_said import point_words, short_words
from capture.screens.record import LONGEST_REASON, now
from capture.screens.room import Head, RoomPage, measure_address, plumbtack, report_now, room_address, shared
from capture.store_photos import TooManyPhotos
from capture.vehicle_file import BadFile, Photo, VehicleFile, check_entries
from capture.walk import same_reading

blueprint = Blueprint("photos", __name__, template_folder="templates")

THUMBNAIL = 320
"""Pixels of the longer side of a small picture."""
LONGEST_NOTE = 400
FOR_EVER = "private, max-age=31536000, immutable"
"""A picture never changes under its id."""


@dataclass(frozen=True)
class PhotoShown:
    """One photo. about: what it is of. href, small: the picture and a small one. here: False for an entry alone."""

    id: str
    about: str
    alt: str
    href: str
    small: str
    at: str
    stage: str
    note: str
    here: bool
    width: int
    height: int
    withdraw: str


@dataclass(frozen=True)
class Gone:
    """A withdrawn photo: stored, not shown."""

    about: str
    at: str
    reason: str


@dataclass(frozen=True)
class PhotoForm:
    """The form for one more. id: of the entry it will make, so that sending it twice makes one."""

    action: str
    id: str
    reading: str
    point: str
    stage: str
    largest: int
    note: str = ""
    refused: str = ""


@dataclass(frozen=True, kw_only=True)
class PhotosPage(RoomPage):
    about: str
    form: PhotoForm
    shown: tuple[PhotoShown, ...]
    gone: tuple[Gone, ...]
    whole: str


@dataclass(frozen=True)
class Subject:
    """What a photo is of: a reading, a point, or neither."""

    reading: str = ""
    point: str = ""

    @classmethod
    def asked(cls, asked: Mapping[str, str], vehicle: VehicleFile) -> Subject:
        """From an address or a form; what the layout does not know is taken as not asked for."""
        reading, point = asked.get("reading", ""), asked.get("point", "")
        try:
            if reading:
                return cls(reading=parse_name(reading, vehicle.layout, vehicle.worked_axle).text)
            if point:
                return cls(point=point_named(point, vehicle.layout, vehicle.worked_axle).name)
        except BadName:
            return cls()
        return cls()

    def words(self, vehicle: VehicleFile) -> str:
        if self.reading:
            return words.sentence_start(short_words(vehicle, self.reading))
        return words.sentence_start(point_words(vehicle, self.point)) if self.point else "The vehicle"

    @property
    def query(self) -> dict[str, str]:
        return {key: value for key, value in (("reading", self.reading), ("point", self.point)) if value}


def photos_address(vehicle_id: str, subject: Subject | None = None) -> str:
    query = urlencode(subject.query) if subject else ""
    return room_address(vehicle_id, "photos") + (f"?{query}" if query else "")


@blueprint.get("/vehicles/<vehicle_id>/photos")
def page(vehicle_id: str) -> str:
    return render_template("photos.html", page=photos_page(vehicle_id, request.args))


def photos_page(vehicle_id: str, asked: Mapping[str, str], note: str = "", refused: str = "") -> PhotosPage:
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    subject = Subject.asked(asked, vehicle)
    fields = shared(vehicle_id, "record", report, version, "Photos")
    fields["head"] = Head("Photos", vehicle.name, *back(vehicle_id, subject))
    return PhotosPage(
        **fields | {"room": "photos"},
        about=subject.words(vehicle),
        form=PhotoForm(room_address(vehicle_id, "photos"), secrets.token_hex(16), subject.reading, subject.point,
                       report.stage, plumbtack().settings.largest_photo, note, refused),
        shown=tuple(shown_photos(vehicle_id, vehicle, of_subject(vehicle, subject))),
        gone=tuple(gone(vehicle, subject)),
        whole=photos_address(vehicle_id) if subject.query else "",
    )


def back(vehicle_id: str, subject: Subject) -> tuple[str, str]:
    """Where one came from: the reading, the point, or the record."""
    if subject.reading:
        return measure_address(vehicle_id, subject.reading), photo_words.TO_THE_READING
    if subject.point:
        query = urlencode({"view": "side", "point": subject.point})
        return f"{room_address(vehicle_id, 'shape')}?{query}#point", photo_words.TO_THE_POINT
    return room_address(vehicle_id, "record"), words.TO_THE_RECORD


def of_subject(vehicle: VehicleFile, subject: Subject) -> tuple[Photo, ...]:
    if subject.reading:
        return logged.of_reading(vehicle, subject.reading)
    return logged.of_point(vehicle, subject.point) if subject.point else logged.photos(vehicle)


def shown_photos(vehicle_id: str, vehicle: VehicleFile, entries: Iterable[Photo]) -> Iterator[PhotoShown]:
    """Photos as pages show them, the newest first."""
    here = set(plumbtack().store.photos(vehicle_id))
    for entry in reversed(list(entries)):
        about = Subject(entry.reading or "", entry.point or "").words(vehicle)
        href = f"{room_address(vehicle_id, 'photos')}/{entry.id}"
        yield PhotoShown(
            entry.id, about, f"Photo: {about}{', ' + entry.note if entry.note else ''}", href, f"{href}?small=1",
            entry.at, words.stage(entry.stage), entry.note, entry.id in here, entry.width, entry.height,
            f"{href}/withdraw",
        )


def gone(vehicle: VehicleFile, subject: Subject) -> Iterator[Gone]:
    taken_back = logged.withdrawn(vehicle)
    for entry in logged.all_photos(vehicle):
        of = Subject(entry.reading or "", entry.point or "")
        if entry.id in taken_back and (not subject.query or of == subject):
            by = taken_back[entry.id]
            yield Gone(of.words(vehicle), by.at, by.note or "no reason given")


# ---- one more ----


@blueprint.post("/vehicles/<vehicle_id>/photos")
def add(vehicle_id: str) -> Answer | tuple[str, int]:
    """Stores a photo with its entry; its size is looked at before anything of it is read."""
    settings = plumbtack().settings
    if (request.content_length or 0) > settings.largest_photo:
        most, size = (each // 1_000_000 for each in (settings.largest_photo, request.content_length or 0))
        said = photo_words.too_large(size, most)
        return answers.refuse(413, said, title=photo_words.TOO_LARGE_TITLE)
    vehicle = plumbtack().store.head(vehicle_id)
    upload = next((file for file in request.files.values() if file.filename), None)
    try:
        picture = cleaned(upload.stream.read() if upload else b"")
        entry = entry_of(request.form, vehicle, picture.sha256, (picture.width, picture.height))
        plumbtack().store.add_photo(vehicle_id, entry, picture.content)
    except (NotAPicture, BadFile, TooManyPhotos) as trouble:
        return not_taken(vehicle_id, str(trouble))
    if answers.for_a_program():
        return jsonify({"stored": entry.id})
    subject = Subject(entry.reading or "", entry.point or "")
    return redirect(f"{photos_address(vehicle_id, subject)}#photo-{entry.id}", code=303)


def not_taken(vehicle_id: str, sentence: str) -> Answer | tuple[str, int]:
    """The form again with what stands in the way; for a script the sentence."""
    if answers.for_a_program():
        return answers.refuse(422, sentence)
    note = request.form.get("note", "")[:LONGEST_NOTE]
    return render_template("photos.html", page=photos_page(vehicle_id, request.form, note, sentence)), 422


def entry_of(form: Mapping[str, str], vehicle: VehicleFile, sha256: str, size: tuple[int, int]) -> Photo:
    """The entry a form asks for, through the same check as the door for programs. Raises BadFile."""
    body = {
        "id": form.get("id") or secrets.token_hex(16), "at": form.get("at") or now(),
        "stage": form.get("stage") or FIRST_STAGE, "type": "photo", "sha256": sha256,
        "width": size[0], "height": size[1], "note": form.get("note", "").strip()[:LONGEST_NOTE],
    } | {key: form[key] for key in ("reading", "point") if form.get(key)}  # fmt: skip
    (entry,) = check_entries([body], vehicle, name="the photo")
    return entry


# ---- the picture itself ----


@blueprint.get("/vehicles/<vehicle_id>/photos/<photo_id>")
def picture(vehicle_id: str, photo_id: str) -> Response:
    """The JPEG, or a small one; a withdrawn photo is stored and not shown."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    content = plumbtack().store.photo(vehicle_id, photo_id)
    if content is None or photo_id in logged.withdrawn(vehicle):
        abort(404)
    answer = make_response(smaller(content, THUMBNAIL) if "small" in request.args else content)
    answer.headers["Content-Type"] = "image/jpeg"
    answer.headers["Cache-Control"] = FOR_EVER
    return answer


@blueprint.post("/vehicles/<vehicle_id>/photos/<photo_id>/withdraw")
def withdraw(vehicle_id: str, photo_id: str) -> Answer | tuple[str, int]:
    """Takes a photo back by another entry: it stays stored and is no longer shown."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    entry = next((each for each in logged.all_photos(vehicle) if each.id == photo_id), None)
    if entry is None:
        abort(404)
    bodies = []
    if photo_id not in logged.withdrawn(vehicle):
        reason = request.form.get("note", "").strip()[:LONGEST_REASON]
        bodies = [decided.made("withdraw", stage=entry.stage, of=photo_id, note=reason)]
    stored = decided.store(vehicle_id, vehicle, bodies)
    return decided.gone_on(photos_address(vehicle_id, Subject.asked(request.form, vehicle)), stored)


# ---- for other rooms ----


@blueprint.app_template_global("photos_of")
def photos_of(vehicle_id: str, reading: str = "", point: str = "") -> tuple[PhotoShown, ...]:
    """The photos of a reading, of a point, or of everything."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    return tuple(shown_photos(vehicle_id, vehicle, of_subject(vehicle, Subject(reading, point))))


@blueprint.app_template_global("photographed")
def photographed(vehicle_id: str) -> dict[str, int]:
    """How many photos each reading has that has any, by one spelling of its name."""
    entries = logged.photos(plumbtack().store.vehicle(vehicle_id))
    return dict(Counter(same_reading(entry.reading) for entry in entries if entry.reading))


@blueprint.app_template_filter("one_spelling")
def one_spelling(reading: str) -> str:
    """The name under which `photographed` counts a reading."""
    return same_reading(reading)


@blueprint.app_template_global("photos_href")
def photos_href(vehicle_id: str, reading: str = "", point: str = "") -> str:
    return photos_address(vehicle_id, Subject(reading, point))


