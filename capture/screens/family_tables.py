"""What a family shows besides figures: every joint, every gap, every link's load, and how high to lift."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from urllib.parse import urlencode

from geometry.figures import clearance, joints, lift, loads
from geometry.figures.base import NotYet
from geometry.layouts import LAYOUTS
from markupsafe import Markup

from capture.lengths import say, say_length
from capture.report import Report, facts_of
from capture.screens import families, words
from capture.screens.filters import bare, said, spread
from capture.screens.room import room_address

AID = ("A sizing aid, not a rating: it knows nothing of welds, bends, rust and blows. Local rules and a licensed "
       "engineer decide.")
MOST_GAPS = 8
RISES = {"in": tuple(25.4 * inches for inches in (6, 10, 14, 18, 24)), "mm": (150.0, 250.0, 350.0, 450.0, 600.0)}


@dataclass(frozen=True)
class Line:
    """One row. value: None where there is none; remark: what stands below the words."""

    words: str
    value: Markup | None
    spread: Markup | str = ""
    remark: str = ""
    guessed: bool = False


@dataclass(frozen=True)
class Choice:
    words: str
    href: str
    current: bool


@dataclass(frozen=True)
class Section:
    """A table with its title. wide: heads and rows of a second, wider table; needs: what it waits for."""

    title: str
    lines: tuple[Line, ...] = ()
    heads: tuple[str, str] = ("", "±")
    intro: str = ""
    notes: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    wide_heads: tuple[str, ...] = ()
    wide: tuple[tuple[Markup | str, ...], ...] = ()
    caution: str = ""
    needs: tuple[str, ...] = ()
    reason: str = ""
    facts_href: str = ""


def of(key: str, vehicle_id: str, report: Report, query: Mapping[str, str]) -> tuple[Section, ...]:
    """The tables of a family; one that cannot be had yet says what it waits for."""
    make: Callable[[], tuple[Section, ...]] | None = {
        "joints": partial(joint_sections, vehicle_id, report),
        "clearance": partial(clearance_sections, vehicle_id, report),
        "loads": partial(load_sections, vehicle_id, report, query),
        "balance": partial(lift_sections, report),
    }.get(key)
    if make is None:
        return ()
    try:
        return make()
    except NotYet as wait:
        caution = AID if key == "loads" else ""
        return (Section("", needs=wait.needs, reason=wait.reason or "", caution=caution),)


def asked(query: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """What of an address belongs to these tables."""
    return (("case", query["case"]),) if query.get("case") in {case.key for case in loads.CASES} else ()


def where(travel: float, lifted: float, unit: str, steer: float = 0.0) -> str:
    """"at 4 in bump, left wheel 3 in higher, steered right"."""
    length = partial(say_length, display_unit=unit) if unit == "in" else lambda mm: f"{mm:.0f} mm"
    parts = []
    if abs(lifted) > 1.0:
        parts.append(f"{'left' if lifted > 0 else 'right'} wheel {length(abs(lifted))} higher")
    elif abs(travel) > 1.0:
        parts.append(f"{length(abs(travel))} {'bump' if travel > 0 else 'droop'}")
    if abs(steer) > 0.5:
        parts.append(f"steered {abs(steer):.0f}° {'left' if steer > 0 else 'right'}")
    return "at " + ", ".join(parts) if parts else "at ride height"


# ---- joints ----


def joint_sections(vehicle_id: str, report: Report) -> tuple[Section, ...]:
    unit = report.vehicle.display_unit
    link_words = {link.name: link.words for link in LAYOUTS[report.vehicle.layout].links}
    lines, unrated = [], False
    for swing in joints.joint_swings(report.fit, facts_of(report.vehicle)):
        title = words.sentence_start(f"{link_words.get(swing.link, swing.link)}, {swing.end} end")
        if swing.most is None or swing.sd is None:
            lines.append(Line(title, None, remark=swing.sentence))
            continue
        remark = words.sentence_start(where(swing.travel, swing.lift, unit))
        if swing.rated is not None:
            remark += f"; rated {say(swing.rated, 'deg', unit)}. {swing.sentence}"
        unrated = unrated or swing.rated is None
        lines.append(Line(title, said(swing.most, "deg", unit), spread(swing.sd, "deg", unit), remark, swing.leans))
    (plain, most), (soft, softest) = joints.USUAL_RATED, joints.USUAL_BUSH
    notes = [f"Plain rod ends are usually good for {plain:.0f} to {most:.0f}° each way, 30 or more with spacers; "
             f"rubber gives {soft:.0f} to {softest:.0f}° freely. Common practice, no source."]
    if unrated:
        notes.insert(0, "Where a joint’s rating or its bolt’s direction is not stated, the angle is the whole turn "
                        "from ride height.")
    return (Section("The most each joint leans", tuple(lines), ("most", "±"), notes=tuple(notes),
                    facts_href=f"{room_address(vehicle_id, 'facts')}#joints"),)


# ---- clearance ----


def clearance_sections(vehicle_id: str, report: Report) -> tuple[Section, ...]:
    unit = report.vehicle.display_unit
    table = clearance.clearances(report.fit, facts_of(report.vehicle))
    lines = []
    for row in table.rows[:MOST_GAPS]:
        place = words.sentence_start(where(row.travel, row.lift, unit, row.steer))
        less = row.least < row.usual
        lines.append(Line(f"{words.sentence_start(row.words[0])} and {row.words[1]}", said(row.least, "mm", unit),
                          spread(row.sd, "mm", unit), f"{place}. {row.sentence if less else ''}".strip(), row.leans))
    rest = len(table.rows) - len(lines)
    notes = [*table.assumed, *([table.remark] if table.remark else []),
             *([f"{rest} more pairs have more room."] if rest > 0 else []),
             "People usually leave 25 mm (1 in) round a tyre and a sump, 20 round the shaft, 12 to 20 between bars: "
             "brackets, bent tubes and soft bushings use up 10 to 15. Common practice, no source.",
             "What must not be touched is taken as a point: give a large thing several."]
    return (Section("The least gap of each pair", tuple(lines), ("least", "±"), notes=tuple(notes),
                    facts_href=f"{room_address(vehicle_id, 'facts')}#tubes"),)


# ---- loads ----


def chosen_case(query: Mapping[str, str]) -> loads.Case:
    return next((case for case in loads.CASES if case.key == query.get("case")), loads.CASES[0])


CASE_WORDS = {"braking": "Braking", "driving": "Driving", "cornering": "Bend", "step": "Step", "bump": "Landing"}


def load_sections(vehicle_id: str, report: Report, query: Mapping[str, str]) -> tuple[Section, ...]:
    """One case's loads, then every link in every case."""
    unit = report.vehicle.display_unit
    case, every = chosen_case(query), loads.link_loads(report.fit, facts_of(report.vehicle))
    link_words = {link.name: words.sentence_start(link.words) for link in LAYOUTS[report.vehicle.layout].links}
    address = families.address(vehicle_id, "loads")
    choices = tuple(Choice(CASE_WORDS[one.key], f"{address}?{urlencode({'case': one.key})}", one is case)
                    for one in loads.CASES)
    lines = tuple(Line(link_words[load.link], said(abs(load.force), "N", unit), spread(load.sd, "N", unit),
                       pushed(load)) for load in every if load.case == case.key)
    cells = {(load.link, load.case): load for load in every}
    wide = tuple((link_words[name], *(in_table(cells[name, one.key], unit) for one in loads.CASES))
                 for name in dict.fromkeys(load.link for load in every))
    heads = ("Link", *(CASE_WORDS[one.key] for one in loads.CASES))
    return (
        Section(f"Loads: {case.words}", lines, ("load", "±"), choices=choices, notes=(assumed_words(case.key),)),
        Section("Every case", wide_heads=heads, wide=wide, caution=AID,
                intro="Pulled apart is +, pressed together is −."),
    )


