"""One figure opened: how it comes about, its curve, what changes it, what would make it tighter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from flask import abort
from geometry.figures import Column, FigureKind
from geometry.figures.lift import lift_spread
from geometry.figures.nudges import nudges
from geometry.figures.trust import answers, guessed_share, tighter, with_height
from geometry.frame import INCH
from markupsafe import Markup

from capture.lengths import fine_length, say, say_with_spread
from capture.report import Report, facts_of
from capture.screens import ahead, families, figure_pictures, figure_words, words
from capture.screens.family_tables import RISES, weighed
from capture.screens.figure_rows import FigureRow, figure_row, kinds_of
from capture.screens.filters import said, spread
from capture.screens.readings_said import FACTS, point_words, short_words
from capture.screens.room import RoomPage, measure_address, report_now, room_address, shared
from capture.screens.travelled import HEAVE, Asked, CurveSaid, Sweep, Travelled, column_of, own_curve, title_of
from capture.walk import walk_of

MOST_GAINS = 3
MOST_NUDGES = 5
MUCH = 0.25
"""Of a figure's variance: from there on it is said that a guess makes it."""
NUDGE_MM = {"in": INCH / 8, "mm": 3.0}
"""How far a point is moved to show what it changes: an eighth of an inch, 3 mm."""


@dataclass(frozen=True)
class CountedWith:
    words: str
    value: str


@dataclass(frozen=True)
class Tighter:
    """A reading that would make a figure's spread smaller, and what would be left of it."""

    words: str
    href: str
    left: Markup


@dataclass(frozen=True)
class Change:
    """What a point moved a little does to a figure: "upper link, frame bolt", "lower", "1/8 in", "2.1 %"; one: how far
    it moves for one per cent, "1.5 mm", empty where that is no use."""

    point: str
    href: str
    way: str
    by: Markup
    more: Markup
    one: str = ""


@dataclass(frozen=True, kw_only=True)
class FigurePage(RoomPage):
    """figure: the number; family: where it belongs; table: its curve in numbers."""

    figure: FigureRow
    family: families.FamilyLink
    construction: Markup
    sweep: Sweep | None
    curve: CurveSaid | None
    table: tuple[tuple[Markup, Markup | None, Markup | None], ...]
    binds: tuple[str, ...]
    changes: tuple[Change, ...]
    tighter: tuple[Tighter, ...]
    weigh_it: families.FamilyLink | None
    facts: tuple[CountedWith, ...]
    facts_href: str
    second_look: str


def opened(vehicle_id: str, key: str, asked: Asked) -> FigurePage:
    """One figure with its curve; 404 for a figure this vehicle cannot have."""
    report, version = report_now(vehicle_id)
    kind = next((kind for kind in kinds_of(report) if kind.key == key), None)
    if kind is None:
        abort(404)
    row = figure_row(vehicle_id, report, kind)
    travelled = Travelled(report, asked)
    column = column_of(report, key)
    curve = curve_of(report, travelled, kind, column) if column else None
    known = row.value is not None
    fields = shared(vehicle_id, "behaviour", report, version, row.title)
    family = families.link(vehicle_id, kind.family)
    fields["head"] = replace(fields["head"], back=family.href, back_words=f"Back to {family.title}")
    return FigurePage(
        **fields,
        query=(("figure", key), *asked.query),
        figure=row,
        family=family,
        construction=figure_pictures.construction(report, kind),
        sweep=travelled.sweep(row.href, None) if curve else None,
        curve=curve,
        table=tuple(over_travel_rows(report, key, column)) if curve and column else (),
        binds=tuple(sentence for _, sentence in travelled.binds[HEAVE]) if curve else (),
        changes=tuple(what_changes(vehicle_id, report, kind))[:MOST_NUDGES] if known and not row.leans else (),
        tighter=tuple(what_would_tighten(vehicle_id, report, kind)) if known else (),
        weigh_it=weigh_it(vehicle_id, report, kind) if known else None,
        facts=tuple(counted_with(report, key)),
        facts_href=f"{room_address(vehicle_id, 'facts')}",
        second_look=room_address(vehicle_id, "second-look"),
    )


def curve_of(report: Report, travelled: Travelled, kind: FigureKind, column: Column) -> CurveSaid | None:
    """The figure over travel; its usual band where the curve shows the figure itself."""
    figure, own = report.sheet.figures[kind.key], own_curve(kind.key, column)
    label = ""
    if own and figure.value is not None and figure.sd is not None:
        label = say_with_spread(figure.value, figure.sd, kind.unit, report.vehicle.display_unit)
    banded = kind if own or kind.key == "bump_steer_75" else None
    return travelled.curve(HEAVE, column, title_of(kind, column), banded, label)


