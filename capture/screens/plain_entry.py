"""Recording without the page's script: one form, sent to the laptop at once. The same grammar, remark and log."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from geometry import remark as remarks
from geometry.readings import ReadingName, Words

from capture import entry, stage_log
from capture.lengths import say
from capture.screens import give_or_take, measure_words, remark_words
from capture.screens.remark_words import Said
from capture.screens.room import plumbtack
from capture.screens.walking import Walking
from capture.vehicle_file import check_entries

SIDES = {"+": 1, "-": -1}


@dataclass(frozen=True)
class PlainForm:
    """The form as it stands. id: of the entry it will make, so that sending it twice makes one. usual: the usual ± of
    such a reading, as said; give: the ± stated for this one, as typed."""

    id: str
    units: tuple[str, ...]
    unit: str
    sides: tuple[str, str] | None
    text: str = ""
    side: str = ""
    refused: str = ""
    remark: Said | None = None
    usual: str = ""
    give: str = ""


def blank_form(round_: Walking, name: ReadingName, words: Words) -> PlainForm:
    """Nothing typed yet; the vehicle's own unit chosen. A further take has the ± of the one before."""
    units = tuple(unit.name for unit in entry.UNITS.values() if unit.quantity == name.kind.unit)
    wanted = round_.vehicle.display_unit
    quantity, shown = name.kind.unit, round_.vehicle.display_unit
    takes = round_.takes_of(name.text)
    last = takes[-1].entry.sd if takes else None
    return PlainForm(
        secrets.token_hex(16), units, wanted if wanted in units else units[0], words.sides,
        usual=give_or_take.said_usual(give_or_take.usual(round_.report.fit, name.text), quantity, shown),
        give=give_or_take.said(last, quantity, shown) if last is not None else "",
    )


def record(round_: Walking, name: ReadingName, words: Words, sent: Mapping[str, str]) -> PlainForm | None:
    """Stores what was typed and gives None; or the form again with what stands in the way, what he typed kept."""
    blank = blank_form(round_, name, words)
    text, unit, side = sent.get("text", "")[:200], sent.get("unit", ""), sent.get("side", "")
    give = sent.get("give", "")[:60]
    form = replace(blank, id=sent.get("id") or blank.id, unit=unit if unit in blank.units else blank.unit, text=text,
                   side=side, give=give)
    if shut := stage_log.closed_sentence(round_.vehicle, round_.stage):
        return _with(form, refused=shut)
    try:
        typed = entry.parse(text, unit, name.kind.unit)
    except entry.NotAReading as refusal:
        return _with(form, refused=str(refusal))
    try:
        sd = give_or_take.stated(give, unit, name.kind.unit, give_or_take.usual(round_.report.fit, name.text))
    except entry.NotAReading as refusal:
        return _with(form, refused=measure_words.under_give_or_take(refusal))
    value = typed.value
    if name.kind.signed and not text.lstrip().startswith(("-", "+", "−")) and value:
        if side not in SIDES:
            return _with(form, refused=measure_words.SAY_WHICH_SIDE)
        value *= SIDES[side]
    if sent.get("kept") != text:
        refused, remark = _second_thoughts(round_, name, value, typed, sd)
        if refused or remark:
            return _with(form, refused=refused, remark=remark)
    _store(round_, name, value, typed, form.id, ({"kept": True} if sent.get("kept") == text else {})
           | ({"sd": sd} if sd is not None else {}))
    return None


def _second_thoughts(
    round_: Walking, name: ReadingName, value: float, typed: entry.Entry, sd: float | None
) -> tuple[str, Said | None]:
    """Out of the physical range, as a sentence; far from what the model expects, as a remark."""
    kind, unit = name.kind, round_.vehicle.display_unit
    if not kind.low <= value <= kind.high:
        low, high = (say(end, kind.unit, unit) for end in (kind.low, kind.high))
        return measure_words.look_again(low, high), None
    found = remarks.remark(round_.report.fit, name.text, value, unit=typed.unit, text=typed.text, sd=sd)
    return "", remark_words.said(found, name, round_.vehicle, typed.unit) if found else None


def _store(
    round_: Walking, name: ReadingName, value: float, typed: entry.Entry, entry_id: str, more: dict[str, Any]
) -> None:
    """Through the same check as the door for programs."""
    text = typed.text if value >= 0 or typed.value < 0 else f"-{typed.text}"
    body = {
        "id": entry_id, "at": f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}", "stage": round_.stage, "type": "reading",
        "reading": name.text, "value": value, "text": text, "unit": typed.unit,
    } | more  # fmt: skip
    plumbtack().store.add_entries(round_.vehicle_id, check_entries([body], round_.vehicle))


def _with(form: PlainForm, refused: str = "", remark: Said | None = None) -> PlainForm:
    return replace(form, refused=refused, remark=remark)
