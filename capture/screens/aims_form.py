"""What is aimed at, as it is typed: bands wanted, boxes bolts may move in, places to keep out of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from capture import plans
from capture.entry import NotAReading, parse
from capture.lengths import say
from capture.log_entries import MOST_WANTS
from capture.report import Report
from capture.screens import aims_words
from capture.screens.decided import NotTaken
from capture.screens.figure_entry import value_of
from capture.screens.words import sentence_start

Body = dict[str, list[dict[str, Any]]]
Typed = Mapping[str, str]
WAYS = (("forward", "back"), ("left", "right"), ("up", "down"))
LISTS = ("wants", "rooms", "keep_outs")
FAR = 2_000.0
"""mm: a bolt that may move further than this is another vehicle."""


def body_of(report: Report) -> Body:
    """What is aimed at now, as an entry holds it."""
    kept = plans.aims(report.vehicle)
    if kept is None:
        return {key: [] for key in LISTS}
    dumped = kept.model_dump(include=set(LISTS))
    return {key: list(dumped[key]) for key in LISTS}


def changed(report: Report, deed: str, typed: Typed) -> Body:
    """The aims after one deed. Raises NotTaken."""
    body = body_of(report)
    kind, _, key = deed.partition(":")
    if kind in DROPS:
        name, list_ = DROPS[kind]
        return {**body, list_: [one for one in body[list_] if one[name] != key]}
    make = ADDS.get(kind)
    if make is None:
        raise NotTaken(aims_words.NO_SUCH_DEED)
    list_, name, one = make(report, key, typed)
    others = [each for each in body[list_] if each[name] != one[name]]
    if len(others) >= MOST_WANTS:
        raise NotTaken(aims_words.the_most(MOST_WANTS))
    return {**body, list_: [*others, one]}


def _want(report: Report, key: str, typed: Typed) -> tuple[str, str, dict[str, Any]]:
    """A band typed for a figure; one wanted of it before gives way."""
    figure = typed.get("figure", "")
    kind = report.measured.kinds.get(figure)
    if kind is None or report.measured.figures[figure].value is None:
        raise NotTaken(aims_words.CHOOSE_A_FIGURE)
    unit, ends = report.vehicle.display_unit, []
    for name in ("low", "high"):
        text = typed.get(name, "").strip()
        try:
            ends.append(value_of(text, kind, unit) if text else None)
        except NotAReading as trouble:
            raise NotTaken(f"{kind.title}: {trouble}") from None
    low, high = ends
    if low is None and high is None:
        raise NotTaken(aims_words.say_from_or_up_to(kind.title))
    if low is not None and high is not None and low > high:
        least, most = (say(end, kind.unit, unit) for end in (low, high))
        raise NotTaken(aims_words.at_least_and_at_most(kind.title, least, most))
    return "wants", "figure", {"figure": figure, "low": low, "high": high}


def _offer(report: Report, key: str, typed: Typed) -> tuple[str, str, dict[str, Any]]:
    """The band of common practice, taken because the person tapped it."""
    kind = report.measured.kinds.get(key)
    if kind is None or kind.band is None:
        raise NotTaken(aims_words.NO_USUAL_BAND)
    return "wants", "figure", {"figure": key, "low": kind.band.low, "high": kind.band.high}


def _room(report: Report, key: str, typed: Typed) -> tuple[str, str, dict[str, Any]]:
    """How far a bolt may go each way from where it is measured."""
    point = typed.get("point", "")
    placed = report.fit.placed()
    if point not in placed:
        raise NotTaken(aims_words.CHOOSE_A_BOLT)
    low, high = [], []
    for at, (forth, back) in zip((placed[point].x, placed[point].y, placed[point].z), WAYS, strict=True):
        high.append(at + _far(report, typed, forth))
        low.append(at - _far(report, typed, back))
    if low == high:
        raise NotTaken(aims_words.MAY_NOT_MOVE)
    return "rooms", "point", {"point": point, "low": low, "high": high}


def _far(report: Report, typed: Typed, way: str) -> float:
    text = typed.get(way, "").strip()
    far = _length(report, text, sentence_start(way)) if text else 0.0
    if not 0.0 <= far <= FAR:
        raise NotTaken(aims_words.how_far_it_may_go(sentence_start(way), say(FAR, "mm", unit_of(report))))
    return far


def _keep_out(report: Report, key: str, typed: Typed) -> tuple[str, str, dict[str, Any]]:
    """A box of so much room each way around a point to keep clear of, or around a typed place."""
    around, placed = typed.get("around", ""), report.fit.placed()
    name = typed.get("name", "").strip() or around.partition(".")[2].replace("_", " ")
    if not name:
        raise NotTaken(aims_words.SAY_WHAT_TO_KEEP_CLEAR)
    if around in placed:
        place = [placed[around].x, placed[around].y, placed[around].z]
    else:
        words = zip(("kx", "ky", "kz"), aims_words.ALONG, strict=True)
        place = [_length(report, typed.get(field, ""), about) for field, about in words]
    room = _length(report, typed.get("room", ""), "Room around it")
    if not 0.0 < room <= FAR:
        raise NotTaken(aims_words.ROOM_AROUND)
    low, high = ([part + sign * room for part in place] for sign in (-1.0, 1.0))
    return "keep_outs", "name", {"name": name[:200], "low": low, "high": high}


def _length(report: Report, text: str, about: str) -> float:
    try:
        return float(parse(text, unit_of(report), "mm").value)
    except NotAReading as trouble:
        raise NotTaken(f"{about}: {trouble}") from None


def unit_of(report: Report) -> str:
    return str(report.vehicle.display_unit)


Make = Callable[[Report, str, Typed], tuple[str, str, dict[str, Any]]]
ADDS: Mapping[str, Make] = {"want": _want, "offer": _offer, "room": _room, "keep_out": _keep_out}
DROPS = {"drop_want": ("figure", "wants"), "drop_room": ("point", "rooms"), "drop_keep_out": ("name", "keep_outs")}
