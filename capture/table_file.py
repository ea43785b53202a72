"""Readings as a table (CSV): out for a spreadsheet, and in again with every line checked before any is taken.

Columns: reading, value, unit, note, and on the way out also stage and at. A unit in the heading, "value (in)", counts
for the lines that state none; on the way out it names those of the file. Commas, semicolons or tabs. A line whose value
is left empty is no reading: a blank table has one for each reading of the walk.
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from geometry.errors import BadName
from geometry.readings import parse_name

from capture import table_words
from capture.entry import LONGEST, UNITS, NotAReading, parse
from capture.json_text import plain, shown
from capture.log import StageView
from capture.stages import THERE_ARE, is_stage
from capture.table_text import BadTable, TableText, harmless, read_text
from capture.vehicle_file import VehicleFile

__all__ = ["BadTable", "Table", "read_table", "take_table", "write_blank", "write_table"]

COLUMNS = ("reading", "value", "unit", "note", "stage", "at")
IGNORED = ("words",)
"""What a blank table says of a reading in plain words."""
FILE_UNITS = "mm/deg/kg"
HEADS = tuple(f"value ({FILE_UNITS})" if column == "value" else column for column in COLUMNS)
NEEDED = ("reading", "value")
MOST_LINES = 10_000
MOST_SAID = 20
"""Refused lines that are told one by one."""
_HEADING = re.compile(r"(?P<name>[a-z ]+?)\s*(?:[(\[](?P<unit>[^)\]]*)[)\]])?")
_COMMA = re.compile(r"[-+]?[0-9]+,[0-9]+( ?[a-z°\"']+)?")


@dataclass(frozen=True)
class Table:
    """A table read in: its entries of the log, how many lines had no value, whether it says when each was read, and a
    remark on its letters, if any."""

    entries: list[dict[str, Any]]
    empty: int
    timed: bool
    remark: str


def write_table(view: StageView, vehicle: VehicleFile) -> str:
    """The readings that count at a stage, in file units; a heading line first. Read in again they are the same."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    for take in view.takes:
        unit = parse_name(take.name, vehicle.layout, vehicle.worked_axle).kind.unit
        writer.writerow((take.name, _number(take.value), unit, harmless(take.entry.note), take.stage, take.at))
    return out.getvalue()


def _number(value: float) -> str:
    """All its digits, without an exponent, as far as a typed value may have them."""
    return format(Decimal(repr(value)), "f")[:LONGEST]


def write_blank(readings: Iterable[tuple[str, str]], vehicle: VehicleFile) -> str:
    """A table to fill in: a line for each reading, (name, words), in the person's unit where it is a length."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(("reading", "value", "unit", "note", "words"))
    for name, said in readings:
        unit = parse_name(name, vehicle.layout, vehicle.worked_axle).kind.unit
        writer.writerow((name, "", vehicle.display_unit if unit == "mm" else unit, "", harmless(said)))
    return out.getvalue()


def read_table(content: bytes, name: str, vehicle: VehicleFile, stage: str, at: str) -> list[dict[str, Any]]:
    """The table's lines as entries of the log, in its order, for `stage` where a line states none.

    name: the file's, to begin every sentence. at: when they are taken in. Ids come from the content, so that the same
    table taken twice is the same entries. Raises BadTable with a sentence for each line at fault; then none is taken.
    """
    return take_table(content, name, vehicle, stage, at).entries


def take_table(content: bytes, name: str, vehicle: VehicleFile, stage: str, at: str) -> Table:
    """The same with what is to be said of it."""
    text = read_text(content, name)
    # A browser's form ends every line in CR LF, whatever the file had: the same lines are the same table.
    same = "\n".join((stage, *text.whole.splitlines()))
    mark = hashlib.sha256(same.encode()).hexdigest()[:16]
    return _Table(plain(name, 200), text, vehicle, stage, at, mark).read()


@dataclass(frozen=True)
class _Table:
    name: str
    text: TableText
    vehicle: VehicleFile
    stage: str
    at: str
    mark: str

    @property
    def lines(self) -> list[list[str]]:
        return self.text.lines

    def read(self) -> Table:
        heading, unit = self._heading()
        after = self.text.first + 1
        filled = [(n, line) for n, line in enumerate(self.lines[1:], start=after) if any(cell.strip() for cell in line)]
        if len(filled) > MOST_LINES:
            raise BadTable([table_words.too_many_lines(self.name, len(filled), MOST_LINES)])
        valued = [(n, line) for n, line in filled if not self._left_empty(line, heading)]
        if not valued:
            raise BadTable([table_words.nothing_below(self.name)])
        found, refused = [], []
        for number, line in valued:
            try:
                found.append(self._entry(number, line, heading, unit))
            except ValueError as trouble:
                refused.append(f"{self.name}: line {number}: {str(trouble).removesuffix('.')}.")
        if refused:
            more = len(refused) - MOST_SAID
            raise BadTable([*refused[:MOST_SAID], *([f"{self.name}: and {more} lines more."] if more > 0 else [])])
        return Table(found, len(filled) - len(valued), "at" in heading, self.text.remark)

    @staticmethod
    def _left_empty(line: list[str], heading: Mapping[str, int]) -> bool:
        """Whether a line names a reading and gives it no value: the blank table's own line, not filled in."""
        cells = [line[heading[name]].strip() if heading[name] < len(line) else "" for name in NEEDED]
        return bool(cells[0]) and not cells[1]

    def _heading(self) -> tuple[Mapping[str, int], str]:
        """Where each column stands, and the unit the value's heading states."""
        if not self.lines or not any(cell.strip() for cell in self.lines[0]):
            raise BadTable([table_words.table_empty(self.name, ", ".join(COLUMNS))])
        at = f"line {self.text.first}"
        places: dict[str, int] = {}
        unit = ""
        for place, cell in enumerate(self.lines[0]):
            found = _HEADING.fullmatch(cell.strip().lower())
            name = found["name"] if found else cell.strip()
            if name not in (*COLUMNS, *IGNORED) or name in places:
                why = "stands twice" if name in places else "is not known"
                raise BadTable(
                    [table_words.strange_column(self.name, at, shown(name), why, ", ".join(COLUMNS))]
                )
            places[name] = place
            unit = (found["unit"] or "") if found and name == "value" else unit
        for name in NEEDED:
            if name not in places:
                raise BadTable([table_words.column_missing(self.name, at, name)])
        return places, "" if unit.strip().lower() == FILE_UNITS else unit

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
            typed = parse(self._point(cells["value"]), said, reading.kind.unit)
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

    def _point(self, value: str) -> str:
        """A decimal comma as a point, where no comma can be anything else."""
        return value.replace(",", ".") if self.text.commas and _COMMA.fullmatch(value) else value
