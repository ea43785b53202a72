"""What a family shows besides figures: every joint, every gap, every link's load, and how high to lift."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from urllib.parse import urlencode

from geometry.figures import clearance, flatten, joints, lift
from geometry.figures.base import NotYet
from geometry.layouts import LAYOUTS
from markupsafe import Markup

from capture import doubted_parts
from capture.lengths import say, say_length, say_spread
from capture.report import Report, facts_of
from capture.screens import families, family_pictures, family_words, load_words, words
from capture.screens.filters import said, spread
from capture.screens.load_tables import chosen_case, load_sections
from capture.screens.readings_said import need
from capture.screens.room import room_address
from capture.screens.sections import Choice, Line, Section, pose_at, where

MOST_GAPS = 8
OWN = ("body.", "keep_clear.")
"""What the person named himself always stands in the table, at its nearest."""
RISES = {"in": tuple(25.4 * inches for inches in (6, 10, 14, 18, 24)), "mm": (150.0, 250.0, 350.0, 450.0, 600.0)}


def of(key: str, vehicle_id: str, report: Report, query: Mapping[str, str]) -> tuple[Section, ...]:
    """The tables of a family; one that cannot be had yet says what it waits for."""
    make: Callable[[], tuple[Section, ...]] | None = {
        "joints": partial(joint_sections, vehicle_id, report),
        "clearance": partial(clearance_sections, vehicle_id, report, query),
        "loads": partial(load_sections, vehicle_id, report, query),
        "balance": partial(lift_sections, vehicle_id, report),
        "steering": partial(flatten_sections, report),
    }.get(key)
    if make is None:
        return ()
    try:
        return make()
    except NotYet as wait:
        caution = load_words.SIZING_AID if key == "loads" else ""
        return (Section("", needs=wait.needs, reason=wait.reason or "", caution=caution),)


def asked(query: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """What of an address belongs to these tables."""
    found = [("case", query["case"])] if query.get("case") == chosen_case(query).key else []
    return (*found, *((key, query[key][:120]) for key in ("pair", "view") if query.get(key)))


# ---- joints ----


def joint_sections(vehicle_id: str, report: Report) -> tuple[Section, ...]:
    unit = report.vehicle.display_unit
    link_words = {link.name: link.words for link in LAYOUTS[report.vehicle.layout].links}
    lines, unrated, doubted = [], False, doubted_parts.joints_in_doubt(report)
    for swing in joints.joint_swings(report.fit, facts_of(report.vehicle)):
        title = words.sentence_start(f"{link_words.get(swing.link, swing.link)}, {swing.end} end")
        if swing.most is None or swing.sd is None:
            lines.append(Line(title, None, remark=swing.sentence))
            continue
        place = words.sentence_start(where(swing.travel, swing.lift, unit))
        rated = "" if swing.rated is None else f"Rated {say(swing.rated, 'deg', unit)}. {swing.sentence}"
        unrated = unrated or swing.rated is None
        lines.append(Line(title, said(swing.most, "deg", unit, sd=swing.sd), spread(swing.sd, "deg", unit), rated,
                          place,
                          pose_at(families.address(vehicle_id, "joints"), swing.travel, swing.lift), swing.leans,
                          doubted=(swing.link, swing.end) in doubted))
    (plain, most), (soft, softest) = joints.USUAL_RATED, joints.USUAL_BUSH
    notes = [family_words.usual_joints(plain, most, soft, softest)]
    if unrated:
        notes.insert(0, family_words.WHOLE_TURN)
    return (Section(family_words.MOST_EACH_JOINT_LEANS, tuple(lines), ("most", "±"), notes=tuple(notes),
                    facts_href=f"{room_address(vehicle_id, 'facts')}#joints"),)


# ---- clearance ----


def clearance_sections(vehicle_id: str, report: Report, query: Mapping[str, str]) -> tuple[Section, ...]:
    unit, table = report.vehicle.display_unit, report.gaps
    chosen = family_pictures.chosen_gap(table.rows, query) if table.rows else None
    lines, own, needs, doubted = [], set(), [], doubted_parts.gaps_in_doubt(report)
    for row in table.rows:
        if len(lines) >= MOST_GAPS and row is not chosen and (row.other in own or not row.other.startswith(OWN)):
            continue
        own.add(row.other)
        needs += row.needs
        place = words.sentence_start(where(row.travel, row.lift, unit, row.steer))
        less = row.least < row.usual
        pair = urlencode({"pair": family_pictures.gap_key(row)})
        href = f"{families.address(vehicle_id, 'clearance')}?{pair}#picture"
        lines.append(Line(f"{words.sentence_start(row.words[0])} and {row.words[1]}",
                          said(row.least, "mm", unit, sd=row.sd),
                          spread(row.sd, "mm", unit), row.sentence if less else "", place, href, row.leans,
                          row is chosen, doubted=(row.one, row.other) in doubted))
    rest = len(table.rows) - len(lines)
    notes = [taken_words(table, unit), *([table.remark] if table.remark else []),
             *([family_words.more_pairs(rest)] if rest > 0 else []),
             family_words.USUAL_ROOM,
             family_words.A_POINT_IS_A_POINT]
    gaps = Section(family_words.LEAST_GAPS, tuple(lines), ("least", "±"), notes=tuple(filter(None, notes)),
                   facts_href=f"{room_address(vehicle_id, 'facts')}#bodies", needs=tuple(needs))
    if table.needs or table.unfit:
        return gaps, Section("", needs=table.needs, reason=" ".join(table.unfit))
    return (gaps,)


def taken_words(table: clearance.ClearanceTable, unit: str) -> str:
    """What the table was counted with that nobody stated, in one sentence."""
    taken = [one.words if one.mm is None else one.words.format(say_length(one.mm, unit)) for one in table.assumed]
    return family_words.taken_as_usual(words.listed(taken)) if taken else ""


# ---- centre of gravity ----


LIFT = ("lifted_rise:rear", "lifted_weight:front")


def lift_sections(vehicle_id: str, report: Report) -> tuple[Section, ...]:
    """How well the height would be known for each height one end is raised to."""
    unit, height, about = report.vehicle.display_unit, report.sheet.figures["cg.z"], weighed(report)
    if about is None:
        return ()
    lines = tuple(
        Line(f"Rear raised {say(one.rise, 'mm', unit)}", Markup("{}").format(spread(one.sd, "mm", unit)),
             said(one.moved, "kg", unit), f"A lean of {say(one.angle, 'deg', unit)}")
        for one in lift.lift_spread(about, RISES[unit])
    )
    notes = (*high_enough(report, about, height.sd or 0.0),
             family_words.COUNTED_WITH)
    return (Section(family_words.HOW_HIGH, lines, ("height ±", "moves"), notes=notes,
                    intro=family_words.WEIGH_TWICE, caution=family_words.NEVER_UNDER,
                    reads=tuple(lift_readings(vehicle_id, report))),)


def lift_readings(vehicle_id: str, report: Report) -> Iterator[Choice]:
    """Where a lift is written down, once for each of its two readings that is not there yet."""
    read = {seen.name for seen in report.fit.observations}
    for name in LIFT:
        if name not in read:
            asked = need(vehicle_id, report.vehicle, name)
            yield Choice(asked.deed, asked.href, False)


def weighed(report: Report) -> lift.Weighed | None:
    """The vehicle about to be lifted; None before its weights and its height are known."""
    figures = report.sheet.figures
    height, wheelbase = figures["cg.z"], figures["wheelbase"]
    if figures["cg.x"].value is None or height.value is None or wheelbase.value is None:
        return None
    return lift.rear_to_lift(report.fit, (wheelbase.value, wheelbase.sd or 0.0), height.value)


def high_enough(report: Report, about: lift.Weighed, now: float) -> Iterator[str]:
    """Which rise beats what is known now, and from which on a higher one is hardly worth it."""
    unit = report.vehicle.display_unit
    better, wanted = lift.rise_for(about, now), lift.height_enough(report.fit, facts_of(report.vehicle))
    if better is None:
        yield family_words.known_already(say_spread(2 * now, "mm", unit))
    else:
        yield family_words.tells_more_from(say(better.rise, "mm", unit), say_spread(2 * now, "mm", unit))
    enough = None if wanted is None else lift.rise_for(about, wanted)
    if enough is not None and wanted is not None:
        yield family_words.high_enough_from(say(enough.rise, "mm", unit))
    elif wanted is not None:
        yield family_words.HIGHEST_IS_TOO_LITTLE


# ---- bump steer ----


def flatten_sections(report: Report) -> tuple[Section, ...]:
    """Where the panhard bar's frame end would flatten bump steer: anywhere, and along an upright row of holes."""
    unit = report.vehicle.display_unit
    found = flatten.flattening(report.fit, facts_of(report.vehicle))
    lines = []
    ways = ((family_words.BEST_OF_ALL, found.free, (0, 1, 2)), (family_words.STRAIGHT_UP_OR_DOWN, found.upright, (2,)))
    for title, flatter, axes in ways:
        if flatter is None:
            continue
        moved = [axis for axis in axes if abs(flatter.by[axis]) >= 0.5]
        lines.append(Line(title, None if moved else said(0.0, "mm", unit), "", flatter.sentence, heading=bool(moved)))
        for axis in moved:
            way, place = family_words.WAYS[axis][flatter.by[axis] > 0], flatter.place[axis]
            there = f"to {say(abs(place), 'mm', unit)} {family_words.AT[axis][place > 0]}"
            lines.append(Line(words.sentence_start(way), said(abs(flatter.by[axis]), "mm", unit, sd=flatter.sd[axis]),
                              spread(flatter.sd[axis], "mm", unit), there))
    reason, figure = found.reason or "", report.sheet.figures.get("bump_steer_75")
    return (Section(family_words.FLATTEN, tuple(lines), ("by", "±"),
                    needs=found.needs, reason=reason,
                    intro=family_words.BY_A_GUESS if lines and figure is not None and figure.leans else "",
                    notes=(family_words.OVER_THE_TRAVEL,)),)
