"""What each link carries in stated cases, and what it would bear: a sizing aid with its caution, never a rating."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from urllib.parse import urlencode

from geometry.figures import loads, reserves
from geometry.figures.figure_words import NEXT_TO_NOTHING as NOTHING_CARRIED
from geometry.layouts import LAYOUTS
from markupsafe import Markup

from capture import doubted_parts
from capture.lengths import say, say_with_spread
from capture.report import Report, facts_of
from capture.screens import families, load_words, words
from capture.screens.filters import said, spread
from capture.screens.room import room_address
from capture.screens.sections import Choice, Line, Section


def chosen_case(query: Mapping[str, str]) -> loads.Case:
    return next((case for case in loads.CASES if case.key == query.get("case")), loads.CASES[0])


MOST_RESERVES = 12
NEXT_TO_NOTHING = 50.0
"""N: less than the table's last figure."""
UNSURE_NOTHING = 200.0
"""N: twice the sd of a load that can be called next to nothing."""
CASE_WORDS = {"braking": "Braking", "driving": "Driving", "cornering": "Bend left", "cornering_right": "Bend right",
              "step": "Step left", "step_right": "Step right", "bump": "Landing"}  # fmt: skip


def load_sections(vehicle_id: str, report: Report, query: Mapping[str, str]) -> tuple[Section, ...]:
    """One case's loads, then every link in every case."""
    unit = report.vehicle.display_unit
    case, every = chosen_case(query), loads.link_loads(report.fit, facts_of(report.vehicle))
    link_words = {link.name: words.sentence_start(link.words) for link in LAYOUTS[report.vehicle.layout].links}
    address = families.address(vehicle_id, "loads")
    choices = tuple(Choice(CASE_WORDS[one.key], f"{address}?{urlencode({'case': one.key})}", one is case)
                    for one in loads.CASES)
    doubted = doubted_parts.loads_in_doubt(report)
    of_case = [load for load in every if load.case == case.key]
    lines = tuple(Line(link_words[load.link], said(abs(load.force), "N", unit), spread(load.sd, "N", unit),
                       f"{pushed(load)}{bent_words(load, unit)}", guessed=load.leans,
                       doubted=(load.link, load.case) in doubted) for load in of_case)
    return (
        Section(f"Loads: {case.words}", lines, ("load", "±"), choices=choices, notes=(counted_words(report, case.key),),
                facts_href=f"{room_address(vehicle_id, 'facts')}#loads",
                needs=tuple(name for load in of_case for name in load.needs)),
        Section("Every case", tuple(every_case(every, link_words, unit, doubted)), ("load", "±"),
                caution=load_words.SIZING_AID, intro="Pulled apart is +, pressed together is −."),
        reserve_section(vehicle_id, report, doubted),
    )


def every_case(every: Sequence[loads.LinkLoad], link_words: Mapping[str, str], unit: str,
               doubted: frozenset[Hashable]) -> Iterator[Line]:
    """Link by link, one line a case."""
    for name in dict.fromkeys(load.link for load in every):
        yield Line(link_words[name], None, heading=True)
        for load in every:
            if load.link == name:
                yield Line(CASE_WORDS[load.case], said(load.force, "N", unit, True), spread(load.sd, "N", unit),
                           guessed=load.leans, doubted=(name, load.case) in doubted)


def reserve_section(vehicle_id: str, report: Report, doubted: frozenset[Hashable]) -> Section:
    """What each link would bear over what it carries, the least first; one line a link where nothing can be said."""
    table = reserves.reserves(report.fit, facts_of(report.vehicle))
    unsaid = any(row.reserve is None for row in table.rows)
    notes = [load_words.yield_offered(table.offered_source)] if unsaid else []
    return Section(load_words.LEFT_OVER, tuple(reserve_lines(vehicle_id, report, table, doubted)),
                   ("reserve", "±"), notes=tuple(notes),
                   caution=table.caution, facts_href=f"{room_address(vehicle_id, 'facts')}#tubes",
                   intro=load_words.WHAT_RESERVE_MEANS)


