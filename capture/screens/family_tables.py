"""What a family shows besides figures: every joint, every gap, every link's load, and how high to lift."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from urllib.parse import urlencode

from geometry.figures import clearance, flatten, joints, lift
from geometry.figures.base import NotYet
from geometry.layouts import LAYOUTS
from markupsafe import Markup

from capture.lengths import say, say_length, say_spread
from capture.report import Report, facts_of
from capture.screens import families, family_pictures, words
from capture.screens.filters import said, spread
from capture.screens.load_tables import AID, chosen_case, load_sections
from capture.screens.room import room_address
from capture.screens.sections import Line, Section, pose_at, where

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
        "balance": partial(lift_sections, report),
        "steering": partial(flatten_sections, report),
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
    found = [("case", query["case"])] if query.get("case") == chosen_case(query).key else []
    return (*found, *((key, query[key][:120]) for key in ("pair", "view") if query.get(key)))


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
        place = words.sentence_start(where(swing.travel, swing.lift, unit))
        rated = "" if swing.rated is None else f"Rated {say(swing.rated, 'deg', unit)}. {swing.sentence}"
        unrated = unrated or swing.rated is None
        lines.append(Line(title, said(swing.most, "deg", unit), spread(swing.sd, "deg", unit), rated, place,
                          pose_at(families.address(vehicle_id, "joints"), swing.travel, swing.lift), swing.leans))
    (plain, most), (soft, softest) = joints.USUAL_RATED, joints.USUAL_BUSH
    notes = [f"Plain rod ends are usually good for {plain:.0f} to {most:.0f}° each way, 30 or more with spacers; "
             f"rubber gives {soft:.0f} to {softest:.0f}° freely. Common practice, no source."]
    if unrated:
        notes.insert(0, "Where a joint’s rating or its bolt’s direction is not stated, the angle is the whole turn "
                        "from ride height.")
    return (Section("The most each joint leans", tuple(lines), ("most", "±"), notes=tuple(notes),
                    facts_href=f"{room_address(vehicle_id, 'facts')}#joints"),)


# ---- clearance ----


def clearance_sections(vehicle_id: str, report: Report, query: Mapping[str, str]) -> tuple[Section, ...]:
    unit, table = report.vehicle.display_unit, report.gaps
    chosen = family_pictures.chosen_gap(table.rows, query) if table.rows else None
    lines, own = [], set()
    for row in table.rows:
        if len(lines) >= MOST_GAPS and row is not chosen and (row.other in own or not row.other.startswith(OWN)):
            continue
        own.add(row.other)
        place = words.sentence_start(where(row.travel, row.lift, unit, row.steer))
        less = row.least < row.usual
        pair = urlencode({"pair": family_pictures.gap_key(row)})
        href = f"{families.address(vehicle_id, 'clearance')}?{pair}#picture"
        lines.append(Line(f"{words.sentence_start(row.words[0])} and {row.words[1]}", said(row.least, "mm", unit),
                          spread(row.sd, "mm", unit), row.sentence if less else "", place, href, row.leans,
                          row is chosen))
    rest = len(table.rows) - len(lines)
    notes = [taken_words(table, unit), *([table.remark] if table.remark else []),
             *([f"{rest} more pairs have more room."] if rest > 0 else []),
             "People usually leave 25 mm (1 in) round a tyre and a sump, 20 round the shaft, 12 to 20 between bars: "
             "brackets, bent tubes and soft bushings use up 10 to 15. Common practice, no source.",
             "A point that must not be touched is a point: give a large thing several, or state it as a body."]
    gaps = Section("The least gap of each pair", tuple(lines), ("least", "±"), notes=tuple(filter(None, notes)),
                   facts_href=f"{room_address(vehicle_id, 'facts')}#bodies")
    if table.needs or table.unfit:
        return gaps, Section("", needs=table.needs, reason=" ".join(table.unfit))
    return (gaps,)


def taken_words(table: clearance.ClearanceTable, unit: str) -> str:
    """What the table was counted with that nobody stated, in one sentence."""
    taken = [one.words if one.mm is None else one.words.format(say_length(one.mm, unit)) for one in table.assumed]
    return f"Taken as usual, as it is not stated: {words.listed(taken)}." if taken else ""


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
    notes = (*high_enough(report, about, height.sd or 0.0),
             "Counted with scales good to 5 kg (11 lb) and a tape. The springs must be held so that they do not move, "
             "and the wheels must roll freely.")
    return (Section("How high to raise one end", lines, ("height ±", "moves"), notes=notes,
                    intro="Weigh the front wheels level, then with the rear wheels raised: the higher, the surer.",
                    caution="Never under a raised vehicle: wheels chocked, on a platform that cannot roll or tip."),)


def high_enough(report: Report, about: lift.Weighed, now: float) -> Iterator[str]:
    """Which rise beats what is known now, and from which on a higher one is hardly worth it."""
    unit = report.vehicle.display_unit
    better, wanted = lift.rise_for(about, now), lift.height_enough(report.fit, facts_of(report.vehicle))
    if better is None:
        yield f"The height is known as well already as a lift would tell it ({say_spread(2 * now, 'mm', unit)})."
    else:
        yield (f"From {say(better.rise, 'mm', unit)} on a lift tells more than what is known now "
               f"({say_spread(2 * now, 'mm', unit)}).")
    enough = None if wanted is None else lift.rise_for(about, wanted)
    if enough is not None and wanted is not None:
        yield (f"High enough is {say(enough.rise, 'mm', unit)}: from there on the other readings leave more doubt in "
               "the anti figures than the height does.")
    elif wanted is not None:
        yield ("Even the highest lift leaves more doubt in the anti figures than the other readings do: weigh at "
               "three heights, up and down again.")


# ---- bump steer ----


def flatten_sections(report: Report) -> tuple[Section, ...]:
    """Where the panhard bar's frame end would flatten bump steer: anywhere, and along an upright row of holes."""
    unit = report.vehicle.display_unit
    found = flatten.flattening(report.fit, facts_of(report.vehicle))
    lines = []
    for title, flatter, axes in (("Best of all", found.free, (0, 1, 2)), ("Straight up or down", found.upright, (2,))):
        if flatter is None:
            continue
        moved = [axis for axis in axes if abs(flatter.by[axis]) >= 0.5]
        lines.append(Line(title, None if moved else said(0.0, "mm", unit), "", flatter.sentence, heading=bool(moved)))
        for axis in moved:
            way, place = WAYS[axis][flatter.by[axis] > 0], flatter.place[axis]
            there = f"to {say(abs(place), 'mm', unit)} {AT[axis][place > 0]}"
            lines.append(Line(words.sentence_start(way), said(abs(flatter.by[axis]), "mm", unit),
                              spread(flatter.sd[axis], "mm", unit), there))
    reason = found.reason or ""
    return (Section("To flatten bump steer, move the panhard’s frame end", tuple(lines), ("by", "±"),
                    needs=found.needs, reason=reason,
                    notes=("Over 75 mm (3 in) of travel each way; the bar’s length goes with its end.",)),)


WAYS = (("back", "forward"), ("right", "left"), ("down", "up"))
AT = (("behind the axle", "ahead of the axle"), ("right of the middle", "left of the middle"),
      ("below the floor", "above the floor"))
