"""One stated value: as its field shows it, and back from what was typed. Each sort has its units and its words.

The file keeps no unit beside a fact. What a person states is a short number in the unit he states it in, and hardly
ever in another one as well, so that unit is found again from the value.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from geometry.frame import INCH

from capture.entry import NotAReading, parse
from capture.lengths import POUND, POUND_FOOT, parts
from capture.screens import facts_words

LONGEST = 40
NUMBER = re.compile(r"([+\-−]?\d{1,7}(?:[.,]\d{1,4})?) ?([^\d\s].*)?")
PITCH = re.compile(r"(\d{1,2}(?:[.,]\d)?) ?(?:tpi|threads? (?:per|an) inch|per inch)")
YES = (("", "no, as usual"), ("yes", "yes"))


@dataclass(frozen=True)
class Field:
    """sort: "share", "mass", "length", "angle", "pitch", "factor", "text", "choice", "flag" (yes or nothing) or one of
    SCALED. low, high: file unit. key: its place in the facts."""

    key: str
    words: str
    sort: str
    low: float = 0.0
    high: float = 0.0
    about: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    typed: str = ""
    refused: str = ""


@dataclass(frozen=True)
class Scaled:
    """A quantity with units of its own. units: file units in one of it, beside mm and beside inches; also: others, in
    small letters; besides: those of the others a value may be shown in."""

    units: tuple[tuple[str, float], ...]
    also: tuple[tuple[str, float], ...]
    ask: str
    besides: tuple[tuple[str, float], ...] = ()


KSI = 6.894757
"""N/mm2 in a thousand pound-force a square inch."""
SCALED = {
    "stress": Scaled((("N/mm²", 1.0), ("N/mm²", 1.0)), (("n/mm2", 1.0), ("mpa", 1.0), ("ksi", KSI)),
                     facts_words.SUCH_AS_A_YIELD, (("ksi", KSI),)),
    "torque": Scaled((("N m", 1.0), ("lb ft", POUND_FOOT)),
                     (("nm", 1.0), ("ft lb", POUND_FOOT), ("lbf ft", POUND_FOOT)),
                     facts_words.SUCH_AS_A_TORQUE),
    "modulus": Scaled((("cm³", 1e3), ("in³", INCH**3)), (("cm3", 1e3), ("in3", INCH**3), ("mm3", 1.0), ("mm³", 1.0)),
                      facts_words.SUCH_AS_A_MODULUS),
    "area": Scaled((("cm²", 1e2), ("in²", INCH**2)), (("cm2", 1e2), ("in2", INCH**2), ("mm2", 1.0), ("mm²", 1.0)),
                   facts_words.SUCH_AS_AN_AREA),
}
"""N/mm2, N m, mm3, mm2 in the file."""


OF_BOTH = {"length": (("mm", 1.0), ("in", INCH)), "mass": (("kg", 1.0), ("lb", POUND))}
"""File units in one of it, beside mm and beside inches."""
TAPE, FINEST = 16, 64
"""Parts of an inch: the lines of a tape, and the finest that is stated as a fraction."""
DECIMALS = {"mm": 2, "kg": 2, "lb": 2}
"""How many a stated number has at most in that unit; three in others, such as a wall of 0.065 in."""
MOST_THREADS = 40
"""An inch: a finer pitch is a metric one that happens to be round in inches too, as 0.4 mm is."""
SAME = 1e-9
"""Two values that differ by no more than this share are one value that went through another unit."""


def shown(field: Field, value: Any, unit: str) -> str:
    """A kept value as its field shows it: as it was stated where that can be told, else rounded."""
    if value is None or value is False:
        return ""
    if field.sort == "flag":
        return "yes"
    if field.sort in ("choice", "text"):
        return str(value)
    if field.sort == "pitch":
        return _pitch(value, unit)
    stated = (_in_unit(value, *one) for one in _units(field, unit))
    return next((said for said in stated if said), "") or rounded(field, value, unit)


def rounded(field: Field, value: float, unit: str) -> str:
    """A number in the vehicle's own unit, to four or five digits."""
    if field.sort == "share":
        return f"{100 * value:.6g}"
    if field.sort in ("length", "mass"):
        name, size = OF_BOTH[field.sort][unit == "in"]
        return f"{value / size:.{4 if unit == 'in' else 5}g} {name}"
    if field.sort in SCALED:
        name, size = SCALED[field.sort].units[unit == "in"]
        return f"{value / size:.5g} {name}"
    return f"{value:.5g}" + {"angle": "°", "pitch": " mm"}.get(field.sort, "")


