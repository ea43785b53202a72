"""What the axle will do: the headline figures, each on its rule, then every number plainly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from flask import Blueprint, abort, render_template
from geometry.figures import Band, Column, Figure, FigureKind, catalogue
from geometry.figures.over_travel import over_travel
from geometry.figures.trust import tighter
from markupsafe import Markup

from capture import report as reports
from capture.lengths import say
from capture.report import Report
from capture.screens import pictures, words
from capture.screens.filters import said, spread
from capture.screens.readings_said import FACTS, Need, need, short_words
from capture.screens.room import RoomPage, measure_address, report_now, room_address, shared
from capture.walk import walk_of

blueprint = Blueprint("behaviour", __name__, template_folder="templates")

MOST_GAINS = 3


@dataclass(frozen=True)
class FigureRow:
    """One figure as the page shows it. value: None while it waits. place: where it stands against the usual band."""

    key: str
    title: str
    href: str
    value: Markup | None
    spread: Markup
    meaning: str
    rule: Markup
    spark: Markup
    place: str
    band: str
    waits: tuple[Need, ...]
    reason: str
    interval: tuple[Markup, Markup] | None
    leans: bool
    convention: bool
    doubted: bool


@dataclass(frozen=True)
class Family:
    title: str
    rows: tuple[FigureRow, ...]


@dataclass(frozen=True, kw_only=True)
class BehaviourPage(RoomPage):
    """figures: headlines with a value; waiting: headlines without one; families: every figure."""

    figures: tuple[FigureRow, ...]
    waiting: tuple[FigureRow, ...]
    families: tuple[Family, ...]
    second_look: str
    empty: bool
    walk: str


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


@dataclass(frozen=True, kw_only=True)
class FigurePage(RoomPage):
    """One figure opened: its construction, its curve over travel and the same as a table."""

    figure: FigureRow
    construction: Markup
    tighter: tuple[Tighter, ...]
    curve: Markup
    curve_title: str
    table: tuple[tuple[Markup, Markup | None, Markup | None], ...]
    binds: tuple[str, ...]
    facts: tuple[CountedWith, ...]
    facts_href: str
    second_look: str


@blueprint.get("/vehicles/<vehicle_id>/behaviour")
def page(vehicle_id: str) -> str:
    return render_template("behaviour.html", page=behaviour(vehicle_id))


@blueprint.get("/vehicles/<vehicle_id>/behaviour/<key>")
def one(vehicle_id: str, key: str) -> str:
    return render_template("figure.html", page=opened(vehicle_id, key))


def fragment(vehicle_id: str, asked: dict[str, str]) -> str:
    """The room alone, for a page that follows the phone."""
    if key := asked.get("figure"):
        return render_template("_figure.html", page=opened(vehicle_id, key))
    return render_template("_behaviour.html", page=behaviour(vehicle_id))


def behaviour(vehicle_id: str) -> BehaviourPage:
    report, version = report_now(vehicle_id)
    kinds = kinds_of(report)
    doubted = doubted_figures(report)
    headlines = [figure_row(vehicle_id, report, kind, doubted) for kind in kinds if kind.headline]
    return BehaviourPage(
        **shared(vehicle_id, "behaviour", report, version, "Behaviour"),
        figures=tuple(row for row in headlines if row.value is not None),
        waiting=tuple(row for row in headlines if row.value is None),
        empty=not report.stage_view.takes,
        walk=room_address(vehicle_id, "walk"),
        families=tuple(families(vehicle_id, report, kinds, doubted)),
        second_look=room_address(vehicle_id, "second-look"),
    )


def kinds_of(report: Report) -> tuple[FigureKind, ...]:
    """Every figure this vehicle can have, in the catalogue's order."""
    return tuple(kind for kind in catalogue(report.vehicle.layout, report.vehicle.worked_axle).values()
                 if kind.key in report.sheet.figures)


def families(
    vehicle_id: str, report: Report, kinds: Iterable[FigureKind], doubted: frozenset[str]
) -> Iterator[Family]:
    grouped: dict[str, list[FigureKind]] = {}
    for kind in kinds:
        grouped.setdefault(kind.family, []).append(kind)
    for family, members in grouped.items():
        yield Family(words.FAMILIES.get(family, words.sentence_start(family)),
                     tuple(figure_row(vehicle_id, report, kind, doubted) for kind in members))


def figure_row(vehicle_id: str, report: Report, kind: FigureKind, doubted: frozenset[str]) -> FigureRow:
    figure: Figure = report.sheet.figures[kind.key]
    unit = report.vehicle.display_unit
    known = figure.value is not None and figure.sd is not None
    shown = known and not figure.leans
    return FigureRow(
        key=kind.key,
        title=kind.title,
        href=f"{room_address(vehicle_id, 'behaviour')}/{kind.key}",
        value=said(figure.value, kind.unit, unit, words.signed(kind.key)) if known else None,
        spread=spread(figure.sd, kind.unit, unit) if known else Markup(),
        meaning=kind.meaning(figure.value, figure.sd) if shown else "",
        rule=pictures.rule(figure, kind, unit) if shown else Markup(),
        spark=pictures.spark(report, kind) if shown else Markup(),
        place=words.AGAINST_BAND[against(kind.band, figure)] if shown and kind.band else "",
        band=words.band(kind.band, kind.unit, unit) if kind.band else "",
        waits=tuple(need(vehicle_id, report.vehicle, name) for name in figure.needs),
        reason=figure.reason or "",
        interval=tuple(said(end, kind.unit, unit) for end in figure.interval) if shown and figure.interval else None,
        leans=known and figure.leans,
        convention=figure.convention,
        doubted=kind.key in doubted,
    )


