"""The vehicle file: read, check, write. JSON, UTF-8; what is in it is said in the models below.

Reading refuses with one plain sentence that names the place. A file that is read and written again comes out the
same, bit for bit: numbers keep their digits, keys that were left out stay out, entries keep their order.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from typing import Annotated, Any, Literal

from geometry.errors import BadName
from geometry.layouts import LAYOUTS
from geometry.points import point_named
from geometry.readings import parse_name
from pydantic import AfterValidator, Field, TypeAdapter, ValidationError

from capture.fingerprint import fingerprint
from capture.json_text import AGAIN, BadFile, plain, read_json, shown
from capture.log_entries import (
    LARGEST_VALUE,
    MOVES,
    STAGES,
    TYPES,
    Close,
    Entry,
    Holes,
    Keep,
    Line,
    MovePlan,
    Note,
    Part,
    Photo,
    Positive,
    Reading,
    SetAside,
    Share,
    Withdraw,
    not_blank,
)

__all__ = [
    "FORMAT", "LARGEST_VALUE", "STAGES", "VERSION", "BadFile", "Close", "Entry", "Facts", "Holes", "Keep", "MovePlan",
    "Note", "Photo", "Reading", "SetAside", "Thread", "Tube", "VehicleFile", "Withdraw", "check_entries", "entry_text",
    "read_vehicle_file", "vehicle_from_log", "write_vehicle_file",
]  # fmt: skip

FORMAT = "plumbtack vehicle"
VERSION = 1
MOST_ENTRIES = 100_000
LINK_LIKE = ("drag_link", "tie_rod", "driveshaft")
"""Besides the links, what has a tube or threads of its own."""

def _a_layout(name: str) -> str:
    if name not in LAYOUTS:
        raise ValueError(f"must be {_or(tuple(LAYOUTS))}")
    return name


class Tube(Part):
    """A link's tube, mm; yield_stress N/mm2 as its seller states it.

    joint_offset: how far the line between its joint centres runs beside the tube's own axis.
    """

    outside_diameter: Positive
    wall: Positive | None = None
    yield_stress: Positive | None = None
    joint_offset: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)] | None = None


class Thread(Part):
    """A link end's thread: pitch mm, hand; outside diameter mm, and the yield stress of its steel, N/mm2."""

    pitch: Positive
    hand: Literal["right", "left"]
    diameter: Positive | None = None
    yield_stress: Positive | None = None


class Joint(Part):
    """A link end's joint: how far it may lean either way, deg; along its bolt at ride height, vehicle frame, x y z."""

    rated: Annotated[float, Field(gt=0, le=90, allow_inf_nan=False)] | None = None
    bolt: Annotated[list[Annotated[float, Field(ge=-1e6, le=1e6)]], Field(min_length=3, max_length=3)] | None = None


class Facts(Part):
    """What is known of the vehicle besides readings. Shares 0 to 1 of the front axle, unsprung_mass kg, lengths mm.

    rough_wheelbase, tyre_diameter: first guesses that scale the typical places; tyre_size: as written on its side.
    driveshaft_joints: at its gearbox end; driveshaft_phase: how far its yokes are turned out of line, deg; slip_travel:
    how far its slip joint moves in all. steer_lock: of a wheel, each way, deg.
    """

    rough_wheelbase: Annotated[float, Field(ge=500, le=20_000, allow_inf_nan=False)] | None = None
    tyre_diameter: Annotated[float, Field(ge=200, le=4_000, allow_inf_nan=False)] | None = None
    tyre_size: Line | None = None
    brake_share_front: Share | None = None
    drive_share_front: Share | None = None
    unsprung_mass: Positive | None = None
    driveshaft_joints: Literal["single", "double"] | None = None
    driveshaft_phase: Annotated[float, Field(ge=-180, le=180, allow_inf_nan=False)] | None = None
    slip_travel: Positive | None = None
    tyre_width: Annotated[float, Field(ge=50, le=2_000, allow_inf_nan=False)] | None = None
    steer_lock: Annotated[float, Field(ge=0, le=70, allow_inf_nan=False)] | None = None
    tape_class: Literal["I", "II", "III"] = "II"
    tubes: dict[str, Tube] = Field(default_factory=dict)
    threads: dict[str, dict[Literal["frame", "axle", "axle_front", "axle_rear"], Thread]] = Field(
        default_factory=dict
    )
    joints: dict[str, dict[Literal["frame", "axle"], Joint]] = Field(default_factory=dict)


