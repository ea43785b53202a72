"""The `plumbtack` command: without a subcommand it serves, `plumbtack report` reads files.

Whatever the server needs is imported only when it serves, so that `report` starts fast.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from capture import cli_paper, cli_record, cli_sheet, cli_words
from capture.cli_files import REFUSED, Refused, read_file, say, shown, stage
from capture.cli_out import print_text
from capture.cli_refused_words import not_understood

if TYPE_CHECKING:
    from capture.report import Report

OUR_FAULT = 1


class OurFault(Exception):
    """One plain sentence about what a person cannot put right."""


class _Parser(argparse.ArgumentParser):
    """Says what is not understood in one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(REFUSED, f"{self.prog}: {not_understood(message)}; {self.prog} --help says more.\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs the command; the exit status: 0 fine, 2 refused with one sentence on stderr."""
    chosen = parser().parse_args(arguments)
    _one_thread_for_sums()
    try:
        if chosen.command == "report":
            return _report(chosen.files, chosen.stage, chosen.json)
        if chosen.command == "backup":
            return _backup(chosen.folder, chosen.data)
        if chosen.command == "restore":
            return _restore(chosen.file, chosen.data)
        if chosen.command in cli_record.RUN:
            return cli_record.run(chosen)
        if chosen.command == "sheet":
            return cli_sheet.run(chosen)
        if chosen.command == "paper":
            return cli_paper.run(chosen)
        from capture import serve

        return serve.run(
            data=chosen.data,
            host=chosen.host,
            port=chosen.port,
            demo=chosen.demo,
            print_key=chosen.print_key,
            new_key=chosen.new_key,
        )
    except KeyboardInterrupt:
        return 130


def parser() -> argparse.ArgumentParser:
    """The command's options and subcommands."""
    form = argparse.RawDescriptionHelpFormatter
    found = _Parser(
        prog="plumbtack",
        usage=cli_words.USAGE,
        description=cli_words.ABOUT,
        epilog=cli_words.ABOUT_EXAMPLES,
        formatter_class=form,
    )
    found.add_argument("--version", action=_Version, help="print the version and stop")
    serving = found.add_argument_group("serving")
    serving.add_argument(
        "--data", type=Path, metavar="DIR", help="the folder with your vehicles, in place of the system's usual one"
    )
    serving.add_argument(
        "--host", metavar="H", help="the network address to serve on, when the one chosen is not the phone's network"
    )
    serving.add_argument("--port", type=_port, metavar="N", help="the port; the next free one when it is taken")
    serving.add_argument("--demo", action="store_true", help="serve a throwaway copy of three invented vehicles")
    serving.add_argument(
        "--print-key", action="store_true", help="print the key that programs on this network need, and stop"
    )
    serving.add_argument(
        "--new-key", action="store_true", help="make a new key first: every phone and guest must scan the new code"
    )
    commands = found.add_subparsers(dest="command", metavar="COMMAND", title="without serving", parser_class=_Parser)
    report = commands.add_parser(
        "report",
        prog="plumbtack report",
        usage="plumbtack report FILE... [--stage STAGE] [--json]",
        help="read vehicle files and print what they say",
        description=cli_words.REPORT,
        epilog=cli_words.REPORT_EXAMPLES,
        formatter_class=form,
    )
    report.add_argument("files", nargs="+", metavar="FILE", help="a vehicle file, as Plumbtack exports it")
    report.add_argument(
        "--stage", type=stage, metavar="STAGE", help="the stage to look at: plan, mock_up, tacked, welded, setting_1..."
    )
    report.add_argument("--json", action="store_true", help="one JSON object a file, for programs")
    cli_record.add_to(commands, form)
    cli_sheet.add_to(commands, form)
    cli_paper.add_to(commands, form)
    backup = commands.add_parser(
        "backup",
        prog="plumbtack backup",
        usage="plumbtack backup DIR [--data DIR]",
        help="copy all vehicles to another folder, while serving or not",
        description=cli_words.BACKUP,
        epilog=cli_words.BACKUP_EXAMPLES,
        formatter_class=form,
    )
    backup.add_argument("folder", type=Path, metavar="DIR", help="where the copy goes, best on another disk")
    restore = commands.add_parser(
        "restore",
        prog="plumbtack restore",
        usage="plumbtack restore FILE [--data DIR]",
        help="put such a copy back",
        description=cli_words.RESTORE,
        epilog=cli_words.RESTORE_EXAMPLES,
        formatter_class=form,
    )
    restore.add_argument("file", type=Path, metavar="FILE", help="the copy to put back")
    for command in (backup, restore):
        command.add_argument(
            "--data", type=Path, metavar="DIR", default=argparse.SUPPRESS, help="the folder with your vehicles"
        )
    return found


class _Version(argparse.Action):
    """Looks the version up only when it is asked for."""

    def __init__(self, option_strings: Sequence[str], dest: str, **rest: object) -> None:
        super().__init__(option_strings, dest, nargs=0, default=argparse.SUPPRESS, help=str(rest.get("help", "")))

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib import metadata

        try:
            said = metadata.version("plumbtack")
        except metadata.PackageNotFoundError:
            said = cli_words.FROM_SOURCE
        print(f"plumbtack {said}")
        parser.exit()


def _one_thread_for_sums() -> None:
    """Our matrices are small: several threads for one product only wait for each other, several times as long."""
    for library in ("OPENBLAS", "OMP", "MKL"):
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    os.environ.setdefault("VECLIB_MAXIMUM_THREADS", "1")


def _port(text: str) -> int:
    if text.isascii() and text.isdecimal() and 0 <= int(text) <= 65535:
        return int(text)
    raise argparse.ArgumentTypeError(cli_words.no_port(text))


# Copies.


def _backup(folder: Path, data: Path | None) -> int:
    """Copies the store into the folder; also while a server uses it."""
    from capture import places
    from capture.store_backup import back_up, what_helps
    from capture.store_check import check
    from capture.store_errors import StoreError
    from capture.store_file import FILE_NAME

    from_folder = data or places.data_folder()
    store = from_folder / FILE_NAME
    try:
        check(store, "The store", what_helps(from_folder))
        made = back_up(store, folder)
        print_text(cli_words.copied(_counted(made.vehicles, made.entries), made.path))
    except (StoreError, Refused) as trouble:
        return say(str(trouble), REFUSED)
    return 0


def _restore(file: Path, data: Path | None) -> int:
    """Puts a copy in place of the store; refused while a server uses it."""
    from capture import places
    from capture.store_errors import StoreError
    from capture.store_restore import restore

    folder = data or places.data_folder()
    try:
        made = restore(file, folder)
        print_text(cli_words.restored(_counted(made.vehicles, made.entries), folder))
        if made.before is not None:
            print_text(cli_words.kept_before(made.before))
    except (StoreError, Refused) as trouble:
        return say(str(trouble), REFUSED)
    return 0


def _counted(vehicles: int, entries: int) -> str:
    said = [f"{vehicles} vehicle{'' if vehicles == 1 else 's'}", f"{entries} entr{'y' if entries == 1 else 'ies'}"]
    return " with ".join(said)


# The report.


def _report(names: Sequence[str], stage: str | None, as_json: bool) -> int:
    """Reads all the files, then prints; a file that is refused stops the command before anything is printed."""
    try:
        reports = [_built(name, stage) for name in names]
        for number, (name, made) in enumerate(zip(names, reports, strict=True)):
            page = _rendered(name, made, as_json)
            print_text(page if number == 0 or as_json else f"\n{page}")
    except OurFault as fault:
        return say(str(fault), OUR_FAULT)
    except Refused as refused:
        return say(str(refused), REFUSED)
    return 0


def _built(name: str, stage: str | None) -> Report:
    from geometry.errors import GeometryError

    from capture import report
    from capture.log import NoReadings

    try:
        return report.build(read_file(name), stage)
    except (NoReadings, GeometryError) as trouble:
        raise Refused(f"{shown(name)}: {trouble}") from None


def _rendered(name: str, made: Report, as_json: bool) -> str:
    try:
        if as_json:
            return json.dumps(made.as_json(), allow_nan=False)
        from capture.report_text import page

        return page(made)
    except Exception as trouble:
        said = f"{type(trouble).__name__}: {trouble}".replace("\n", " ")
        raise OurFault(cli_words.our_fault(shown(name), said)) from trouble


if __name__ == "__main__":
    sys.exit(main())
