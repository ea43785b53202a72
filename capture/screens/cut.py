"""The cut list: the tube for every link, and one link opened with its drawing, what is taken off, and its parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, abort, render_template, request
from geometry.layouts import LAYOUTS, Link
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from capture.cut_list import COARSE, GUESSED, PARTS, READY, REFUSED, RODS, CutLine, NoSuchPlan, cut_lines
from capture.drawings.link import LETTERS, Said, link_drawing, shortened
from capture.lengths import say, say_with_spread
from capture.link_parts import parts_of_link
from capture.plans import plans
from capture.report import Report
from capture.screens import cut_form, cut_words, decided, words
from capture.screens.behaviour_figure import what_would_tighten
from capture.screens.facts_form import Group
from capture.screens.figure_rows import kinds_of
from capture.screens.filters import bare, said, spread
from capture.screens.room import RoomPage, measure_address, plumbtack, report_now, room_address, shared
from capture.vehicle_file import VehicleFile

blueprint = Blueprint("cut", __name__, template_folder="templates")

MARKS = {READY: "tick", COARSE: "spread", PARTS: "open", GUESSED: "guessed", REFUSED: "flag"}
TITLE = "Cut list"


@dataclass(frozen=True)
class PlanLink:
    """A choice of what the lengths are taken from."""

    words: str
    href: str
    current: bool


@dataclass(frozen=True)
class CutRow:
    """A link in the list. value: the tube, "about" where it is coarse; bolts: joint to joint."""

    words: str
    href: str
    mark: str
    value: Markup | None
    spread: Markup | str
    coarse: bool
    mm: str
    sentence: str


@dataclass(frozen=True, kw_only=True)
class CutPage(RoomPage):
    plan: str
    plans: tuple[PlanLink, ...]
    trouble: str
    measured: bool
    rows: tuple[CutRow, ...]
    walk: str
    ready: str
    table: str


@dataclass(frozen=True)
class Taken:
    """One row of what is taken off: its letter on the drawing."""

    letter: str
    words: str
    value: Markup
    mm: str


@dataclass(frozen=True)
class Waits:
    """A way to make the length surer, and what give or take it leaves; or a reading that is missing."""

    words: str
    href: str
    left: Markup | str = ""


@dataclass(frozen=True, kw_only=True)
class LinkPage(RoomPage):
    """One link. tube: the big number; taken: what is between the bolts and the tube."""

    plan: str
    trouble: str
    link_words: str
    state: str
    doubted: bool
    bolts: Markup | None
    tube: Markup | None
    spread: Markup | str
    tube_mm: str
    drawing: Markup
    broken: str
    taken: tuple[Taken, ...]
    sentences: tuple[str, ...]
    waits: tuple[Waits, ...]
    missing: tuple[Waits, ...]
    groups: tuple[Group, ...]
    refused: int
    saved: bool
    twin: str
    action: str
    set_href: str


@blueprint.get("/vehicles/<vehicle_id>/cut")
def page(vehicle_id: str) -> str:
    report, version = report_now(vehicle_id)
    plan, trouble, lines = asked_lines(report)
    fields = shared(vehicle_id, "record", report, version, TITLE)
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "record"), back_words=words.TO_THE_RECORD)
    return render_template("cut.html", page=CutPage(
        **fields, plan=plan, plans=tuple(plan_links(vehicle_id, report.vehicle, plan)), trouble=trouble,
        measured=bool(report.stage_view.observations), walk=room_address(vehicle_id, "walk"),
        rows=tuple(row(vehicle_id, report, line, plan) for line in lines),
        ready=room_address(vehicle_id, "ready"), table=room_address(vehicle_id, "record"),
    ))


@blueprint.get("/vehicles/<vehicle_id>/cut/<link>")
def one(vehicle_id: str, link: str) -> str:
    return render_template("cut_link.html", page=opened(vehicle_id, link, saved="saved" in request.args))


@blueprint.post("/vehicles/<vehicle_id>/cut/<link>/parts")
def keep(vehicle_id: str, link: str) -> Answer | tuple[str, int]:
    """Keeps the parts as typed, or those of the twin; a field that cannot be read comes back as it was typed."""
    vehicle = plumbtack().store.head(vehicle_id)
    known = link_named(vehicle, link)
    twin = cut_form.twin_of(vehicle, known)
    if request.form.get("deed") == "copy" and twin:
        found, refused = cut_form.copied(vehicle, known, twin), {}
        typed: Mapping[str, str] = {}
    else:
        typed = {key: text[:200] for key, text in request.form.items()}
        found, refused = cut_form.read(vehicle, known, typed)
    if refused:
        if decided.held_by_a_phone():
            return decided.not_taken(*dict.fromkeys(refused.values()))
        return render_template("cut_link.html", page=opened(vehicle_id, link, typed, refused)), 422
    query = urlencode({"saved": "", **({"plan": request.form["plan"]} if request.form.get("plan") else {})})
    return decided.change_facts(vehicle_id, found, f"{link_address(vehicle_id, link)}?{query}")


def asked_lines(report: Report) -> tuple[str, str, tuple[CutLine, ...]]:
    """The plan asked for, what is to be said of it where it cannot be followed, and the list."""
    plan = request.values.get("plan", "")
    try:
        return plan, "", cut_lines(report, plan)
    except NoSuchPlan as trouble:
        return "", str(trouble), cut_lines(report)


def plan_links(vehicle_id: str, vehicle: VehicleFile, plan: str) -> Iterator[PlanLink]:
    known = plans(vehicle)
    if known:
        yield PlanLink("As measured", room_address(vehicle_id, "cut"), not plan)
    for name in known:
        yield PlanLink(name, f"{room_address(vehicle_id, 'cut')}?{urlencode({'plan': name})}", name == plan)


def link_address(vehicle_id: str, link: str) -> str:
    return f"{room_address(vehicle_id, 'cut')}/{link}"


def with_plan(address: str, plan: str) -> str:
    if not plan:
        return address
    return f"{address}{'&' if '?' in address else '?'}{urlencode({'plan': plan})}"


def link_named(vehicle: VehicleFile, name: str) -> Link:
    """The link of this name; 404 where the layout has none."""
    found = next((link for link in (*LAYOUTS[vehicle.layout].links, *RODS) if link.name == name), None)
    if found is None:
        abort(404)
    return found


def row(vehicle_id: str, report: Report, line: CutLine, plan: str) -> CutRow:
    unit = report.vehicle.display_unit
    href = with_plan(link_address(vehicle_id, line.link.name), plan)
    title = words.sentence_start(line.link.words)
    mark = "doubt" if line.doubted else MARKS[line.state]
    if line.made is None:
        return CutRow(title, href, mark, None, "", False, "", cut_words.why_not(line))
    coarse = line.state == COARSE
    length = line.about(unit) if coarse else line.made.length
    sentence = cut_words.can_be_set(say(line.made.each_way, "mm", unit))
    if coarse:
        sentence = cut_words.MORE_THAN_CAN_BE_SET
    return CutRow(title, href, mark, said(length, "mm", unit), spread(line.made.sd, "mm", unit), coarse,
                  f"{length:.0f} mm" if unit == "in" else "", sentence)


def opened(vehicle_id: str, link: str, typed: Mapping[str, str] | None = None,
           refused: Mapping[str, str] | None = None, saved: bool = False) -> LinkPage:
    """One link with its drawing and its form."""
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    known = link_named(vehicle, link)
    plan, trouble, lines = asked_lines(report)
    line = next((one for one in lines if one.link.name == link), None)
    if line is None:
        abort(404)  # a rod whose ends nobody has read
    fields = shared(vehicle_id, "record", report, version, words.sentence_start(known.words))
    back = with_plan(room_address(vehicle_id, "cut"), plan)
    fields["head"] = replace(fields["head"], under=plan or fields["head"].under, back=back,
                             back_words=cut_words.TO_THE_CUT_LIST)
    twin = cut_form.twin_of(vehicle, known)
    return LinkPage(
        **fields, plan=plan, trouble=trouble, link_words=known.words, state=line.state, doubted=line.doubted,
        **numbers(report, line), sentences=tuple(cut_words.sentences(line, vehicle.display_unit)),
        waits=tuple(ways_to_be_surer(vehicle_id, report, line, plan)),
        missing=tuple(readings_missing(vehicle_id, line)),
        groups=cut_form.shown(vehicle, known, typed, refused), refused=len(refused or {}), saved=saved,
        twin=twin.words if twin and worth_copying(vehicle, known, twin) else "",
        action=f"{link_address(vehicle_id, link)}/parts",
        set_href=with_plan(f"{link_address(vehicle_id, link)}/set", plan),
    )


def worth_copying(vehicle: VehicleFile, link: Link, twin: Link) -> bool:
    """Whether the twin's parts are all stated, and this link's are not the same."""
    known, here = parts_of_link(vehicle.facts, twin), parts_of_link(vehicle.facts, link)
    return not known.missing and (known.frame.end, known.axle.end) != (here.frame.end, here.axle.end)


def numbers(report: Report, line: CutLine) -> dict[str, Any]:
    """The lengths as the page shows them, and the drawing."""
    unit = report.vehicle.display_unit
    length = line.length
    known = line.state != GUESSED and length.value is not None and length.sd is not None
    bolts = None
    if known:
        bolts = Markup("{} <span class=\"pm\">{}</span>").format(said(length.value or 0.0, "mm", unit),
                                                               spread(length.sd or 0.0, "mm", unit))
    if line.made is None or line.parts.frame.end is None or line.parts.axle.end is None:
        return {"bolts": bolts, "tube": None, "spread": "", "tube_mm": "", "drawing": Markup(), "broken": "",
                "taken": ()}
    coarse = line.state == COARSE
    tube = line.about(unit) if coarse else line.made.length
    ends = (line.parts.frame.end, line.parts.axle.end)
    out = shortened(line.made.length, ends, line.parts.outside)
    about = "about " if coarse else ""
    told = Said(
        whole=say_with_spread(length.value or 0.0, length.sd or 0.0, "mm", unit), tube=about + say(tube, "mm", unit),
        frame=say(ends[0].taken_off, "mm", unit), axle=say(ends[1].taken_off, "mm", unit),
        left_out=cut_words.tube_left_out(say(out, "mm", unit)),
        label=f"{words.sentence_start(line.link.words)}: tube {about}{say(tube, 'mm', unit)}, joint to joint "
              f"{say(length.value or 0.0, 'mm', unit)}",
    )
    return {
        "bolts": bolts, "tube": said(tube, "mm", unit), "spread": spread(line.made.sd, "mm", unit),
        "tube_mm": f"{tube:.0f} mm" if unit == "in" else "",
        "drawing": link_drawing(line.made.length, ends, line.parts.outside, told),
        "broken": cut_words.scale_words(line, out, unit), "taken": tuple(taken_off(line, unit)),
    }


def taken_off(line: CutLine, unit: str) -> Iterator[Taken]:
    """From joint to joint down to the tube."""
    assert line.made is not None
    for letter, (said_as, size) in zip(LETTERS, line.made.parts, strict=False):
        yield Taken(letter, words.sentence_start(said_as), bare(size, "mm", unit), f"{size:.1f}")


def ways_to_be_surer(vehicle_id: str, report: Report, line: CutLine, plan: str) -> Iterator[Waits]:
    """Readings that would tighten the length most, with what would be left of its give or take as measured."""
    if line.state == GUESSED or line.length.value is None:
        return
    kind = next((kind for kind in kinds_of(report) if kind.key == line.length.key), None)
    if kind is None:
        yield from bolt_to_bolt(vehicle_id, line)
        return
    for gain in what_would_tighten(vehicle_id, report, kind):
        yield Waits(words.sentence_start(gain.words), gain.href, "" if plan else gain.left)


def readings_missing(vehicle_id: str, line: CutLine) -> Iterator[Waits]:
    """What a guessed length waits for: the tape from bolt to bolt first, as it says the whole of it."""
    if line.state == GUESSED:
        yield from bolt_to_bolt(vehicle_id, line)


def bolt_to_bolt(vehicle_id: str, line: CutLine) -> Iterator[Waits]:
    """The tape along the whole of it."""
    for end in line.link.axle:
        yield Waits(f"{words.sentence_start(line.link.words)}, bolt to bolt",
                    measure_address(vehicle_id, f"span:{line.link.frame}~{end}"))
