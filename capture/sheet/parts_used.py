"""The parts, as far as they are stated, how they are set, and the list of bolts to fill in by hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from geometry.frame import INCH
from geometry.layouts import LAYOUTS

from capture import plans
from capture.cut_list import COARSE, CutLine, cut_lines
from capture.drawings.vehicle import Vehicle
from capture.lengths import say, say_length, say_with_spread
from capture.lengths_set import lengths_set
from capture.link_parts import LinkEnd, parts_of_link
from capture.log_entries import Note
from capture.report import Report
from capture.screens.words import sentence_start
from capture.sheet import sheet_words
from capture.sheet.identity import day
from capture.sheet.tables import ROD_WORDS
from capture.sheet.views import numbered

NOT_STATED = "not stated"
FINE = 32
"""Thread that shows is read to 1/32 in."""
BY_HAND = ("Driveshaft, gearbox end", "Driveshaft, pinion end", "Steering box to frame", "Shock mounts", "Wheel nuts")
"""Bolts that no point stands for, and that are loosened all the same."""


@dataclass(frozen=True)
class EndLine:
    """One end of a link: its number on the views, joint, thread, and which hole of how many is in use. showing: the
    thread that showed when its length was set, or nothing."""

    number: int
    words: str
    joint: str
    thread: str
    hole: str
    showing: str


@dataclass(frozen=True)
class PartLine:
    """A link or rod: its tube and its ends. cut: what its tube is cut to, by the cut list; set_to: the length last set,
    and when. Either may be nothing."""

    words: str
    tube: str
    cut: str
    set_to: str
    ends: tuple[EndLine, ...]


@dataclass(frozen=True)
class Bolt:
    """A bolt to be tightened; number: on the views, 0 where it has none."""

    number: int
    words: str


def part_lines(report: Report, vehicle: Vehicle) -> Iterator[PartLine]:
    """Every link, then the rods of which something is stated."""
    facts, unit = report.vehicle.facts, report.vehicle.display_unit
    links = {link.name: link.words for link in LAYOUTS[report.vehicle.layout].links}
    stated = {name for table in (facts.tubes, facts.threads, facts.joints) for name in table}
    lines = {line.link.name: line for line in cut_lines(report)}
    were_set = lengths_set(report.vehicle, report.stage)
    for name in [*links, *(name for name in ROD_WORDS if name in stated)]:
        line, note = lines.get(name), were_set.get(name)
        parts = line.parts if line else parts_of_link(facts, name)
        tube = NOT_STATED if parts.outside is None else f"{say_length(parts.outside, unit)} outside"
        if parts.wall is not None:
            tube += f", wall {_fine(parts.wall, unit)}"
        words = sentence_start(links.get(name) or ROD_WORDS[name].partition(",")[0])
        shows = note.link_set.showing if note and note.link_set else {}
        yield PartLine(words, tube, _cut(line, unit) if line else "", _set_to(note, unit) if note else "",
                       tuple(_end(report, vehicle, name, end, shows) for end in parts.ends))


def _cut(line: CutLine, unit: str) -> str:
    """"cut to 24 1/8 in ± 1/16 in", as the cut list has it."""
    if line.made is None:
        return ""
    if line.state == COARSE:
        return sheet_words.cut_about(say(line.about(unit), "mm", unit))
    return sheet_words.cut_to(say_with_spread(line.made.length, line.made.sd, "mm", unit))


def _set_to(note: Note, unit: str) -> str:
    assert note.link_set is not None
    return sheet_words.set_to(say(note.link_set.length, "mm", unit), day(note.at))


def _end(report: Report, vehicle: Vehicle, link: str, end: LinkEnd, shows: Mapping[str, float]) -> EndLine:
    points = [name for name in vehicle.spots if name.startswith(f"{link}.{end.key}")]
    numbers = numbered(vehicle)
    hand = "left-hand" if end.left else "right-hand"
    thread = f"{end.thread}, {hand}" if end.thread else NOT_STATED
    return EndLine(numbers.get(points[0], 0) if points else 0, end.words, end.made or NOT_STATED, thread,
                   hole(report, points[0]) if points else "",
                   _showing(shows.get(end.key), report.vehicle.display_unit))


def _showing(mm: float | None, unit: str) -> str:
    return "" if mm is None else say_length(mm, unit, denominator=FINE)


def hole(report: Report, point: str) -> str:
    """"hole 2 of 3"; nothing where no row of holes is entered."""
    row = next((row for row in plans.rows(report.vehicle) if row.point == point), None)
    return "" if row is None else f"hole {row.used + 1} of {len(row.places)}"


def bolts(report: Report, vehicle: Vehicle) -> tuple[Bolt, ...]:
    """Every numbered joint of links, rods and shaft, and the ones nobody measures."""
    numbers = numbered(vehicle)
    joints = [Bolt(number, sentence_start(vehicle.spots[name].words or name)) for name, number in numbers.items()
              if not name.startswith(("mark.", "keep_clear.", "kingpin", "driveshaft"))]  # fmt: skip
    return (*joints, *(Bolt(0, words) for words in BY_HAND))


def _fine(mm: float, unit: str) -> str:
    """A wall, to a thousandth of an inch or a tenth of a mm."""
    return f"{mm / INCH:.3f} in" if unit == "in" else say_length(mm, unit)
