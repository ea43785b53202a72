"""What a person states of the parts, as fields of a form: shown as kept, read back with one sentence for a refusal.

A field's key is its place in the file's facts, "tubes.lower_left.wall". A field left as it was shown keeps its value to
the last digit. A bolt's direction is one vector in the file and three fields here; a new body is named in a field.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from geometry.figures import bolts

from capture.entry import NotAReading
from capture.screens import facts_words
from capture.screens.facts_fields import ANOTHER, BODY_NAME, Group, all_groups
from capture.screens.facts_values import Field, shown, value_of
from capture.vehicle_file import VehicleFile
from capture.walk import own_point_name

__all__ = ["Field", "Group", "all_groups", "at", "groups_of", "kept_facts", "read", "shown", "value_of"]

OF_A_BOLT = ("bolt", "bolt_tilt", "bolt_turn")
SIZES = (("width", facts_words.TYPE_THE_WIDTH), ("height", facts_words.TYPE_THE_HEIGHT))


def groups_of(vehicle: VehicleFile, typed: Mapping[str, str] | None = None,
              refused: Mapping[str, str] | None = None, groups: Iterable[Group] | None = None) -> tuple[Group, ...]:
    """Every field, as kept or as typed, with what is said to those that were not taken. groups: all where None."""
    kept = as_form(kept_facts(vehicle))
    found = []
    for group in all_groups(vehicle) if groups is None else groups:
        held = {one.key: shown(one, at(kept, one.key), vehicle.display_unit) for one in group.fields}
        fields = tuple(replace(one, typed=(typed or {}).get(one.key, held[one.key]),
                               refused=(refused or {}).get(one.key, "")) for one in group.fields)
        known = sum(at(kept, one.key) is not None for one in group.fields)
        opened = any(one.refused for one in fields)
        found.append(replace(group, fields=fields, folded=group.folded and not opened,
                             said=f"{known} of {len(fields)} stated" if group.folded else ""))
    return tuple(found)


def kept_facts(vehicle: VehicleFile) -> dict[str, Any]:
    return vehicle.facts.model_dump(exclude_unset=True)


def at(facts: Mapping[str, Any], key: str) -> Any:
    """What is kept at a place; None where nothing is."""
    found: Any = facts
    for part in key.split("."):
        found = found.get(part) if isinstance(found, Mapping) else None
    return found


def read(vehicle: VehicleFile, typed: Mapping[str, str],
         groups: Iterable[Group] | None = None) -> tuple[dict[str, Any], dict[str, str]]:
    """The facts with everything typed, and a sentence for each field that cannot be taken. groups: all where None."""
    kept = as_form(kept_facts(vehicle))
    facts = _copied(kept)
    refused: dict[str, str] = {}
    for group in all_groups(vehicle) if groups is None else groups:
        for field in group.fields:
            text = typed.get(field.key, "").strip()
            if field.key not in typed or text == shown(field, at(kept, field.key), vehicle.display_unit):
                continue
            try:
                _put(facts, field.key, value_of(field, text, vehicle.display_unit))
            except NotAReading as trouble:
                refused[field.key] = str(trouble)
    facts = _tidy(facts)
    refused.update(_unfinished(facts, refused))
    _name_new_body(facts, refused)
    return _tidy(as_file(facts, kept_facts(vehicle))), refused


def as_form(facts: Mapping[str, Any]) -> dict[str, Any]:
    """The file's facts with each bolt's vector as the form's three fields."""
    found: dict[str, Any] = _copied(facts)
    for joint in _joints(found):
        said = bolts.said(tuple(joint["bolt"])) if joint.get("bolt") else None
        joint.pop("bolt", None)
        if said is not None:
            joint.update(zip(OF_A_BOLT, said, strict=True))
    return found


def as_file(facts: Mapping[str, Any], kept: Mapping[str, Any]) -> dict[str, Any]:
    """The form's facts with each bolt as a vector again: the kept one, to the last digit, where nothing was changed."""
    found: dict[str, Any] = _copied(facts)
    before = as_form(kept)
    for link, ends in (found.get("joints") or {}).items():
        for end, joint in ends.items():
            way, tilt, turn = (joint.pop(part, None) for part in OF_A_BOLT)
            if way is None:
                continue
            same = [at(before, f"joints.{link}.{end}.{part}") for part in OF_A_BOLT] == [way, tilt or 0.0, turn or 0.0]
            vector = at(kept, f"joints.{link}.{end}.bolt") if same else bolts.direction(way, tilt or 0.0, turn or 0.0)
            joint["bolt"] = list(vector)
    return found


