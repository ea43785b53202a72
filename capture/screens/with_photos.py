"""The vehicle file with its photos, to take away as one zip."""

from __future__ import annotations

from flask import Blueprint, Response

from capture.photos import all_photos
from capture.screens.record import file_name
from capture.screens.room import plumbtack
from capture.vehicle_zip import write_zip

blueprint = Blueprint("with_photos", __name__)


@blueprint.get("/vehicles/<vehicle_id>/record/zip")
def download(vehicle_id: str) -> Response:
    """vehicle.json, the photos, and a list of them; withdrawn photos too, since they are in the log."""
    store = plumbtack().store
    vehicle = store.vehicle(vehicle_id)
    pictures = {photo: content for photo in store.photos(vehicle_id) if (content := store.photo(vehicle_id, photo))}
    answer = Response(write_zip(vehicle, pictures), content_type="application/zip")
    name = file_name(vehicle.name).removesuffix(".json")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.zip"'
    return answer


@blueprint.app_template_global("photos_left_behind")
def photos_left_behind(vehicle_id: str) -> int:
    """How many photos the plain vehicle file does not hold."""
    return sum(1 for _ in all_photos(plumbtack().store.vehicle(vehicle_id)))
