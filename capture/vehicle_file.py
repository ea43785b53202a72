"""The vehicle file: read, check, write. JSON, UTF-8; what is in it is said in the models below.

Reading refuses with one plain sentence that names the place. A file that is read and written again comes out the
same, bit for bit: numbers keep their digits, keys that were left out stay out, entries keep their order.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cached_property
from itertools import chain
from operator import itemgetter
from typing import Annotated, Any, Literal, TypeVar, cast

from geometry.errors import BadName
from geometry.layouts import LAYOUTS
from geometry.points import point_named
from pydantic import AfterValidator, Field, ValidationError

from capture import file_words
from capture.entry_checks import ENTRY, check_entries
from capture.form_words import either, steps_to, what
from capture.json_text import BadFile, plain, read_json, shown
from capture.log_entries import (
    LARGEST_VALUE,
    Aims,
    Begin,
    Close,
    Entry,
    Holes,
    Keep,
    MovePlan,
    Note,
    Part,
    Photo,
    Reading,
    SetAside,
    Withdraw,
    not_blank,
)
from capture.vehicle_facts import LINK_LIKE, Facts, Joint, Thread, Tube

__all__ = [
    "FORMAT", "LARGEST_VALUE", "VERSION", "Aims", "BadFile", "Begin", "Close", "Entry", "Facts", "Holes", "Joint",
    "Keep", "MovePlan", "Note", "Photo", "Reading", "SetAside", "Thread", "Tube", "VehicleFile", "Withdraw",
    "check_entries", "entry_text", "read_vehicle_file", "vehicle_from_log", "write_vehicle_file",
]  # fmt: skip

FORMAT = "plumbtack vehicle"
VERSION = 1
Kind = TypeVar("Kind")


def _a_layout(name: str) -> str:
    if name not in LAYOUTS:
        raise ValueError(f"must be {either(tuple(LAYOUTS))}")
    return name


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

    def of_kind(self, *kinds: type[Kind]) -> tuple[Kind, ...]:
        """The entries of these kinds, in the order of the log; a long one is looked through once, however often asked.
        """
        if self.by_kind[0] is not self.entries:  # a copy takes over what its original has worked out
            del self.by_kind
        by_kind = self.by_kind[1]
        each = [by_kind[kind] for kind in kinds if kind in by_kind]
        placed = each[0] if len(each) == 1 else sorted(chain.from_iterable(each), key=itemgetter(0))
        return tuple(cast("Kind", entry) for _, entry in placed)

    @cached_property
    def by_kind(self) -> tuple[list[Entry], dict[type, list[tuple[int, Entry]]]]:
        """The entries looked through, and those of each kind with their places."""
        found: dict[type, list[tuple[int, Entry]]] = {}
        for place, entry in enumerate(self.entries):
            found.setdefault(type(entry), []).append((place, entry))
        return self.entries, found


def read_vehicle_file(content: bytes | str, name: str) -> VehicleFile:
    """The vehicle a file holds. `name` (its file name) begins every refusal. Raises BadFile."""
    raw = read_json(content, name, f"; {file_words.CHANGE_OR_EXPORT}")
    name = plain(name, 200)
    _check_head(raw, name)
    vehicle = _checked_head(raw, name)
    entries = check_entries(raw["entries"], vehicle, name=name, advice=f"; {file_words.CHANGE_OR_EXPORT}")
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
    return _with_entries(vehicle, [ENTRY.validate_python(body) for body in bodies])


def _check_head(raw: Any, name: str) -> None:
    """Is it a vehicle file at all, of a version this program knows?"""
    if not isinstance(raw, dict) or "format" not in raw:
        raise BadFile(file_words.not_a_vehicle(name))
    if raw["format"] != FORMAT:
        raise BadFile(file_words.other_format(name, shown(FORMAT), shown(raw["format"])), "format")
    version = raw.get("version")
    if isinstance(version, int) and not isinstance(version, bool) and version > VERSION:
        raise BadFile(
            file_words.from_a_newer_program(name, plain(str(version), 20), VERSION),
            "version",
        )


def _checked_head(raw: dict[str, Any], name: str) -> VehicleFile:
    """Everything but the entries."""
    if "entries" not in raw:
        raise BadFile(file_words.refused(name, "", "entries is missing"), "entries")
    try:
        vehicle = VehicleFile.model_validate({**raw, "entries": []})
    except ValidationError as trouble:
        place = ".".join(steps_to(trouble.errors(include_url=False)[0]["loc"])[:-1])
        raise BadFile(file_words.refused(name, place, what(trouble)), place or None) from None
    _check_links(vehicle, name)
    return vehicle


def _check_links(vehicle: VehicleFile, name: str) -> None:
    known = [link.name for link in LAYOUTS[vehicle.layout].links] + list(LINK_LIKE)
    for key in ("tubes", "threads", "joints"):
        for link in getattr(vehicle.facts, key):
            if link not in known:
                place = f"facts.{key}"
                what = file_words.no_such_link(shown(link), either(known))
                raise BadFile(file_words.refused(name, place, what), place)
    for body, fact in vehicle.facts.bodies.items():
        for point in (fact.start, fact.end):
            try:
                point_named(point, vehicle.layout, vehicle.worked_axle)
            except BadName as trouble:
                place = f"facts.bodies.{plain(body, 40)}"
                raise BadFile(file_words.refused(name, place, str(trouble)), place) from None


def _with_entries(vehicle: VehicleFile, entries: list[Any]) -> VehicleFile:
    return vehicle.model_copy(update={"entries": entries})
