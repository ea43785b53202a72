"""The stages of a vehicle: which have begun, and starting the next one with what it carries over and asks for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from flask import Blueprint, render_template, request
from geometry.proof import MOVE_MM
from werkzeug.wrappers import Response as Answer

from capture import stage_log, stages
from capture.json_text import BadFile
from capture.log_entries import Begin, Reading, Withdraw
from capture.proving import Proving, Rung, proving
from capture.screens import decided, stage_words, words
from capture.screens.readings_said import short_words
from capture.screens.room import RoomPage, plumbtack, report_now, room_address, shared
from capture.screens.stage_words import both, finer_said, shown_said
from capture.vehicle_file import VehicleFile

blueprint = Blueprint("stage", __name__, template_folder="templates")

LONGEST_NAME = 60
CLEARLY_SHORTER = 0.8


@dataclass(frozen=True)
class StageRow:
    """A stage that has begun. takes: how many readings of its own; back: the entry that taking it back withdraws."""

    words: str
    about: str
    mark: str
    href: str
    deed: str
    back: str = ""


@dataclass(frozen=True)
class RungChoice:
    """A walk he can choose: the move it shows, mm, as its value."""

    value: str
    words: str
    about: str
    checked: bool


@dataclass(frozen=True)
class Asked:
    """A reading of the walk in the list."""

    words: str
    times: str


@dataclass(frozen=True)
class ToStart:
    """The stage that could be started. others: stages that could be started in its place, words and address."""

    stage: str
    words: str
    others: tuple[tuple[str, str], ...]
    setting: bool
    carried: str
    shows: str
    finer: str
    left_out: str
    rungs: tuple[RungChoice, ...]
    asked: tuple[Asked, ...]
    usual: bool


@dataclass(frozen=True, kw_only=True)
class StagesPage(RoomPage):
    rows: tuple[StageRow, ...]
    start: ToStart | None
    typed: str = ""
    refused: str = ""
    closed: str = ""
    longest: int = LONGEST_NAME


@blueprint.get("/vehicles/<vehicle_id>/stage")
def page(vehicle_id: str) -> str:
    return render_template("stage.html", page=stages_page(vehicle_id, request.args))


def stages_page(vehicle_id: str, asked: Mapping[str, str], refused: str = "") -> StagesPage:
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    fields = shared(vehicle_id, "record", report, version, "Stages")
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "record"), back_words=words.TO_THE_RECORD)
    return StagesPage(
        **fields,
        rows=tuple(_rows(vehicle_id, vehicle)),
        start=_to_start(vehicle, asked.get("stage", "")),
        typed=asked.get("name", "")[:LONGEST_NAME],
        refused=refused,
        closed=stage_log.closed_sentence(vehicle, shut) if (shut := asked.get("closed")) in stages.MEASURED else "",
    )


def _rows(vehicle_id: str, vehicle: VehicleFile) -> Iterator[StageRow]:
    walk = room_address(vehicle_id, "walk")
    own = [entry.stage for entry in vehicle.entries if isinstance(entry, Reading)]
    gone = {entry.of for entry in vehicle.entries if isinstance(entry, Withdraw)}
    begins = {entry.stage: entry.id for entry in vehicle.entries if isinstance(entry, Begin) and entry.id not in gone}
    for stage in stage_log.begun(vehicle):
        said = words.sentence_start(stage_log.said(vehicle, stage))
        closing = stage_log.closing_of(vehicle, stage)
        count = words.counted(own.count(stage), "reading")
        if closing:
            yield StageRow(said, f"{count}. Closed {words.moment(closing.entry.at)}.", "tick",
                           room_address(vehicle_id, "close"), "Its fingerprint")
        else:
            yield StageRow(said, f"{count}, open.", "measured" if stage in own else "waiting", f"{walk}?stage={stage}",
                           "Measure", begins.get(stage, "") if stage not in own else "")


def _to_start(vehicle: VehicleFile, wanted: str) -> ToStart | None:
    following = stage_log.following(vehicle)
    if not following:
        return None
    stage = wanted if wanted in following else following[0]
    found = proving(vehicle, stage)
    before = stage_log.said(vehicle, found.before) if found else ""
    return ToStart(
        stage=stage,
        words=stages.said(stage),
        others=tuple((stages.said(other), f"?stage={other}") for other in following if other != stage),
        setting=stages.is_setting(stage),
        carried=stage_words.count_on(words.counted(found.carried, "reading"), before)
        if found else "",
        shows=shown_said(found, vehicle.display_unit) if found else "",
        finer=finer_said(found, vehicle.display_unit) if found else "",
        left_out=_left_out(found),
        rungs=tuple(_rungs(found, vehicle.display_unit)) if found else (),
        asked=tuple(Asked(words.sentence_start(short_words(vehicle, step.name)), _times(step.takes))
                    for step in found.proof.steps) if found else (),
        usual=found is None,
    )


def _left_out(found: Proving | None) -> str:
    if found is None or not found.unknown:
        return ""
    are = "bolt stands" if len(found.unknown) == 1 else "bolts stand"
    return stage_words.on_a_guess(len(found.unknown), are)


def _rungs(found: Proving, unit: str) -> Iterator[RungChoice]:
    for rung in worth_choosing(found):
        yield RungChoice(f"{rung.move:g}", f"± {both(rung.told, unit)}", stage_words.rung_about(rung, unit),
                         rung.move == found.move)


def worth_choosing(found: Proving) -> Iterator[Rung]:
    """The chosen walk, and those that are clearly shorter than the one before."""
    last = float("inf")
    for rung in found.rungs:
        if rung.move == found.move or rung.minutes < CLEARLY_SHORTER * last:
            last = rung.minutes
            yield rung


def _times(takes: int) -> str:
    return "" if takes == 1 else "twice" if takes == 2 else f"{takes} times"


# ---- starting, and taking that back ----


@blueprint.post("/vehicles/<vehicle_id>/stage")
def start(vehicle_id: str) -> Answer | tuple[str, int]:
    """Begins a stage: an entry of the log. A stage out of order is refused in a sentence."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    stage, name = request.form.get("stage", ""), " ".join(request.form.get("name", "").split())

    def make() -> decided.Bodies:
        if refused := trouble_with(vehicle, stage, name):
            raise decided.NotTaken(refused)
        body = decided.made("begin", stage=stage)
        body |= {"name": name} if stages.is_setting(stage) else {}
        return [body | ({"move": move} if (move := _move(request.form.get("move", ""))) else {})]

    def again(refused: str) -> tuple[str, int]:
        return render_template("stage.html", page=stages_page(vehicle_id, request.form, refused)), 422

    onward = f"{room_address(vehicle_id, 'cautions')}?stage={stage}&before=walk"
    try:
        return decided.take(vehicle_id, vehicle, make, onward, again)
    except BadFile as trouble:
        if decided.held_by_a_phone():
            raise
        return again(trouble.bare)


