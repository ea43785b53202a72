"""The door for programs: post entries, get the file and the report. The phone's outbox uses the same addresses."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import Blueprint, Response, current_app, jsonify, request

from capture import door_words, stages
from capture.answers import refuse
from capture.json_text import BadFile, read_json
from capture.vehicle_file import SetAside, check_entries, read_vehicle_file, write_vehicle_file

if TYPE_CHECKING:
    from capture import Parts
    from capture.store import Store

blueprint = Blueprint("door", __name__)


@blueprint.get("/vehicles")
def vehicles() -> Response:
    """The list: id, name, number of entries."""
    return jsonify([{"id": line.id, "name": line.name, "entries": line.entries} for line in _parts().store.vehicles()])


@blueprint.post("/vehicles")
def new_vehicle() -> Response:
    """A vehicle file makes a new vehicle; answers its id."""
    vehicle = read_vehicle_file(request.get_data(parse_form_data=False), "the vehicle file")
    answer = jsonify({"id": _parts().store.create(vehicle)})
    answer.status_code = 201
    return answer


@blueprint.post("/vehicles/<vehicle_id>/entries")
def add_entries(vehicle_id: str) -> Response:
    """Stores entries, all or none; answers their ids once they are on disk.

    What takes back an entry that another phone has yet to send is stored like any other and acts once that one is in.
    """
    parts = _parts()
    request.max_content_length = parts.settings.largest_entries
    vehicle = parts.store.head(vehicle_id)
    sent = read_json(request.get_data(parse_form_data=False), "the request")
    if not isinstance(sent, dict) or list(sent) != ["entries"] or not isinstance(sent["entries"], list):
        raise BadFile(door_words.ENTRIES_ALONE, "entries")
    if len(sent["entries"]) > parts.settings.most_entries:
        return refuse(413, door_words.too_many_entries(parts.settings.most_entries))
    entries = check_entries(_each_once(sent["entries"]), vehicle, known=None)
    _check_set_aside(entries, parts.store, vehicle_id)
    return jsonify({"stored": parts.store.add_entries(vehicle_id, entries)})


@blueprint.post("/vehicles/<vehicle_id>/lacking")
def lacking(vehicle_id: str) -> Response:
    """Which of these ids are not stored here: after an older copy was put back, what a phone has to send again."""
    parts = _parts()
    request.max_content_length = parts.settings.largest_entries
    sent = read_json(request.get_data(parse_form_data=False), "the request")
    ids = sent.get("ids") if isinstance(sent, dict) else None
    if not isinstance(ids, list) or not all(isinstance(one, str) for one in ids):
        raise BadFile(door_words.IDS_ALONE, "ids")
    there = parts.store.ids(vehicle_id)
    return jsonify({"lacking": [one for one in ids if one not in there]})


@blueprint.get("/vehicles/<vehicle_id>/file")
def file(vehicle_id: str) -> Response:
    """The vehicle file."""
    return Response(write_vehicle_file(_parts().store.vehicle(vehicle_id)), content_type="application/json")


@blueprint.get("/vehicles/<vehicle_id>/report")
def report(vehicle_id: str) -> Response:
    """Points, figures, sweep, doubts and fit; of the stage asked for, else of the latest with a reading."""
    stage = request.args.get("stage")
    if stage is not None and not stages.is_stage(stage):
        return refuse(422, door_words.no_such_stage(stages.THERE_ARE), "stage")
    return jsonify(_parts().models.at(vehicle_id, stage).as_json())


def _check_set_aside(entries: list[Any], store: Store, vehicle_id: str) -> None:
    """Refuses to set aside what is in the log and is no reading."""
    for number, entry in enumerate(entries, start=1):
        if isinstance(entry, SetAside) and store.type_of(vehicle_id, entry.of) not in (None, "reading"):
            place = f"entry {number} ({entry.id})"
            said = door_words.no_reading_to_set_aside(entry.of)
            raise BadFile(f"the request: {place}: {said}", place)


def _each_once(sent: list[Any]) -> list[Any]:
    """The entries without exact repetitions: sending something twice is harmless, in one request too."""
    kept: list[Any] = []
    first: dict[str, Any] = {}
    for part in sent:
        name = part.get("id") if isinstance(part, dict) else None
        if isinstance(name, str) and first.setdefault(name, part) is not part and first[name] == part:
            continue
        kept.append(part)
    return kept


def _parts() -> Parts:
    return current_app.extensions["plumbtack"]
