"""The record's list of readings: every take with the words typed, its stage, and its withdrawal where there is one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial

from markupsafe import Markup

from capture import stage_log, stages
from capture.report import Report
from capture.screens import give_or_take, record_words, words
from capture.screens.filters import said
from capture.screens.readings_said import file_unit, short_words
from capture.screens.room import measure_address, room_address
from capture.vehicle_file import Keep, Reading, VehicleFile, Withdraw


@dataclass(frozen=True)
class Take:
    """One reading of the log as the record shows it. refused: why its withdrawal was not taken; closed:
    since when the record of its stage is closed."""

    id: str
    anchor: str
    words: str
    said: str
    href: str
    read: Markup
    typed_text: str
    at: str
    stage: str
    mark: str
    remarks: tuple[str, ...]
    note: str
    withdrawn: bool
    closed: str = ""
    withdrawn_at: str = ""
    reason: str = ""
    refused: str = ""
    typed: str = ""
    reading: str = ""


@dataclass(frozen=True)
class NotTaken:
    """A withdrawal that was not taken: of which take, what was typed, why."""

    at: str = ""
    typed: str = ""
    sentence: str = ""


PAGE = 100
"""Readings on one page: more would be slow on a phone, and nobody scrolls through thousands."""


@dataclass(frozen=True)
class Leaf:
    """One page of the log's readings. first, last: which of them, from 1; earlier, later: where the neighbours are."""

    takes: tuple[Take, ...]
    first: int
    last: int
    of: int
    earlier: str = ""
    later: str = ""


def leaf_of(
    vehicle_id: str, vehicle: VehicleFile, asked: Mapping[str, str], refused: NotTaken, carried: frozenset[str]
) -> Leaf:
    """The page asked for: that with a reading (?take=ID), that from a place on (?from=N), else the newest one."""
    readings = [entry for entry in vehicle.entries if isinstance(entry, Reading)]
    start = _start(readings, refused.at or asked.get("take", ""), asked.get("from", ""))
    shown = readings[start : start + PAGE]
    here = room_address(vehicle_id, "record")
    earlier = f"{here}?from={max(0, start - PAGE) + 1}#readings" if start > 0 else ""
    later = f"{here}?from={start + PAGE + 1}#readings" if start + PAGE < len(readings) else ""
    takes = tuple(takes_of(vehicle_id, vehicle, shown, refused, carried))
    return Leaf(takes, start + 1 if shown else 0, start + len(shown), len(readings), earlier, later)


def _start(readings: Sequence[Reading], take: str, first: str) -> int:
    """Where the page begins: whole pages counted from the newest, so that the newest one is full."""
    newest = max(0, len(readings) - PAGE)
    place = next((place for place, entry in enumerate(readings) if take and entry.id == take), None)
    if place is not None:
        return min(newest, max(0, place - PAGE // 2))
    if not (first.isascii() and first.isdigit() and len(first) < 10):
        return newest
    return min(newest, max(0, int(first) - 1))


def carried_over(report: Report) -> frozenset[str]:
    """The ids of readings that still count at this stage although an earlier one took them."""
    return frozenset(take.id for take in report.stage_view.takes if take.carried)


def takes_of(
    vehicle_id: str, vehicle: VehicleFile, readings: Iterable[Reading], refused: NotTaken,
    carried: frozenset[str] = frozenset(),
) -> Iterator[Take]:
    """Some of the log's readings, each with its withdrawal where there is one."""
    withdrawn = withdrawals(vehicle)
    keeps = {of: entry for entry in vehicle.entries
             if isinstance(entry, Keep) and entry.id not in withdrawn for of in entry.of}
    shut = {stage: f"Closed with {stages.said(closing.entry.stage)} on {words.moment(closing.entry.at)}"
            for stage in stage_log.closed(vehicle) if (closing := stage_log.closing_of(vehicle, stage))}
    stage_said = cache(partial(stage_log.said, vehicle))
    for entry in readings:
        gone = withdrawn.get(entry.id)
        yield Take(
            id=entry.id,
            anchor=f"take-{entry.id}",
            words=short_words(vehicle, entry.reading),
            said=f"{short_words(vehicle, entry.reading)}: {entry.text or entry.value}",
            href=measure_address(vehicle_id, entry.reading),
            read=said(entry.value, file_unit(vehicle, entry.reading), vehicle.display_unit),
            typed_text=" ".join(part for part in (entry.text, entry.unit) if part) if entry.text else "",
            at=entry.at,
            stage=stage_said(entry.stage),
            mark="withdrawn" if gone else "flag" if entry.kept else "carried" if entry.id in carried else "measured",
            remarks=tuple(remarks_on(vehicle, entry, entry.id in carried, keeps.get(entry.id))),
            note=entry.note,
            closed=shut.get(entry.stage, ""),
            withdrawn=gone is not None,
            withdrawn_at=gone.at if gone else "",
            reason=(gone.note or "no reason given") if gone else "",
            refused=refused.sentence if refused.at == entry.id else "",
            typed=refused.typed if refused.at == entry.id else "",
            reading=entry.reading,
        )


def remarks_on(vehicle: VehicleFile, entry: Reading, carried: bool, keep: Keep | None) -> Iterator[str]:
    """What else the list says beside a take."""
    if carried:
        yield "carried over"
    if entry.kept:
        yield record_words.KEPT_AGAINST_THE_REMARK
    if keep is not None:
        yield record_words.kept_when_in_doubt(keep.note or "no reason given")
    if entry.state != "ride":
        yield f"{entry.state}: listed, not counted"
    if entry.sd is not None:
        give = give_or_take.said(entry.sd, file_unit(vehicle, entry.reading), vehicle.display_unit)
        yield record_words.spread_of_its_own(give)


def withdrawals(vehicle: VehicleFile) -> dict[str, Withdraw]:
    """Id of each entry taken back -> the entry that did it."""
    return {entry.of: entry for entry in vehicle.entries if isinstance(entry, Withdraw)}
