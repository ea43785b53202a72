"""Subcommands about the record in a vehicle file: compare two stages, readings as a table, points and drawings out.

No server is needed, and the file named is never changed.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from capture import cli_words
from capture.cli_files import REFUSED, Refused, content_of, read_file, say, shown, stage
from capture.cli_out import STDOUT, print_file, print_text

if TYPE_CHECKING:
    from capture.report import Report


def add_to(commands: Any, form: type[argparse.HelpFormatter]) -> None:
    """Adds these subcommands to those of the command."""
    compare = commands.add_parser(
        "compare",
        prog="plumbtack compare",
        usage="plumbtack compare FILE FROM TO [--json]",
        help="what changed between two stages, and how sure that is",
        description=cli_words.COMPARE,
        epilog=cli_words.COMPARE_EXAMPLES,
        formatter_class=form,
    )
    compare.add_argument("file", metavar="FILE", help="a vehicle file, as Plumbtack exports it")
    compare.add_argument("before", metavar="FROM", help="the earlier stage, such as mock_up")
    compare.add_argument("after", metavar="TO", help="the later stage, such as tacked")
    compare.add_argument("--json", action="store_true", help="one JSON object, for programs")
    table = commands.add_parser(
        "table",
        prog="plumbtack table",
        usage="plumbtack table FILE [--stage STAGE] [--blank | --take TABLE -o NEW [--again]]",
        help="readings as a table for a spreadsheet, and back",
        description=cli_words.TABLE,
        epilog=cli_words.TABLE_EXAMPLES,
        formatter_class=form,
    )
    table.add_argument("file", metavar="FILE", help="a vehicle file, as Plumbtack exports it")
    table.add_argument("--stage", type=stage, metavar="STAGE", help="the stage to show, or to take readings in for")
    table.add_argument("--take", metavar="TABLE", help="a table whose readings are added to the vehicle")
    table.add_argument("-o", "--output", metavar="NEW", help=cli_words.NEW_VEHICLE_FILE)
    table.add_argument("--again", action="store_true", help="with --take: values the file has already were read twice")
    table.add_argument("--blank", action="store_true", help="a table to fill in, a line for each reading of the walk")
    points = commands.add_parser(
        "points",
        prog="plumbtack points",
        usage="plumbtack points FILE [--stage STAGE] [--lines | --drawing VIEW]",
        help="points and links as a table, views as drawings in true size",
        description=cli_words.POINTS,
        epilog=cli_words.POINTS_EXAMPLES,
        formatter_class=form,
    )
    points.add_argument("file", metavar="FILE", help="a vehicle file, as Plumbtack exports it")
    points.add_argument("--stage", type=stage, metavar="STAGE", help="the stage to look at")
    kind = points.add_mutually_exclusive_group()
    kind.add_argument("--lines", action="store_true", help="the links with their lengths and angles")
    kind.add_argument("--drawing", choices=("side", "top", "end"), metavar="VIEW", help="a view: side, top or end")


def run(chosen: argparse.Namespace) -> int:
    """Runs one of these subcommands; the exit status."""
    return RUN[chosen.command](chosen)


def _compare(chosen: argparse.Namespace) -> int:
    from capture import compare_report
    from capture.stages import typed

    def made() -> str:
        compared = compare_report.build(_vehicle(chosen.file), typed(chosen.before), typed(chosen.after))
        return json.dumps(compared.as_json(), allow_nan=False) if chosen.json else compare_report.page(compared)

    return _printed(chosen.file, made)


def _table(chosen: argparse.Namespace) -> int:
    if bool(chosen.take) != bool(chosen.output):
        return say(
            cli_words.BOTH_OR_NEITHER,
            REFUSED,
        )
    if chosen.take:
        return _taken_in(chosen)

    def made() -> str:
        from capture.blank_walk import blank_readings
        from capture.table_file import write_blank, write_table

        if chosen.blank:
            vehicle = _vehicle(chosen.file)
            return write_blank(blank_readings(vehicle), vehicle)
        report = _report(chosen)
        return write_table(report.stage_view, report.vehicle)

    return _printed(chosen.file, made, end="")


def _taken_in(chosen: argparse.Namespace) -> int:
    """A copy of the vehicle file with the table's readings at its end; all of them or none."""
    from datetime import UTC, datetime
    from pathlib import Path

    from capture.log import FIRST_STAGE
    from capture.table_file import BadTable, take_table
    from capture.table_landing import landing
    from capture.vehicle_file import BadFile, check_entries, write_vehicle_file

    try:
        vehicle = read_file(chosen.file)
        at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        content = content_of(chosen.take)
        table = take_table(content, chosen.take, vehicle, chosen.stage or FIRST_STAGE, at)
        found = landing(table.entries, vehicle, table.timed)
        if found.alike and not chosen.again:
            raise BadTable([_alike(len(found.alike), chosen)])
        raw = [entry for entry in table.entries if entry not in found.there]
        if not raw:
            raise BadTable([cli_words.taken_already(shown(chosen.take), shown(chosen.file))])
        entries = check_entries(raw, vehicle, {entry.id for entry in vehicle.entries}, shown(chosen.take))
        text = write_vehicle_file(vehicle.model_copy(update={"entries": [*vehicle.entries, *entries]}))
        count = cli_words.taken_in(len(entries))
        if chosen.output == STDOUT:
            print_file(text)
            say(f"{count}.", 0)
        else:
            with Path(chosen.output).open("x", encoding="utf-8") as file:
                file.write(text)
            print_text(f"{count}: {shown(chosen.output)}")
    except (Refused, BadTable, BadFile) as trouble:
        return say(str(trouble), REFUSED)
    except FileExistsError:
        return say(cli_words.there_already(shown(chosen.output)), REFUSED)
    except OSError as trouble:
        said = (trouble.strerror or "unknown trouble").lower()
        return say(cli_words.not_writable(shown(chosen.output), said), REFUSED)
    if table.remark:
        say(f"{shown(chosen.take)}: {table.remark}", 0)
    return 0


def _alike(count: int, chosen: argparse.Namespace) -> str:
    lines = "1 line says" if count == 1 else f"{count} lines say"
    return cli_words.says_already(shown(chosen.take), lines, shown(chosen.file))


def _points(chosen: argparse.Namespace) -> int:
    def made() -> str:
        from capture import numbers_out

        report = _report(chosen)
        if chosen.drawing:
            return numbers_out.drawing(report, chosen.drawing)
        return numbers_out.lines_table(report) if chosen.lines else numbers_out.points_table(report)

    return _printed(chosen.file, made, end="\n" if chosen.drawing else "")


def _vehicle(name: str) -> Any:
    return read_file(name)


def _report(chosen: argparse.Namespace) -> Report:
    from capture import report

    return report.build(_vehicle(chosen.file), chosen.stage)


def _printed(name: str, made: Callable[[], str], end: str = "\n") -> int:
    """Prints what `made` makes; its refusal is one sentence on stderr, and nothing is printed then."""
    from geometry.errors import GeometryError

    from capture.log import NoReadings

    try:
        print_text(made().replace("\r\n", "\n"), end)
    except Refused as refused:
        return say(str(refused), REFUSED)
    except (NoReadings, GeometryError) as trouble:
        return say(f"{shown(name)}: {trouble}", REFUSED)
    return 0


RUN: dict[str, Callable[[argparse.Namespace], int]] = {"compare": _compare, "table": _table, "points": _points}
