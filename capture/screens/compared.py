"""Stages side by side: the headline figures and the lengths of the links at each stage, and what changed last."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.figures import catalogue
from geometry.figures.change import change
from markupsafe import Markup

from capture.screens import words
from capture.screens.filters import bare
from capture.screens.room import plumbtack
from capture.stages import MEASURED
from capture.vehicle_file import Reading, VehicleFile


@dataclass(frozen=True)
class Compared:
    """One row: a value a stage, and the change from the last but one to the last, None where it cannot be told."""

    words: str
    values: tuple[Markup, ...]
    change: Markup | None
    sure: bool


def stages_of(vehicle: VehicleFile) -> tuple[str, ...]:
    """The stages that have a reading, in their order; the plan is no stage of what was built."""
    used = {entry.stage for entry in vehicle.entries if isinstance(entry, Reading)}
    return tuple(stage for stage in MEASURED if stage in used)


def compared(vehicle_id: str, vehicle: VehicleFile, stages: tuple[str, ...]) -> Iterator[Compared]:
    """Rows for every headline figure and link length that one of the stages knows."""
    sheets = [plumbtack().models.at(vehicle_id, stage).sheet.figures for stage in stages]
    unit = vehicle.display_unit
    for kind in catalogue(vehicle.layout, vehicle.worked_axle).values():
        if not kind.headline and not kind.key.startswith("link_length."):
            continue
        figures = [sheet[kind.key] for sheet in sheets if kind.key in sheet]
        if len(figures) != len(sheets) or all(figure.value is None or figure.leans for figure in figures):
            continue
        moved = change(figures[-2], figures[-1])
        yield Compared(
            kind.title,
            tuple(Markup() if figure.value is None or figure.leans
                  else bare(figure.value, kind.unit, unit, words.signed(kind.key)) for figure in figures),
            bare(moved.value, kind.unit, unit, signed=True) if moved else None,
            moved is not None and moved.sure,
        )
