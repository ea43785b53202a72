"""What all subcommands share: reading a file, refusing it in one sentence, saying it on stderr.

Imports wait until they are needed, so that every command starts fast.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from capture import cli_words

if TYPE_CHECKING:
    from capture.vehicle_file import VehicleFile

IN_FOLDER = "vehicle.json"
"""What makes a folder the unpacked zip of a vehicle with its photos."""
REFUSED = 2
"""The exit status of whatever a person can put right."""


class Refused(Exception):
    """One plain sentence; the command ends with status 2."""


def read_file(name: str) -> VehicleFile:
    """The vehicle of a file, of a zip with photos, or of that zip's folder."""
    return read_with_photos(name)[0]


def read_with_photos(name: str) -> tuple[VehicleFile, dict[str, bytes]]:
    """The same, with the pictures that came along, by their entries' ids."""
    from capture.vehicle_file import BadFile, read_vehicle_file

    try:
        if os.path.isfile(os.path.join(name, IN_FOLDER)):
            return _from_folder(name)
        content = content_of(name)
        if not content.startswith(b"PK"):
            return read_vehicle_file(content, name), {}
        from capture.vehicle_zip import LARGEST_ZIP, read_zip

        found = read_zip(content_of(name, LARGEST_ZIP), name)
        return found.vehicle, found.pictures
    except BadFile as trouble:
        raise Refused(str(trouble)) from None


def _from_folder(name: str) -> tuple[VehicleFile, dict[str, bytes]]:
    from pathlib import Path

    from capture.vehicle_zip import read_folder

    try:
        found = read_folder(Path(name), name)
    except OSError as trouble:
        said = (trouble.strerror or "unknown trouble").lower()
        raise Refused(cli_words.unreadable_inside(shown(name), said)) from None
    return found.vehicle, found.pictures


def content_of(name: str, most: int | None = None) -> bytes:
    """The bytes of a file, or of its beginning where it is far too large."""
    from capture.json_text import LARGEST_BYTES

    try:
        with open(name, "rb") as file:
            return file.read((most or LARGEST_BYTES) + 1)
    except FileNotFoundError:
        raise Refused(cli_words.no_such_file(shown(name))) from None
    except IsADirectoryError:
        raise Refused(cli_words.a_folder(shown(name))) from None
    except PermissionError:
        raise Refused(cli_words.not_for_you(shown(name))) from None
    except OSError as trouble:
        said = (trouble.strerror or "unknown trouble").lower()
        raise Refused(cli_words.unreadable(shown(name), said)) from None


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
        raise ArgumentTypeError(cli_words.no_such_stage(text, THERE_ARE))
    return text
