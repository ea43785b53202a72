"""The laptop's open page follows the phone: asked every second, it answers only when what it shows changed.

A room carries the mark of what it shows. While the log is where it was when that was last so, nothing is looked at
further; when it has grown, the room is made anew, and sent only if it shows something else than before.
"""

from __future__ import annotations

import threading
from collections import OrderedDict

from flask import Blueprint, abort, g, request

from capture.screens import behaviour, compare, ready, record, second_look, shape, walk_page
from capture.screens.mark import mark_of
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
KEPT = 256
"""Open pages of which is known at which version of the log they showed what there was."""
_as_shown: OrderedDict[tuple[str, str, bool], int] = OrderedDict()
_guard = threading.Lock()


@blueprint.app_template_filter("mark_of_what_is_shown")
def mark_of_what_is_shown(shown: str) -> str:
    """A short text that stands for all a room shows; also left for who asked whether that has changed."""
    g.mark = mark_of(shown)
    return str(g.mark)


@blueprint.get("/vehicles/<vehicle_id>/fresh")
def fresh(vehicle_id: str) -> str | tuple[str, int]:
    """204 while the room shows what the page has, else the room anew; 404 for a room that does not follow."""
    asked = plumbtack().run, request.full_path, bool(g.guest)
    version = plumbtack().store.version(vehicle_id)
    with _guard:
        if _as_shown.get(asked) == version:
            return "", 204
    room = ROOMS.get(request.args.get("room", ""))
    if room is None:
        abort(404)
    anew = room(vehicle_id, request.args)
    if g.get("mark") != request.args.get("v"):
        return anew
    with _guard:
        _as_shown[asked] = version
        _as_shown.move_to_end(asked)
        while len(_as_shown) > KEPT:
            _as_shown.popitem(last=False)
    return "", 204
