"""Which slips are worth naming beside a reading that does not go with the rest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from geometry.evidence import CRITICAL
from geometry.slips import Explanation

NAMED_SHARE = 0.25
"""A slip is named when it explains at least this share of all ways the reading may have gone wrong."""


@dataclass(frozen=True)
class Likely:
    """A slip that explains a reading: its name, the value that would have stood there (file unit), its share 0 to 1 of
    all that may have happened, and how it happens, as a sentence."""

    mistake: str
    value: float
    share: float = 1.0
    how: str = ""


def worth_naming(explanations: Iterable[Explanation], low: float, high: float) -> tuple[Likely, ...]:
    """Those that explain enough and fit, likeliest first, with a value between low and high (file unit)."""
    return tuple(
        Likely(one.slip.name, one.value, one.share, one.slip.how)
        for one in explanations
        if one.share >= NAMED_SHARE and abs(one.misfit) < CRITICAL and low <= one.value <= high
    )
