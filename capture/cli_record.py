"""Subcommands about the record in a vehicle file: compare two stages, readings as a table, points and drawings out.

No server is needed, and the file named is never changed.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from capture.report import Report

STAGES = ("plan", "mock_up", "tacked", "welded")

COMPARE = """\
What changed between two stages of a vehicle: every point and figure with the
give or take of its change, and whether the change is sure or within the tape.
Readings that were carried over stand in both stages and take nothing away from
how sure a change is; what was not read again is named.
"""
COMPARE_EXAMPLES = """\
examples:
  plumbtack compare truck.json mock_up tacked           a page to read
  plumbtack compare truck.json tacked welded --json     for programs

The stages are plan, mock_up, tacked and welded, the earlier one first. Changes
are TO less FROM; the give or take on the page is twice the "sd" of the JSON.
The page ends with the readings that would show a move of 2 mm at every bracket.
"""


def add_to(commands: Any, form: type[argparse.HelpFormatter]) -> None:
    """Adds these subcommands to those of the command."""
    compare = commands.add_parser(
        "compare",
        prog="plumbtack compare",
        usage="plumbtack compare FILE FROM TO [--json]",
        help="what changed between two stages, and how sure that is",
        description=COMPARE,
        epilog=COMPARE_EXAMPLES,
        formatter_class=form,
    )
    compare.add_argument("file", metavar="FILE", help="a vehicle file, as Plumbtack exports it")
    compare.add_argument("before", metavar="FROM", help="the earlier stage: plan, mock_up or tacked")
    compare.add_argument("after", metavar="TO", help="the later stage: mock_up, tacked or welded")
    compare.add_argument("--json", action="store_true", help="one JSON object, for programs")


def run(chosen: argparse.Namespace) -> int:
    """Runs one of these subcommands; the exit status."""
    return RUN[chosen.command](chosen)


def _compare(chosen: argparse.Namespace) -> int:
    from capture import compare_report

    def made() -> str:
        compared = compare_report.build(_vehicle(chosen.file), _stage(chosen.before), _stage(chosen.after))
        return json.dumps(compared.as_json(), allow_nan=False) if chosen.json else compare_report.page(compared)

    return _printed(chosen.file, made)


def _stage(text: str) -> str:
    """A stage as typed: "mock-up" is "mock_up"."""
    return text.strip().lower().replace("-", "_").replace(" ", "_")


def _vehicle(name: str) -> Any:
    from capture import cli

    return cli._read(name)


def _report(chosen: argparse.Namespace) -> Report:
    from capture import report

    return report.build(_vehicle(chosen.file), chosen.stage)


def _printed(name: str, made: Callable[[], str]) -> int:
    """Prints what `made` makes; its refusal is one sentence on stderr, and nothing is printed then."""
    import os
    import sys

    from geometry.errors import GeometryError

    from capture import cli
    from capture.log import NoReadings

    try:
        text = made()
    except cli._Refused as refused:
        return cli._say(str(refused), cli.REFUSED)
    except (NoReadings, GeometryError) as trouble:
        return cli._say(f"{cli._shown(name)}: {trouble}", cli.REFUSED)
    try:
        cli._print(text, first=True)
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


RUN: dict[str, Callable[[argparse.Namespace], int]] = {"compare": _compare}
