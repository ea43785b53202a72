"""The ± a person states for one reading taken finer or coarser than usual; the entry keeps half of it, one sd."""

from __future__ import annotations

from geometry import remark as remarks
from geometry.fit import Fit
from geometry.frame import INCH

from capture import entry
from capture.lengths import parts
from capture.screens import measure_words

FINEST, COARSEST = 0.1, 100.0
"""Times the usual ±: beyond it is a slip of the finger."""
SDS = 2.0


def usual(fitted: Fit, reading: str) -> float:
    """The usual spread of a reading of the value expected, one sd, file unit."""
    return remarks.bounds(fitted, [reading])[0].own_sd


def stated(text: str, unit: str, quantity: str, usual_sd: float) -> float | None:
    """The sd that a typed ± stands for, None where nothing is typed. Raises entry.NotAReading with one sentence."""
    plain = text.strip().lstrip("±").strip()
    if not plain:
        return None
    small = {"ft": "in", "cm": "mm"}.get(unit, unit)
    value = entry.parse(plain, small, quantity).value
    low, high = (_rounded(SDS * usual_sd * times, small, 64) for times in (FINEST, COARSEST))
    if not low - 1e-9 <= value <= high + 1e-9:
        ends = f"{_said(low, small)} and {_said(high, small)}"
        raise entry.NotAReading(measure_words.give_or_take_between(ends))
    return value / SDS


def asked(text: str) -> float | None:
    """The sd in a program's question, None where there is none to go by."""
    try:
        found = float(text)
    except ValueError:
        return None
    return found if 0.0 < found <= entry.LARGEST else None


def said(sd: float, quantity: str, display_unit: str) -> str:
    """The ± as it was stated: 1/16 in, 1.5 mm, 0.2°."""
    return _said(SDS * sd, _unit(quantity, display_unit))


def said_usual(sd: float, quantity: str, display_unit: str) -> str:
    """The usual ±, to a 32nd of an inch or two digits."""
    unit = _unit(quantity, display_unit)
    return _said(_rounded(SDS * sd, unit, 32), unit)


def _unit(quantity: str, display_unit: str) -> str:
    if quantity == "kg":
        return "lb" if display_unit in ("in", "ft") else "kg"
    return quantity if quantity == "deg" else "in" if display_unit in ("in", "ft") else "mm"


def _rounded(value: float, unit: str, bottom: int) -> float:
    one = float(entry.UNITS[unit].factor)
    if unit == "in":
        return max(1, round(value / INCH * bottom)) / bottom * INCH
    return float(f"{value / one:.2g}") * one


def _said(value: float, unit: str) -> str:
    if unit == "in":
        steps = value / INCH * 64
        whole = steps >= 0.98 and abs(steps - round(steps)) < 0.02
        return f"{parts(value, 64)} in" if whole else f"{_short(value / INCH, 3)} in"
    number = _short(value / float(entry.UNITS[unit].factor), 2)
    return f"{number}°" if unit == "deg" else f"{number} {unit}"


def _short(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