def _units(field: Field, unit: str) -> tuple[tuple[str, float], ...]:
    """The units a value may have been stated in, the vehicle's own first."""
    scaled_so = SCALED.get(field.sort)
    both = scaled_so.units if scaled_so else OF_BOTH.get(field.sort, ())
    return (*(both[::-1] if unit == "in" else both), *(scaled_so.besides if scaled_so else ()))


def _in_unit(value: float, name: str, size: float) -> str:
    """A value that is a short number in a unit, or a fraction of an inch; "" of any other. What an inch tape has a line
    for is said as its fraction."""
    text = f"{value / size:.{DECIMALS.get(name, 3)}f}".rstrip("0").rstrip(".")
    on_the_tape = _fraction(value, TAPE) if name == "in" else ""
    if on_the_tape or _same(float(text) * size, value):
        return on_the_tape or f"{text} {name}"
    return _fraction(value, FINEST) if name == "in" else ""


def _fraction(value: float, finest: int) -> str:
    """A length in mm as so many whole parts of an inch; "" of any other."""
    steps = round(abs(value) / INCH * finest)
    if not _same(steps * INCH / finest, abs(value)):
        return ""
    return f"{'-' if value < 0 else ''}{parts(abs(value), finest)} in"


def _pitch(value: float, unit: str) -> str:
    """mm, or so many threads an inch where these are whole or a half."""
    threads = round(2 * INCH / value) / 2
    metric = _in_unit(value, "mm", 1.0)
    if 0 < threads <= MOST_THREADS and _same(INCH / threads, value) and (unit == "in" or not metric):
        return f"{threads:g} per inch"
    return metric or f"{value:.5g} mm"


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= SAME * abs(other)


def value_of(field: Field, text: str, unit: str) -> Any:
    """What is kept of a typed text; None of an empty one. Raises NotAReading."""
    if not text:
        return None
    if len(text) > LONGEST:
        raise NotAReading(facts_words.too_long(len(text)))
    if field.choices:
        if text not in dict(field.choices):
            raise NotAReading(f"Choose one of: {', '.join(said for _, said in field.choices)}.")
        return True if field.sort == "flag" else text
    if field.sort == "text":
        return text
    value = number_of(field, text, unit)
    if not field.low <= value <= field.high:
        low, high = (rounded(field, end, unit) for end in (field.low, field.high))
        raise NotAReading(facts_words.out_of_reach(field.words, low, high))
    return value


def number_of(field: Field, text: str, unit: str) -> float:
    """A typed number in the file's unit. Raises NotAReading."""
    plain = text.lower().replace(",", ".")
    if field.sort == "share":
        if not re.fullmatch(r"\d{1,3}(\.\d{1,4})? ?%?", plain):
            raise NotAReading(facts_words.SUCH_AS_A_SHARE)
        return float(plain.rstrip(" %")) / 100
    if field.sort in SCALED:
        return scaled(SCALED[field.sort], plain, unit)
    if field.sort == "factor":
        if not re.fullmatch(r"\d{1,3}(\.\d{1,4})?", plain):
            raise NotAReading(facts_words.SUCH_AS_A_NUMBER)
        return float(plain)
    if field.sort == "pitch" and (found := PITCH.fullmatch(plain)):
        if float(found[1]) <= 0:
            raise NotAReading(facts_words.SUCH_AS_A_PITCH)
        return INCH / float(found[1])
    quantity = {"mass": "kg", "angle": "deg"}.get(field.sort, "mm")
    return float(parse(text, read_in(field, unit) or "mm", quantity).value)


def read_in(field: Field, unit: str) -> str:
    """The unit a bare number is in, of a field that is read as a reading is; "" of any other."""
    return {"length": unit, "mass": "lb" if unit == "in" else "kg", "angle": "deg"}.get(field.sort, "")


def scaled(sort: Scaled, plain: str, unit: str) -> float:
    """A number with one of a sort's units, or with the person's usual one left away."""
    found = NUMBER.fullmatch(plain)
    names = {name.lower(): size for name, size in (*sort.also, *sort.units)}
    name = (found[2] or "").strip() if found else ""
    if found is None or (name and name not in names):
        raise NotAReading(sort.ask)
    return float(found[1].replace("−", "-")) * (names[name] if name else sort.units[unit == "in"][1])
