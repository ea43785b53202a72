"""Readings as a table (CSV): out for a spreadsheet, and in again with every line checked before any is taken.

Columns: reading, value, unit, note, and on the way out also stage and at. A unit in the heading, "value (in)", counts
for the lines that state none. Commas, semicolons or tabs; UTF-8.
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from geometry.errors import BadName
from geometry.readings import parse_name

from capture.entry import UNITS, NotAReading, parse
from capture.json_text import LARGEST_BYTES, plain, shown
from capture.log import StageView
from capture.stages import THERE_ARE, is_stage
from capture.vehicle_file import VehicleFile

COLUMNS = ("reading", "value", "unit", "note", "stage", "at")
NEEDED = ("reading", "value")
MOST_LINES = 10_000
MOST_SAID = 20
"""Refused lines that are told one by one."""
_HEADING = re.compile(r"(?P<name>[a-z ]+?)\s*(?:[(\[](?P<unit>[^)\]]*)[)\]])?")


class BadTable(ValueError):
    """A table of which nothing is taken; one plain sentence for each line at fault."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__("\n".join(self.sentences))


def write_table(view: StageView, vehicle: VehicleFile) -> str:
    """The readings that count at a stage, in file units; a heading line first. Read in again they are the same."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for take in view.takes:
        unit = parse_name(take.name, vehicle.layout, vehicle.worked_axle).kind.unit
        writer.writerow((take.name, _number(take.value), unit, _harmless(take.entry.note), take.stage, take.at))
    return out.getvalue()


def _number(value: float) -> str:
    """All its digits, without an exponent."""
    text = repr(value)
    return f"{value:.15f}" if "e" in text else text


def _harmless(note: str) -> str:
    """A note that a spreadsheet will not take for a formula."""
    return f"'{note}" if note[:1] in ("=", "+", "-", "@", "\t", "\r") else note


def read_table(content: bytes, name: str, vehicle: VehicleFile, stage: str, at: str) -> list[dict[str, Any]]:
    """The table's lines as entries of the log, in its order, for `stage` where a line states none.

    name: the file's, to begin every sentence. at: when they are taken in. Ids come from the content, so that the same
    table taken twice is the same entries. Raises BadTable with a sentence for each line at fault; then none is taken.
    """
    lines = list(_lines(content, plain(name, 200)))
    table = _Table(plain(name, 200), lines, vehicle, stage, at, hashlib.sha256(content).hexdigest()[:16])
    return table.entries()


def _lines(content: bytes, name: str) -> Iterable[list[str]]:
    if len(content) > LARGEST_BYTES:
        most = LARGEST_BYTES // 1_000_000
        raise BadTable([f"{name}: it is larger than {most} MB; a table of readings is far smaller."])
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\x00" in content[:1000]:
        raise BadTable([f"{name}: it is not UTF-8 text but looks like UTF-16; save it as CSV UTF-8 and try again."])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        line = content.count(b"\n", 0, trouble.start) + 1
        raise BadTable([f"{name}: line {line} is not UTF-8 text; save it as CSV UTF-8 and try again."]) from None
    first = text.partition("\n")[0]
    mark = max(",;\t", key=first.count)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True))
    except csv.Error:
        raise BadTable([f"{name}: its quotation marks do not pair up; save it as CSV again."]) from None


@dataclass(frozen=True)
class _Table:
    name: str
    lines: list[list[str]]
    vehicle: VehicleFile
    stage: str
    at: str
    mark: str

    def entries(self) -> list[dict[str, Any]]:
        heading, unit = self._heading()
        filled = [(n, line) for n, line in enumerate(self.lines[1:], start=2) if any(cell.strip() for cell in line)]
        if not filled:
            raise BadTable([f"{self.name}: there is no reading below the heading; fill in a line and try again."])
        if len(filled) > MOST_LINES:
            raise BadTable([f"{self.name}: it has {len(filled)} lines, and {MOST_LINES} is the most."])
        found, refused = [], []
        for number, line in filled:
            try:
                found.append(self._entry(number, line, heading, unit))
            except ValueError as trouble:
                refused.append(f"{self.name}: line {number}: {str(trouble).removesuffix('.')}.")
        if refused:
            more = len(refused) - MOST_SAID
            raise BadTable([*refused[:MOST_SAID], *([f"{self.name}: and {more} lines more."] if more > 0 else [])])
        return found

    def _heading(self) -> tuple[Mapping[str, int], str]:
        """Where each column stands, and the unit the value's heading states."""
        if not self.lines or not any(cell.strip() for cell in self.lines[0]):
            raise BadTable([f"{self.name}: it is empty; the first line names the columns: {', '.join(COLUMNS)}."])
        places: dict[str, int] = {}
        unit = ""
        for place, cell in enumerate(self.lines[0]):
            found = _HEADING.fullmatch(cell.strip().lower())
            name = found["name"] if found else cell.strip()
            if name not in COLUMNS or name in places:
                why = "stands twice" if name in places else "is not known"
                raise BadTable(
                    [f"{self.name}: line 1: the column {shown(name)} {why}; the columns are {', '.join(COLUMNS)}."]
                )
            places[name] = place
            unit = (found["unit"] or "") if found and name == "value" else unit
        for name in NEEDED:
            if name not in places:
                raise BadTable([f"{self.name}: line 1: the column {name} is missing; add it and try again."])
        return places, unit

    def _entry(self, number: int, line: list[str], heading: Mapping[str, int], unit: str) -> dict[str, Any]:
        cells = {name: line[place].strip() if place < len(line) else "" for name, place in heading.items()}
        if len(line) > len(heading) and any(cell.strip() for cell in line[len(heading) :]):
            raise ValueError("there are more cells than columns; a value with a comma in it needs quotation marks")
        try:
            reading = parse_name(cells["reading"], self.vehicle.layout, self.vehicle.worked_axle)
        except BadName as trouble:
            raise ValueError(str(trouble).rstrip(".?")) from None
        said = cells.get("unit") or unit or reading.kind.unit
        if said not in UNITS:
            raise ValueError(f"there is no unit {shown(said)}; the units are {', '.join(UNITS)}")
        try:
            typed = parse(cells["value"], said, reading.kind.unit)
        except NotAReading as trouble:
            raise ValueError(str(trouble)) from None
        stage = cells.get("stage") or self.stage
        if not is_stage(stage):
            raise ValueError(f"there is no stage {shown(stage)}; the stages are {THERE_ARE}")
        return {
            "id": f"table-{self.mark}-{number}",
            "at": cells.get("at") or self.at,
            "stage": stage,
            "type": "reading",
            "reading": cells["reading"],
            "value": typed.value,
            "text": cells["value"],
            "unit": typed.unit,
            "note": cells.get("note", ""),
        }
