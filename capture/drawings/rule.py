"""A figure on its scale: a plumb bob on a steel rule, the usual band between two posts."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from markupsafe import Markup

from .labels import Lettering, rectangle_of
from .svg import Pixel, drawing, join, line, number, path, rectangle, text

WIDTH, HEIGHT = 336.0, 50.0
LEFT, RIGHT, BASE, NUMBERS = 8.0, 328.0, 30.0, 47.0
BETWEEN = 3.0
"""px between two numbers, at least."""
SHORTEST = 0.02
"""A rule is never shorter than this, in the figure's unit; its numbers would have too many decimals."""
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
MINUS = "−"
At = Callable[[float], float]
"""From an amount to its x, px."""


def readable(value: float, step: float) -> str:
    """A tick's number with as many decimals as its step needs, and a true minus."""
    digits = 0
    while digits < 4 and abs(round(step, digits) - step) > step * 1e-6:
        digits += 1
    shown = f"{value:.{digits}f}"
    if float(shown) == 0:
        shown = shown.lstrip("-")
    return shown.replace("-", MINUS)


def nice_step(length: float, most: int = 6) -> float:
    """The smallest readable step that divides a length into `most` parts or fewer."""
    rough = max(length, 1e-9) / most
    size = 10.0 ** math.floor(math.log10(rough))
    return next((step * size for step in STEPS if step * size >= rough * (1 - 1e-9)), 10 * size)


def rule_ends(value: float, spread: float, band: tuple[float, float] | None) -> tuple[float, float, float]:
    """(low, high, step) of a rule that holds the band and the value with its spread, ends on readable numbers. A band
    that is open at an end (infinite) goes on there past the end of the rule."""
    wanted = [value, *(end for end in band or () if math.isfinite(end))]
    low, high = min(wanted), max(wanted)
    room = min(spread, 2.0 * max(high - low, abs(value) * 0.25, 1e-6))
    low, high = min(low, value - room), max(high, value + room)
    margin = max((high - low) * 0.12, abs(value) * 0.05, SHORTEST / 2)
    starts_at_zero = band is not None and band[0] == 0 and low == 0
    low, high = (low if starts_at_zero else low - margin), high + margin
    step = nice_step(high - low)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step, step


def rule(value: float, spread: float, band: tuple[float, float] | None = None, unit: str = "",
         band_words: str = "usual", low: float | None = None, high: float | None = None,
         said: str | None = None) -> Markup:
    """The rule. All in the person's unit; spread: two sd, one way. low, high: the ends, chosen when not given.
    said: the value in words for a screen reader."""
    chosen = rule_ends(value, spread, band)
    if low is None or high is None:
        low, high, step = chosen
    else:
        step = nice_step(high - low)
    scale = (RIGHT - LEFT) / ((high - low) or 1.0)

    def at(amount: float) -> float:
        return LEFT + (amount - low) * scale

    bob = min(max(at(value), LEFT), RIGHT)
    pieces = [_band(band, low, high, at), _ticks(low, high, step, at)]
    if band is not None:
        pieces.append(_band_words(band_words, at(max(band[0], low)), at(min(band[1], high)),
                                  (max(at(value - spread), LEFT), min(at(value + spread), RIGHT)), bob))
    pieces += [_bracket(at(value - spread), at(value + spread)), _bob(bob)]
    label = f"{said or readable(value, 0.01) + ' ' + unit + ', give or take ' + readable(spread, 0.01)}"
    if band is not None:
        label += f"; {band_words} {_reach(band, unit)}"
    return drawing(WIDTH, HEIGHT, *pieces, label=label, class_="d rule")


def _ticks(low: float, high: float, step: float, at: At) -> Markup:
    """Long ticks at the steps, short ones halfway, and as many of their numbers as have room beside each other."""
    count = round((high - low) / step)
    marks = f"M{number(LEFT)} {number(BASE)}H{number(RIGHT)}"
    numbers = []
    for i in range(count + 1):
        amount = low + i * step
        x = at(amount)
        marks += f"M{number(x)} {number(BASE)}v6"
        if i < count:
            marks += f"M{number(at(amount + step / 2))} {number(BASE)}v3"
        anchor = None if x < LEFT + 6 else "end" if x > RIGHT - 6 else "middle"
        numbers.append((readable(amount, step), (x, NUMBERS), anchor))
    shown = next(some for every in range(1, count + 2) if _have_room(some := numbers[::every]))
    return join((path("dim", marks), *(text("tq", place, words, anchor) for words, place, anchor in shown)))


def _have_room(numbers: Sequence[tuple[str, Pixel, str | None]]) -> bool:
    """Whether none of these numbers runs into the next."""
    boxes = [rectangle_of(*one) for one in numbers]
    return all(left[2] + BETWEEN <= right[0] for left, right in pairwise(boxes))


def _band(band: tuple[float, float] | None, low: float, high: float, at: At) -> Markup:
    if band is None:
        return Markup()
    one, two = at(max(band[0], low)), at(min(band[1], high))
    if two <= one:
        return Markup()
    posts = [line("sure", (x, 21), (x, 30)) for x, edge in ((one, band[0]), (two, band[1])) if low <= edge <= high]
    open_ends = [path("sure", f"M{number(x - way * 5)} 22.5l{number(way * 5)} 3 {number(-way * 5)} 3")
                 for x, edge, way in ((one, band[0], -1.0), (two, band[1], 1.0)) if math.isinf(edge)]
    return join((rectangle("band", one, 21, two - one, 9), *posts, *open_ends))


def _reach(band: tuple[float, float], unit: str) -> str:
    """"20 to 60 %", "up to 20 °", "from 65 mm on"."""
    low, high = (readable(end, 0.01) if math.isfinite(end) else "" for end in band)
    if low and high:
        return f"{low} to {high} {unit}".rstrip()
    return f"from {low} {unit}".rstrip() + " on" if low else f"up to {high} {unit}".rstrip()


def _band_words(words: str, one: float, two: float, bracket: tuple[float, float], bob: float) -> Markup:
    """Over the band where the bob leaves room, else beside it."""
    taken = [(bracket[0] - 5, 15.5, bracket[1] + 5, 23.0), (bob - 9, 0.0, bob + 9, 30.0)]
    lettering = Lettering(WIDTH, HEIGHT, taken)
    return lettering.put("ts", words, [((one + 4, 18), None), ((two - 4, 18), "end"), ((two + 6, 28), None),
                                       ((one - 6, 28), "end"), ((one + 4, 11), None), ((two - 4, 11), "end"),
                                       ((bob + 12, 11), None), ((bob - 12, 11), "end")])


def _bracket(one: float, two: float) -> Markup:
    """The spread: posts at its ends; an end beyond the rule has an arrow instead."""
    left, right = max(one, LEFT), min(two, RIGHT)
    if right <= left:
        return Markup()
    marks = f"M{number(left)} 19H{number(right)}"
    marks += f"M{number(left)} 15.5v7" if one >= LEFT else f"M{number(left + 5)} 15.5l-5 3.5 5 3.5"
    marks += f"M{number(right)} 15.5v7" if two <= RIGHT else f"M{number(right - 5)} 15.5l5 3.5-5 3.5"
    return path("lit", marks)


def _bob(x: float) -> Markup:
    """A plumb bob whose point stands on the value."""
    return join((path("litf", f"M{number(x)} 30l-5.5-13q0-3 2.5-5h6q2.5 2 2.5 5Z"),
                 path("lit thin", f"M{number(x)} 2v10")))
