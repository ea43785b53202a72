"""The vehicles on this laptop, and bringing in a file."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from flask import Blueprint, redirect, render_template, request
from geometry.layouts import LAYOUTS
from markupsafe import Markup
from werkzeug.wrappers import Response

from capture.screens import decided, new_words, pictures, words
from capture.screens.progress import progress
from capture.screens.room import plumbtack, report_now, room_address
from capture.store import VehicleLine
from capture.vehicle_file import BadFile
from capture.vehicle_zip import is_zip, read_any

FORM_AROUND = 4096
"""Bytes of a form around its file."""
blueprint = Blueprint("start", __name__, template_folder="templates")


@dataclass(frozen=True)
class VehicleRow:
    """One vehicle of the list. count: readings taken and not withdrawn; progress: the same in words."""

    href: str
    name: str
    under: str
    thumbnail: Markup
    count: int
    progress: str
    doubts: int
    last: str | None


@dataclass(frozen=True)
class StartPage:
    """notice: one sentence at the head, for a demo."""

    vehicles: tuple[VehicleRow, ...]
    notice: str | None = None
    refused: str = ""


@blueprint.get("/")
def page() -> str:
    return render_template("start.html", page=StartPage(rows(), plumbtack().settings.notice))


def rows() -> tuple[VehicleRow, ...]:
    return tuple(row(line) for line in plumbtack().store.vehicles())


def row(line: VehicleLine) -> VehicleRow:
    """One vehicle with its own small drawing, how far its walk is, and what is in doubt."""
    report, version = report_now(line.id)
    count = progress(line.id, report, version)
    return VehicleRow(
        href=room_address(line.id, "walk"),
        name=line.name,
        under=words.axle_and_layout(line.worked_axle, LAYOUTS[line.layout].words),
        thumbnail=pictures.thumbnail(report),
        count=count.done,
        progress=f"{count.done} of {count.of}",
        doubts=len(report.doubts),
        last=line.latest_at,
    )


@blueprint.post("/import")
def import_file() -> Response | tuple[str, int]:
    """A vehicle file becomes a vehicle of this laptop, once for its form; a refused one changes nothing and is told
    why."""
    request.max_content_length = plumbtack().settings.largest_zip + FORM_AROUND
    upload = request.files.get("file")
    if upload is None or not upload.filename:
        return _refused(new_words.NO_FILE_CHOSEN)
    settings = plumbtack().settings
    content = upload.stream.read(settings.largest_zip + 1)
    largest = settings.largest_zip if is_zip(content) else settings.largest_file
    if len(content) > largest:
        return _refused(new_words.file_too_large(largest // 1_000_000))
    try:
        found = read_any(content, words.short(upload.filename, 60))
    except BadFile as trouble:
        return _refused(str(trouble))
    once = f"{decided.form_id()}{hashlib.sha256(content).hexdigest()}"
    return redirect(room_address(plumbtack().store.create(found.vehicle, found.pictures, once), "walk"), code=303)


def _refused(sentence: str) -> tuple[str, int]:
    return render_template("start.html", page=StartPage(rows(), plumbtack().settings.notice, sentence)), 422
