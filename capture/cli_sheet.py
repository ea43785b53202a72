"""`plumbtack sheet`: the as-built sheet of a vehicle file as one HTML file. Written whole or not at all."""

from __future__ import annotations

import argparse
import os
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

from capture import cli_words
from capture.cli_files import REFUSED, Refused, read_with_photos, say, shown
from capture.cli_out import STDOUT, print_file, print_text
from capture.stages import is_stage, typed


class NotWritten(Exception):
    """One plain sentence: why the sheet is not there."""


def add_to(commands: Any, form: type[argparse.HelpFormatter]) -> None:
    """Adds the subcommand to those of the command."""
    sheet = commands.add_parser(
        "sheet",
        prog="plumbtack sheet",
        usage="plumbtack sheet FILE -o OUT.html [--short] [--stage STAGE]",
        help="the as-built sheet, to print",
        description=cli_words.SHEET,
        epilog=cli_words.SHEET_EXAMPLES,
        formatter_class=form,
    )
    sheet.add_argument("file", metavar="FILE", help="a vehicle file, or the zip or folder with its photos")
    sheet.add_argument("-o", "--output", metavar="OUT.html", required=True, help=cli_words.NEW_FILE)
    sheet.add_argument("--short", action="store_true", help="the short form, one page")
    sheet.add_argument("--stage", metavar="STAGE", help="the stage to show; the latest that has a reading")


def run(chosen: argparse.Namespace) -> int:
    """Runs it; the exit status."""
    from geometry.errors import GeometryError

    from capture.log import NoReadings

    out = Path(chosen.output)
    try:
        if chosen.output == STDOUT:
            print_file(_made(chosen))
            return 0
        check_out(out)  # before the work, so that a slip in the name is told at once
        text = _made(chosen)
        write_whole(out, text)
        print_text(cli_words.sheet_is_written(chosen.short, shown(chosen.output)))
    except (Refused, NotWritten) as trouble:
        return say(str(trouble), REFUSED)
    except (NoReadings, GeometryError) as trouble:
        return say(f"{shown(chosen.file)}: {trouble}", REFUSED)
    return 0


def _made(chosen: argparse.Namespace) -> str:
    from capture import report, stages
    from capture.sheet.page import Wanted, sheet

    stage = typed(chosen.stage) if chosen.stage else None
    if stage is not None and not is_stage(stage):
        raise Refused(cli_words.no_sheet_of(shown(chosen.stage), stages.THERE_ARE))
    vehicle, pictures = read_with_photos(chosen.file)
    return sheet(report.build(vehicle, stage), Wanted(pictures.get, chosen.short))


def check_out(out: Path) -> None:
    if out.is_dir():
        raise NotWritten(cli_words.folder_as_output(shown(str(out))))
    if os.path.lexists(out):
        raise NotWritten(cli_words.there_already(shown(str(out))))
    if not out.parent.is_dir():
        raise NotWritten(cli_words.no_such_folder(shown(str(out)), shown(str(out.parent))))


def write_whole(out: Path, text: str) -> None:
    """Beside its place first, then moved in: whoever finds the file finds all of it."""
    beside = ""
    try:
        handle, beside = tempfile.mkstemp(prefix=".sheet-", dir=out.parent)
        with open(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(beside, 0o666 & ~_mask())
        _move_new(beside, out)
    except FileExistsError:
        raise NotWritten(cli_words.there_already(shown(str(out)))) from None
    except OSError as trouble:
        said = (trouble.strerror or "unknown trouble").lower()
        raise NotWritten(cli_words.place_not_writable(shown(str(out)), said)) from None
    finally:
        if beside:
            with suppress(OSError):
                os.unlink(beside)


def _move_new(beside: str, out: Path) -> None:
    """Gives the file its name unless somebody was quicker: FileExistsError then."""
    try:
        os.link(beside, out)
    except FileExistsError:
        raise
    except OSError:  # this disk knows no second names
        if os.path.lexists(out):
            raise FileExistsError(str(out)) from None
        os.rename(beside, out)


def _mask() -> int:
    """What the person's system takes off a new file's permissions."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
