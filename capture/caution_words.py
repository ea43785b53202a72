"""What is said beside all cautions; each caution itself stands in `cautions.ALL`."""

from __future__ import annotations

LAST_WORD = (
    "Local codes and licensed people (welder, engineer, inspector) decide; where they differ from this, they are right."
)
