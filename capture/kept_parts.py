"""A doubt about stated parts that was kept: which sizes it hangs on, and whether they stand as they did then.

A place is written as in the report: "tubes.upper", "threads.upper.frame". Only what a doubt can hang on counts: another
yield stress or hand of a thread changes nothing of whether it goes into its tube.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import get_args

from geometry.layouts import LAYOUTS

from capture import file_words
from capture.form_words import either
from capture.json_text import shown
from capture.log_entries import Keep, KeptSizes
from capture.vehicle_facts import LINK_LIKE, Facts, ThreadEnd

SIZES = {"tubes": ("outside_diameter", "wall"), "threads": ("diameter", "pitch", "insert")}


def as_stated(facts: Facts, places: Iterable[str]) -> dict[str, KeptSizes]:
    """The sizes at these places as they are stated now, null where one is not."""
    return {place: KeptSizes(**dict(_stated(facts, place))) for place in places}


def stands(keep: Keep, facts: Facts) -> bool:
    """Whether every size it was kept with is stated as it was then, and none beside them at its places."""
    now = as_stated(facts, keep.facts)
    return all(dict(kept) == dict(now[place]) for place, kept in keep.facts.items())


def fault(keep: Keep, layout: str) -> str:
    """Why what it names is nothing that can be stated of this layout's parts; "" where it is."""
    parts = [*(link.name for link in LAYOUTS[layout].links), *LINK_LIKE]
    found = (_fault_of(place, sizes, parts) for place, sizes in keep.facts.items())
    return next((one for one in found if one), "")


def _stated(facts: Facts, place: str) -> Mapping[str, float | None]:
    table, part, end = [*place.split("."), "", ""][:3]
    there = facts.tubes.get(part) if table == "tubes" else dict(facts.threads.get(part, {})).get(end)
    return {size: getattr(there, size, None) for size in SIZES.get(table, ())}


def _fault_of(place: str, sizes: KeptSizes, parts: Collection[str]) -> str:
    table, *rest = place.split(".")
    if table not in SIZES or len(rest) != (1 if table == "tubes" else 2):
        return file_words.no_place_of_facts(shown(place), parts[0])
    if rest[0] not in parts:
        return file_words.no_such_link_of_facts(shown(place), shown(rest[0]), either(parts))
    if rest[1:] and rest[1] not in get_args(ThreadEnd):
        return file_words.no_such_end(shown(place), either(get_args(ThreadEnd)))
    named = {size for size, value in sizes if value is not None}
    if not named:
        return file_words.no_size_stated(shown(place))
    foreign = sorted(named.difference(SIZES[table]))
    return f"facts.{place} has {either(SIZES[table])}, and no {foreign[0]}" if foreign else ""