class VehicleFile(Part):
    """A whole vehicle: who it is, what is known of it, and its log of entries in order."""

    format: Literal["plumbtack vehicle"]
    version: Annotated[int, Field(ge=VERSION, le=VERSION)]
    name: Annotated[str, Field(max_length=200), AfterValidator(not_blank)]
    worked_axle: Literal["front", "rear"]
    layout: Annotated[str, AfterValidator(_a_layout)]
    display_unit: Literal["in", "mm"] = "mm"
    facts: Facts = Facts()
    entries: list[Entry]


_ENTRY: TypeAdapter[Any] = TypeAdapter(Entry)


def read_vehicle_file(content: bytes | str, name: str) -> VehicleFile:
    """The vehicle a file holds. `name` (its file name) begins every refusal. Raises BadFile."""
    raw = read_json(content, name, f"; {AGAIN}")
    name = plain(name, 200)
    _check_head(raw, name)
    vehicle = _checked_head(raw, name)
    entries = check_entries(raw["entries"], vehicle, name=name, advice=f"; {AGAIN}")
    return _with_entries(vehicle, entries)


def write_vehicle_file(vehicle: VehicleFile) -> str:
    """The file of this vehicle, one line an entry; the same vehicle always gives the same text."""
    head = vehicle.model_dump(mode="json", exclude_unset=True, exclude={"entries"})
    opening = json.dumps(head, ensure_ascii=False, indent=2, allow_nan=False).removesuffix("\n}")
    lines = ",\n".join(f"    {entry_text(entry)}" for entry in vehicle.entries)
    return f'{opening},\n  "entries": [' + (f"\n{lines}\n  " if lines else "") + "]\n}\n"


def entry_text(entry: Any) -> str:
    """One entry as one line of JSON, keys in the models' order: two entries say the same if and only if these do."""
    return json.dumps(entry.model_dump(exclude_unset=True), ensure_ascii=False, allow_nan=False)


def vehicle_from_log(head: Mapping[str, Any], bodies: Iterable[Mapping[str, Any]]) -> VehicleFile:
    """The vehicle of a head without its entries and of stored entries, all of which were checked when they came in."""
    vehicle = VehicleFile.model_validate({"format": FORMAT, "version": VERSION, **head, "entries": []})
    return _with_entries(vehicle, [_ENTRY.validate_python(body) for body in bodies])


def check_entries(
    raw: object,
    vehicle: VehicleFile,
    known: Container[str] | None = (),
    name: str = "the request",
    advice: str = "",
) -> list[Any]:
    """The entries of a file or of a request for this vehicle (its layout and axle count), checked one by one.

    Each is of the right form, has its own id and a reading the layout has; what is withdrawn or set aside exists, here
    or among the ids `known` to be in the log (None: it may come later, from another phone). Raises BadFile with the
    place of the first that is not; `advice` ends its sentence ("; do this"). The vehicle's own entries are the log so
    far: what it has closed stays closed, and a fingerprint is that of the log before it.
    """
    if not isinstance(raw, list):
        raise BadFile(f"{name}: entries must be a list, it is {shown(raw)}{advice}.", "entries")
    if len(raw) > MOST_ENTRIES:
        raise BadFile(f"{name}: entries has {len(raw)} of them, and {MOST_ENTRIES} is the most.", "entries")
    refuse = _Refuser(name, raw, advice)
    entries = [_checked_entry(number, part, refuse) for number, part in enumerate(raw)]
    _check_ids(entries, known, refuse)
    _check_readings(entries, vehicle, refuse)
    _check_decided(entries, vehicle, refuse)
    _check_closed(entries, vehicle.entries, refuse)
    return entries


class _Refuser:
    """Makes the one sentence for an entry that cannot be taken."""

    def __init__(self, name: str, raw: Sequence[Any], advice: str) -> None:
        self.name, self.raw, self.advice = name, raw, advice

    def __call__(self, number: int, what: str) -> BadFile:
        place = f"entry {number + 1}{_said_entry(self.raw[number])}"
        return BadFile(f"{self.name}: {place}: {what}{self.advice}.", place)


def _said_entry(part: Any) -> str:
    """What an entry is about, in brackets, as far as it says so itself."""
    if not isinstance(part, dict):
        return ""
    for key in ("reading", "id"):
        if isinstance(part.get(key), str) and part[key].strip():
            return f" ({plain(part[key], 60)})"
    return ""


def _checked_entry(number: int, part: Any, refuse: _Refuser) -> Any:
    try:
        return _ENTRY.validate_python(part)
    except ValidationError as trouble:
        raise refuse(number, _what(trouble)) from None


