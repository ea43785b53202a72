"""Undoing a slip: what was typed, and the values that may really have stood there.

Every function here takes a `Typed` (or makes a function that does) and gives the `Undone` values of one slip. How
common a slip is, and what it is called, stands in `slips`. Sizes in mm are common practice, or half of standard heads.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from geometry.frame import INCH

POUND = 0.45359237
"""kg in one pound, by definition: NIST SP 811."""
FOOT = 12 * INCH
IMPERIAL = ("in", "ft", "ft in", "lb")
METRIC = ("mm", "cm", "m", "kg")
FINEST_FRACTION = 64
FRACTION_SIGNS = frozenset("/⁄∕")
HIDDEN = 0.1
"""How likely a swap is that hides a nought, against one that shows: one number in ten has its nought there."""

HALF_BOLTS = (6.35, 7.15, 7.95, 9.0, 9.5, 10.3, 10.5, 11.9, 12.0, 14.3, 15.0)
"""mm: half the shank of 1/2 to 5/8 in bolts, half across the flats of 1/2 to 3/4 in and M12 to M20 heads."""
WHOLE_BOLTS = (12.7, 14.3, 15.9, 19.05, 20.6, 23.8, 28.6)
"""mm: shank or head from the near edge of one bolt to the far edge of the other."""
HOLE_PITCHES = (19.05, 25.4, 31.75, 38.1)
"""mm: from one hole of a bracket to the next, 3/4 to 1 1/2 in."""
DIP, DIP_SPREAD = 15.0, 7.0
"""mm: how far the floor falls towards a drain or into a joint of the slab, mostly 5 to 25; common practice."""
MARKS = (INCH / 16, INCH / 8)
"""mm: from one mark of an inch to the next."""
CASE_LENGTH, CASE_SPREAD = 77.5, 8.0
"""mm: the length of a tape's case, 65 to 90, left out of an inside reading."""


@dataclass(frozen=True)
class Typed:
    """One reading as it was typed: its value in the file unit (mm, deg, kg), and unit and text typed where known."""

    value: float
    file_unit: str = "mm"
    unit: str = ""
    text: str = ""

    @property
    def imperial(self) -> bool | None:
        """True when typed in inches, feet or pounds, False when metric, None when nobody says."""
        if self.unit in IMPERIAL:
            return True
        return False if self.unit in METRIC else None

    @property
    def fraction(self) -> bool:
        """Whether a fraction was typed, as only the scale in inches has them: 24 1/8, 24⅛."""
        return not FRACTION_SIGNS.isdisjoint(unicodedata.normalize("NFKC", self.text))

    @property
    def inches(self) -> Fraction | None:
        """The value as inches in whole 64ths when it is that (and was not typed in a metric unit), else None."""
        if self.file_unit != "mm" or self.imperial is False:
            return None
        sixty_fourths = round(self.value / INCH * FINEST_FRACTION)
        near = abs(self.value - sixty_fourths * INCH / FINEST_FRACTION) < 0.006
        return Fraction(sixty_fourths, FINEST_FRACTION) if near and sixty_fourths else None


@dataclass(frozen=True)
class Undone:
    """A value that may really have been there, its share among the slip's values, and how sharp it is (one sd)."""

    value: float
    share: float = 1.0
    spread: float = 0.0


@dataclass(frozen=True)
class Shifted:
    """Undo a fixed amount. size: file unit; too_long: how often (0 to 1) the typed value is the larger one."""

    size: float
    too_long: float = 0.5

    def __call__(self, typed: Typed) -> tuple[Undone, ...]:
        away = math.copysign(self.size, typed.value)
        return Undone(typed.value - away, self.too_long), Undone(typed.value + away, 1 - self.too_long)


def shifted_by_one_of(sizes: tuple[float, ...], spread: float) -> Callable[[Typed], tuple[Undone, ...]]:
    """Undo one of several amounts, either way. sizes, spread: file unit."""

    def undo(typed: Typed) -> tuple[Undone, ...]:
        share = 0.5 / len(sizes)
        return tuple(Undone(typed.value + sign * size, share, spread) for size in sizes for sign in (-1, 1))

    return undo


@dataclass(frozen=True)
class Scaled:
    """Undo a mix-up of units: the true value is the typed one times `factor`."""

    factor: float

    def __call__(self, typed: Typed) -> tuple[Undone, ...]:
        return (Undone(typed.value * self.factor),)


def negated(typed: Typed) -> tuple[Undone, ...]:
    """The other sign: left for right, up for down, read from the other end."""
    return (Undone(-typed.value),) if typed.value else ()


def complemented(typed: Typed) -> tuple[Undone, ...]:
    """The gauge counted from the plumb line instead of from level; sign lost with it."""
    value = 90.0 - abs(typed.value)
    return Undone(value, 0.5), Undone(-value, 0.5)


def without_the_case(typed: Typed) -> tuple[Undone, ...]:
    """An inside reading without the length of the tape's case is short by it."""
    return (Undone(typed.value + math.copysign(CASE_LENGTH, typed.value), 1.0, CASE_SPREAD),)


