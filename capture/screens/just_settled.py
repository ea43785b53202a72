"""What became of a doubt that was settled a moment ago: the first thing its page says when he comes back to it."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from capture.doubt_words import part_title
from capture.report import Report
from capture.screens import settle_words, words
from capture.screens.filters import said
from capture.screens.readings_said import file_unit, short_words
from capture.vehicle_file import Keep, Reading, SetAside, Withdraw


@dataclass(frozen=True)
class JustSettled:
    """gone: the doubt is no more. words: the reading; value: what counts now, empty where nothing does."""

    gone: bool
    words: str
    value: Markup
    sentence: str


def just_settled(report: Report, entry_id: str) -> JustSettled | None:
    """Of the entry by which it was settled; None where there is no such entry, or it was taken back since."""
    entries = {entry.id: entry for entry in report.vehicle.entries}
    gone = {entry.of for entry in report.vehicle.of_kind(Withdraw)}
    entry = entries.get(entry_id)
    if entry is None or entry_id in gone:
        return None
    if isinstance(entry, Keep) and entry.facts:
        title = part_title(entry.doubt, entry.facts, report.vehicle.layout)
        return JustSettled(True, title, Markup(), settle_words.KEPT_AS_STATED)
    if isinstance(entry, Keep):
        first = entries.get(entry.of[0]) if entry.of else None
        return _of(report, first, settle_words.KEPT_AS_READ) if isinstance(first, Reading) else None
    if isinstance(entry, SetAside):
        first = entries.get(entry.of)
        sentence = settle_words.SET_ASIDE
        return _of(report, first, sentence, value=False) if isinstance(first, Reading) else None
    return _read_again(report, entry) if isinstance(entry, Reading) else None


def _read_again(report: Report, entry: Reading) -> JustSettled | None:
    """A second reading, or a corrected one: whether it is in doubt itself, and how many takes stand beside it."""
    take = next((take for take in report.stage_view.takes if take.id == entry.id), None)
    if take is None:
        return None
    takes = report.stage_view.by_name[take.name]
    keys = {one.key for one in takes}
    if any(keys & set(doubt.readings) for doubt in report.doubts):
        return _of(report, entry, settle_words.STILL_IN_DOUBT, gone=False)
    several = settle_words.takes_count(len(takes)) if len(takes) > 1 else ""
    return _of(report, entry, settle_words.doubt_is_gone(several))


def _of(report: Report, entry: Reading, sentence: str, gone: bool = True, value: bool = True) -> JustSettled:
    vehicle = report.vehicle
    shown = said(entry.value, file_unit(vehicle, entry.reading), vehicle.display_unit) if value else Markup()
    return JustSettled(gone, words.sentence_start(short_words(vehicle, entry.reading)), shown, sentence)
