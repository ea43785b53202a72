"""The photos of the log, made small and put into the sheet itself, so that nothing has to be fetched."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from capture import photos, stage_log
from capture.picture import smaller
from capture.report import Report
from capture.screens.readings_said import point_words, short_words
from capture.screens.words import sentence_start
from capture.sheet.identity import day

LONGEST_SIDE = 1000
"""Pixels: enough for a picture as wide as half a page."""
Pictures = Callable[[str], bytes | None]
"""From a photo's id to its JPEG; None where only its entry is here."""


@dataclass(frozen=True)
class PhotoPrinted:
    about: str
    note: str
    when: str
    address: str


def printed(report: Report, pictures: Pictures) -> Iterator[PhotoPrinted]:
    """Every photo that is not withdrawn and whose picture is here."""
    vehicle = report.vehicle
    for entry in photos.photos(vehicle):
        content = pictures(entry.id)
        if content is None:
            continue
        about = short_words(vehicle, entry.reading) if entry.reading else (
            point_words(vehicle, entry.point) if entry.point else "the vehicle")
        small = base64.b64encode(smaller(content, LONGEST_SIDE)).decode("ascii")
        when = f"{day(entry.at)}, {stage_log.said(vehicle, entry.stage)}"
        yield PhotoPrinted(sentence_start(about), entry.note, when, f"data:image/jpeg;base64,{small}")


def left_behind(report: Report, pictures: Pictures) -> int:
    """How many photos are in the log without their picture."""
    return sum(pictures(entry.id) is None for entry in photos.photos(report.vehicle))
