"""A reading's advice in the unit of the person's own tape: what an inch tape calls 3/8 to 9/16 in, a metric one calls
9 to 14 mm.

The kinds of readings write their advice once, mostly in mm; only its lengths are turned over, to what an eye takes in.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from geometry.frame import INCH
from geometry.readings.kind import Words

from capture import entry
from capture.lengths import parts

PHRASES = (  # on an inch tape, on a metric one
    ("its 1 in mark and the inch stayed in", "its 100 mm mark and that stayed in"),
    ("A whole inch is missed", "A whole centimetre is missed"),
    ("A whole foot or inch is missed", "A whole decimetre or centimetre is missed"),
)
EITHER = "1 in or 100 mm mark"
MM = re.compile(r"(?P<low>[\d.]+)(?P<to> to (?P<high>[\d.]+))? mm\b(?! mark)")
INCHES = re.compile(r"(?P<low>(\d+ )?\d+(/\d+)?)(?P<to> to (?P<high>(\d+ )?\d+(/\d+)?))? in\b(?! mark)")
BY_SIZE = ((300.0, 1), (50.0, 4), (0.0, 16))
"""From so many mm on, to such a part of an inch: nobody reads a foot and a half to the sixteenth in advice."""


def on_the_tape(words: Words, display_unit: str) -> Words:
    """A reading's wording with its advice in the display unit, "in" or "mm"."""
    def turned(sentence: str) -> str:
        return said_in(sentence, display_unit)

    return replace(
        words,
        do_this=tuple(map(turned, words.do_this)),
        mistakes=tuple(map(turned, words.mistakes)),
        care=turned(words.care) if words.care else words.care,
    )


def said_in(sentence: str, display_unit: str) -> str:
    """One sentence of advice with its lengths in the display unit."""
    inches = display_unit == "in"
    for one, other in PHRASES:
        sentence = sentence.replace(other, one) if inches else sentence.replace(one, other)
    sentence = sentence.replace(EITHER, "1 in mark" if inches else "100 mm mark")
    return MM.sub(_in_inches, sentence) if inches else INCHES.sub(_in_mm, sentence)


def _in_inches(found: re.Match[str]) -> str:
    return _both(found, lambda text: _part_of_inch(float(text)), "in")


def _part_of_inch(mm: float) -> str:
    finest = next(part for size, part in BY_SIZE if mm >= size)
    return str(parts(max(mm, INCH / 16), finest))


def _in_mm(found: re.Match[str]) -> str:
    return _both(found, lambda text: f"{entry.parse(text, 'in', 'mm').value:.0f}", "mm")


def _both(found: re.Match[str], one: Callable[[str], str], unit: str) -> str:
    low, high = one(found["low"]), one(found["high"]) if found["high"] else ""
    return f"{low} to {high} {unit}" if high and high != low else f"{low} {unit}"