def pushed(load: loads.LinkLoad) -> str:
    """Which way a link is loaded, as far as the spread tells."""
    if abs(load.force) <= 2 * load.sd:
        return "Next to nothing, either way."
    return "Pulled apart." if load.force > 0 else "Pressed together."


def in_table(load: loads.LinkLoad, unit: str) -> Markup:
    return Markup('{} <span class="q">{}</span>').format(bare(load.force, "N", unit, True), spread(load.sd, "N", unit))


def assumed_words(case: str) -> str:
    """The factors a case is counted with, said as they are."""
    taken = loads.Assumed()
    spring = f"Springs stand {100 * taken.spring_across:.0f} % of the way out to the wheels, over the axle."
    return {
        "braking": f"All wheels locked, grip {taken.grip:g} of the weight on them. {spring}",
        "driving": f"All the grip of this axle’s tyres, {taken.grip:g} of the weight on them. {spring}",
        "cornering": f"A side pull of {taken.side_grip:g} of the weight on the axle. {spring}",
        "step": f"The left wheel is pushed back and up with {taken.step:g} times what it carries. {spring}",
        "bump": f"Both wheels push up with {taken.bump:g} times what they carry. {spring}",
    }[case] + " Common practice, no source."


# ---- centre of gravity ----


def lift_sections(report: Report) -> tuple[Section, ...]:
    """How well the height would be known for each height one end is raised to."""
    unit = report.vehicle.display_unit
    figures = report.sheet.figures
    height, wheelbase = figures["cg.z"], figures["wheelbase"]
    (front, rear), _ = report.fit.predict(["weight:front", "weight:rear"])
    if figures["cg.x"].value is None or height.value is None or wheelbase.value is None or min(front, rear) <= 0:
        return ()
    about = lift.Weighed(float(front), float(rear), wheelbase.value, report.fit.tyre_radius, height.value)
    lines = tuple(
        Line(f"Rear raised {say(one.rise, 'mm', unit)}", Markup("{}").format(spread(one.sd, "mm", unit)),
             said(one.moved, "kg", unit), f"A lean of {say(one.angle, 'deg', unit)}")
        for one in lift.lift_spread(about, RISES[unit])
    )
    notes = ("Counted with scales good to 5 kg (11 lb) and a tape. The springs must be held so that they do not move, "
             "and the wheels must roll freely.",)
    return (Section("How high to raise one end", lines, ("height then ±", "moves to the scales"), notes=notes,
                    intro="Weigh the front wheels level, then with the rear wheels raised: the higher, the surer.",
                    caution="Never under a raised vehicle: wheels chocked, on a platform that cannot roll or tip."),)
