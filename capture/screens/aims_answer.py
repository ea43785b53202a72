"""The answer to aims in words: where to put the bolts, what is met and how surely, which wants fight each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.aims import SETTLED, Answer, BadAim, Fight, Met
from geometry.errors import GeometryError
from geometry.figures import FigureKind
from geometry.layouts import Place
from markupsafe import Markup

from capture import plans
from capture.lengths import say, say_spread
from capture.report import Report
from capture.screens import aims_words, words
from capture.screens.filters import bare, spread
from capture.screens.on_paper import OnPaper, Word
from capture.screens.readings_said import point_words
from capture.screens.room import room_address
from capture.screens.what_if_rows import SHOWS
from capture.screens.what_if_words import by
from capture.screens.words import listed, sentence_start

AXES = ("forward or back", "left or right", "up or down")
WORTH = 0.05
"""mm: a coordinate the readings move by less is settled."""


@dataclass(frozen=True)
class Put:
    """Where one bolt goes, and how far the readings leave it open."""

    words: str
    said: str
    open: str


@dataclass(frozen=True)
class Want:
    """One want: its figure at the answer. sign: "sure", "tape" (met, not settled) or "open" (not met)."""

    title: str
    band: str
    value: Markup
    spread: Markup
    sign: str
    said: str


@dataclass(frozen=True)
class AnswerSaid:
    """verdict: one sentence; reasons: why not all is met; href: the answer as a plan on paper."""

    verdict: str
    met: bool
    puts: tuple[Put, ...] = ()
    wants: tuple[Want, ...] = ()
    reasons: tuple[str, ...] = ()
    href: str = ""


def said(vehicle_id: str, report: Report) -> AnswerSaid:
    """The answer worked out and said; or one sentence why there is none."""
    try:
        found = report.aimed
    except (BadAim, GeometryError) as trouble:
        return AnswerSaid(_plain(report, str(trouble)), False)
    if found is None:
        return AnswerSaid(aims_words.NOTHING_AIMED_AT, False)
    moves = tuple(Word("to", point, place) for point, place in found.places.items() if by(found.by[point], "mm"))
    state = OnPaper(moves=moves, point=next(iter(found.places), ""), name="As aimed")
    return AnswerSaid(
        verdict(found), found.met,
        tuple(Put(sentence_start(point_words(report.vehicle, point)),
                  by(found.by[point], report.vehicle.display_unit) or aims_words.STAYS,
                  _open(found.unsettled[point], report.vehicle.display_unit)) for point in found.places),
        tuple(_wants(report, found.wants)),
        tuple(reasons(report, found)),
        f"{room_address(vehicle_id, 'what-if')}?{state.query()}",
    )  # fmt: skip


def verdict(found: Answer) -> str:
    if not found.met:
        return aims_words.NEAREST
    settled = all(one.spare is None or one.spare >= SETTLED for one in found.wants)
    return aims_words.ALL_CAN_BE_MET + ("" if settled else aims_words.NOT_ALL_SETTLED)


def reasons(report: Report, found: Answer) -> Iterator[str]:
    """Why not everything is met, a sentence each."""
    if found.met:
        return
    for name in found.entered:
        yield aims_words.still_enters(name)
    for name in found.out_of_reach:
        yield aims_words.none_reaches(_lower(report, name))
    for fight in found.fights:
        yield _fight(report, fight)
    for name in found.frees:
        yield aims_words.without(_lower(report, name))
    if not found.all_looked_for:
        yield aims_words.MAY_BE_MORE


def _fight(report: Report, fight: Fight) -> str:
    first, second = (_lower(report, name) for name in (fight.first, fight.second))
    why = aims_words.ONE_IN_OTHER_OUT if fight.opposed else aims_words.EACH_ALONE
    return aims_words.fight(sentence_start(first), second, why)


def _lower(report: Report, name: str) -> str:
    kind = report.measured.kinds.get(name)
    return kind.title[:1].lower() + kind.title[1:] if kind else f"the {name}"


def _plain(report: Report, trouble: str) -> str:
    """A refusal with the figure's or bolt's name in words."""
    name, _, rest = trouble.partition(": ")
    kind = report.measured.kinds.get(name)
    if kind is not None:
        return f"{kind.title}: {rest}"
    return sentence_start(f"{point_words(report.vehicle, name)}: {rest}" if "." in name else rest or trouble)


def _wants(report: Report, wants: Sequence[Met]) -> Iterator[Want]:
    unit, bands = report.vehicle.display_unit, plans.aims(report.vehicle)
    for one in wants:
        kind = report.measured.kinds[one.figure]
        band = next((want for want in bands.wants if want.figure == one.figure), None) if bands else None
        sign = "open" if not one.inside else "sure" if one.spare is None or one.spare >= SETTLED else "tape"
        yield Want(
            kind.title,
            band_said(band.low, band.high, kind, unit) if band else "",
            Markup() if one.value is None else bare(one.value, kind.unit, unit, words.signed(one.figure)),
            Markup() if one.sd is None else spread(one.sd, kind.unit, unit),
            sign, {"open": _off(one, kind, unit), "sure": "met", "tape": aims_words.MET_WITHIN_THE_TAPE}[sign],
        )  # fmt: skip


def _off(one: Met, kind: FigureKind, unit: str) -> str:
    """How far a want is from its band: "off by 0.2 %"."""
    if one.spare is None or one.sd is None:
        return "not there"
    off = say(-one.spare * one.sd, kind.unit, unit)
    return f"off by {off}" if SHOWS.search(off) else "hardly off"


def band_said(low: float | None, high: float | None, kind: FigureKind, unit: str) -> str:
    """"20 to 60 %", "up to 0.3°", "from 4° on"."""
    ends = [words.end_of_band(end, kind.unit, unit) for end in (low, high) if end is not None]
    if len(ends) == 2:
        first = ends[0]
        for ending in (" %", " in", " mm", "° per degree", "°"):
            first = first.removesuffix(ending)
        return f"{first} to {ends[1]}"
    return f"up to {ends[0]}" if low is None else f"from {ends[0]} on"


def _open(sds: Place, unit: str) -> str:
    """How far the answer follows the readings, two sd."""
    parts = [f"{say_spread(2.0 * sd, 'mm', unit)} {_unit(unit)} {axis}"
             for sd, axis in zip(sds, AXES, strict=True) if sd > WORTH]
    return aims_words.left_open(listed(parts)) if parts else ""


def _unit(unit: str) -> str:
    return say(0.0, "mm", unit).rpartition(" ")[2]