def against(usual: Band, figure: Figure) -> str:
    """Where a figure with its spread of two sd stands to the usual band: "above", "below", "inside" or "edge"."""
    low, high = figure.value - 2 * figure.sd, figure.value + 2 * figure.sd
    if usual.high is not None and low > usual.high:
        return "above"
    if usual.low is not None and high < usual.low:
        return "below"
    inside = (usual.low is None or low >= usual.low) and (usual.high is None or high <= usual.high)
    return "inside" if inside else "edge"


def opened(vehicle_id: str, key: str) -> FigurePage:
    """One figure with its curve; 404 for a figure this vehicle cannot have."""
    report, version = report_now(vehicle_id)
    kind = next((kind for kind in kinds_of(report) if kind.key == key), None)
    if kind is None:
        abort(404)
    row = figure_row(vehicle_id, report, kind, doubted_figures(report))
    column = over_travel(report.sheet, key)
    if column is not None and column.leans:
        column = None
    fields = shared(vehicle_id, "behaviour", report, version, kind.title)
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "behaviour"), back_words="Back to behaviour")
    return FigurePage(
        **fields,
        query=(("figure", key),),
        figure=row,
        construction=pictures.construction(report, kind),
        tighter=tuple(what_would_tighten(vehicle_id, report, kind)) if row.value is not None else (),
        curve=pictures.curve(report, kind, column) if column else Markup(),
        curve_title=f"{column.title or kind.title} over travel" if column else "",
        table=tuple(over_travel_rows(report, column)) if column else (),
        binds=tuple(sentence for _, sentence in report.sheet.sweep.binds),
        facts=tuple(counted_with(report, key)),
        facts_href=f"{room_address(vehicle_id, 'record')}#facts",
        second_look=room_address(vehicle_id, "second-look"),
    )


def over_travel_rows(report: Report, column: Column) -> Iterator[tuple[Markup, Markup | None, Markup | None]]:
    """Travel, value and spread of every other step of the sweep."""
    unit = report.vehicle.display_unit
    for at, (travel, value, sd) in enumerate(zip(report.sheet.sweep.travel, column.values, column.sd, strict=True)):
        if at % 2 == 0:
            yield (said(travel, "mm", unit, signed=True),
                   None if value is None else said(value, column.unit, unit),
                   None if sd is None else spread(sd, column.unit, unit))


def what_would_tighten(vehicle_id: str, report: Report, kind: FigureKind) -> Iterator[Tighter]:
    """The few readings that would shrink a figure's spread most, taken for the first time or once more."""
    vehicle = report.vehicle
    walk = walk_of(vehicle.layout, vehicle.worked_axle, tuple(report.stage_view.by_name))
    names = tuple(dict.fromkeys(step.reading for step in walk.steps))
    now = spread(report.sheet.figures[kind.key].sd or 0.0, kind.unit, vehicle.display_unit)
    for gain in tighter(report.fit, reports.facts_of(vehicle), kind, names)[:MOST_GAINS]:
        left = spread(gain.sd_after, kind.unit, vehicle.display_unit)
        if left != now:
            again = " once more" if gain.again else ""
            yield Tighter(f"{short_words(vehicle, gain.reading)}{again}",
                          measure_address(vehicle_id, gain.reading), left)


def counted_with(report: Report, key: str) -> Iterator[CountedWith]:
    """The facts a figure was counted with, said as they were given."""
    for fact in words.COUNTED_WITH.get(key, ()):
        value = getattr(report.vehicle.facts, fact, None)
        said_as = "not said yet" if value is None else say(100 * value, "%", "")
        yield CountedWith(words.sentence_start(FACTS[fact][0]), said_as)


def doubted_figures(report: Report) -> frozenset[str]:
    """The figures that would change visibly were the readings in doubt left out."""
    if not report.doubts:
        return frozenset()
    doubted = {key for doubt in report.doubts for key in doubt.readings}
    aside = {report.stage_view.by_key[key].id for key in doubted if key in report.stage_view.by_key}
    kept = [entry for entry in report.vehicle.entries
            if entry.id not in aside and getattr(entry, "of", None) not in aside]
    without = reports.build(report.vehicle.model_copy(update={"entries": kept}), report.stage).sheet.figures
    return frozenset(key for key, figure in report.sheet.figures.items() if moved(figure, without[key]))


def moved(now: Figure, without: Figure) -> bool:
    """Whether a figure leaves its own spread, or stops being a figure at all, without some readings."""
    if now.value is None or now.leans:
        return False
    if without.value is None or without.leans:
        return True
    return abs(without.value - now.value) > now.sd
