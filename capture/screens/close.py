"""Closing the record of a stage: its fingerprint, what that means, and whether the log before it is as it was."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from capture import stage_log, stages
from capture.entry_checks import check_entries
from capture.fingerprint import fingerprint, in_groups
from capture.json_text import BadFile
from capture.log_entries import Reading
from capture.report import Report
from capture.screens import stage_words, words
from capture.screens.record import now
from capture.screens.room import RoomPage, plumbtack, report_now, room_address, shared
from capture.vehicle_file import VehicleFile

blueprint = Blueprint("close", __name__, template_folder="templates")


@dataclass(frozen=True)
class ClosedItem:
    """One closing. groups: its fingerprint in eights; holds: the entries before it are as they were."""

    words: str
    at: str
    entries: int
    groups: tuple[str, ...]
    holds: bool


@dataclass(frozen=True)
class ToClose:
    """The stage that could be closed. standing: what is still open there, in sentences; advice, never a lock. waits:
    why it cannot be closed as it stands."""

    stage: str
    words: str
    readings: int
    shuts: str
    standing: tuple[str, ...]
    waits: str


@dataclass(frozen=True, kw_only=True)
class ClosePage(RoomPage):
    closed: tuple[ClosedItem, ...]
    to_close: ToClose | None
    next_stage: str
    open_stage: str
    walk: str
    refused: str = ""


@blueprint.get("/vehicles/<vehicle_id>/close")
def page(vehicle_id: str) -> str:
    return render_template("close.html", page=close_page(vehicle_id))


def close_page(vehicle_id: str, refused: str = "") -> ClosePage:
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    fields = shared(vehicle_id, "record", report, version, "Close the record")
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "record"), back_words=words.TO_THE_RECORD)
    following, now = stage_log.following(vehicle), stage_log.current(vehicle)
    return ClosePage(
        **fields,
        closed=tuple(ClosedItem(
            words.sentence_start(stage_log.said(vehicle, one.entry.stage)), words.moment(one.entry.at), one.place - 1,
            tuple(in_groups(one.entry.fingerprint).split()), one.holds,
        ) for one in stage_log.closings(vehicle)),
        to_close=to_close(vehicle, report),
        next_stage=stages.said(following[0]) if following else "",
        open_stage="" if now in stage_log.closed(vehicle) else stage_log.said(vehicle, now),
        walk=f"{room_address(vehicle_id, 'walk')}?stage={now}",
        refused=refused,
    )


def to_close(vehicle: VehicleFile, report: Report) -> ToClose | None:
    """The latest stage with a reading of its own, while it is open."""
    own = [entry.stage for entry in vehicle.entries if isinstance(entry, Reading) and entry.stage != stages.PLAN]
    if not own:
        return None
    stage = max(own, key=stages.place)
    shut = stage_log.closed(vehicle)
    if stage in shut:
        return None
    with_it = [stages.said(one) for one in stage_log.begun(vehicle)
               if one not in shut and stages.place(one) < stages.place(stage)]
    standing = [f"{words.counted(len(report.doubts), 'doubt')} not settled yet."] if report.doubts else []
    return ToClose(stage, stage_log.said(vehicle, stage), own.count(stage), words.listed(with_it), tuple(standing),
                   trouble_with(vehicle, stage))


@blueprint.post("/vehicles/<vehicle_id>/close")
def close(vehicle_id: str) -> Answer | tuple[str, int]:
    """Closes the stage named, with the fingerprint of the log as it stands."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    stage = request.form.get("stage", "")
    refused = trouble_with(vehicle, stage)
    if not refused:
        body = {"id": secrets.token_hex(16), "at": now(), "stage": stage, "type": "close",
                "fingerprint": fingerprint(vehicle.entries)}
        try:
            plumbtack().store.add_entries(vehicle_id, check_entries([body], vehicle))
        except BadFile as trouble:
            refused = trouble.bare
    if refused:
        return render_template("close.html", page=close_page(vehicle_id, refused)), 422
    return redirect(room_address(vehicle_id, "close"), code=303)


def trouble_with(vehicle: VehicleFile, stage: str) -> str:
    """Why this stage cannot be closed; nothing when it can."""
    if stage not in stages.MEASURED:
        return stage_words.CHOOSE_ONE_TO_CLOSE
    if stage in stage_log.closed(vehicle):
        return f"{words.sentence_start(stages.said(stage))} is closed already."
    if not any(isinstance(entry, Reading) and entry.stage == stage for entry in vehicle.entries):
        return stage_words.nothing_to_close(stages.said(stage))
    later = [one for one in stage_log.begun(vehicle) if stages.place(one) > stages.place(stage)]
    if not later:
        return ""
    unread = later[-1] not in stage_log.measured(vehicle)
    said = words.sentence_start(stages.said(later[-1]))
    return stage_words.begun_unread(said, stages.said(stage)) if unread else stage_words.later_has_begun(said)
