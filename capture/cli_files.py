"""What all subcommands share: reading a file, refusing it in one sentence, saying it on stderr.

Imports wait until they are needed, so that every command starts fast.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from capture.vehicle_file import VehicleFile

REFUSED = 2
"""The exit status of whatever a person can put right."""


class Refused(Exception):
    """One plain sentence; the command ends with status 2."""


def read_file(name: str) -> VehicleFile:
    from capture.vehicle_file import BadFile, read_vehicle_file

    try:
        return read_vehicle_file(content_of(name), name)
    except BadFile as trouble:
        raise Refused(str(trouble)) from None


def content_of(name: str) -> bytes:
    """The bytes of a file, or of its beginning where it is far too large."""
    from capture.json_text import LARGEST_BYTES

    try:
        with open(name, "rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise Refused(f"{shown(name)}: there is no such file; check the name and the folder.") from None
    except IsADirectoryError:
        raise Refused(f"{shown(name)}: this is a folder; name a vehicle file in it.") from None
    except PermissionError:
        raise Refused(f"{shown(name)}: this file may not be read by you; change its permissions.") from None
    except OSError as trouble:
        said = (trouble.strerror or "unknown trouble").lower()
        raise Refused(f"{shown(name)}: the file cannot be read ({said}); check the name and the disk.") from None


def say(sentence: str, status: int) -> int:
    encoding = sys.stderr.encoding or "utf-8"
    print(sentence.encode(encoding, "replace").decode(encoding), file=sys.stderr)
    return status


def shown(name: str) -> str:
    from capture.json_text import plain

    return plain(name, 200)


def stage(text: str) -> str:
    """An option's stage, as the file spells it."""
    from argparse import ArgumentTypeError

    from capture.stages import THERE_ARE, is_stage

    if not is_stage(text):
        raise ArgumentTypeError(f"there is no stage {text!r}; the stages are {THERE_ARE}")
    return text
