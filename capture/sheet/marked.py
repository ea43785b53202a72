"""The fingerprint of the log, and the square code that leads back to the vehicle."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from capture import stage_log
from capture.fingerprint import fingerprint, in_groups
from capture.qr import as_svg
from capture.report import Report
from capture.sheet import sheet_words
from capture.sheet.identity import day


@dataclass(frozen=True)
class ClosedLine:
    """A closed stage. holds: every entry before the closing is as it was."""

    words: str
    when: str
    digits: str
    holds: bool

    @property
    def said(self) -> str:
        return sheet_words.AS_IT_WAS if self.holds else sheet_words.NOT_AS_IT_WAS


@dataclass(frozen=True)
class Marked:
    """code: the square code; code_says: what is in it, and what to do with it."""

    digits: str
    entries: int
    closed: tuple[ClosedLine, ...]
    code: Markup
    code_says: str


def marked(report: Report, address: str | None) -> Marked:
    """address: where the vehicle's record is on the laptop; None where the sheet was made from a file."""
    vehicle = report.vehicle
    digits = fingerprint(vehicle.entries)
    closed = tuple(
        ClosedLine(stage_log.said(vehicle, one.entry.stage), day(one.entry.at), in_groups(one.entry.fingerprint),
                   one.holds)
        for one in stage_log.closings(vehicle)
    )
    said = address or sheet_words.record_of(vehicle.name[:60], len(vehicle.entries), digits)
    says = sheet_words.CODE_LEADS_THERE if address else sheet_words.CODE_IS_TEXT
    return Marked(in_groups(digits), len(vehicle.entries), closed, as_svg(said, "Square code: " + says), says)
