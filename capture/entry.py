"""Typed text to a value: "24 1/8", "612.5", "5' 3 1/2", "12.4 deg".

What a person types is either understood without any doubt or refused with one plain sentence that ends in an
example. Nothing is guessed: a text with two meanings is asked back, since a guess would be a slip of our own.
Sums are done in fractions and rounded once, so 24 1/8 in is the float nearest to 24.125 x 25.4.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from capture import entry_words

LONGEST = 40
"""Characters of a typed value: more is a paste, not a reading."""
LARGEST = 1_000_000
"""Of any value in its file unit (mm, deg, kg): the vehicle file holds no more."""


class NotAReading(ValueError):
    """What was typed cannot be taken; the text is one plain sentence for the person."""


@dataclass(frozen=True)
class Entry:
    """A typed value: `value` in the file unit (mm, deg, kg), `unit` it was typed in, `text` as typed.

    ask: a question to put beside the value when another one is easily meant ("12.3" for 12 3/8), else None.
    """

    value: float
    unit: str
    text: str
    ask: str | None = None


@dataclass(frozen=True)
class Unit:
    """One unit a person may type in: file units in one of it, and an example that reads well."""

    name: str
    quantity: str
    factor: Fraction
    example: str


UNITS: dict[str, Unit] = {
    unit.name: unit
    for unit in (
        Unit("in", "mm", Fraction(254, 10), "24 1/8"),
        Unit("ft", "mm", Fraction(3048, 10), "5' 3 1/2"),
        Unit("mm", "mm", Fraction(1), "612.5"),
        Unit("cm", "mm", Fraction(10), "61.3"),
        Unit("deg", "deg", Fraction(1), "12.4"),
        Unit("kg", "kg", Fraction(1), "412.5"),
        Unit("lb", "kg", Fraction("0.45359237"), "910"),
    )
}
QUANTITIES = {"mm": "a length", "deg": "an angle", "kg": "a weight"}

_WORDS = {
    '"': "in", "''": "in", "in": "in", "in.": "in", "inch": "in", "inches": "in",
    "'": "ft", "ft": "ft", "ft.": "ft", "foot": "ft", "feet": "ft",
    "mm": "mm", "cm": "cm",
    "°": "deg", "deg": "deg", "deg.": "deg", "degree": "deg", "degrees": "deg",
    "kg": "kg", "kgs": "kg", "lb": "lb", "lb.": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
}  # fmt: skip

# One sign each for what phones and keyboards write in several ways. Deliberately no general folding of look-alikes:
# it would read a raised 3 or a digit of another script as something the person may not have meant.
_SAME = str.maketrans(
    dict.fromkeys("−–—‐‑‒﹣－", "-")
    | dict.fromkeys("’‘′ʹ´`＇", "'")
    | dict.fromkeys("”“„″ʺ＂", '"')
    | dict.fromkeys("º˚", "°")
    | dict.fromkeys("⁄∕／", "/")
    | dict.fromkeys("\t\u00a0\u2007\u2009\u202f", " ")
    | {"＋": "+"}
)
_FRACTIONS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7",
    "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip

_UNIT_WORD = r"(?P<{}>''|[\"'°]|[a-z]+\.?)"
_NUMBER = r"[0-9.,/ ]+?(?:(?<=[0-9])-[0-9]+ ?/ ?[0-9]+)?"
_ONE = re.compile(rf"(?P<sign>[-+]?) *(?P<number>{_NUMBER}) *{_UNIT_WORD.format('unit')}?")
_FEET = re.compile(
    rf"(?P<sign>[-+]?) *(?P<feet>[0-9.,/ ]+?) *(?P<foot>'|ft\.?|foot|feet)(?!') *-? *(?P<inches>{_NUMBER})"
    rf" *{_UNIT_WORD.format('unit')}?"
)
_DECIMAL = re.compile(r"[0-9]+[.,]?[0-9]*|[.,][0-9]+")
_MIXED = re.compile(r"(?:(?P<whole>[0-9]+)(?: +|-))?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)")
_INCH_DENOMINATORS = (2, 4, 8, 16, 32, 64)


def parse(text: str, unit: str, quantity: str) -> Entry:
    """The value of `text`, typed with `unit` chosen, for a reading kept in `quantity` ("mm", "deg" or "kg").

    A unit written in the text overrides the chosen one. Raises NotAReading with one plain sentence.
    """
    chosen = _chosen(unit, quantity)
    clean = _cleaned(text, chosen)
    feet = _FEET.fullmatch(clean)
    if feet and quantity == "mm":
        return _entry(text, _feet_and_inches(feet), UNITS["ft"], feet["sign"])
    found = _ONE.fullmatch(clean)
    if found is None:
        raise NotAReading(_not_read(text, chosen))
    written = _written(found["unit"], quantity, text)
    used = written or chosen
    _refuse_bare_fraction(found["number"], written, chosen)
    amount = _amount(found["number"], used, text)
    return _entry(text, amount * used.factor, used, found["sign"], _question(found["number"], used))


def _chosen(unit: str, quantity: str) -> Unit:
    """The unit chosen on the keypad, which must fit the quantity."""
    if quantity not in QUANTITIES:
        raise ValueError(f"expected a quantity of {', '.join(QUANTITIES)}, got {quantity!r}")
    found = UNITS.get(unit)
    if found is None or found.quantity != quantity:
        raise NotAReading(entry_words.no_such_unit(_shown(unit), QUANTITIES[quantity], _choices(quantity)))
    return found


def _cleaned(text: str, chosen: Unit) -> str:
    """The text with one sign for each meaning; refuses what is empty or too long to be a reading."""
    if not text.strip():
        raise NotAReading(entry_words.nothing_typed(chosen.example))
    if len(text) > LONGEST:
        raise NotAReading(entry_words.too_long(len(text), chosen.example))
    for sign, plain in _FRACTIONS.items():
        text = text.replace(sign, f" {plain} ")
    return " ".join(text.translate(_SAME).lower().split(" ")).strip(" \n\r")


def _written(word: str | None, quantity: str, text: str) -> Unit | None:
    """The unit written behind the number, if any."""
    if word is None:
        return None
    name = _WORDS.get(word)
    if name is None:
        raise NotAReading(entry_words.strange_unit(_shown(text), _choices(quantity)))
    unit = UNITS[name]
    if unit.quantity != quantity:
        that, this = QUANTITIES[unit.quantity], QUANTITIES[quantity]
        raise NotAReading(entry_words.other_quantity(_shown(text), that, this, _choices(quantity)))
    return unit


def _refuse_bare_fraction(number: str, written: Unit | None, chosen: Unit) -> None:
    """A fraction without its unit, typed while mm, cm or feet are chosen, is most likely meant in inches: ask."""
    if "/" not in number or written or chosen.name not in ("mm", "cm", "ft"):
        return
    number = " ".join(number.split())
    other = "feet" if chosen.name == "ft" else chosen.name
    raise NotAReading(entry_words.inches_or(number, other, chosen.name))


def _amount(number: str, unit: Unit, text: str) -> Fraction:
    """The number before the unit: a decimal, a fraction, or a whole number and a fraction; never negative."""
    number = number.strip()
    if "/" in number:
        return _fraction(number, unit, text)
    if not _DECIMAL.fullmatch(number):
        raise NotAReading(_not_read(text, unit))
    return _decimal(number)


def _decimal(number: str) -> Fraction:
    """A decimal with point or comma. 1,234 has two meanings and is asked back."""
    whole, comma, tail = number.partition(",")
    if comma and len(tail) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0"):
        raise NotAReading(entry_words.two_meanings(number, whole, tail))
    return Fraction(number.replace(",", ".").rstrip("."))


def _fraction(number: str, unit: Unit, text: str) -> Fraction:
    found = _MIXED.fullmatch(number)
    if found is None:
        raise NotAReading(_not_read(text, unit))
    top, bottom = int(found["top"]), int(found["bottom"])
    if bottom == 0:
        raise NotAReading(entry_words.nothing_below(top))
    if unit.name in ("in", "ft") and bottom not in _INCH_DENOMINATORS:
        raise NotAReading(entry_words.no_such_fraction(top, bottom))
    if top >= bottom:
        raise NotAReading(_too_much_on_top(found["whole"], found["top"], found["bottom"]))
    return int(found["whole"] or 0) + Fraction(top, bottom)


def _too_much_on_top(whole: str | None, top: str, bottom: str) -> str:
    """The question for 121/2 or 24 9/8: what else those digits say."""
    said = f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}"
    splits = [] if whole else [
        f"{top[:cut]} {top[cut:]}/{bottom}"
        for cut in range(1, len(top))
        if top[cut] != "0" and int(top[cut:]) < int(bottom)
    ]
    if not splits:
        more, rest = divmod(int(top), int(bottom))
        splits = [" ".join(part for part in (str(int(whole or 0) + more), rest and f"{rest}/{bottom}") if part)]
    return entry_words.too_much_above(said, " or ".join(splits))


def _feet_and_inches(found: re.Match[str]) -> Fraction:
    """mm of feet and inches; the feet are whole, the inches below 12."""
    text = found[0]
    unit = _WORDS.get(found["unit"] or "in")
    if unit != "in" or not found["feet"].strip().isdecimal():
        raise NotAReading(entry_words.not_feet(_shown(text)))
    inches = _amount(found["inches"], UNITS["in"], text)
    if inches >= 12:
        raise NotAReading(entry_words.twelve_inches(_shown(text)))
    return int(found["feet"]) * UNITS["ft"].factor + inches * UNITS["in"].factor


def _entry(text: str, size: Fraction, unit: Unit, sign: str, ask: str | None = None) -> Entry:
    if size > LARGEST:
        quantity = QUANTITIES[unit.quantity]
        raise NotAReading(entry_words.too_large(_shown(text), quantity, unit.example))
    return Entry(float(-size if sign == "-" else size), unit.name, text, ask)


def _question(number: str, unit: Unit) -> str | None:
    """A decimal that often stands for something else: 12.3 for 12 3/8, 3.6 ft for 3 ft 6 in."""
    whole, point, tail = number.strip().replace(",", ".").partition(".")
    if not point or len(tail) != 1:
        return None
    if unit.name == "ft" and tail != "0":
        return entry_words.tenths_of_a_foot(whole or 0, tail)
    if unit.name == "in" and tail in "137":
        said = f"{whole} {tail}/8".strip()
        return entry_words.tenths_of_an_inch(said)
    return None


def _not_read(text: str, unit: Unit) -> str:
    """One sentence for what is no number, with the likeliest cause first."""
    said = _shown(text)
    if re.search(r"[0-9] +- *[0-9]+ ?/|[0-9] *- +[0-9]+ ?/", text.translate(_SAME)):
        return entry_words.more_or_less(said, unit.example)
    if len(re.findall(r"[0-9]+(?:[.,/][0-9]+)*", text)) > 1:
        return entry_words.two_numbers(said, unit.example)
    return entry_words.no_number(said, unit.example)


def _choices(quantity: str) -> str:
    names = [unit.name for unit in UNITS.values() if unit.quantity == quantity]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def _shown(text: str) -> str:
    """The person's own text, short and on one line."""
    plain = "".join(letter if letter.isprintable() else " " for letter in text).strip()
    return f"“{plain[:LONGEST]}”"
