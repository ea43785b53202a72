"""What would pass unseen if a line or the vehicle had moved between stations, and the reading that would show it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.layouts import layout_named
from geometry.readings import parse_name
from geometry.unseen_together import unseen_together

from capture.report import Report
from capture.screens import ready_words, words
from capture.screens.readings_said import short_words
from capture.screens.room import measure_address
from capture.walk import Walk


@dataclass(frozen=True)
class Move:
    """why: what may have moved, from which datum was read. check, href: the reading that would show it, as said and
    where it is taken, "" where no single one does; name: of that reading."""

    why: str
    check: str
    href: str
    name: str = ""
    datum: str = ""


@dataclass(frozen=True)
class MovedUnseen:
    """where: the station, and its key."""

    where: str
    moves: tuple[Move, ...]
    key: str = ""


def moved_unseen(vehicle_id: str, report: Report, walk: Walk) -> Iterator[MovedUnseen]:
    """Station by station along the walk, where links' bolts are read."""
    groups: dict[str, list[str]] = {}
    for name, takes in report.stage_view.by_name.items():
        place = _place(report, walk, name)
        if place:
            groups.setdefault(place, []).extend(take.key for take in takes)
    several = {place: keys for place, keys in groups.items() if len(keys) > 1}
    candidates = tuple(dict.fromkeys(step.reading for step in walk.steps))
    moves: dict[str, list[Move]] = {}
    for found in unseen_together(report.fit, several, candidates):
        station = found.label.partition("|")[0]
        check = words.sentence_start(short_words(report.vehicle, found.check)) if found.check else ""
        href = measure_address(vehicle_id, found.check) if found.check else ""
        moves.setdefault(station, []).append(
            Move(ready_words.MOVED[found.datum], check, href, found.check or "", found.datum))
    for station, here in moves.items():
        yield MovedUnseen(walk.station(station).name, tuple(here), station)


def _place(report: Report, walk: Walk, reading: str) -> str:
    """The station and what this reading is measured from, "under_left|floor"; "" where it reads no link's bolt."""
    vehicle = report.vehicle
    name, step = parse_name(reading, vehicle.layout, vehicle.worked_axle), walk.find(reading)
    bolts = {end for link in layout_named(vehicle.layout).links for end in (link.frame, *link.axle)}
    if step is None or name.kind.datum not in ready_words.MOVED or not bolts & set(name.touches):
        return ""
    return f"{step.station}|{name.kind.datum}"