def out_of_a_dip(typed: Typed) -> tuple[Undone, ...]:
    """A height whose tape stood in a dip of the floor is long by how deep that is."""
    return (Undone(typed.value - DIP, 1.0, DIP_SPREAD),)


def neighbouring_mark(typed: Typed) -> tuple[Undone, ...]:
    """A mark of the inch next to the right one was read, or a longer one taken for it: 3/16 for 1/4, 3/8 for 1/4."""
    if typed.inches is None:
        return ()
    share = 0.5 / len(MARKS)
    return tuple(Undone(typed.value + sign * size, share) for size in MARKS for sign in (-1, 1))


def fraction_on_the_wrong_side(typed: Typed) -> tuple[Undone, ...]:
    """1/8 below the whole inch read as 1/8 above, or the other way: mirrored at the nearest whole inch."""
    inches = typed.inches
    if inches is None or inches.denominator == 1:
        return ()
    return (Undone(float(2 * round(inches) - inches) * INCH),)


def mirrored_fraction(typed: Typed) -> tuple[Undone, ...]:
    """The fraction counted back from the next inch: 3/8 for 5/8. Mirrored at the half inch."""
    inches = typed.inches
    if inches is None or inches.denominator in (1, 2):
        return ()
    whole = math.floor(inches)
    return (Undone(float(2 * whole + 1 - inches) * INCH),)


def other_denominator(typed: Typed) -> tuple[Undone, ...]:
    """Eighths taken for sixteenths and back: the fraction halved or doubled."""
    inches = typed.inches
    if inches is None or inches.denominator == 1:
        return ()
    sign = 1 if inches > 0 else -1
    whole = math.floor(abs(inches))
    fraction = abs(inches) - whole
    changed = [fraction / 2] + ([fraction * 2] if fraction * 2 < 1 else [])
    return tuple(Undone(sign * float(whole + part) * INCH, 1 / len(changed)) for part in changed)


def as_digits(typed: Typed) -> tuple[str, float, float] | None:
    """What may have been mistyped: (digits with their point, what follows them, file units in one), or None for feet.

    24 1/8 in gives ("24", 0.125, 25.4); 612.5 mm gives ("612.5", 0.0, 1.0). The sign goes with the last.
    """
    if typed.unit in ("ft", "ft in"):
        return None
    inches = typed.inches
    if inches is not None and (typed.unit == "in" or inches.denominator > 1) and "." not in typed.text:
        whole = math.floor(abs(inches))
        return str(whole), float(abs(inches) - whole), math.copysign(INCH, inches)
    scale = {"in": INCH, "cm": 10.0, "m": 1000.0, "lb": POUND}.get(typed.unit, 1.0)
    return f"{round(abs(typed.value) / scale, 3):g}", 0.0, math.copysign(scale, typed.value)


def from_digits(typed: Typed, change: Callable[[str], Iterable[str]]) -> tuple[Undone, ...]:
    """The values that come of changing the typed digits: `change` gives the digits that may have been meant."""
    parts = as_digits(typed)
    if parts is None:
        return ()
    digits, rest, scale = parts
    meant = sorted({text for text in change(digits) if text != digits and _is_plain_number(text)})
    return tuple(Undone((float(text) + rest) * scale, 1 / len(meant)) for text in meant)


def _is_plain_number(text: str) -> bool:
    """Digits, with at most one point inside and no needless nought before them."""
    before, _, after = text.partition(".")
    return before.isdigit() and (before == "0" or before[0] != "0") and (text == before or after.isdigit())


def swapped_digits(typed: Typed) -> tuple[Undone, ...]:
    """Two neighbouring digits changed places; a nought that came first is no longer to be seen: 801 typed as 81."""
    seen = from_digits(
        typed, lambda digits: (digits[:k] + digits[k + 1] + digits[k] + digits[k + 2:] for k in range(len(digits) - 1))
    )
    hidden = from_digits(typed, lambda digits: [digits[:1] + "0" + digits[1:]])
    whole = len(seen) + HIDDEN * len(hidden)
    return *(Undone(one.value, 1 / whole) for one in seen), *(Undone(one.value, HIDDEN / whole) for one in hidden)


def dropped_digit(typed: Typed) -> tuple[Undone, ...]:
    """A digit was not typed: every digit at every place may be the one."""
    return from_digits(
        typed, lambda digits: (digits[:k] + new + digits[k:] for k in range(len(digits) + 1) for new in "0123456789")
    )


def extra_digit(typed: Typed) -> tuple[Undone, ...]:
    """A key was hit once too often: one of the digits was not meant."""
    return from_digits(typed, lambda digits: (digits[:k] + digits[k + 1:] for k in range(len(digits))))


def upside_down(typed: Typed) -> tuple[Undone, ...]:
    """The tape hung upside down: a 6 read as 9, each of them (69 for 96), or the whole number turned, 16 for 91."""
    turned = str.maketrans("0123456789", "01xxxx9x86")

    def change(digits: str) -> Iterable[str]:
        for k, digit in enumerate(digits):
            if digit in "69":
                yield digits[:k] + digit.translate(turned) + digits[k + 1:]
        yield digits.translate(str.maketrans("69", "96"))
        whole = digits[::-1].translate(turned)
        if "x" not in whole:
            yield whole

    return from_digits(typed, change)
