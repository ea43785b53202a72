"""`plumbtack paper`: the walk to print and fill in by hand, blank or of a vehicle file. Written whole or not at all."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from capture import cli_words
from capture.cli_files import REFUSED, Refused, read_file, say, shown
from capture.cli_out import STDOUT, print_file, print_text
from capture.cli_sheet import NotWritten, check_out, write_whole


def add_to(commands: Any, form: type[argparse.HelpFormatter]) -> None:
    """Adds the subcommand to those of the command."""
    paper = commands.add_parser(
        "paper",
        prog="plumbtack paper",
        usage="plumbtack paper [FILE] -o OUT.html [--layout LAYOUT] [--axle AXLE] [--unit UNIT] [--whole]",
        help="the walk to print and fill in by hand",
        description=cli_words.PAPER,
        epilog=cli_words.PAPER_EXAMPLES,
        formatter_class=form,
    )
    paper.add_argument("file", nargs="?", metavar="FILE", help="a vehicle file; without one the walk is blank")
    paper.add_argument("-o", "--output", metavar="OUT.html", required=True, help=cli_words.NEW_FILE)
    paper.add_argument("--layout", metavar="LAYOUT", help="of the blank walk: three_link_panhard where it is not said")
    paper.add_argument("--axle", metavar="AXLE", help="of the blank walk: front or rear")
    paper.add_argument("--unit", metavar="UNIT", help="the one printed first on a blank walk: in or mm")
    paper.add_argument("--whole", action="store_true", help="with the readings for whoever wants more")


def run(chosen: argparse.Namespace) -> int:
    """Runs it; the exit status."""
    out = Path(chosen.output)
    try:
        if chosen.output == STDOUT:
            print_file(_made(chosen))
            return 0
        check_out(out)
        write_whole(out, _made(chosen))
        print_text(cli_words.paper_is_written(shown(chosen.output)))
    except (Refused, NotWritten) as trouble:
        return say(str(trouble), REFUSED)
    return 0


def _made(chosen: argparse.Namespace) -> str:
    return _of_file(chosen) if chosen.file else _blank(chosen)


def _of_file(chosen: argparse.Namespace) -> str:
    from capture.walk_paper import walk_paper

    for option in ("layout", "axle", "unit"):
        if getattr(chosen, option) is not None:
            raise Refused(cli_words.file_says_it(option))
    return walk_paper(read_file(chosen.file), chosen.whole)


def _blank(chosen: argparse.Namespace) -> str:
    from geometry.layouts import LAYOUTS

    from capture.walk_paper import blank_paper

    choices = {"layout": tuple(LAYOUTS), "axle": ("front", "rear"), "unit": ("in", "mm")}
    asked = {option: getattr(chosen, option) or known[0] for option, known in choices.items()}
    for option, known in choices.items():
        if asked[option] not in known:
            raise Refused(cli_words.no_such_choice(option, shown(asked[option]), known))
    return blank_paper(asked["layout"], asked["axle"], asked["unit"], chosen.whole)
