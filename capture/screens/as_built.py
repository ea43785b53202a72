"""The as-built sheet of a vehicle, whole or on one page: a file of its own, to look at, print and keep."""

from __future__ import annotations

from flask import Blueprint, Response, request

from capture.screens.record import file_name
from capture.screens.room import plumbtack, report_now, room_address
from capture.sheet import page as printed
from capture.stages import is_stage

blueprint = Blueprint("as_built", __name__)


@blueprint.get("/vehicles/<vehicle_id>/sheet")
def page(vehicle_id: str) -> Response:
    """?short=1: the form of one page; ?stage=: as it stood then; ?keep=1: as a file to keep."""
    stage = request.args.get("stage", "")
    report, _ = report_now(vehicle_id, stage if is_stage(stage) else None)
    short, keep = bool(request.args.get("short")), bool(request.args.get("keep"))
    address = room_address(vehicle_id, "sheet")
    again = f"stage={stage}&" if is_stage(stage) else ""
    wanted = printed.Wanted(
        pictures=lambda photo: plumbtack().store.photo(vehicle_id, photo),
        short=short,
        address=f"{request.host_url.rstrip('/')}{room_address(vehicle_id, 'record')}",
        back="" if keep else room_address(vehicle_id, "record"),
        other=f"{address}?{again}" if short else f"{address}?{again}short=1",
        file=f"{address}?{again}{'short=1&' if short else ''}keep=1",
    )
    answer = Response(printed.sheet(report, wanted), content_type="text/html; charset=utf-8")
    answer.headers["Content-Security-Policy"] = f"{printed.content_policy()}; frame-ancestors 'none'"
    if keep:
        name = file_name(report.vehicle.name).removesuffix(".json") + ("-as-built-short" if short else "-as-built")
        answer.headers["Content-Disposition"] = f'attachment; filename="{name}.html"'
    return answer
