"""What one entry did to the model, in one line: whether it fits, what it opened, what it tightened."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from geometry.figures import Figure, catalogue

from capture.lengths import say_spread
from capture.log import NoReadings
from capture.report import Report
from capture.screens import measure_words
from capture.screens.doubt_items import title_of
from capture.screens.readings_said import point_words
from capture.screens.room import plumbtack
from capture.screens.walking import Walking
from capture.screens.words import sentence_start

WORTH_SAYING = 0.9
"""A spread that shrank less than to this share of itself is not worth a line."""


def what_landed(round_: Walking, entry_id: str) -> dict[str, Any]:
    """Of a reading just stored: id, fits (it is checked by others and agrees), doubted, the line, and look: whether a
    doubt came up that is worth a second look."""
    after = round_.report
    take = next((take for take in after.stage_view.takes if take.id == entry_id), None)
    if take is None:
        return {"id": entry_id, "fits": False, "doubted": False, "line": "", "look": False}
    doubted = any(take.key in doubt.readings for doubt in after.doubts)
    place = next(i for i, seen in enumerate(after.fit.observations) if seen.id == entry_id)
    checked = float(after.fit.redundancy[place]) > CHECKED
    before = _without(round_, entry_id)
    raised = "" if doubted else _raised(before, after)
    return {
        "id": entry_id,
        "fits": checked and not doubted,
        "doubted": doubted,
        "line": "" if doubted else raised or _gain(before, after),
        "look": doubted or bool(raised),
    }


CHECKED = 0.02
"""Share of a slip that would show in the reading's own residual, below which nobody may say that it fits."""


def _raised(before: Report, after: Report) -> str:
    """The doubt about other readings that this one brought up; empty where there is none."""
    known = {key for doubt in before.doubts for key in doubt.readings}
    new = next((doubt for doubt in after.doubts if doubt.readings and not known.intersection(doubt.readings)), None)
    return f"New doubt: {title_of(after, new)}" if new else ""


def _without(round_: Walking, entry_id: str) -> Report:
    """The report as it was before this entry; most often it is still known."""
    kept = [entry for entry in round_.vehicle.entries if entry.id != entry_id]
    vehicle, models = round_.vehicle.model_copy(update={"entries": kept}), plumbtack().models
    try:
        return models.of(vehicle, round_.report.stage)
    except NoReadings:
        return models.of(vehicle.model_copy(update={"entries": []}))


def _gain(before: Report, after: Report) -> str:
    """The best news there is: a figure that is there now, a point that is placed, a spread that shrank most."""
    for line in (*_opened(before, after), *_placed(before, after), *_tightened(before, after)):
        return line
    return ""


def _titled(before: Report, after: Report) -> Iterator[tuple[str, Figure, Figure]]:
    """Each figure's title with what it was and is, the ones people ask for first."""
    kinds = catalogue(after.vehicle.layout, after.vehicle.worked_axle)
    for kind in sorted(kinds.values(), key=lambda kind: not kind.headline):
        yield kind.title, before.sheet.figures[kind.key], after.sheet.figures[kind.key]


def _opened(before: Report, after: Report) -> Iterator[str]:
    for title, was, now in _titled(before, after):
        if now.value is not None and not now.leans and (was.value is None or was.leans):
            yield measure_words.stands_now(sentence_start(title))
    for title, was, now in _titled(before, after):
        if now.value is not None and was.value is None:
            yield f"{sentence_start(title)}: a first value"


def _placed(before: Report, after: Report) -> Iterator[str]:
    was = before.fit.placed()
    for name, point in after.fit.placed().items():
        if point.known and not (name in was and was[name].known):
            yield f"{sentence_start(point_words(after.vehicle, name))}: placed"


def _tightened(before: Report, after: Report) -> Iterator[str]:
    unit = after.vehicle.display_unit
    best, line = WORTH_SAYING, ""
    for title, was, now in _titled(before, after):
        if not was.sd or now.sd is None or now.leans or now.sd / was.sd >= best:
            continue
        best = now.sd / was.sd
        line = f"{sentence_start(title)} now {say_spread(2 * now.sd, now.unit, unit)}"
    if line:
        yield line
