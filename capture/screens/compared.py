"""Stages side by side: the headline figures and the lengths of the links at each stage, and what changed last."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlencode

from geometry.compare import NOT_SEEN, SURE
from geometry.figures import catalogue
from markupsafe import Markup

from capture import compare_report
from capture.compare_report import Compared as Stages
from capture.screens import words
from capture.screens.filters import bare
from capture.screens.room import plumbtack, room_address

KEPT = 8
"""Comparisons held in memory."""
_kept: OrderedDict[tuple[str, str, str], Stages] = OrderedDict()
_guard = threading.Lock()


@dataclass(frozen=True)
class Compared:
    """One row: a value a stage, and the change from the last but one to the last, None where it cannot be told."""

    words: str
    values: tuple[Markup, ...]
    change: Markup | None
    sure: bool


def compare_address(vehicle_id: str, before: str, after: str) -> str:
    """Where two stages are compared."""
    return f"{room_address(vehicle_id, 'compare')}?{urlencode({'from': before, 'to': after})}"


def stages_compared(vehicle_id: str, before: str, after: str) -> Stages:
    """Two stages of the newest log, held until it grows. Raises NoReadings."""
    models = plumbtack().models
    vehicle = models.at(vehicle_id).vehicle
    made = compare_report.build(vehicle, before, after, lambda _, stage: models.at(vehicle_id, stage))
    key = (vehicle_id, before, after)
    with _guard:
        held = _kept.get(key)
        if held is None or held.before is not made.before or held.after is not made.after:
            _kept[key] = held = made
        _kept.move_to_end(key)
        while len(_kept) > KEPT:
            _kept.popitem(last=False)
    return held


def compared(vehicle_id: str, stages: tuple[str, ...]) -> Iterator[Compared]:
    """Rows for every headline figure and link length that one of the stages knows."""
    reports = [plumbtack().models.at(vehicle_id, stage) for stage in stages]
    found = stages_compared(vehicle_id, *stages[-2:]).comparison
    changes = {change.key: change for change in found.figures if change.category != NOT_SEEN}
    vehicle = reports[-1].vehicle
    unit = vehicle.display_unit
    for kind in catalogue(vehicle.layout, vehicle.worked_axle).values():
        if not kind.headline and not kind.key.startswith("link_length."):
            continue
        figures = [report.sheet.figures[kind.key] for report in reports if kind.key in report.sheet.figures]
        if len(figures) != len(reports) or all(figure.value is None or figure.leans for figure in figures):
            continue
        moved = changes.get(kind.key)
        yield Compared(
            kind.title,
            tuple(Markup() if figure.value is None or figure.leans
                  else bare(figure.value, kind.unit, unit, words.signed(kind.key)) for figure in figures),
            bare(moved.by, kind.unit, unit, signed=True) if moved else None,
            moved is not None and moved.category == SURE,
        )
