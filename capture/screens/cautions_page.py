"""The cautions of a stage: shown before its walk, once; always to be found again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response as Answer

from capture import caution_words, cautions, stage_log, stages
from capture.cautions import Caution
from capture.log_entries import Note
from capture.screens import decided, words
from capture.screens.room import RoomPage, plumbtack, report_now, room_address, shared
from capture.vehicle_file import VehicleFile

blueprint = Blueprint("cautions", __name__, template_folder="templates")


@dataclass(frozen=True, kw_only=True)
class CautionsPage(RoomPage):
    """seen_at: when those of this stage were read first; empty while they were not. before: "walk" on the way there."""

    stage: str
    stage_words: str
    items: tuple[Caution, ...]
    others: tuple[Caution, ...]
    last_word: str
    seen_at: str
    before: str
    walk: str


@blueprint.get("/vehicles/<vehicle_id>/cautions")
def page(vehicle_id: str) -> str:
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    stage = request.args.get("stage", "")
    if stage not in stages.MEASURED:
        stage = stage_log.current(vehicle)
    fields = shared(vehicle_id, "record", report, version, "Cautions")
    said = stage_log.said(vehicle, stage)
    back = "walk" if request.args.get("before") == "walk" else "record"
    fields["head"] = replace(fields["head"], under=f"{vehicle.name}, {said}", back=room_address(vehicle_id, back),
                             back_words=f"Back to the {back}")
    here = cautions.at(stage)
    seen = seen_at(vehicle, stage)
    return render_template("cautions.html", page=CautionsPage(
        **fields,
        stage=stage,
        stage_words=said,
        items=here,
        others=tuple(each for each in cautions.ALL if each not in here),
        last_word=caution_words.LAST_WORD,
        seen_at=words.moment(seen) if seen else "",
        before=back,
        walk=f"{room_address(vehicle_id, 'walk')}?stage={stage}",
    ))


def seen_at(vehicle: VehicleFile, stage: str) -> str:
    """When the cautions of this stage were first gone through, a time of the log; empty while they were not."""
    return next((entry.at for entry in vehicle.of_kind(Note)
                 if entry.note == cautions.SEEN and entry.stage == stage), "")


@blueprint.post("/vehicles/<vehicle_id>/cautions")
def seen(vehicle_id: str) -> Answer:
    """Writes down that they were read at this stage, once, and leads on."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    stage = request.form.get("stage", "")
    if stage not in stages.MEASURED:
        return decided.gone_on(room_address(vehicle_id, "cautions"), [])
    bodies = [] if seen_at(vehicle, stage) else [decided.made("note", stage=stage, note=cautions.SEEN)]
    stored = decided.store(vehicle_id, vehicle, bodies)
    return decided.gone_on(f"{room_address(vehicle_id, 'walk')}?stage={stage}", stored)
