"""What is said of a typed value that cannot be read: what about it, and how to type it."""

from __future__ import annotations

TYRE_TOO_LONG = "That is too long for a tyre size; type it like 35, 315/75R16 or 880 mm."
NO_TYRE = "This does not read as a tyre; type it like 35, 35x12.50R15, 315/75R16 or 880 mm."


def no_such_unit(unit: str, quantity: str, choices: str) -> str:
    return f"{unit} is no unit for {quantity}: choose {choices}."


def nothing_typed(example: str) -> str:
    return f"Nothing is typed yet: type a number, such as {example}."


def too_long(number: int, example: str) -> str:
    return f"{number} characters are too many for a reading: type one, such as {example}."


def strange_unit(text: str, choices: str) -> str:
    return f"The unit in {text} is not one used here: choose {choices}."


def other_quantity(text: str, that: str, this: str, choices: str) -> str:
    return f"{text} is {that}, this reading is {this}: type it in {choices}."


def inches_or(number: str, other: str, unit: str) -> str:
    return f"{number} could be inches or {other}: write the unit behind it, {number} in or {number} {unit}."


def two_meanings(number: str, whole: str, tail: str) -> str:
    return f"{number} has two meanings: type {whole}.{tail} or {whole}{tail}."


def nothing_below(top: int) -> str:
    return f"{top}/0 has nothing below the line: type a fraction such as 1/8."


def no_such_fraction(top: int, bottom: int) -> str:
    return f"A tape has no {top}/{bottom}: use halves, 4ths, 8ths, 16ths, 32nds or 64ths, such as 24 1/8."


def too_much_above(said: str, instead: str) -> str:
    return f"{said} has too much above the line: did you mean {instead}?"


def not_feet(text: str) -> str:
    return f"{text} is not feet and inches: type whole feet first, such as 5' 3 1/2."


def twelve_inches(text: str) -> str:
    return f"{text} has 12 inches or more behind the feet: type it as 5' 3 1/2, or in inches alone."


def too_large(text: str, quantity: str, example: str) -> str:
    return f"{text} is too large for {quantity}: type one such as {example}."


def tenths_of_a_foot(feet: str, inches: str) -> str:
    return f"Tenths of a foot: if you meant {feet} ft {inches} in, type {feet}' {inches}."


def tenths_of_an_inch(said: str) -> str:
    return f"Tenths of an inch: if you meant {said}, type it so."


def more_or_less(said: str, example: str) -> str:
    return f"{said} could be more or less than the whole number: type it as one, such as {example}."


def two_numbers(said: str, example: str) -> str:
    return f"{said} holds more than one number: type a single reading, such as {example}."


def no_number(said: str, example: str) -> str:
    return f"{said} is not a number that can be read: type one such as {example}."


def tyre_out_of_reach(mm: float, inches: float, smallest: float, largest: float) -> str:
    return (
        f"That tyre would be {mm:.0f} mm ({inches:.0f} in) high; one between {smallest:.0f} and {largest:.0f} mm is "
        "expected."
    )
