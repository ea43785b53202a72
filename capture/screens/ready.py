"""Ready to cut? For each link and figure what stands in the way, what passes unseen, and the cheapest next checks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from flask import Blueprint, render_template
from geometry.figures import Figure, FigureKind, catalogue
from geometry.next_check import InTheWay, in_the_way, next_checks, watched_readings
from geometry.reach import Carried, carried, too_wide
from geometry.readings import parse_name
from markupsafe import Markup

from capture import report as reports
from capture.report import Report
from capture.screens import ready_words, words
from capture.screens.doubted import would_be
from capture.screens.filters import said, spread
from capture.screens.moved_unseen import MovedUnseen, moved_unseen
from capture.screens.readings_said import need, short_words
from capture.screens.room import RoomPage, measure_address, report_now, room_address, shared
from capture.walk import Station, Walk, walk_of

blueprint = Blueprint("ready", __name__, template_folder="templates")

MOST_CHECKS = 6
MOST_NAMED = 2
UNDER = 3.0
"""Minutes it costs to crawl beneath and out again, common practice, no source."""
ACROSS = 1.0
"""Minutes to walk to another place standing."""
BENEATH = ("under_left", "under_middle", "under_right", "axle_end", "driveline", "own")


@dataclass(frozen=True)
class ToCut:
    """A link or figure people cut by. mark: "tick", "open" or "doubt"; ways: what stands in its way, in sentences."""

    title: str
    href: str
    value: Markup
    spread: Markup
    mark: str
    ways: tuple[Markup, ...]


@dataclass(frozen=True)
class NextCheck:
    """A reading worth taking: what it would watch over, and what it costs."""

    words: str
    gain: str
    cost: str
    href: str


@dataclass(frozen=True)
class Noticed:
    """One reading and the smallest slip in it that would be noticed; None where none would."""

    words: str
    smallest: Markup | None
    href: str


@dataclass(frozen=True, kw_only=True)
class ReadyPage(RoomPage):
    """guessed: a link has a bolt that is not read yet, and the walk leads to it."""

    measured: bool
    clear: bool
    verdict: str
    verdict_more: str
    links: tuple[ToCut, ...]
    figures: tuple[ToCut, ...]
    next_checks: tuple[NextCheck, ...]
    noticed: tuple[Noticed, ...]
    moved: tuple[MovedUnseen, ...]
    second_look: str
    record: str
    walk: str
    guessed: bool


@blueprint.get("/vehicles/<vehicle_id>/ready")
def page(vehicle_id: str) -> str:
    return render_template("ready.html", page=ready(vehicle_id))


def fragment(vehicle_id: str, asked: Any) -> str:
    """The page alone, for one that follows the phone."""
    return render_template("_ready.html", page=ready(vehicle_id))


def ready(vehicle_id: str) -> ReadyPage:
    report, version = report_now(vehicle_id)
    measured = bool(report.stage_view.takes)
    links = tuple(link_items(vehicle_id, report)) if measured else ()
    figures = tuple(figure_items(vehicle_id, report)) if measured else ()
    moved = tuple(moved_unseen(vehicle_id, report, walk_now(report))) if measured else ()
    standing = sum(item.mark != "tick" for item in (*links, *figures))
    fields = shared(vehicle_id, "second-look", report, version, ready_words.TITLE)
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "second-look"),
                             back_words=words.TO_SECOND_LOOK)
    guessed = [link.guessed for link in in_the_way(report.fit, ())] if measured else []
    unread = all(guessed)
    verdict, more = said_of(measured, standing, len(links) + len(figures), unread)
    return ReadyPage(
        **fields | {"room": "ready"},
        measured=measured,
        clear=measured and not standing,
        verdict=verdict,
        verdict_more=more,
        links=links,
        figures=figures,
        next_checks=(*(worth_taking(vehicle_id, report) if standing and not unread else ()), *tying(report, moved)),
        noticed=tuple(noticed(vehicle_id, report)),
        moved=moved,
        second_look=room_address(vehicle_id, "second-look"),
        record=room_address(vehicle_id, "record"),
        walk=room_address(vehicle_id, "walk"),
        guessed=any(guessed),
    )


def said_of(measured: bool, standing: int, of: int, unread: bool) -> tuple[str, str]:
    """The head of the page. Advice, never a lock."""
    if not measured:
        return words.NOTHING_MEASURED, ready_words.ONCE_THERE_ARE_READINGS
    if not standing:
        return ready_words.NOTHING_IN_THE_WAY, ready_words.READY_AS_FAR_AS
    return "Not yet", ready_words.stands_in_the_way(standing, of, unread)


# ---- links and figures ----


def link_items(vehicle_id: str, report: Report) -> Iterator[ToCut]:
    """Every link with its length: doubts and unchecked readings at its bolts, guesses, a spread too wide."""
    kinds = catalogue(report.vehicle.layout, report.vehicle.worked_axle)
    for link in in_the_way(report.fit, [key for doubt in report.doubts for key in doubt.readings]):
        key = f"link_length.{link.link}"
        figure, kind = report.sheet.figures[key], kinds[key]
        ways = [*link_ways(report, link), *width_ways(report, figure, kind)]
        mark = "doubt" if link.doubted else "open" if ways else "tick"
        yield to_cut(vehicle_id, report, link.words, figure, mark, ways)


def link_ways(report: Report, link: InTheWay) -> Iterator[Markup]:
    if link.doubted:
        yield Markup.escape(f"In doubt: {named(report, link.doubted)}.")
    if link.unchecked:
        yield Markup.escape(f"Unchecked: {named(report, link.unchecked)}.")
    if link.guessed:
        yield Markup(ready_words.BOLT_ON_A_GUESS)


def figure_items(vehicle_id: str, report: Report) -> Iterator[ToCut]:
    """The figures people ask for first, with what stands in the way of trusting each."""
    unseen, in_doubt = unseen_by_figure(report), would_be(report)
    for key, kind in headlines(report).items():
        figure = report.sheet.figures[key]
        ways: list[Markup] = []
        if key in in_doubt:
            ways.append(Markup("{} {}").format(in_doubt[key].sentence, in_doubt[key].corrected))
        ways += waiting_ways(vehicle_id, report, figure)
        if figure.value is not None and not figure.leans:
            ways += unseen_ways(report, kind, unseen.get(key, ()))
            ways += width_ways(report, figure, kind)
        mark = "doubt" if key in in_doubt else "open" if ways else "tick"
        yield to_cut(vehicle_id, report, kind.title, figure, mark, ways,
                     f"{room_address(vehicle_id, 'behaviour')}/{key}")


def headlines(report: Report) -> dict[str, FigureKind]:
    """The figures people ask for first."""
    kinds = catalogue(report.vehicle.layout, report.vehicle.worked_axle)
    return {key: kind for key, kind in kinds.items() if kind.headline and key in report.sheet.figures}


def unseen_by_figure(report: Report) -> dict[str, tuple[Carried, ...]]:
    """For each of them the unchecked readings whose slip would move it clearly, most first."""
    return carried(report.fit, reports.facts_of(report.vehicle), headlines(report))


def to_cut(
    vehicle_id: str, report: Report, title: str, figure: Figure, mark: str, ways: Iterable[Markup], href: str = ""
) -> ToCut:
    unit = report.vehicle.display_unit
    known = figure.value is not None and figure.sd is not None
    about = Markup("<small>about</small> ") if figure.leans else Markup()
    return ToCut(
        title=words.sentence_start(title),
        href=href or f"{room_address(vehicle_id, 'record')}#lengths",
        value=about + said(figure.value, figure.unit, unit, words.signed(figure.key), figure.sd) if known else Markup(),
        spread=spread(figure.sd, figure.unit, unit) if known else Markup(),
        mark=mark,
        ways=tuple(ways),
    )


def waiting_ways(vehicle_id: str, report: Report, figure: Figure) -> Iterator[Markup]:
    """What a figure waits for, or leans on a guess for."""
    if figure.value is not None and not figure.leans:
        return
    opening = "Waits for" if figure.value is None else ready_words.ON_A_GUESS_TAKE
    wanted = [need(vehicle_id, report.vehicle, name) for name in figure.needs[:MOST_NAMED]]
    links = [Markup('<a href="{}">{}</a>').format(one.href, one.words) for one in wanted]
    if links:
        said_as = words.listed(links, more=len(figure.needs) - len(wanted))
        yield Markup("{} {}.").format(opening, Markup(said_as))
    elif figure.value is None:
        yield Markup.escape(figure.reason or ready_words.CANNOT_BE_HAD)
    else:
        yield Markup(ready_words.ON_A_GUESS)


def unseen_ways(report: Report, kind: FigureKind, blind: tuple[Carried, ...]) -> Iterator[Markup]:
    """The unchecked reading whose slip would move it most, and how many more there are."""
    if not blind:
        return
    unit, first = report.vehicle.display_unit, blind[0]
    more = f", and {words.counted(len(blind) - 1, 'other')}" if len(blind) > 1 else ""
    yield Markup(ready_words.UNCHECKED).format(
        short_words(report.vehicle, first.name), more, said(first.slip, first.unit, unit),
        said(first.move, kind.unit, unit))


def width_ways(report: Report, figure: Figure, kind: FigureKind) -> Iterator[Markup]:
    if figure.leans or not too_wide(figure, kind):
        return
    limit = ready_words.ITS_ADJUSTERS if kind.key.startswith("link_length.") else ready_words.ITS_BAND
    yield Markup(ready_words.SPREAD_TOO_WIDE).format(
        spread(figure.sd, figure.unit, report.vehicle.display_unit), limit)


def named(report: Report, keys: Iterable[str]) -> str:
    """The first readings by name, and how many more."""
    names = list(dict.fromkeys(short_words(report.vehicle, key) for key in keys))
    more = [words.counted(len(names) - MOST_NAMED, "other")] if len(names) > MOST_NAMED else []
    return "; ".join(names[:MOST_NAMED]) + "".join(f"; and {one}" for one in more)


# ---- checks, and what would be noticed ----


def worth_taking(vehicle_id: str, report: Report) -> Iterator[NextCheck]:
    """The checks that gain most of what stands in the way for their minutes, crawling beneath included."""
    vehicle, walk = report.vehicle, walk_now(report)
    stations = {step.reading: walk.station(step.station) for step in walk.steps}
    minutes = {name: effort(report, name) + crawl(station) for name, station in stations.items()}
    for check in next_checks(report.fit, tuple(stations), minutes, passing_in_the_way(report) or None)[:MOST_CHECKS]:
        once_more = ", once more" if check.again else ""
        watches = [short_words(vehicle, key) for key in check.watches]
        named = words.listed(watches[:MOST_NAMED], more=len(watches[MOST_NAMED:]))
        gain = f"Would check {named}." if watches else ready_words.WOULD_CHECK
        yield NextCheck(
            f"{words.sentence_start(short_words(vehicle, check.name))}{once_more}", gain,
            cost(minutes[check.name], stations[check.name]), measure_address(vehicle_id, check.name))


def passing_in_the_way(report: Report) -> set[str]:
    """The readings at the bolts of a link, or behind a figure, in which a usual slip would pass unseen."""
    of_links = {key for link in in_the_way(report.fit, ()) for key in link.unchecked}
    return of_links | {one.key for blind in unseen_by_figure(report).values() for one in blind}


def tying(report: Report, moved: Iterable[MovedUnseen]) -> Iterator[NextCheck]:
    """The readings that would show a vehicle that settled between stations: heights decide most, and nothing else may
    tie those of one station to the rest."""
    walk = walk_now(report)
    for one in moved:
        for move in one.moves:
            if move.datum == "floor" and move.check:
                station = walk.station(one.key)
                yield NextCheck(move.check, ready_words.WOULD_TIE.format(one.where),
                                cost(effort(report, move.name) + crawl(station), station), move.href)


def walk_now(report: Report) -> Walk:
    vehicle = report.vehicle
    return walk_of(vehicle.layout, vehicle.worked_axle, tuple(report.stage_view.by_name))


def effort(report: Report, name: str) -> float:
    """Minutes the reading itself takes."""
    return float(parse_name(name, report.vehicle.layout, report.vehicle.worked_axle).kind.effort)


def crawl(station: Station) -> float:
    """Minutes it takes to get there."""
    return UNDER if station.key in BENEATH else ACROSS


def cost(minutes: float, station: Station) -> str:
    """"About 4 minutes, one crawl: Under, left side"."""
    how = "one crawl beneath" if station.key in BENEATH else "no crawling"
    return f"About {words.counted(max(1, round(minutes)), 'minute')}, {how}: {station.name}"


def noticed(vehicle_id: str, report: Report) -> Iterator[Noticed]:
    """Every reading with the smallest slip in it that would be noticed, the blindest first."""
    unit = report.vehicle.display_unit
    found = watched_readings(report.fit) if report.stage_view.takes else ()
    for one in sorted(found, key=lambda one: (one.smallest is not None, -(one.smallest or 0.0))):
        blind = one.smallest is None or one.smallest > PASSES[one.unit]
        yield Noticed(words.sentence_start(short_words(report.vehicle, one.name)),
                      None if blind else said(one.smallest, one.unit, unit), measure_address(vehicle_id, one.name))


PASSES = {"mm": 300.0, "deg": 20.0, "kg": 500.0}
"""A slip that must be larger than this to be noticed is no check at all."""

