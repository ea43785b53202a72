"""What was settled and how, as Second look lists it: kept, set aside, corrected, read again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from capture.doubt_words import part_title
from capture.kept_parts import stands
from capture.lengths import say
from capture.report import Report
from capture.screens import words
from capture.screens.readings_said import file_unit, short_words
from capture.vehicle_file import Keep, Reading, SetAside, VehicleFile, Withdraw

CORRECTED = "corrected"
"""How the note of a withdrawal begins that a corrected value follows."""
READ_AGAIN = "read again"
"""How it begins where a second reading, taken blind, took the place of the first."""


@dataclass(frozen=True)
class SettledItem:
    """One settling as the list says it. of: the entries that taking it back withdraws; deed: what that key says."""

    mark: str
    how: str
    words: str
    why: str
    at: str
    of: tuple[str, ...] = ()
    deed: str = ""


def settled_items(report: Report) -> Iterator[SettledItem]:
    """Every settling that still holds, the newest first."""
    vehicle = report.vehicle
    gone = {entry.of for entry in vehicle.of_kind(Withdraw)}
    readings = {entry.id: entry for entry in vehicle.of_kind(Reading)}
    for entry in reversed(vehicle.of_kind(Keep, SetAside, Withdraw)):
        if entry.id in gone:
            continue
        if isinstance(entry, Keep) and entry.facts:
            if stands(entry, vehicle.facts):
                title = part_title(entry.doubt, entry.facts, vehicle.layout)
                yield SettledItem("flag", "Kept", title, entry.note, entry.at, (entry.id,), "Open it again")
        elif isinstance(entry, Keep):
            stand = [readings[of] for of in entry.of if of in readings and of not in gone]
            if stand:
                yield SettledItem("flag", "Kept", named(vehicle, stand), entry.note, entry.at, (entry.id,),
                                  "Open it again")
        elif isinstance(entry, SetAside) and entry.of in readings and entry.of not in gone:
            yield SettledItem("withdrawn", "Set aside", named(vehicle, [readings[entry.of]]),
                              entry.note.removeprefix("in doubt").removeprefix(": "), entry.at, (entry.id,),
                              "Bring it back")
        elif isinstance(entry, Withdraw) and entry.of in readings and entry.note.startswith((CORRECTED, READ_AGAIN)):
            yield SettledItem("tick", "Corrected" if entry.note.startswith(CORRECTED) else "Read again",
                              named(vehicle, [readings[entry.of]]), entry.note, entry.at)


def named(vehicle: VehicleFile, readings: list[Reading]) -> str:
    """The readings of one settling with what was read: "height, left lower link, frame bolt: 24 1/8 in"."""
    first = readings[0]
    unit = file_unit(vehicle, first.reading)
    if len(readings) == 1:
        return f"{short_words(vehicle, first.reading)}: {say(first.value, unit, vehicle.display_unit)}"
    others = words.counted(len(readings) - 1, "other")
    return f"{short_words(vehicle, first.reading)}, and {others}"

