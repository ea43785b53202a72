"""The form for one link's parts: its tube, and at each end the joint, its thread, jam nut and insert.

Fields are those of the facts; a thread is chosen by the name on the part, which stands for its pitch and diameter.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from geometry.layouts import LAYOUTS, Link
from geometry.threads import USUAL, name_of

from capture.link_parts import ends_of
from capture.screens import cut_words, facts_form
from capture.screens.facts_form import Field, Group
from capture.vehicle_file import VehicleFile

NOTHING = ""
OTHER = "other"
OF_A_THREAD = ("pitch", "diameter", "hand", "length", "jam_nut", "lip", "insert", "yield_stress")


def groups(vehicle: VehicleFile, link: Link) -> tuple[Group, ...]:
    """The fields of a link's parts, in the order they are taken in hand."""
    tube = f"tubes.{link.name}"
    found = [Group("tube", "Tube", (
        Field(f"{tube}.outside_diameter", "Outside", "length", 5, 300),
        Field(f"{tube}.wall", "Wall", "length", 0.5, 150, cut_words.SOLID)))]
    found += [Group(end, f"{end.capitalize()} end", tuple(end_fields(link, end))) for end in ends_of(link.name)]
    return tuple(found)


def end_fields(link: Link, end: str) -> Iterator[Field]:
    joint, thread = f"joints.{link.name}.{end}", f"threads.{link.name}.{end}"
    turns = not (link.role == "arm" and end == "axle")
    yield Field(f"{joint}.made", "What it is", "text", about=cut_words.MADE_SUCH_AS if turns else cut_words.MADE)
    yield Field(f"{joint}.standing", "Stands out by", "length", 1, 1000,
                cut_words.WELDED_ON if turns else cut_words.STANDING_OF_AN_ARM)
    if not turns:
        return
    yield Field(f"{thread}.size", "Thread", "choice", choices=(
        (NOTHING, "nothing turns here"), *((name, name) for name in USUAL), (OTHER, cut_words.ANOTHER_FROM_THE_FACTS)))
    yield Field(f"{thread}.hand", "Hand", "choice", choices=(
        ("", "not said"), ("right", "right-hand"), ("left", "left-hand")))
    yield Field(f"{thread}.length", cut_words.THREAD_LENGTH, "length", 5, 500, cut_words.ALL_OF_IT)
    yield Field(f"{thread}.jam_nut", cut_words.JAM_NUT, "length", 0, 100, cut_words.JAM_NUT_NONE)
    yield Field(f"{thread}.lip", cut_words.LIP, "length", 0, 100, cut_words.LIP_IS)
    yield Field(f"{thread}.insert", "Insert, outside", "length", 5, 300, cut_words.LIP_NONE)


def shown(vehicle: VehicleFile, link: Link, typed: Mapping[str, str] | None = None,
          refused: Mapping[str, str] | None = None) -> tuple[Group, ...]:
    """The form as kept, or as it was typed with what is said to those fields that were not taken."""
    found = []
    for group in facts_form.groups_of(vehicle, typed, refused, groups(vehicle, link)):
        fields = tuple(_with_size(vehicle, one, typed) for one in group.fields)
        found.append(replace(group, fields=fields, folded=False, said=""))
    return tuple(found)


def _with_size(vehicle: VehicleFile, field: Field, typed: Mapping[str, str] | None) -> Field:
    """The choice of a thread stands for pitch and diameter, so what is kept of these chooses it."""
    if not field.key.endswith(".size") or (typed and field.key in typed):
        return field
    thread = facts_form.at(facts_form.kept_facts(vehicle), field.key.removesuffix(".size"))
    if not thread or thread.get("pitch") is None:
        return replace(field, typed=NOTHING)
    return replace(field, typed=name_of(thread.get("diameter"), thread["pitch"]) or OTHER)


def read(vehicle: VehicleFile, link: Link, typed: Mapping[str, str]) -> tuple[dict[str, Any], dict[str, str]]:
    """The facts with this link's parts as typed, and a sentence for each field that cannot be taken."""
    fields = {one.key: one for group in groups(vehicle, link) for one in group.fields}
    given = {key: typed[key] for key in fields if key in typed}
    refused = dict(_chosen(given, fields))
    asked = [*groups(vehicle, link), Group("size", "", tuple(_sizes(link)))]
    asked = [replace(group, fields=tuple(one for one in group.fields if not one.key.endswith(".size")))
             for group in asked]
    facts, more = facts_form.read(vehicle, given, asked)
    placed = {_on_form(key): said for key, said in more.items()}
    return facts, {key: said for key, said in placed.items() if key in fields} | refused


def _sizes(link: Link) -> Iterator[Field]:
    """What a thread's name stands for."""
    for end in ends_of(link.name):
        thread = f"threads.{link.name}.{end}"
        yield Field(f"{thread}.pitch", "Pitch", "pitch", 0.2, 10)
        yield Field(f"{thread}.diameter", cut_words.THREAD_OUTSIDE, "length", 2, 100)
        yield Field(f"{thread}.yield_stress", "Yield", "stress", 50, 3000)


def _chosen(given: dict[str, str], fields: Mapping[str, Field]) -> Iterator[tuple[str, str]]:
    """Puts pitch and diameter in the place of a thread's name; the sentences for choices that cannot be."""
    for key in [key for key in given if key.endswith(".size")]:
        thread, size = key.removesuffix(".size"), given.pop(key).strip()
        if size not in dict(fields[key].choices):
            yield key, cut_words.CHOOSE_A_THREAD
        elif size == NOTHING:
            given.update({f"{thread}.{part}": "" for part in OF_A_THREAD})
        elif size != OTHER:
            given[f"{thread}.pitch"] = f"{USUAL[size].pitch!r} mm"
            given[f"{thread}.diameter"] = f"{USUAL[size].diameter!r} mm"


def _on_form(key: str) -> str:
    """Where a refusal about pitch or diameter stands in this form."""
    for part in (".pitch", ".diameter"):
        if key.startswith("threads.") and key.endswith(part):
            return key.removesuffix(part) + ".size"
    return key


def twin_of(vehicle: VehicleFile, link: Link) -> Link | None:
    """The link on the other side, whose parts are usually the same."""
    here = next((side for side in ("left", "right") if link.name.endswith(f"_{side}")), None)
    if here is None:
        return None
    there = link.name.removesuffix(here) + {"left": "right", "right": "left"}[here]
    return next((one for one in LAYOUTS[vehicle.layout].links if one.name == there), None)


def copied(vehicle: VehicleFile, link: Link, twin: Link) -> dict[str, Any]:
    """The facts with the twin's parts on this link too."""
    facts = facts_form.kept_facts(vehicle)
    for group in ("tubes", "joints", "threads"):
        parts = dict(facts.get(group) or {})
        if twin.name in parts:
            parts[link.name] = parts[twin.name]
            facts[group] = parts
    return facts
