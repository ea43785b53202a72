"""What vehicle this is, how it was measured, and its stages with their dates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from geometry.layouts import LAYOUTS
from markupsafe import Markup

from capture import stage_log, stages
from capture.report import Report
from capture.screens.filters import said, spread
from capture.sheet import sheet_words
from capture.vehicle_file import Reading

TAPES = {"I": "class I", "II": "class II", "III": "class III"}
SHARES = (("brake_share_front", "Front share of braking"), ("drive_share_front", "Front share of driving"))


@dataclass(frozen=True)
class StageLine:
    """One stage: when it was read, how many readings are its own. closed: when its record was closed, or nothing."""

    words: str
    dates: str
    readings: int
    closed: str
    shown: bool


@dataclass(frozen=True)
class Fact:
    words: str
    value: Markup | str


@dataclass(frozen=True)
class Identity:
    """The head of the sheet."""

    name: str
    title: str
    layout: str
    stage: str
    dates: str
    stages: tuple[StageLine, ...]
    facts: tuple[Fact, ...]


def identity(report: Report) -> Identity:
    vehicle = report.vehicle
    lines = tuple(stage_lines(report))
    dates = next((line.dates for line in lines if line.shown), "no reading yet")
    return Identity(
        name=vehicle.name,
        title=f"{vehicle.worked_axle} axle, {'as planned' if report.stage == stages.PLAN else 'as built'}",
        layout=LAYOUTS[vehicle.layout].words,
        stage=stage_log.said(vehicle, report.stage),
        dates=dates,
        stages=lines,
        facts=tuple(facts(report)),
    )


def stage_lines(report: Report) -> Iterator[StageLine]:
    """Every stage that has a reading of its own, in order."""
    vehicle = report.vehicle
    read_at: dict[str, list[str]] = {}
    for entry in vehicle.of_kind(Reading):
        read_at.setdefault(entry.stage, []).append(entry.at)
    for stage in (stage for stage in stages.STAGES if stage in read_at):
        times = read_at[stage]
        closing = stage_log.closing_of(vehicle, stage)
        closed = "" if closing is None else day(closing.entry.at)
        yield StageLine(stage_log.said(vehicle, stage), days(times), len(times), closed, stage == report.stage)


def facts(report: Report) -> Iterator[Fact]:
    """What else tells the vehicle apart and how far its numbers hold."""
    vehicle, unit = report.vehicle, report.vehicle.display_unit
    wheelbase = report.sheet.figures.get("wheelbase")
    if wheelbase is not None and wheelbase.value is not None and wheelbase.sd is not None and not wheelbase.leans:
        yield Fact("Wheelbase", said(wheelbase.value, "mm", unit) + " " + spread(wheelbase.sd, "mm", unit))
    if vehicle.facts.tyre_size:
        yield Fact("Tyres", vehicle.facts.tyre_size)
    yield Fact("Tape", TAPES[vehicle.facts.tape_class])
    takes = report.stage_view.takes
    carried = len(report.stage_view.carried)
    yield Fact("Readings", f"{len(takes)}" + (sheet_words.carried_over(carried) if carried else ""))
    for name, words in SHARES:
        share = getattr(vehicle.facts, name)
        yield Fact(words, "not stated" if share is None else f"{100 * share:.0f} %, stated")


def day(at: str) -> str:
    """"2 May 2026", by this machine's clock."""
    there = datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone()
    return f"{there.day} {there:%b %Y}"


def days(times: list[str]) -> str:
    """"2 May 2026", or from the first to the last day."""
    first, last = day(min(times)), day(max(times))
    return first if first == last else f"{first} to {last}"
