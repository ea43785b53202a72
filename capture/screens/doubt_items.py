"""One doubt as the pages show it: its name, its numbers, what is the matter, the likely slip, and the ways out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from urllib.parse import urlencode

from geometry.doubt import Doubt, Suspect
from markupsafe import Markup

from capture import doubt_words
from capture.doubt_place import clock, place_of, takes_of
from capture.log import Take
from capture.report import Report
from capture.screens import settle_words, words
from capture.screens.filters import fractions, said, spread
from capture.screens.readings_said import file_unit, short_words, side_of
from capture.screens.room import measure_address, room_address

MOST_READ = 6
"""Readings of one doubt that are shown one by one."""


@dataclass(frozen=True)
class Way:
    """A reading that would settle a doubt: what stands on the key, and where it is taken."""

    deed: str
    href: str


@dataclass(frozen=True)
class DoubtItem:
    """One doubt. facts: what was read and what the rest says. members: the readings of a shared mistake. also: other
    ways to see the same numbers. flag: it was kept against the remark when typed.

    again: the retake, its first value hidden, or None. telling: another reading that would tell best, or None.
    settle: where it is settled any other way; stated: where the facts stand that it is about. id: see `name_of`.
    """

    id: str
    title: str
    facts: tuple[tuple[str, Markup], ...]
    sentence: Markup
    likely: Markup
    members: tuple[tuple[str, Markup], ...]
    also: tuple[Markup, ...]
    flag: str
    again: Way | None
    telling: Way | None
    settle: str
    stated: str = ""

    @property
    def settle_words(self) -> str:
        return settle_words.LOOKED if self.stated else settle_words.CORRECT_OR_KEEP


def doubt_items(vehicle_id: str, report: Report) -> Iterator[DoubtItem]:
    """The open doubts, worst first."""
    for doubt in report.doubts:
        yield doubt_item(vehicle_id, report, doubt)


def doubt_item(vehicle_id: str, report: Report, doubt: Doubt) -> DoubtItem:
    unit = report.vehicle.display_unit
    takes = takes_of(report, doubt)
    first = doubt.suspects[0].name if doubt.suspects else ""
    return DoubtItem(
        id=name_of(report, doubt),
        title=title_of(report, doubt),
        facts=tuple(facts_of(report, doubt)),
        sentence=fractions(doubt_words.sentence(doubt, unit, place_of(report, doubt))),
        likely=fractions(doubt_words.likely(doubt, unit, partial(side_of, report.vehicle, first))),
        members=tuple(members_of(report, doubt)) if doubt.shared else (),
        also=tuple(other_ways(report, doubt)),
        flag=flag_of(takes),
        again=again(vehicle_id, report, doubt),
        telling=telling(vehicle_id, report, doubt),
        settle=settle_address(vehicle_id, name_of(report, doubt)),
        stated=f"{room_address(vehicle_id, 'facts')}#{doubt.stated[0]}.outside_diameter" if doubt.stated else "",
    )


def title_of(report: Report, doubt: Doubt) -> str:
    """The reading's own name where it is about one, else what several have in common."""
    if one_name(doubt):
        return short_words(report.vehicle, doubt.readings[0])
    return doubt_words.title(doubt)


def one_name(doubt: Doubt) -> bool:
    """Whether it is about takes of one reading."""
    if doubt.shared is not None:
        return doubt.shared.family == "same_name"
    return bool(doubt.suspects) and (len(doubt.readings) == 1 or doubt.reason == "takes_disagree")


def members_of(report: Report, doubt: Doubt) -> Iterator[tuple[str, Markup]]:
    """The readings of a shared mistake in the order read, each with what was read and when."""
    for take in sorted(takes_of(report, doubt), key=lambda take: take.at):
        value = sided(report, take.name, take.value)
        when = Markup('<span class="q">, {}</span>').format(clock(take.at))
        yield words.sentence_start(short_words(report.vehicle, take.name)), value + when