def _check_ids(entries: Sequence[Any], known: Container[str] | None, refuse: _Refuser) -> None:
    first: dict[str, int] = {}
    for number, entry in enumerate(entries):
        if entry.id in first:
            raise refuse(number, f"id {entry.id} stands in entry {first[entry.id] + 1} already; ids are used once")
        first[entry.id] = number
    for number, entry in enumerate(entries):
        if isinstance(entry, Keep) and known is not None:
            _check_kept(number, entry, {*first}, known, refuse)
        if not isinstance(entry, Withdraw | SetAside):
            continue
        if known is not None and entry.of not in first and entry.of not in known:
            raise refuse(number, f"of names {entry.of}, and there is no entry with that id")
        if entry.of == entry.id:
            raise refuse(number, "of names the entry itself; it must name another")
        if isinstance(entry, SetAside) and entry.of in first and not isinstance(entries[first[entry.of]], Reading):
            raise refuse(number, f"of names {entry.of}, which is no reading; only readings can be set aside")


def _check_kept(number: int, keep: Keep, here: set[str], known: Container[str], refuse: _Refuser) -> None:
    for of in keep.of:
        if of not in here and of not in known:
            raise refuse(number, f"of names {of}, and there is no entry with that id")


def _check_readings(entries: Sequence[Any], vehicle: VehicleFile, refuse: _Refuser) -> None:
    for number, entry in enumerate(entries):
        text = getattr(entry, "reading", None)
        if text is None:
            continue
        try:
            parse_name(text, vehicle.layout, vehicle.worked_axle)
        except BadName as trouble:
            raise refuse(number, str(trouble).removeprefix(f"{text}: ").rstrip(".?")) from None


def _check_decided(entries: Sequence[Any], vehicle: VehicleFile, refuse: _Refuser) -> None:
    """The points and links that plans of moves, rows of holes and photos name are those of the layout."""
    links = [link.name for link in LAYOUTS[vehicle.layout].links]
    for number, entry in enumerate(entries):
        parts = [entry] if isinstance(entry, Holes | Photo) else entry.moves if isinstance(entry, MovePlan) else []
        for part in parts:
            link = getattr(part, "link", None)
            if link is not None and link not in links:
                raise refuse(number, f"this layout has no {shown(link)}, only {_or(links)}")
            point = getattr(part, "point", None)
            if point is None:
                continue
            try:
                point_named(point, vehicle.layout, vehicle.worked_axle)
            except BadName as trouble:
                raise refuse(number, str(trouble).removeprefix(f"{point}: ").rstrip(".?")) from None


def _check_closed(entries: Sequence[Any], log: Sequence[Any], refuse: _Refuser) -> None:
    """Nothing that counts comes to a stage that is closed, and nothing of it is taken back. log: what is stored."""
    stored = {entry.id for entry in log}
    before: list[Any] = list(log)
    stage_of = {entry.id: entry.stage for entry in log if isinstance(entry, Reading)}
    closed = _closed(log)
    for number, entry in enumerate(entries):
        if entry.id in stored:
            continue
        about = _stages_about(entry, stage_of)
        if closed & about:
            stage = sorted(closed & about, key=STAGES.index)[0].replace("_", "-")
            raise refuse(number, f"the record of {stage} is closed and stays as it is; enter this at a later stage")
        if isinstance(entry, Close):
            if entry.fingerprint != fingerprint(before):
                raise refuse(number, "fingerprint is not that of the entries before it: one of them is not as it was")
            closed |= _closed([entry])
        if isinstance(entry, Reading):
            stage_of[entry.id] = entry.stage
        before.append(entry)


def _stages_about(entry: Any, stage_of: Mapping[str, str]) -> set[str]:
    """The stages whose record an entry would change."""
    if isinstance(entry, Reading | Close):
        return {entry.stage}
    of = entry.of if isinstance(entry, Keep) else [entry.of] if isinstance(entry, Withdraw | SetAside) else []
    return {stage_of[each] for each in of if each in stage_of}


def _closed(log: Sequence[Any]) -> set[str]:
    """The stages a log has closed: each named one and those before it; wishes of `plan` stay open."""
    reach = [STAGES.index(entry.stage) for entry in log if isinstance(entry, Close)]
    return set(STAGES[1 : max(reach) + 1]) if reach else set()


def _check_head(raw: Any, name: str) -> None:
    """Is it a vehicle file at all, of a version this program knows?"""
    if not isinstance(raw, dict) or "format" not in raw:
        raise BadFile(f"{name}: this is not a Plumbtack vehicle file; choose one that Plumbtack exported.")
    if raw["format"] != FORMAT:
        raise BadFile(f"{name}: format must be {shown(FORMAT)}, it is {shown(raw['format'])}; {AGAIN}.", "format")
    version = raw.get("version")
    if isinstance(version, int) and not isinstance(version, bool) and version > VERSION:
        raise BadFile(
            f"{name}: this file has version {plain(str(version), 20)} and comes from a newer Plumbtack, this one reads "
            f"up to version {VERSION}; update Plumbtack, then open it again.",
            "version",
        )


