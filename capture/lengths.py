"""Values said back to a person: 24 1/8 in, 612.5 mm, 5' 3 1/2", 12.4°, 412 kg, ± 3/16.

Rounding for the eye, and only here. A spread is never rounded to nothing: what was measured has some. A figure beside a
wide spread is said no finer than that leaves it: 115 in ± 7.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from capture.later import later

frame = later("geometry.frame")  # every page says lengths, and the door's must not wait for numpy

POUND = 0.45359237
"""kg in one pound, by definition."""
POUND_FORCE = POUND * 9.80665
"""N in one pound-force, by definition."""
POUND_FOOT = POUND_FORCE * 0.3048
"""N m in one pound-foot, by definition."""
SMALLEST_SPREAD_MM = 0.5
MINUS = "−"


@dataclass(frozen=True)
class Parts:
    """A length in inches as it is drawn: sign ("", "+" or "−"), whole inches, and a fraction in lowest terms.

    numerator 0 means no fraction; a whole of 0 beside a fraction is left away by who draws it.
    """

    sign: str
    whole: int
    numerator: int
    denominator: int

    def __str__(self) -> str:
        fraction = f"{self.numerator}/{self.denominator}" if self.numerator else ""
        whole = str(self.whole) if self.whole or not fraction else ""
        return self.sign + " ".join(part for part in (whole, fraction) if part)


def parts(mm: float, denominator: int = 16, signed: bool = False) -> Parts:
    """The parts of a length, to the nearest 1/denominator inch; signed writes a plus too."""
    steps = _nearest(mm / frame.INCH * denominator)
    whole, numerator = divmod(abs(steps), denominator)
    common = math.gcd(numerator, denominator)
    return Parts(_sign(steps, signed), whole, numerator // common, denominator // common)


def say_length(mm: float, display_unit: str = "mm", signed: bool = False, denominator: int = 16) -> str:
    """A length in mm said in "in" (24 1/8 in), "ft" (5' 3 1/2") or "mm" (612.5 mm)."""
    if display_unit == "in":
        return f"{parts(mm, denominator, signed)} in"
    if display_unit == "ft":
        inches = parts(mm, denominator, signed)
        feet, rest = divmod(inches.whole, 12)
        return f"{inches.sign}{feet}' {Parts('', rest, inches.numerator, inches.denominator)}\""
    return f"{_decimal(mm, 1, signed)} mm"


def fine_length(mm: float, display_unit: str = "mm") -> str:
    """A small length that a sixteenth is too coarse for: 1.5 mm, 0.06 in."""
    return f"{_decimal(mm / frame.INCH, 2, False)} in" if display_unit == "in" else f"{_decimal(mm, 1, False)} mm"


def say_angle(degrees: float, signed: bool = False) -> str:
    """An angle in degrees, to a tenth: 12.4°."""
    return f"{_decimal(degrees, 1, signed)}°"


def fine_angle(degrees: float, sd: float) -> str:
    """A small angle that a tenth is too coarse for, with a spread of two sd: 0.02° ± 0.03°."""
    return f"{_decimal(degrees, 2, False)}° ± {_decimal(max(2 * sd, 0.01), 2, False)}°"


def say_weight(kg: float, display_unit: str = "mm", signed: bool = False) -> str:
    """A weight in kg: in whole pounds beside inches, else in kg; a decimal only below a hundred."""
    if display_unit in ("in", "ft", "lb"):
        return f"{_decimal(kg / POUND, 0, signed)} lb"
    return f"{_decimal(kg, 1 if abs(kg) < 100 else 0, signed)} kg"


def say_force(newton: float, display_unit: str = "mm", signed: bool = False) -> str:
    """A force in N: in pounds, to the nearest ten, beside inches; else in kN."""
    if display_unit in ("in", "ft", "lb"):
        return f"{_decimal(_nearest(newton / POUND_FORCE / 10) * 10, 0, signed)} lbf"
    return f"{_decimal(newton / 1000, 1, signed)} kN"


def say_torque(newton_metre: float, display_unit: str = "mm", signed: bool = False) -> str:
    """A torque or bending moment in N m: in pound-feet, to the nearest ten, beside inches."""
    if display_unit in ("in", "ft", "lb"):
        return f"{_decimal(_nearest(newton_metre / POUND_FOOT / 10) * 10, 0, signed)} lb ft"
    return f"{_decimal(_nearest(newton_metre / 10) * 10, 0, signed)} N m"


def say(value: float, file_unit: str, display_unit: str, signed: bool = False, spread: float = 0.0) -> str:
    """A value of any unit the file or the figures know, said in the person's unit. spread: two sd of it."""
    if file_unit == "mm" and display_unit == "mm":
        digits = _digits(spread)
        return f"{_decimal(value, 1 if digits is None else digits, signed)} mm"
    if file_unit == "mm":
        return say_length(value, display_unit, signed, _denominator(spread))
    if file_unit == "deg":
        return say_angle(value, signed) if spread < 10 else f"{_decimal(value, 0, signed)}°"
    if file_unit == "kg":
        return say_weight(value, display_unit, signed)
    if file_unit == "%":
        return f"{_decimal(value, 0 if abs(value) >= 10 or spread >= 2 else 1, signed)} %"
    if file_unit == "deg/deg":
        return f"{_decimal(value, 2, signed)}° per degree"
    if file_unit == "N":
        return say_force(value, display_unit, signed)
    if file_unit == "N m":
        return say_torque(value, display_unit, signed)
    return f"{_decimal(value, 2, signed)} {file_unit}".strip()


def say_spread(spread: float, file_unit: str, display_unit: str) -> str:
    """A spread (two sd, as screens show) without its unit: ± 3/16, ± 4.5, ± 0.3°; never ± 0."""
    if file_unit == "mm" and display_unit in ("in", "ft"):
        return f"± {parts(max(spread, frame.INCH / 16), _denominator(spread))}"
    if file_unit == "mm":
        digits = _digits(spread)
        half = max(_nearest(spread * 2) / 2, SMALLEST_SPREAD_MM)
        return f"± {_decimal(half, 1, False) if digits is None else _decimal(spread, digits, False)}"
    if file_unit == "deg":
        return f"± {say(max(spread, 0.1), 'deg', display_unit, spread=spread)}"
    if file_unit == "kg":
        spread = spread / POUND if display_unit in ("in", "ft", "lb") else spread
        return f"± {_decimal(max(spread, 1.0), 0, False)}"
    if file_unit == "N":
        return f"± {say_force(max(spread, 50.0), display_unit).removesuffix(' lbf').removesuffix(' kN')}"
    if file_unit == "N m":
        said = say_torque(max(spread, 10.0 * POUND_FOOT), display_unit)
        return f"± {said.removesuffix(' lb ft').removesuffix(' N m')}"
    if file_unit == "%":
        return f"± {_decimal(max(spread, 0.1), 0 if spread >= 2 else 1, False)}"
    return f"± {_decimal(max(spread, 0.01), 2, False)}"


def say_with_spread(value: float, sd: float, file_unit: str, display_unit: str, signed: bool = False) -> str:
    """A figure as screens show it, with a spread of two sd: 24 1/8 in ± 3/16, 61 % ± 8."""
    return f"{say(value, file_unit, display_unit, signed, 2 * sd)} {say_spread(2 * sd, file_unit, display_unit)}"


def _denominator(spread: float) -> int:
    """The steps of an inch that a spread in mm leaves: sixteenths up to an inch of it, whole inches from six."""
    inches = spread / frame.INCH
    return 16 if inches < 1 else 8 if inches < 3 else 2 if inches < 6 else 1


def _digits(spread: float) -> int | None:
    """The decimals of a mm that a spread in mm leaves: none from 10, tens from 100 (-1); None for all there are."""
    return None if spread < 10 else 0 if spread < 100 else -1


def _nearest(amount: float) -> int:
    """The nearest whole number, halves away from zero, as people round."""
    return int(math.copysign(math.floor(abs(amount) + 0.5), amount))


def _decimal(value: float, digits: int, signed: bool) -> str:
    """A decimal without trailing noughts and without a minus nought."""
    steps = _nearest(value * 10**digits)
    text = f"{abs(steps) / 10**digits:.{max(digits, 0)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return _sign(steps, signed) + text


def _sign(steps: int, signed: bool) -> str:
    if steps < 0:
        return MINUS
    return "+" if signed and steps > 0 else ""
