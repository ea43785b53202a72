"""The facts: what is stated of brakes, shaft, tyres, tubes and joints, because no tape can read it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response as Answer

from capture.screens import decided, facts_form
from capture.screens.facts_values import read_in
from capture.screens.room import RoomPage, plumbtack, report_now, room_address, shared

blueprint = Blueprint("facts", __name__, template_folder="templates")
blueprint.add_app_template_filter(read_in, "read_in")


@dataclass(frozen=True, kw_only=True)
class FactsPage(RoomPage):
    """refused: how many fields could not be taken; first: the key of the first of them as they stand on the page."""

    groups: tuple[facts_form.Group, ...]
    refused: int
    first: str
    saved: bool
    action: str


@blueprint.get("/vehicles/<vehicle_id>/facts")
def page(vehicle_id: str) -> str:
    return render_template("facts.html", page=facts(vehicle_id, saved="saved" in request.args))


@blueprint.post("/vehicles/<vehicle_id>/facts/parts")
def keep(vehicle_id: str) -> Answer | tuple[str, int]:
    """Keeps everything typed, or nothing: a field that cannot be read comes back as it was typed."""
    typed = {key: text[:200] for key, text in request.form.items()}
    found, refused = facts_form.read(plumbtack().store.vehicle(vehicle_id), typed)
    if refused and decided.held_by_a_phone():
        return decided.not_taken(*dict.fromkeys(refused.values()))
    if refused:
        return render_template("facts.html", page=facts(vehicle_id, typed, refused)), 422
    return decided.change_facts(vehicle_id, found, f"{room_address(vehicle_id, 'facts')}?saved")


def facts(vehicle_id: str, typed: Mapping[str, str] | None = None, refused: Mapping[str, str] | None = None,
          saved: bool = False) -> FactsPage:
    report, version = report_now(vehicle_id)
    fields = shared(vehicle_id, "behaviour", report, version, "Facts")
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "behaviour"), back_words="Back to behaviour")
    groups = facts_form.groups_of(report.vehicle, typed, refused)
    first = next((one.key for group in groups for one in group.fields if one.refused), "")
    return FactsPage(**fields, groups=groups, refused=len(refused or {}), first=first, saved=saved,
                     action=f"{room_address(vehicle_id, 'facts')}/parts")
