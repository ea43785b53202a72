"""Which slips are worth naming beside a reading that does not go with the rest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from geometry.evidence import CRITICAL
from geometry.slips import Explanation

NAMED_SHARE = 0.25
"""A slip is named when it explains at least this share of all ways the reading may have gone wrong."""
SAME_VALUE = 0.01
"""Slips whose values lie no further apart, file unit, or than one of them is sharp, come to the same: no number can
tell them apart. An inch too much and the next hole of a row an inch apart are such."""
MOST_APART = 0.6
"""mm: and a slip that may have any size, as a dip in the floor, is no reason to call more than that alike."""
SAME_SHARE = 0.05
"""And such a one is named beside a likelier one from this share on."""


@dataclass(frozen=True)
class Likely:
    """A slip that explains a reading: its name, the value that would have stood there (file unit), its share 0 to 1 of
    all that may have happened, how it happens, as a sentence, and one sd of the slip's own size."""

    mistake: str
    value: float
    share: float = 1.0
    how: str = ""
    sharp: float = 0.0

    def same_as(self, other: Likely) -> bool:
        """Whether both come to the same value."""
        return abs(self.value - other.value) <= max(SAME_VALUE, min(self.sharp + other.sharp, MOST_APART))


def worth_naming(explanations: Iterable[Explanation], low: float, high: float) -> tuple[Likely, ...]:
    """Those that explain enough and fit, likeliest first, with a value between low and high (file unit); and those that
    come to the same value as one of these."""
    found: list[Likely] = []
    for one in explanations:
        if abs(one.misfit) >= CRITICAL or not low <= one.value <= high:
            continue
        told = Likely(one.slip.name, one.value, one.share, one.slip.how, one.sharp)
        same = one.share >= SAME_SHARE and any(told.same_as(other) for other in found)
        if one.share >= NAMED_SHARE or same:
            found.append(told)
    return tuple(found)
