"""Tyre markings to an overall diameter, mm.

A metric marking such as 315/75R16 names the section width in mm, the section's height as a share of that width in
percent and the rim in inches; the overall diameter is the rim plus two section heights:
rim x 25.4 + 2 x aspect x width. Source: arithmetic of the ISO 4000-1 marking, from memory.
An inch marking such as 35x12.50R15 names the diameter itself.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from geometry.frame import INCH

from capture import entry_words

SMALLEST, LARGEST = 400.0, 1700.0  # mm; from a kart's tyre to a farm tractor's: anything else is a slip of the finger
WIDEST_TEXT = 40

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_METRIC = re.compile(rf"(?:lt|p|c|t)?\s*(\d{{3}})\s*/\s*{_NUMBER}\s*(?:z?r|d|b|-|x)?\s*{_NUMBER}\s*(?:lt|c)?", re.I)
_INCHES = re.compile(rf"{_NUMBER}\s*x\s*{_NUMBER}(?:\s*(?:r|d|b|-|x|/)\s*{_NUMBER})?\s*(?:lt|c)?", re.I)
_PLAIN = re.compile(rf"{_NUMBER}(?:\s+(\d+)/(\d+))?\s*(mm|cm|in|inch|inches|\"|''|″|”)?", re.I)


class BadTyre(ValueError):
    """The text names no tyre; the message is one sentence for the person who typed it."""


@dataclass(frozen=True)
class Tyre:
    """diameter: mm, overall and free of load. size: the marking as typed, or None when a bare diameter was typed."""

    diameter: float
    size: str | None


def read_tyre(text: str) -> Tyre:
    """Diameter of the tyre a person typed: "315/75R16", "35x12.50R15", "35", "34 1/2 in" or "880 mm".

    A bare number below 100 counts as inches, from 100 on as mm. Raises BadTyre.
    """
    typed = " ".join(text.split())
    if len(typed) > WIDEST_TEXT:
        raise BadTyre(entry_words.TYRE_TOO_LONG)
    if match := _METRIC.fullmatch(typed):
        width, aspect, rim = (_number(part) for part in match.groups())
        return _checked(rim * INCH + 2 * width * aspect / 100, typed)
    if match := _INCHES.fullmatch(typed):
        return _checked(_number(match.group(1)) * INCH, typed)
    if match := _PLAIN.fullmatch(typed):
        return _checked(_plain(match), None)
    raise BadTyre(entry_words.NO_TYRE)


def _plain(match: re.Match[str]) -> float:
    whole, above, below, unit = match.groups()
    value = _number(whole)
    if above and int(below):
        value += int(above) / int(below)
    unit = (unit or ("in" if value < 100 else "mm")).lower()
    return value * {"mm": 1.0, "cm": 10.0}.get(unit, INCH)


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _checked(diameter: float, size: str | None) -> Tyre:
    if not SMALLEST <= diameter <= LARGEST:
        raise BadTyre(entry_words.tyre_out_of_reach(diameter, diameter / INCH, SMALLEST, LARGEST))
    return Tyre(diameter, size)