def _checked_head(raw: dict[str, Any], name: str) -> VehicleFile:
    """Everything but the entries."""
    if "entries" not in raw:
        raise BadFile(f"{name}: entries is missing; {AGAIN}.", "entries")
    try:
        vehicle = VehicleFile.model_validate({**raw, "entries": []})
    except ValidationError as trouble:
        place = ".".join(_steps(trouble.errors(include_url=False)[0]["loc"])[:-1])
        raise BadFile(f"{name}: {place + ': ' if place else ''}{_what(trouble)}; {AGAIN}.", place or None) from None
    _check_links(vehicle, name)
    return vehicle


def _check_links(vehicle: VehicleFile, name: str) -> None:
    known = [link.name for link in LAYOUTS[vehicle.layout].links] + list(LINK_LIKE)
    for key in ("tubes", "threads", "joints"):
        for link in getattr(vehicle.facts, key):
            if link not in known:
                place = f"facts.{key}"
                raise BadFile(f"{name}: {place}: this layout has no {shown(link)}, only {_or(known)}; {AGAIN}.", place)


def _with_entries(vehicle: VehicleFile, entries: list[Any]) -> VehicleFile:
    return vehicle.model_copy(update={"entries": entries})


# What a form check found, in words.

TAGS = {"type": TYPES, "move": MOVES}
HEXADECIMAL = r"^[0-9a-f]{64}$"
ID_FORM = "must be 8 to 64 letters, digits or dashes"
_WORDS: dict[str, Callable[[dict[str, Any]], str]] = {
    "missing": lambda _: "is missing",
    "finite_number": lambda _: "must be a number that ends",
    "greater_than": lambda c: f"must be above {_plain_number(c['gt'])}",
    "greater_than_equal": lambda c: f"must be {_plain_number(c['ge'])} or more",
    "less_than_equal": lambda c: f"must be {_plain_number(c['le'])} or less",
    "literal_error": lambda c: f"must be {c['expected'].replace(chr(39), '')}",
    "too_short": lambda c: f"must have {c['min_length']} or more in it",
    "too_long": lambda c: f"must have {c['max_length']} or fewer in it",
    "string_too_long": lambda c: f"has more than {c['max_length']} characters",
    "value_error": lambda c: str(c["error"]),
    "string_pattern_mismatch": lambda c: "must be 64 hexadecimal digits" if c["pattern"] == HEXADECIMAL else ID_FORM,
    "string_unicode": lambda _: "holds half a character",
    "float_type": lambda _: "must be a number",
    "int_type": lambda _: "must be a whole number",
    "string_type": lambda _: "must be text",
    "bool_type": lambda _: "must be true or false",
    "dict_type": lambda _: "must be an object in { }",
    "model_type": lambda _: "must be an object in { }",
    "model_attributes_type": lambda _: "must be an object in { }",
    "union_tag_not_found": lambda c: f"{_tag(c)} is missing; it is one of {_or(TAGS[_tag(c)])}",
    "union_tag_invalid": lambda c: f"{_tag(c)} must be {_or(TAGS[_tag(c)])}",
}


def _what(trouble: ValidationError) -> str:
    """The first thing a form check found: 'value must be a number, it is "abc"'."""
    found = trouble.errors(include_url=False)[0]
    kind, value, steps = found["type"], found["input"], _steps(found["loc"])
    if kind == "extra_forbidden":
        return f"the key {shown(found['loc'][-1])} is not known here"
    words = _WORDS.get(kind)
    said = words(found.get("ctx", {})) if words else found["msg"][:1].lower() + found["msg"][1:]
    if kind == "union_tag_not_found":
        return said
    if kind == "union_tag_invalid":
        return f"{said}, it is {shown(value.get(_tag(found['ctx'])))}"
    subject = f"{steps[-1]} " if steps else ""
    return f"{subject}{said}" + ("" if kind in ("missing", "string_too_long") else f", it is {shown(value)}")


def _tag(context: Mapping[str, Any]) -> str:
    """The key that tells the models of a choice apart, "type" or "move"."""
    return str(context["discriminator"]).strip("'")


def _steps(loc: Sequence[Any]) -> list[str]:
    """The way to a place in the file; a key that is at fault itself is its own last step."""
    return [plain(str(step), 40) for step in loc if step != "[key]"]


def _plain_number(number: float) -> str:
    return f"{number:.0f}" if number == int(number) else str(number)


def _or(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"
