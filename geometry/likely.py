"""Which slips are worth naming beside a reading that does not go with the rest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from geometry.evidence import CRITICAL
from geometry.slips import Explanation

NAMED_SHARE = 0.25
"""A slip is named when it explains at least this share of all ways the reading may have gone wrong."""
SAME_VALUE = 0.01
"""Slips whose values lie no further apart, file unit, come to the same: no number can tell them apart."""
SAME_SHARE = 0.05
"""And such a one is named beside a likelier one from this share on."""


@dataclass(frozen=True)
class Likely:
    """A slip that explains a reading: its name, the value that would have stood there (file unit), its share 0 to 1 of
    all that may have happened, and how it happens, as a sentence."""

    mistake: str
    value: float
    share: float = 1.0
    how: str = ""

    def same_as(self, other: Likely) -> bool:
        """Whether both come to the same value."""
        return abs(self.value - other.value) <= SAME_VALUE


def worth_naming(explanations: Iterable[Explanation], low: float, high: float) -> tuple[Likely, ...]:
    """Those that explain enough and fit, likeliest first, with a value between low and high (file unit); and those that
    come to the same value as one of these."""
    found: list[Likely] = []
    for one in explanations:
        if abs(one.misfit) >= CRITICAL or not low <= one.value <= high:
            continue
        told = Likely(one.slip.name, one.value, one.share, one.slip.how)
        same = one.share >= SAME_SHARE and any(told.same_as(other) for other in found)
        if one.share >= NAMED_SHARE or same:
            found.append(told)
    return tuple(found)
