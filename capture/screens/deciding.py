"""What every page of deciding has: it leads back to behaviour, asks for readings first, and offers the links' bolts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from flask import render_template
from geometry.layouts import LAYOUTS

from capture.report import Report
from capture.screens import what_if_words
from capture.screens.decided import new_id
from capture.screens.readings_said import point_words
from capture.screens.room import RoomPage, room_address, shared
from capture.screens.words import sentence_start


@dataclass(frozen=True)
class Choice:
    """One of several."""

    key: str
    words: str
    current: bool = False
    href: str = ""


@dataclass(frozen=True, kw_only=True)
class DecidingPage(RoomPage):
    """entry_id: of the entry that the next form of this page makes. The sentences are for a phone that cannot ask."""

    entry_id: str
    nameless: ClassVar[str] = what_if_words.NAMELESS
    not_moved: ClassVar[str] = what_if_words.NOT_MOVED


def fields_of(vehicle_id: str, report: Report, version: int, title: str) -> dict[str, Any]:
    """The fields of DecidingPage."""
    fields = shared(vehicle_id, "behaviour", report, version, title)
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "behaviour"), back_words="Back to behaviour")
    return {**fields, "entry_id": new_id()}


def nothing_yet(vehicle_id: str, report: Report, version: int, title: str) -> tuple[str, int]:
    """The page of a vehicle without a reading."""
    page = DecidingPage(**fields_of(vehicle_id, report, version, title))
    return render_template("nothing_yet.html", page=page), 200


def bolts(report: Report) -> Iterator[Choice]:
    """Both ends of every link."""
    for link in LAYOUTS[report.vehicle.layout].links:
        for name in (link.frame, *link.axle):
            yield Choice(name, sentence_start(point_words(report.vehicle, name)))
