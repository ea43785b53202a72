"""Setting a link's length: how far to turn what, which way, and how much thread stays in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from flask import Blueprint, abort, render_template, request
from geometry.cutting import FLATS, BadCut, EndAfter, Turned, Turns, set_now, turn_joint, turn_tube, within
from geometry.frame import INCH
from geometry.layouts import Link
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture.cut_list import NoSuchPlan, lengths, say_in
from capture.drawings.turning import turning_drawing
from capture.entry import NotAReading, parse
from capture.lengths import say, say_length
from capture.link_parts import LinkEnd, LinkParts, parts_of_link
from capture.log_entries import SetLength
from capture.report import Report
from capture.screens import cut_words, decided, words
from capture.screens.cut import link_address, link_named, with_plan
from capture.screens.filters import fractions, said
from capture.screens.room import RoomPage, measure_address, report_now, shared

blueprint = Blueprint("set_length", __name__, template_folder="templates")

FINE = 32
"""Thread that shows is read finer than the tape: to 1/32 in."""
TELLS = 0.05
"""mm beside the length wanted that is worth a word."""


@dataclass(frozen=True)
class Typed:
    """One field: what it asks, what was typed, the sentence where that cannot be taken."""

    key: str
    words: str
    text: str
    about: str = ""
    refused: str = ""


@dataclass(frozen=True)
class Way:
    """What can be turned: the tube, or one joint off its bolt."""

    key: str
    words: str
    current: bool


@dataclass(frozen=True)
class EndSaid:
    """One end before and after: thread that shows, thread left in, and what is to be said where it is too little."""

    words: str
    shows: Markup
    then: Markup
    left: Markup
    least: Markup
    trouble: str


@dataclass(frozen=True)
class Result:
    """What to do. turns: "1 turn and 3 flats"; seen: from where; enough: every end keeps its diameter."""

    turns: str
    direction: str
    seen: str
    drawing: Markup
    reached: Markup
    off: str
    step: str
    ends: tuple[EndSaid, ...]
    enough: bool
    limits: str
    said: str
    link_set: SetLength


@dataclass(frozen=True, kw_only=True)
class SetPage(RoomPage):
    link_words: str
    plan: str
    fields: tuple[Typed, ...]
    ways: tuple[Way, ...]
    missing: tuple[str, ...]
    parts_href: str
    result: Result | None
    refused: str
    noted: bool
    action: str
    again: str


@blueprint.get("/vehicles/<vehicle_id>/cut/<link>/set")
def page(vehicle_id: str, link: str) -> str:
    return render_template("set_length.html", page=setting(vehicle_id, link, request.args))


@blueprint.post("/vehicles/<vehicle_id>/cut/<link>/set")
def write_down(vehicle_id: str, link: str) -> Answer | tuple[str, int]:
    """Puts what was set into the record as a note, with the thread that shows."""
    made = setting(vehicle_id, link, request.form)
    report, _ = report_now(vehicle_id)

    def make() -> decided.Bodies:
        if made.result is None or not made.result.enough:
            raise decided.NotTaken(cut_words.NOT_SET_SO)
        said = {"note": made.result.said, "link_set": made.result.link_set.model_dump()}
        return [decided.made("note", stage=report.stage, **said)]

    onward = with_plan(f"{link_address(vehicle_id, link)}/set?noted", made.plan)
    return decided.take(vehicle_id, report.vehicle, make, onward,
                        lambda _: (render_template("set_length.html", page=made), 422))


def setting(vehicle_id: str, link: str, given: Mapping[str, str]) -> SetPage:
    """The page for what was typed; before anything is, the fields are filled as far as they are known."""
    report, version = report_now(vehicle_id)
    known = link_named(report.vehicle, link)
    if f"link_length.{link}" not in lengths(report):
        abort(404)  # a rod whose ends nobody has read
    parts = parts_of_link(report.vehicle.facts, known)
    turning = tuple(end for end in parts.ends if end.thread)
    ways = tuple(ways_of(turning, given.get("turn", "")))
    chosen = next((way.key for way in ways if way.current), "")
    moving = [end for end in turning if chosen in ("tube", end.key)]
    asked = {**filled(report, known, moving, given), **{key: text[:40] for key, text in given.items()}}
    missing = tuple(f"{end.words}: {thing}" for end in moving for _, thing in end.missing if end.turns is None)
    result, refused, fields = None, "", list(fields_of(asked, moving, {}))
    if moving and not missing and asked.get("wanted", "").strip():
        values, troubles = read(fields, report.vehicle.display_unit)
        fields = list(fields_of(asked, moving, troubles))
        if not troubles:
            result, refused = worked_out(report, known, parts, chosen, values)
    shared_fields = shared(vehicle_id, "record", report, version, "Set the length")
    back = with_plan(link_address(vehicle_id, link), given.get("plan", ""))
    shared_fields["head"] = replace(shared_fields["head"], under=words.sentence_start(known.words), back=back,
                                    back_words=f"Back to the {known.words}")
    return SetPage(
        **shared_fields, link_words=known.words, plan=given.get("plan", ""), fields=tuple(fields), ways=ways,
        missing=missing, parts_href=f"{link_address(vehicle_id, link)}#parts", result=result, refused=refused,
        noted="noted" in given, action=f"{link_address(vehicle_id, link)}/set",
        again=measure_address(vehicle_id, f"span:{known.frame}~{known.axle[0]}"),
    )


def ways_of(turning: tuple[LinkEnd, ...], asked: str) -> Iterator[Way]:
    """The tube turns only where its ends have opposite hands; a joint off its bolt always does."""
    keys = [end.key for end in turning]
    opposite = len({end.left for end in turning}) == 2
    keys = (["tube"] if opposite else []) + keys
    current = asked if asked in keys else next(iter(keys), "")
    for key in keys:
        yield Way(key, "The tube" if key == "tube" else cut_words.end_title(key), key == current)


def filled(report: Report, link: Link, moving: list[LinkEnd], given: Mapping[str, str]) -> dict[str, str]:
    """What stands in the fields at first: the length as measured, as planned, and thread showing as it is cut."""
    unit = report.vehicle.display_unit
    key = f"link_length.{link.name}"
    found = {}
    now = lengths(report)[key]
    if now.value is not None and not now.leans:
        found["now"] = say(now.value, "mm", unit)
    if given.get("plan"):
        try:
            planned = lengths(report, given["plan"])[key]
        except NoSuchPlan:
            planned = now
        if planned.value is not None and not planned.leans:
            found["wanted"] = say(planned.value, "mm", unit)
    return found | {end.key: say(end.turns.showing, "mm", unit) for end in moving if end.turns}


def fields_of(asked: Mapping[str, str], moving: list[LinkEnd], troubles: Mapping[str, str]) -> Iterator[Typed]:
    yield Typed("now", "Length now", asked.get("now", ""), cut_words.JOINT_TO_JOINT, troubles.get("now", ""))
    yield Typed("wanted", "Length wanted", asked.get("wanted", ""), "", troubles.get("wanted", ""))
    for end in moving:
        yield Typed(end.key, f"Thread showing, {end.words}", asked.get(end.key, ""),
                    cut_words.FROM_THE_SHOULDER, troubles.get(end.key, ""))


def read(fields: list[Typed], unit: str) -> tuple[dict[str, float], dict[str, str]]:
    """mm by field, and a sentence for each that cannot be read."""
    found, troubles = {}, {}
    for field in fields:
        try:
            found[field.key] = parse(field.text, unit, "mm").value
        except NotAReading as trouble:
            troubles[field.key] = str(trouble)
    return found, troubles


def worked_out(
    report: Report, link: Link, parts: LinkParts, chosen: str, values: Mapping[str, float]
) -> tuple[Result | None, str]:
    """The turns, or the sentence that says why there are none."""
    unit = report.vehicle.display_unit
    spoken = say_in(unit)
    ends = [(end.key, end.turns) for end in parts.ends if end.turns and end.key in values]
    try:
        moving = [set_now(end, values[key], spoken) for key, end in ends]
        if chosen == "tube":
            turns = turn_tube(values["now"], values["wanted"], moving[0], moving[1], spoken)
        else:
            turns = turn_joint(values["now"], values["wanted"], moving[0], say=spoken)
    except BadCut as trouble:
        return None, words.sentence_start(str(trouble))
    shows = [values[key] for key, _ in ends]
    return result_of(link, chosen, shows, moving, turns, values["now"], unit), ""


def result_of(
    link: Link, chosen: str, shows: list[float], moving: list[Turned], turns: Turns, now: float, unit: str
) -> Result:
    """shows: thread showing at each end that is turned, mm."""
    tube = chosen == "tube"
    count = count_words(turns, tube)
    seen = cut_words.LOOKING_AT_THE_JOINT
    if tube:
        seen = cut_words.SEEN_FROM_THE_LEFT if link.name == "tie_rod" else cut_words.SEEN_FROM_THE_FRAME
    shortest, longest = within(now, moving)
    off = ""
    if abs(turns.off) >= TELLS and fine(abs(turns.off), unit) != fine(0.0, unit):
        way, step = "longer" if turns.off > 0 else "shorter", "flat" if tube else "half turn"
        off = cut_words.nothing_nearer(fine(abs(turns.off), unit), way, step)
    then = [show + after.out for show, after in zip(shows, turns.ends, strict=True)]
    showing = " and ".join(cut_words.thread_showing(fine(show, unit), end.words)
                           for show, end in zip(then, moving, strict=True))
    turned = f"{'the tube' if tube else cut_words.the_joint(chosen)} turned {count} {turns.direction}".strip()
    part = f"{decimal(turns.step / FLATS, unit)} a flat" if tube else f"{decimal(turns.step / 2, unit)} half a turn"
    return Result(
        turns=count, direction=turns.direction, seen=seen,
        drawing=turning_drawing(turns.whole, turns.flats, turns.direction == "clockwise", tube,
                                f"{count} {turns.direction}, {seen}", count),
        reached=said(turns.reached, "mm", unit), off=off,
        step=f"{decimal(turns.step, unit)} a whole turn, {part}.",
        ends=tuple(end_said(*one, unit) for one in zip(shows, then, moving, turns.ends, strict=True)),
        enough=turns.enough,
        limits=cut_words.turned_so(say(shortest, "mm", unit), say(longest, "mm", unit)),
        said=cut_words.set_from(words.sentence_start(link.words), say(now, "mm", unit),
                                say(turns.reached, "mm", unit), turned, seen, showing),
        link_set=SetLength.model_construct(
            link=link.name, length=round(turns.reached, 3),
            showing={end.words.removesuffix(" end"): round(max(show, 0.0), 3)
                     for show, end in zip(then, moving, strict=True)}),
    )


def end_said(show: float, then: float, end: Turned, after: EndAfter, unit: str) -> EndSaid:
    trouble = ""
    if not after.enough:
        trouble = cut_words.too_little_engaged(fine(max(after.engaged, 0.0), unit), fine(after.least, unit))
    elif not after.fits:
        trouble = cut_words.CANNOT_GO_IN
    return EndSaid(words.sentence_start(end.words), fractions(fine(show, unit)), fractions(fine(then, unit)),
                   fractions(fine(max(after.engaged, 0.0), unit)), fractions(fine(after.least, unit)), trouble)


def fine(mm: float, unit: str) -> str:
    """A length of thread, to 1/32 in or a tenth of a mm."""
    return say_length(mm, unit, denominator=FINE)


def decimal(mm: float, unit: str) -> str:
    """What a turn goes, finer than any fraction of a tape."""
    return f"{mm / INCH:.3f} in" if unit == "in" else f"{mm:.2f} mm"


def count_words(turns: Turns, tube: bool) -> str:
    """"1 turn and 3 flats" of a tube; "1 1/2 turns" of a joint."""
    if not turns.whole and not turns.flats:
        return "not a flat" if tube else cut_words.NOT_HALF_A_TURN
    if not tube and turns.flats:
        return f"{turns.whole} 1/2 turns" if turns.whole else "half a turn"
    parts = [words.counted(turns.whole, "turn")] if turns.whole else []
    parts += [words.counted(turns.flats, "flat")] if turns.flats else []
    return " and ".join(parts)