def facts_of(report: Report, doubt: Doubt) -> Iterator[tuple[str, Markup]]:
    """What was read and what the rest says, for each reading that may be it; under a rule, what was read."""
    if doubt.reason.startswith("rule:"):
        for take in takes_of(report, doubt)[:MOST_READ]:
            said_as = words.sentence_start(short_words(report.vehicle, take.name))
            yield said_as, sided(report, take.name, take.value)
    several = len(doubt.suspects) > 1
    for suspect in doubt.suspects:
        if several and doubt.reason != "takes_disagree":
            yield words.sentence_start(short_words(report.vehicle, suspect.name)), Markup()
        yield "read", read_said(report, suspect)
        if doubt.reason != "takes_disagree":
            yield "the rest says", sided(report, suspect.name, suspect.expected, suspect.sd)


def read_said(report: Report, suspect: Suspect) -> Markup:
    """What was read, and when where several takes are told apart by it."""
    take = report.stage_view.by_key.get(suspect.key)
    number = sided(report, suspect.name, suspect.read)
    several = len(report.stage_view.by_name.get(suspect.name, ())) > 1
    return number + Markup('<span class="q">, {}</span>').format(clock(take.at)) if take and several else number


def sided(report: Report, name: str, value: float, sd: float | None = None) -> Markup:
    """A value in file unit, its spread where it has one, and the side it lies on in place of a sign."""
    unit, shown = file_unit(report.vehicle, name), report.vehicle.display_unit
    side = side_of(report.vehicle, name, value)
    parts = [said(abs(value) if side else value, unit, shown)]
    if sd is not None:
        parts.append(spread(sd, unit, shown))
    return Markup(" ").join([*parts, Markup('<span class="q">{}</span>').format(side)] if side else parts)


def other_ways(report: Report, doubt: Doubt) -> Iterator[Markup]:
    """What else would explain the numbers about as well, each in a sentence."""
    unit = report.vehicle.display_unit
    for way in doubt.also:
        if way.shared is not None:
            yield fractions(doubt_words.sentence(way, unit, place_of(report, way)))
            continue
        names = [short_words(report.vehicle, suspect.name) for suspect in way.suspects[:MOST_READ]]
        one = "this reading" if len(names) == 1 else doubt_words.ONE_OF_THESE
        yield fractions(f"Only {one} is off: {'; '.join(names)}.")


def flag_of(takes: tuple[Take, ...]) -> str:
    """What is said where he kept a value although the remark advised to look again."""
    kept = [take for take in takes if take.kept]
    return doubt_words.KEPT_AGAINST_THE_REMARK if kept else ""


def again(vehicle_id: str, report: Report, doubt: Doubt) -> Way | None:
    """The one retake, its first value hidden until both can be shown. What was read twice alike already needs another
    reading to tell, where there is one."""
    if not doubt.readings or (doubt.telling and doubt.shared and one_name(doubt)):
        return None
    reading = doubt.retake or doubt.readings[0].partition("#")[0]
    return Way(doubt_words.deed(doubt, short_words(report.vehicle, reading)), blind_address(vehicle_id, reading))


def telling(vehicle_id: str, report: Report, doubt: Doubt) -> Way | None:
    """The reading, taken or not, that would best tell which of a tie it is, where that is not the retake."""
    if doubt.telling is None or doubt.telling == doubt.retake:
        return None
    once_more = doubt.telling in report.stage_view.by_name
    address = blind_address if once_more else measure_address
    return Way(f"Tells most: {short_words(report.vehicle, doubt.telling)}", address(vehicle_id, doubt.telling))


def blind_address(vehicle_id: str, reading: str) -> str:
    """Where a reading is taken once more without seeing its first value."""
    return f"{measure_address(vehicle_id, reading)}&{urlencode({'blind': '1'})}"


def name_of(report: Report, doubt: Doubt) -> str:
    """How an address names a doubt: by its first take's id; one about stated parts by its reason and their places."""
    takes = takes_of(report, doubt)
    return takes[0].id if takes else " ".join((doubt.reason, *doubt.stated))


def settle_address(vehicle_id: str, name: str) -> str:
    """Where the doubt of this name is settled."""
    return f"{room_address(vehicle_id, 'settle')}?{urlencode({'take': name})}"