def over_travel_rows(report: Report, key: str, column: Column) -> Iterator[tuple[Markup, Markup | None, Markup | None]]:
    """Travel, value and spread of every other step of the sweep."""
    unit, (column, _) = report.vehicle.display_unit, ahead.column_as_said(key, column, "")
    for at, (travel, value, sd) in enumerate(zip(report.sheet.sweep.travel, column.values, column.sd, strict=True)):
        if at % 2 == 0:
            yield (said(travel, "mm", unit, signed=True),
                   None if value is None else said(value, column.unit, unit),
                   None if sd is None else spread(sd, column.unit, unit))


def what_changes(vehicle_id: str, report: Report, kind: FigureKind) -> Iterator[Change]:
    """The points a figure answers to most, each moved a little the way that makes it greater."""
    vehicle = report.vehicle
    by, found = NUDGE_MM[vehicle.display_unit], answers(report.fit, facts_of(vehicle), kind)
    if ahead.behind(kind.key, report.sheet.figures[kind.key].value):
        found = tuple(replace(one, per_mm=tuple(-each for each in one.per_mm)) for one in found)
    for nudge in nudges(found, by):
        more = say(nudge.more, kind.unit, vehicle.display_unit)
        if not any(digit in more for digit in "123456789"):
            return
        yield Change(words.sentence_start(point_words(vehicle, nudge.point)),
                     f"{room_address(vehicle_id, 'shape')}?point={nudge.point}", nudge.way,
                     said(nudge.by, "mm", vehicle.display_unit), said(nudge.more, kind.unit, vehicle.display_unit),
                     fine_length(nudge.for_one, vehicle.display_unit) if kind.unit == "%" else "")


def what_would_tighten(vehicle_id: str, report: Report, kind: FigureKind) -> Iterator[Tighter]:
    """The few readings that would shrink a figure's spread most, taken for the first time or once more."""
    vehicle = report.vehicle
    walk = walk_of(vehicle.layout, vehicle.worked_axle, tuple(report.stage_view.by_name))
    names = tuple(dict.fromkeys(step.reading for step in walk.steps))
    now = spread(report.sheet.figures[kind.key].sd or 0.0, kind.unit, vehicle.display_unit)
    lifted = weighing(vehicle_id, report, kind)
    if lifted is not None and lifted.left != now:
        yield lifted
    for gain in tighter(report.fit, facts_of(vehicle), kind, names)[:MOST_GAINS]:
        left = spread(gain.sd_after, kind.unit, vehicle.display_unit)
        if left != now:
            again = " once more" if gain.again else ""
            yield Tighter(f"{short_words(vehicle, gain.reading)}{again}",
                          measure_address(vehicle_id, gain.reading), left)


def weigh_it(vehicle_id: str, report: Report, kind: FigureKind) -> families.FamilyLink | None:
    """Where it says how to measure what is guessed, when the guess makes much of the figure's spread."""
    much = guessed_share(report.fit, facts_of(report.vehicle), kind) > MUCH
    return families.as_link(vehicle_id, families.BY_KEY["balance"]) if much else None


def weighing(vehicle_id: str, report: Report, kind: FigureKind) -> Tighter | None:
    """Weighing with one end raised as high as people do, in place of another guess; None where that tells no more."""
    about, unit = weighed(report), report.vehicle.display_unit
    told = lift_spread(about, RISES[unit]) if about else ()
    sd = with_height(report.fit, facts_of(report.vehicle), kind, told[-1].sd) if told else None
    if sd is None:
        return None
    return Tighter(figure_words.weigh_raised(say(told[-1].rise, "mm", unit)), families.address(vehicle_id, "balance"),
                   spread(sd, kind.unit, unit))


def counted_with(report: Report, key: str) -> Iterator[CountedWith]:
    """The facts a figure was counted with, said as they were given."""
    for fact in words.COUNTED_WITH.get(key, ()):
        value = getattr(report.vehicle.facts, fact, None)
        said_as = "not said yet" if value is None else say(100 * value, "%", "")
        yield CountedWith(words.sentence_start(FACTS[fact][0]), said_as)
    if key in words.COUNTED_WITH:
        facts, unit = report.vehicle.facts, report.vehicle.display_unit
        mass = "not said yet" if facts.unsprung_mass is None else say(facts.unsprung_mass, "kg", unit)
        yield CountedWith(figure_words.AXLES_OWN_MASS, mass if facts.anti_counts_unsprung else figure_words.LEFT_OUT)
