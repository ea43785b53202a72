"""What a command prints: whoever reads it may stop early; a place that takes no more is told in one sentence."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from capture import cli_words
from capture.cli_files import Refused

STDOUT = "-"
"""What is named in place of a new file to have its text printed."""


@contextmanager
def printing() -> Iterator[None]:
    """All that is printed inside comes out, unless its reader has seen enough; else Refused says why not."""
    if sys.stdout is None:
        raise Refused(cli_words.NO_OUTPUT)
    try:
        yield
        sys.stdout.flush()
    except BrokenPipeError:
        _print_no_more()
    except OSError as trouble:
        _print_no_more()
        raise Refused(cli_words.not_printed((trouble.strerror or "unknown trouble").lower())) from None


def _print_no_more() -> None:
    """What still waits must not be tried again when Python ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def print_text(text: str, end: str = "\n") -> None:
    """Prints a page; signs the terminal does not know become question marks."""
    with printing():
        encoding = sys.stdout.encoding or "utf-8"
        print(text.encode(encoding, "replace").decode(encoding), end=end)


def print_file(text: str) -> None:
    """Prints what would stand in a file, byte for byte, whatever signs the terminal knows."""
    with printing():
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode("utf-8"))
