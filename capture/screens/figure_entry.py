"""A figure's value typed by a person, in the person's unit, as the figure counts it; and said back into a field."""

from __future__ import annotations

import re

from geometry.figures import FigureKind

from capture.entry import NotAReading, parse
from capture.screens import facts_words
from capture.screens.what_if_state import typed

PLAIN = re.compile(r"([-+−]?)(\d{1,6}(?:[.,]\d{1,4})?) ?(?:%|°|deg)?")


def value_of(text: str, kind: FigureKind, unit: str) -> float:
    """What was typed, in the figure's unit. Raises NotAReading."""
    usual = {"mm": unit, "deg": "deg", "kg": "lb" if unit == "in" else "kg"}
    if kind.unit in usual:
        return float(parse(text, usual[kind.unit], kind.unit).value)
    found = PLAIN.fullmatch(text.strip())
    if found is None:
        such = "50" if kind.unit == "%" else "0.5"
        raise NotAReading(facts_words.no_number(text[:40], such))
    size = float(found[2].replace(",", "."))
    return size if found[1] in ("", "+") else -size


def field_of(value: float | None, kind: FigureKind, unit: str) -> str:
    """A value as its field shows it; nothing for none."""
    if value is None:
        return ""
    return typed(value, unit) if kind.unit == "mm" else f"{value:g}"


def unit_words(kind: FigureKind, unit: str) -> str:
    """The unit beside the field."""
    return {"mm": unit, "deg": "°", "deg/deg": "° per °"}.get(kind.unit, kind.unit)
