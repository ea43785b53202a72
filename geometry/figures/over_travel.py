"""Which column of the sweep shows a figure over the travel."""

from __future__ import annotations

from geometry.figures.base import Column, Figure, Sheet

SHARED = ("anti_dive", "anti_lift_braking", "anti_lift_driving", "anti_squat")
"""Figures that are the geometric one times a share: their curve is its column, scaled."""
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
    """The column that belongs to a figure; None where there is none or it cannot be had.

    Without a title where the values are the figure's own, so that the figure's title serves.
    """
    if key in SHARED:
        return _scaled(sheet, sheet.figures.get(key))
    column = sheet.sweep.columns.get(COLUMNS.get(key, ""))
    return column if column is not None and any(value is not None for value in column.values) else None


def _scaled(sheet: Sheet, figure: Figure | None) -> Column | None:
    whole, column = sheet.figures.get("anti_geometric"), sheet.sweep.columns.get("anti_geometric")
    if figure is None or figure.value is None or whole is None or not whole.value or column is None:
        return None
    share = figure.value / whole.value
    return Column(
        figure.unit,
        "",
        tuple(None if value is None else share * value for value in column.values),
        tuple(None if sd is None else abs(share) * sd for sd in column.sd),
        column.needs,
        column.leans,
        column.reason,
    )
