"""Entries that come in, checked one by one against the vehicle and its log so far; refused with one sentence.

Order matters in a log: what is taken back must be there, what is closed stays closed, a setting has its name first.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from typing import TYPE_CHECKING, Any

from geometry.errors import BadName
from geometry.layouts import LAYOUTS
from geometry.points import point_named
from geometry.readings import parse_name
from pydantic import TypeAdapter, ValidationError

from capture import file_words, kept_parts, part_words
from capture.form_words import either, what
from capture.json_text import BadFile, plain, shown
from capture.log_entries import Aims, Entry, Holes, Keep, MovePlan, Note, Photo, Reading, SetAside, Withdraw
from capture.stage_checks import check_stages

if TYPE_CHECKING:
    from capture.vehicle_file import VehicleFile

MOST_ENTRIES = 100_000
ENTRY: TypeAdapter[Any] = TypeAdapter(Entry)


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
    far: what it has closed stays closed, and a fingerprint is that of the log before it. Of a request for a vehicle
    whose log is not here that is left to the store, which has it.
    """
    if not isinstance(raw, list):
        raise BadFile(file_words.entries_no_list(name, shown(raw), advice), "entries")
    if len(raw) > MOST_ENTRIES:
        raise BadFile(file_words.too_many_entries(name, len(raw), MOST_ENTRIES), "entries")
    refuse = Refuser(name, raw, advice)
    entries = [_checked_entry(number, part, refuse) for number, part in enumerate(raw)]
    _check_ids(entries, known, refuse)
    _check_readings(entries, vehicle, refuse)
    _check_decided(entries, vehicle, refuse)
    if known is not None or vehicle.entries:
        check_stages(entries, vehicle.entries, refuse)
    return entries


class Refuser:
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


def _checked_entry(number: int, part: Any, refuse: Refuser) -> Any:
    try:
        return ENTRY.validate_python(part)
    except ValidationError as trouble:
        raise refuse(number, what(trouble)) from None


def _check_ids(entries: Sequence[Any], known: Container[str] | None, refuse: Refuser) -> None:
    first: dict[str, int] = {}
    for number, entry in enumerate(entries):
        if entry.id in first:
            raise refuse(number, file_words.id_twice(entry.id, first[entry.id] + 1))
        first[entry.id] = number
    for number, entry in enumerate(entries):
        if isinstance(entry, Keep) and known is not None:
            _check_kept(number, entry, {*first}, known, refuse)
        if not isinstance(entry, Withdraw | SetAside):
            continue
        if known is not None and entry.of not in first and entry.of not in known:
            raise refuse(number, file_words.no_entry_with_that_id(entry.of))
        if entry.of == entry.id:
            raise refuse(number, file_words.NAMES_ITSELF)
        if isinstance(entry, SetAside) and entry.of in first and not isinstance(entries[first[entry.of]], Reading):
            raise refuse(number, file_words.names_no_reading(entry.of))


def _check_kept(number: int, keep: Keep, here: set[str], known: Container[str], refuse: Refuser) -> None:
    for of in keep.of:
        if of not in here and of not in known:
            raise refuse(number, file_words.no_entry_with_that_id(of))


def _check_readings(entries: Sequence[Any], vehicle: VehicleFile, refuse: Refuser) -> None:
    for number, entry in enumerate(entries):
        text = getattr(entry, "reading", None)
        if text is None:
            continue
        try:
            parse_name(text, vehicle.layout, vehicle.worked_axle)
        except BadName as trouble:
            raise refuse(number, str(trouble).removeprefix(f"{text}: ").rstrip(".?")) from None


def _naming(entry: Any) -> Sequence[Any]:
    """The parts of an entry that name points and links."""
    if isinstance(entry, Holes | Photo):
        return [entry]
    if isinstance(entry, Note):
        return [entry.link_set] if entry.link_set else []
    return entry.moves if isinstance(entry, MovePlan) else entry.rooms if isinstance(entry, Aims) else []


def _check_decided(entries: Sequence[Any], vehicle: VehicleFile, refuse: Refuser) -> None:
    """The points, links and parts that plans of moves, rows of holes, aims, photos and keeps name are the layout's."""
    links = [*(link.name for link in LAYOUTS[vehicle.layout].links), *part_words.RODS]
    for number, entry in enumerate(entries):
        if isinstance(entry, Keep) and (fault := kept_parts.fault(entry, vehicle.layout)):
            raise refuse(number, fault)
        for part in _naming(entry):
            link = getattr(part, "link", None)
            if link is not None and link not in links:
                raise refuse(number, file_words.no_such_link(shown(link), either(links)))
            point = getattr(part, "point", None)
            if point is None:
                continue
            try:
                point_named(point, vehicle.layout, vehicle.worked_axle)
            except BadName as trouble:
                raise refuse(number, str(trouble).removeprefix(f"{point}: ").rstrip(".?")) from None


def check_order(entries: Sequence[Any], log: Sequence[Any], name: str = "the request") -> None:
    """Entries that were checked one by one, against the log they are to join. Raises BadFile."""
    check_stages(entries, log, Refuser(name, [{"reading": getattr(each, "reading", None), "id": each.id}
                                              for each in entries], ""))
