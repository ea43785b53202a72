"""What the measuring page's script works with: the steps, what the log holds, what the model expects of a reading."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from flask import g
from geometry import remark as remarks

from capture import stage_log, static_files
from capture.log import Take
from capture.screens import slips_handed_over
from capture.screens.room import plumbtack, room_address
from capture.screens.settled_items import READ_AGAIN
from capture.screens.walking import CANNOT_REACH, Walking
from capture.vehicle_file import Entry, Reading, SetAside, Withdraw
from capture.walk import Step, same_reading

if TYPE_CHECKING:
    from capture.screens.measure import StepView

Expectation = tuple[float, float, float, float | None]

UNIT_WORDS = {
    "in": "inches", "ft": "feet and inches", "mm": "millimetres", "cm": "centimetres", "deg": "degrees",
    "kg": "kilograms", "lb": "pounds",
}  # fmt: skip


def blind(round_: Walking, reading: str) -> dict[str, Any] | None:
    """What the script has to know of a reading taken again blind: the takes in doubt, which the new one may replace."""
    if not reading:
        return None
    view = round_.report.stage_view
    keys = [key for doubt in round_.report.doubts for key in doubt.readings if key in view.by_key]
    here = {take.id for take in round_.takes_of(reading)}
    doubted = [view.by_key[key].id for key in keys if view.by_key[key].id in here]
    return {"reading": reading, "takes": doubted, "note": READ_AGAIN}


def for_script(
    round_: Walking, views: Mapping[str, StepView], asked_for: Step | None, blind: dict[str, Any] | None,
    defs: str,
) -> str:
    """All the script works with, as JSON. defs: stands for what the page's drawings share."""
    vehicle, expectations = round_.vehicle, expected(round_)
    inches = vehicle.display_unit == "in"
    data = {
        "vehicle": round_.vehicle_id,
        "name": vehicle.name,
        "stage": round_.stage,
        "at": asked_for.key if asked_for else None,
        "guest": bool(g.guest),
        "blind": blind,
        "defs": defs,
        "cannot_reach": CANNOT_REACH,
        "units": {"mm": vehicle.display_unit, "deg": "deg", "kg": "lb" if inches else "kg"},
        "unit_words": UNIT_WORDS,
        "stations": [{"key": one.key, "name": one.name} for one in round_.walk.stations],
        "slips": slips_handed_over.table(),
        "steps": [_step_for_script(view, expectations[key]) for key, view in views.items()],
        **known(round_),
    }
    # "<" never stands in the page's JSON, so that no name typed by a person can end the script element
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def _step_for_script(view: StepView, expectation: Expectation) -> dict[str, Any]:
    kind = view.name.kind
    value, sd, own_sd, limit = expectation
    return {
        "key": view.step.key,
        "reading": view.step.reading,
        "station": view.step.station,
        "priority": view.step.priority,
        "take": view.step.take,
        "title": view.words.title,
        "unit": kind.unit,
        "low": kind.low,
        "high": kind.high,
        "side": kind.side(view.name.subject, view.name.setting),
        "sides": list(view.words.sides) if view.words.sides else None,
        "side_keys": list(view.words.side_keys),
        "expected": value,
        "sd": sd,
        "own_sd": own_sd,
        "limit": limit,
        "slips": slips_handed_over.numbers(kind),
        "elsewhere": slips_handed_over.elsewhere(kind),
    }


def elsewhere(round_: Walking) -> str:
    """Where an open page at this stage has to go: nothing is read at a closed one, and a later one may have begun since
    the page was kept. Empty while it may stay."""
    if round_.latest in stage_log.closed(round_.vehicle):
        return stage_closed(round_)
    if round_.stage == round_.latest:
        return ""
    return f"{room_address(round_.vehicle_id, 'measure')}?{urlencode({'stage': round_.latest})}"


def stage_closed(round_: Walking) -> str:
    """Where it stands that this stage is closed."""
    return f"{room_address(round_.vehicle_id, 'stage')}?{urlencode({'closed': round_.stage})}"


def known(round_: Walking, held: int = 0) -> dict[str, Any]:
    """What the log holds, as the page's script wants it. held: so many entries the page has, from the first on; of
    these it is not told again, nor of the takes of readings which no later entry touches."""
    entries, left_out = round_.vehicle.entries, round_.report.stage_view.left_out
    held = min(held, len(entries))
    touched = _touched(entries, held)
    steps = [step for step in round_.walk.steps if not held or same_reading(step.reading) in touched]
    takes = {step.reading: [_take_for_script(take) for take in round_.takes_of(step.reading)] for step in steps}
    return {
        "run": plumbtack().run,
        "program": static_files.program(),
        "version": round_.version,
        "held": held,
        "entries": [entry.id for entry in entries[held:]],
        "withdrawn": [out.entry.id for out in left_out if out.why in ("withdrawn", "set aside")],
        "out_of_reach": list(round_.out_of_reach),
        "doubts": sorted(round_.in_doubt),
        "takes": takes if held else {reading: known for reading, known in takes.items() if known},
    }


def _touched(entries: Sequence[Entry], since: int) -> set[str]:
    """The readings whose takes may have changed by the entries from this place on: those read, and those of which an
    entry was taken back, set aside, or let in again by taking that back."""
    places = {entry.id: place for place, entry in enumerate(entries)}
    found = set()
    for place in range(since, len(entries)):
        entry, before = entries[place], place
        while isinstance(entry, Withdraw | SetAside) and places.get(entry.of, before) < before:
            before = places[entry.of]  # what is taken back stands before what takes it back
            entry = entries[before]
        if isinstance(entry, Reading):
            found.add(same_reading(entry.reading))
    return found


def _take_for_script(take: Take) -> dict[str, Any]:
    said = {"id": take.id, "value": take.value, "text": take.text, "unit": take.unit, "at": take.at}
    return said | ({"sd": take.entry.sd} if take.entry.sd is not None else {})


def expected(round_: Walking) -> dict[str, Expectation]:
    """For each step what the model predicts, how well it knows it, the spread of the reading itself, and how far off a
    reading may be without a remark (None: nothing to go by yet); file unit."""
    steps = round_.walk.steps
    bounds = remarks.bounds(round_.report.fit, [step.reading for step in steps])
    return {
        step.key: (round(one.value, 3), round(one.sd, 3), round(one.own_sd, 3), one.limit and round(one.limit, 3))
        for step, one in zip(steps, bounds, strict=True)
    }