def reserve_lines(vehicle_id: str, report: Report, table: reserves.ReserveTable,
                  doubted: frozenset[Hashable]) -> Iterator[Line]:
    link_words = {link.name: words.sentence_start(link.words) for link in LAYOUTS[report.vehicle.layout].links}
    told = {row.link for row in table.rows if row.reserve is not None}
    waiting: set[str] = set()
    for at, row in enumerate(table.rows):
        title = link_words.get(row.link, row.link)
        if row.reserve is not None and row.sd is not None:
            if at < MOST_RESERVES:
                reserve, give = load_words.reserve(row.reserve, 2 * row.sd)
                yield Line(f"{title}, {row.case_words}", Markup("{}").format(reserve), give,
                           gives_words(row, report.vehicle.display_unit), guessed=row.leans,
                           doubted=(row.link, row.case) in doubted)
        elif row.link not in waiting and not (row.link in told and row.sentence == NOTHING_CARRIED):
            waiting.add(row.link)
            there = f"{room_address(vehicle_id, 'facts')}#{row.asks}" if row.asks else ""
            yield Line(title, None, remark=f"{row.sentence.partition(';')[0].rstrip('.')}.", there=there)


def gives_words(row: reserves.Reserve, unit: str) -> str:
    """How a link would give, and the yield stress that is counted with; a whole sentence where it is not enough."""
    stress = f"Yield {load_words.stress(row.yield_stress, unit)}, {row.yield_source}."
    if row.reserve is not None and row.reserve < 1.0:
        return f"{row.sentence} {stress}"
    return f"{load_words.gives(row.by or '')} {stress}"


def pushed(load: loads.LinkLoad) -> str:
    """Which way a link is loaded, as far as the spread tells."""
    if abs(load.force) <= NEXT_TO_NOTHING and 2 * load.sd <= UNSURE_NOTHING:
        return load_words.NEXT_TO_NOTHING
    if abs(load.force) <= 2 * load.sd:
        return load_words.EITHER_WAY
    return load_words.PULLED_APART if load.force > 0 else load_words.PRESSED_TOGETHER


def bent_words(load: loads.LinkLoad, unit: str) -> str:
    """What bends a radius arm."""
    if load.moment is None or load.moment_sd is None:
        return ""
    return load_words.bent_by(say_with_spread(load.moment, load.moment_sd, "N m", unit))


def counted_words(report: Report, case: str) -> str:
    """The factors a case is counted with, and which of them are assumed."""
    unit, stated = report.vehicle.display_unit, facts_of(report.vehicle).loads
    taken = loads.taken(facts_of(report.vehicle))

    def who(part: str) -> str:
        return "as you said" if getattr(stated, part) is not None else "assumed"

    springs = load_words.springs_stand(100 * taken.spring_across, who("spring_across"))
    if taken.spring_ahead:
        way = "ahead of" if taken.spring_ahead > 0 else "behind"
        springs += f", {say(abs(taken.spring_ahead), 'mm', unit)} {way} the axle"
    grip = load_words.grip_of(taken.grip, who("grip"))
    return {
        "braking": f"All wheels locked, {grip}.",
        "driving": drive_words(report, taken, grip),
        "cornering": load_words.side_pull(taken.side_grip, who("side_grip")),
        "step": load_words.step("left", taken.step, who("step")),
        "step_right": load_words.step("right", taken.step, who("step")),
        "bump": load_words.landing(taken.bump, who("bump")),
    }[{"cornering_right": "cornering"}.get(case, case)] + load_words.assumed(springs)


def drive_words(report: Report, taken: loads.Assumed, grip: str) -> str:
    if taken.drive_torque is None:
        return load_words.all_the_tyres_hold(grip)
    torque = say(taken.drive_torque, "N m", report.vehicle.display_unit)
    if loads.slips(report.fit, facts_of(report.vehicle)):
        return load_words.tyres_slip_first(torque, grip)
    return load_words.less_than_the_tyres(torque, grip)
