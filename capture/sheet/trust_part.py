"""How sure it all is: doubts and how each was settled, what was kept or set aside, and what nobody checked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.doubt import Doubt
from geometry.next_check import watched_readings

from capture import doubt_words, stage_log
from capture.doubt_place import place_of
from capture.lengths import say
from capture.log import LeftOut, Take
from capture.report import Report
from capture.screens.readings_said import short_words
from capture.screens.ready import PASSES
from capture.screens.words import sentence_start
from capture.sheet import sheet_words
from capture.sheet.identity import day


@dataclass(frozen=True)
class DoubtLine:
    """A doubt, or a reading that was taken back. how: what became of it; why: the person's own reason."""

    readings: str
    said: str
    how: str
    why: str


@dataclass(frozen=True)
class Watched:
    """A reading and the smallest slip in it that would be noticed; nothing where none would."""

    words: str
    smallest: str


def still_open(report: Report) -> Iterator[DoubtLine]:
    for doubt in report.doubts:
        yield DoubtLine(_named(report, doubt), _sentence(report, doubt), "open: not settled", "")


def settled(report: Report) -> Iterator[DoubtLine]:
    """Doubts kept as read, readings kept against a remark, and readings withdrawn, set aside or read again."""
    for one in report.settled:
        yield DoubtLine(_named(report, one.doubt), _sentence(report, one.doubt),
                        f"kept as {'stated' if one.doubt.stated else 'read'}, {day(one.keep.at)}", one.keep.note)
    for take in report.stage_view.takes:
        if take.kept:
            yield DoubtLine(_short(report, take.name), f"read {_typed(take)}",
                            sheet_words.kept_against_the_remark(day(take.at)), take.entry.note)
    for left in report.stage_view.left_out:
        if left.why in ("withdrawn", "set aside"):
            yield DoubtLine(_short(report, left.name), f"read {_typed(left)}", _became(report, left), left.note)


def other_states(report: Report) -> Iterator[str]:
    """Readings taken in another posture: in the record, in no figure."""
    for left in report.stage_view.left_out:
        if left.why == "other state":
            yield f"{_short(report, left.name)}, {left.entry.state}: {_typed(left)}"


def takes_count(report: Report) -> str:
    """"104 readings, 1 in doubt, 2 kept against advice"."""
    takes = report.stage_view.takes
    kept = sum(take.kept for take in takes) + sum(not one.doubt.stated for one in report.settled)
    doubted = {key for doubt in report.doubts for key in doubt.readings}
    parts = [f"{len(takes)} reading" + ("" if len(takes) == 1 else "s"), f"{len(doubted) or 'none'} in doubt"]
    return ", ".join([*parts, f"{kept} kept against advice"] if kept else parts)


def unchecked(report: Report) -> tuple[Watched, ...]:
    """The readings that nothing checks."""
    return tuple(one for one in _watched(report) if not one.smallest)


def checked(report: Report) -> tuple[Watched, ...]:
    """The others, each with the smallest slip that would be noticed, the largest first."""
    return tuple(one for one in _watched(report) if one.smallest)


def _watched(report: Report) -> Iterator[Watched]:
    if not report.stage_view.takes:
        return
    unit = report.vehicle.display_unit
    for one in sorted(watched_readings(report.fit), key=lambda one: -(one.smallest or 1e9)):
        blind = one.smallest is None or one.smallest > PASSES[one.unit]
        yield Watched(_short(report, one.name), "" if blind else say(one.smallest or 0.0, one.unit, unit))


def _became(report: Report, left: LeftOut) -> str:
    """Withdrawn or set aside, and what was read in its place."""
    stands = [take for take in report.stage_view.by_name.get(left.name, ()) if take.at >= left.entry.at]
    if not stands:
        return sheet_words.nothing_in_its_place(left.why)
    return f"{left.why}; read again: {', '.join(_typed(take) for take in stands[:3])}"


def _typed(read: Take | LeftOut) -> str:
    """As it was typed, with the day."""
    entry = read.entry
    return f"{entry.text or f'{entry.value:g}'} {entry.unit}".strip() + f", {day(entry.at)}"


def _sentence(report: Report, doubt: Doubt) -> str:
    unit = report.vehicle.display_unit
    said = doubt_words.sentence(doubt, unit, place_of(report, doubt))
    likely = doubt_words.likely(doubt, unit)
    return f"{said} Likely: {likely}" if likely else said


def _named(report: Report, doubt: Doubt) -> str:
    """The readings it names; the shared cause where there are many."""
    if doubt.shared is not None and len(doubt.readings) > 3:
        return f"{doubt_words.title(doubt)}, {len(doubt.readings)} readings"
    names = dict.fromkeys(_short(report, key) for key in doubt.readings)
    return "; ".join(names) or doubt_words.title(doubt)


def _short(report: Report, key: str) -> str:
    """A reading in words; of which stage where it was carried over."""
    take = report.stage_view.by_key.get(key)
    carried = f" ({stage_log.said(report.vehicle, take.stage)})" if take is not None and take.carried else ""
    return sentence_start(short_words(report.vehicle, key)) + carried


