"""Where and when the readings of a doubt were taken, for its sentence."""

from __future__ import annotations

from datetime import datetime

from geometry.doubt import Doubt

from capture.log import Take
from capture.report import Report
from capture.walk import walk_of

MOST_STATIONS = 3
"""Stations that are named; readings at more of them lie all round the vehicle."""


def takes_of(report: Report, doubt: Doubt) -> tuple[Take, ...]:
    """The takes a doubt names, likeliest first."""
    by_key = report.stage_view.by_key
    return tuple(by_key[key] for key in doubt.readings if key in by_key)


def place_of(report: Report, doubt: Doubt) -> str:
    """"4 readings at Under, left side, 2 May, 11:14 to 11:32"; "" where none of them is in the log."""
    takes = takes_of(report, doubt)
    if not takes:
        return ""
    walk = walk_of(report.vehicle.layout, report.vehicle.worked_axle, tuple(report.stage_view.by_name))
    steps = [step for take in takes if (step := walk.find(take.name))]
    stations = [walk.station(key).name for key in dict.fromkeys(step.station for step in steps)]
    count = f"{len(takes)} reading{'' if len(takes) == 1 else 's'}"
    where = f" at {'; '.join(stations)}" if len(stations) <= MOST_STATIONS else f" at {len(stations)} stations"
    return f"{count}{where if stations else ''}, {span(min(take.at for take in takes), max(take.at for take in takes))}"


def span(first: str, last: str) -> str:
    """"2 May, 11:14 to 11:32"; the day once where it is the same."""
    if clock(first) == clock(last):
        return clock(first)
    same_day = clock(first).partition(",")[0] == clock(last).partition(",")[0]
    return f"{clock(first)} to {clock(last).partition(', ')[2] if same_day else clock(last)}"


def clock(at: str) -> str:
    """The day and minute of an entry, "2 May, 11:14", by this laptop's clock."""
    there = datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone()
    return f"{there.day} {there:%b, %H:%M}"