def _joints(facts: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    for ends in (facts.get("joints") or {}).values():
        yield from ends.values()


def _name_new_body(facts: dict[str, Any], refused: dict[str, str]) -> None:
    """Puts a new body under the name it was given in its field."""
    name, bodies = facts.pop(BODY_NAME, None), facts.setdefault("bodies", {})
    body = bodies.pop(ANOTHER, None)
    key = own_point_name(name or "").partition(".")[2]
    if body is not None and not key:
        refused[BODY_NAME] = facts_words.NAME_THE_BODY
    elif body is not None and key in bodies:
        refused[BODY_NAME] = facts_words.NAME_IS_TAKEN
    elif body is not None:
        bodies[key] = body
    elif name:
        refused[f"bodies.{ANOTHER}.start"] = facts_words.CHOOSE_THE_POINTS


def _unfinished(facts: Mapping[str, Any], refused: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Parts of which too little is said to keep them."""
    for name, tube in (facts.get("tubes") or {}).items():
        key = f"tubes.{name}.outside_diameter"
        if _said(tube) and tube.get("outside_diameter") is None and key not in refused:
            yield key, facts_words.TYPE_THE_OUTSIDE
        elif (tube.get("wall") or 0.0) > 0.5 * (tube.get("outside_diameter") or 1e9):
            yield f"tubes.{name}.wall", facts_words.WALL_TOO_THICK
        if (tube.get("section_modulus") is None) != (tube.get("section_area") is None):
            less = "section_area" if tube.get("section_area") is None else "section_modulus"
            yield f"tubes.{name}.{less}", facts_words.BOTH_OR_NEITHER
    for name, ends in (facts.get("threads") or {}).items():
        for end, thread in ends.items():
            for part, said in (("pitch", facts_words.TYPE_THE_PITCH), ("hand", facts_words.CHOOSE_THE_HAND)):
                key = f"threads.{name}.{end}.{part}"
                if _said(thread) and thread.get(part) is None and key not in refused:
                    yield key, said
    yield from _unfinished_bolts(facts)
    yield from _unfinished_bodies(facts, refused)


def _unfinished_bolts(facts: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for name, ends in (facts.get("joints") or {}).items():
        for end, joint in ends.items():
            leans = joint.get("bolt_tilt") or joint.get("bolt_turn")
            if leans and joint.get("bolt") is None:
                yield f"joints.{name}.{end}.bolt", facts_words.CHOOSE_HOW_IT_LIES


def _unfinished_bodies(facts: Mapping[str, Any], refused: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    known = facts.get("bodies") or {}
    for name, body in known.items():
        key = f"bodies.{name}"
        if not _said(body):
            continue
        missing = [end for end in ("start", "end") if body.get(end) is None]
        for end in missing:
            yield f"{key}.{end}", facts_words.CHOOSE_THE_POINT + ("from." if end == "start" else "to.")
        if not missing and body["start"] == body["end"]:
            yield f"{key}.end", facts_words.CHOOSE_ANOTHER_POINT
        if body.get("diameter") is None:
            for part, said in SIZES:
                if body.get(part) is None and f"{key}.{part}" not in refused:
                    yield f"{key}.{part}", said


def _said(part: Mapping[str, Any]) -> bool:
    return any(value is not None for value in part.values())


def _copied(part: Any) -> Any:
    return {key: _copied(value) for key, value in part.items()} if isinstance(part, Mapping) else part


def _put(facts: dict[str, Any], key: str, value: Any) -> None:
    *way, last = key.split(".")
    for part in way:
        facts = facts.setdefault(part, {})
    facts[last] = value


def _tidy(part: dict[str, Any]) -> dict[str, Any]:
    """Without what is empty."""
    found = {key: _tidy(value) if isinstance(value, dict) else value for key, value in part.items()}
    return {key: value for key, value in found.items() if value is not None and value != {}}
