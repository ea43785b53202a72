"""Which column of the sweep shows a figure over the travel."""

from __future__ import annotations

from geometry.figures.base import Column, Sheet

COLUMNS = {
    "anti_geometric": "anti_geometric",
    "instant_centre.x": "instant_centre.x",
    "instant_centre.z": "instant_centre.z",
    "caster": "caster_change",
    "caster_change_75": "caster_change",
    "bump_steer_75": "steer",
    "pinion_angle": "pinion_change",
}


def over_travel(sheet: Sheet, key: str) -> Column | None:
    """The column that belongs to a figure; None where there is none or it cannot be had."""
    column = sheet.sweep.columns.get(COLUMNS.get(key, ""))
    return column if column is not None and any(value is not None for value in column.values) else None
