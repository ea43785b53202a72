"""The laptop's open page follows the phone: asked every second and a half, it answers only when the log has grown."""

from __future__ import annotations

from flask import Blueprint, abort, request

from capture.screens import behaviour, compare, ready, record, second_look, shape, walk_page
from capture.screens.room import plumbtack

blueprint = Blueprint("fresh", __name__)

ROOMS = {
    "walk": walk_page.fragment,
    "second-look": second_look.fragment,
    "ready": ready.fragment,
    "shape": shape.fragment,
    "behaviour": behaviour.fragment,
    "record": record.fragment,
    "compare": compare.fragment,
}


@blueprint.get("/vehicles/<vehicle_id>/fresh")
def fresh(vehicle_id: str) -> str | tuple[str, int]:
    """204 while the page's version is the newest, else the room anew; 404 for a room that does not follow."""
    if str(plumbtack().store.version(vehicle_id)) == request.args.get("v"):
        return "", 204
    room = ROOMS.get(request.args.get("room", ""))
    if room is None:
        abort(404)
    return room(vehicle_id, request.args)