def trouble_with(vehicle: VehicleFile, stage: str, name: str) -> str:
    """Why this stage cannot be started now; nothing when it can."""
    following = stage_log.following(vehicle)
    if not stages.is_stage(stage) or stage == stages.PLAN:
        return stage_words.CHOOSE_ONE_TO_START
    if stage in stage_log.begun(vehicle):
        return stage_words.begun_already(words.sentence_start(stages.said(stage)))
    now = stages.said(stage_log.current(vehicle))
    if not stage_log.begun(vehicle):
        return stage_words.MOCK_UP_FIRST
    if not following:
        return stage_words.nothing_read_yet(now)
    if stage not in following:
        other = words.listed([stages.said(one) for one in following], "or")
        return stage_words.cannot_follow(words.sentence_start(stages.said(stage)), now, other)
    if stages.is_setting(stage) and not name:
        return stage_words.SAY_WHAT_IS_DIFFERENT
    if len(name) > LONGEST_NAME:
        return stage_words.name_too_long(len(name), LONGEST_NAME)
    return ""


def _move(typed: str) -> float | None:
    try:
        move = float(typed)
    except ValueError:
        return None
    return move if MOVE_MM <= move <= 100.0 else None


@blueprint.post("/vehicles/<vehicle_id>/stage/back")
def take_back(vehicle_id: str) -> Answer:
    """Takes the beginning of a stage back that nothing was read at."""
    vehicle = plumbtack().store.vehicle(vehicle_id)
    of = request.form.get("of", "")
    found = next((entry for entry in vehicle.entries if isinstance(entry, Begin) and entry.id == of), None)
    own = {entry.stage for entry in vehicle.entries if isinstance(entry, Reading)}
    bodies = []
    if found is not None and found.stage not in own and not decided.taken_before(vehicle_id):
        bodies = [decided.made("withdraw", stage=found.stage, of=of, note="not begun")]
    decided.store(vehicle_id, vehicle, bodies)
    return decided.gone_on(room_address(vehicle_id, "stage"), [body["id"] for body in bodies] or [decided.form_id()])
