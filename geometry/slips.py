"""The catalogue of slips: exact ways in which a good reading becomes another number.

Each row of `CATALOGUE` names one slip, undoes it (see `undoing`) and says how common it is. `explain` ranks the rows
for one reading by their posterior share: how well the undone value fits what the other readings say, and how common the
slip is. A kind of reading lists the rows that fit it by name (`Kind.slips`); the bundles TAPED, AT_BOLTS, GAUGED and
WEIGHED spare it the typing. A new slip is one new row, and its name in the bundle or in the kinds it fits.

How common a slip is stands in two columns, for readings typed in inches and in metric units; 0 where it cannot happen
to such a one. The numbers are shares of all slips, guessed from what people tell: common practice, no source.
`ELSEWHERE` is what no row knows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

from geometry import undoing as undo
from geometry.frame import INCH
from geometry.undoing import Typed, Undone

ELSEWHERE = 0.2
"""How common a mistake is that no row explains, against all rows that fit the kind: one slip in six of any reading."""
ROOT_OF_A_TURN = math.sqrt(2.0 * math.pi)
USUAL_SIZE = {"mm": 40.0, "deg": 3.0, "kg": 40.0}
"""How large such a mistake usually is, file unit: half of them are smaller. Large ones are rare but never ruled out."""


@dataclass(frozen=True)
class Slip:
    """A row of the catalogue. `inch`, `metric`: how common it is. `how`: what happened, one sentence for the screen.

    off_metric: the number was read off the metric scale, which has no fractions.
    """

    name: str
    undo: Callable[[Typed], tuple[Undone, ...]]
    inch: float
    metric: float
    how: str
    off_metric: bool = False

    def frequency(self, typed: Typed) -> float:
        """How common this slip is for what was typed; the mean of both columns when the unit typed is not known."""
        if self.off_metric and typed.fraction:
            return 0.0
        if typed.imperial is None:
            return (self.inch + self.metric) / 2
        return self.inch if typed.imperial else self.metric


@dataclass(frozen=True)
class Explanation:
    """A slip that may explain a reading.

    share: 0 to 1, among all ways the reading may have gone wrong. value: what would have stood there, file unit.
    misfit: how far that lies from what is expected, in sds. sharp: one sd of the slip's own size, file unit; 0 of one
    that is always the same.
    """

    slip: Slip
    value: float
    share: float
    misfit: float
    sharp: float = 0.0


LENGTHS = (
    Slip("one inch", undo.Shifted(INCH, 0.7), 30, 4, "The tape began at its 1 inch mark, or an inch was miscounted."),
    Slip("half an inch", undo.Shifted(INCH / 2), 6, 1, "The half inch mark was taken for the whole one, or back."),
    Slip("two inches", undo.Shifted(2 * INCH), 3, 0.5, "Two whole inches were miscounted."),
    Slip("one foot", undo.Shifted(undo.FOOT), 8, 1, "A whole foot was missed or counted twice."),
    Slip("four inches", undo.Shifted(4 * INCH, 0.8), 3, 0.3, "The tape began at its 4 inch mark and that stayed in."),
    Slip("100 mm", undo.Shifted(100.0, 0.7), 1, 20, "The tape began at its 100 mm mark, or 10 cm were miscounted."),
    Slip("10 mm", undo.Shifted(10.0, 0.6), 0.3, 10, "A whole centimetre was miscounted.", off_metric=True),
    Slip(
        "fraction on the wrong side", undo.fraction_on_the_wrong_side, 12, 0.5,
        "The fraction was read on the other side of the whole inch.",
    ),
    Slip("mirrored fraction", undo.mirrored_fraction, 4, 0.2, "The fraction was counted back from the next inch."),
    Slip("other denominator", undo.other_denominator, 4, 0.2, "Eighths and sixteenths were mixed up."),
    Slip("wrong sixteenth", undo.neighbouring_mark, 4, 0.1, "A mark of the inch beside the right one was read."),
    Slip("inch read as cm", undo.Scaled(2.54), 0, 4, "The number of inches was typed as centimetres."),
    Slip("inch read as mm", undo.Scaled(25.4), 0, 4, "The number of inches was typed as millimetres."),
    Slip("cm read as inch", undo.Scaled(1 / 2.54), 4, 0, "The number of centimetres was typed as inches.",
         off_metric=True),
    Slip("mm read as inch", undo.Scaled(1 / 25.4), 2, 0, "The number of millimetres was typed as inches.",
         off_metric=True),
    Slip("cm read as mm", undo.Scaled(10.0), 0, 4, "The number of centimetres was typed as millimetres."),
    Slip("mm read as cm", undo.Scaled(0.1), 0, 3, "The number of millimetres was typed as centimetres."),
    Slip("digits upside down", undo.upside_down, 2, 2, "The tape hung upside down: a 6 for a 9, or the other way."),
)
ENDS = (
    Slip("tape case", undo.without_the_case, 3, 3, "The length of the tape's case was left out."),
    Slip("half a bolt", undo.shifted_by_one_of(undo.HALF_BOLTS, 0.4), 9, 9,
         "It was read at the edge of a bolt head, not at its centre."),
    Slip("a whole bolt", undo.shifted_by_one_of(undo.WHOLE_BOLTS, 0.4), 2, 2,
         "It was read from the near edge of one bolt to the far edge of the other."),
    Slip("wrong hole", undo.shifted_by_one_of(undo.HOLE_PITCHES, 0.6), 4, 4,
         "The neighbouring hole of the bracket was read."),
)
FLOOR = (
    Slip("dip in the floor", undo.out_of_a_dip, 2, 2, "The tape stood in a dip of the floor, as beside a drain."),
)
TYPING = (
    Slip("swapped digits", undo.swapped_digits, 8, 8, "Two digits changed places."),
    Slip("dropped digit", undo.dropped_digit, 3, 3, "A digit was left out."),
    Slip("extra digit", undo.extra_digit, 2, 2, "A digit was typed twice, or one too many."),
)
DIRECTIONS = (
    Slip("wrong side", undo.negated, 8, 8, "Left was typed for right, or front for rear of the line."),
    Slip("read backwards", undo.negated, 12, 12, "It was read from the other end, so up became down."),
    Slip("gauge from the other end", undo.negated, 12, 12, "The gauge was read from its other end, so up became down."),
)
ANGLES = (
    Slip("complement of the angle", undo.complemented, 6, 6, "The gauge counted from plumb instead of from level."),
    Slip("one degree", undo.Shifted(1.0), 6, 6, "A whole degree was miscounted."),
    Slip("ten degrees", undo.Shifted(10.0), 3, 3, "Ten degrees were miscounted."),
)
WEIGHTS = (
    Slip("pound read as kg", undo.Scaled(undo.POUND), 0, 6, "The number of pounds was typed as kilograms."),
    Slip("kg read as pound", undo.Scaled(1 / undo.POUND), 6, 0, "The number of kilograms was typed as pounds."),
    Slip("100 kg", undo.Shifted(100.0), 3, 3, "A whole hundred was miscounted."),
    Slip("the axle for the wheel", undo.Scaled(0.5), 3, 3, "The whole axle was read for one wheel."),
    Slip("the wheel for the axle", undo.Scaled(2.0), 3, 3, "One wheel was read for the whole axle."),
)
CATALOGUE = {slip.name: slip for slip in LENGTHS + ENDS + FLOOR + TYPING + DIRECTIONS + ANGLES + WEIGHTS}

DIGITS = tuple(slip.name for slip in TYPING)
"""Slips of any number that is typed."""
TAPED = (*(slip.name for slip in LENGTHS), *DIGITS)
"""Slips of every reading with a tape or a rule."""
FROM_THE_FLOOR = ("dip in the floor",)
"""Slips of a tape that stands on the floor."""
INSIDE = ("tape case",)
"""Slips of a tape laid between two faces."""
AT_BOLTS = ("half a bolt", "a whole bolt", "wrong hole")
"""Slips at the ends of a reading that goes to joint centres."""
GAUGED = ("gauge from the other end", *(slip.name for slip in ANGLES), *DIGITS)
"""Slips of an angle gauge."""
WEIGHED = (*(slip.name for slip in WEIGHTS), *DIGITS)
"""Slips of a scale."""


@dataclass(frozen=True)
class Simple:
    """A row that plain sums undo, for a phone that has no catalogue: less or more by `shift`, or times `factor`."""

    slip: Slip
    shift: float | None = None
    too_long: float = 0.5
    factor: float | None = None


def simple(names: Iterable[str]) -> tuple[Simple, ...]:
    """Those of the named rows that one sum undoes, in their order."""
    found = []
    for row in (CATALOGUE[name] for name in names):
        if isinstance(row.undo, undo.Shifted):
            found.append(Simple(row, shift=row.undo.size, too_long=row.undo.too_long))
        elif isinstance(row.undo, undo.Scaled):
            found.append(Simple(row, factor=row.undo.factor))
        elif row.undo is undo.negated:
            found.append(Simple(row, factor=-1.0))
    return tuple(found)


def explain(
    typed: Typed, names: Iterable[str], expected: float, spread: float
) -> tuple[tuple[Explanation, ...], float]:
    """Rank the slips that may explain one reading, likeliest first, and say how well a mistake explains it at all.

    names: rows of the catalogue that fit the reading's kind. expected, spread: what the other readings say, and one sd
    of (read - expected) for a reading without a slip, file unit. Returns the explanations, and the log density per file
    unit of what is expected under "some mistake"; less that of "no mistake" it tells how far the reading is suspected.
    Source of the ranking: Bayes' rule; a slip with several values shares its frequency among them.
    """
    undone, unknown, total = _undone(typed, tuple(names))
    weighed = [(row, *_best_value(often, values, expected, spread)) for row, often, values in undone]
    elsewhere = unknown * _of_any_size(expected - typed.value, USUAL_SIZE[typed.file_unit] + spread)
    density = (elsewhere + sum(weight for _, weight, _, _, _ in weighed)) / total
    found = [
        Explanation(row, value, weight / total / density, misfit, sharp)
        for row, weight, value, misfit, sharp in weighed
        if weight > 0
    ]
    found.sort(key=lambda explanation: -explanation.share)
    return tuple(found), math.log(density)


def no_row(frequencies: Iterable[float]) -> float:
    """How common a mistake is that none of the rows explains, on their scale; of a kind without rows it is all."""
    return ELSEWHERE * sum(frequencies) or 1.0


def _of_any_size(off: float, usual: float) -> float:
    """Density of a mistake no row knows: the Cauchy distribution, half of it within `usual`, with a long tail."""
    return 1.0 / (math.pi * usual * (1.0 + (off / usual) ** 2))


@lru_cache(maxsize=4096)
def _undone(
    typed: Typed, names: tuple[str, ...]
) -> tuple[tuple[tuple[Slip, float, tuple[Undone, ...]], ...], float, float]:
    """The named rows that can happen to what was typed, each with its frequency and its values; how common a mistake
    is that no row knows; and all frequencies together. A reading is weighed many times, against ever other numbers."""
    rows = [(CATALOGUE[name], CATALOGUE[name].frequency(typed)) for name in names]
    unknown = no_row(often for _, often in rows)
    undone = tuple((row, often, row.undo(typed)) for row, often in rows if often > 0.0)
    return tuple(one for one in undone if one[2]), unknown, unknown + sum(often for _, often in rows)


def _best_value(
    often: float, values: tuple[Undone, ...], expected: float, spread: float
) -> tuple[float, float, float, float]:
    """(frequency times density of the values about `expected`, the best value, its misfit in sds, how sharp it is)."""
    best, most, misfit, sharp, total = math.nan, -1.0, 0.0, 0.0, 0.0
    for undone in values:
        wide = math.hypot(spread, undone.spread)
        off = (expected - undone.value) / wide
        weight = undone.share * math.exp(-0.5 * off * off) / (wide * ROOT_OF_A_TURN)
        total += weight
        if weight > most:
            toward = (undone.spread / wide) ** 2
            best, most, misfit = undone.value + toward * (expected - undone.value), weight, off
            sharp = undone.spread
    return often * total, best, misfit, sharp
