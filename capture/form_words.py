"""What a check of the form found, in words: 'value must be a number, it is "abc"'."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from capture.json_text import plain, shown
from capture.log_entries import MOVES, TYPES

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
    "union_tag_not_found": lambda c: f"{_tag(c)} is missing; it is one of {either(TAGS[_tag(c)])}",
    "union_tag_invalid": lambda c: f"{_tag(c)} must be {either(TAGS[_tag(c)])}",
}


def what(trouble: ValidationError) -> str:
    """The first thing a form check found: 'value must be a number, it is "abc"'."""
    found = trouble.errors(include_url=False)[0]
    kind, value, steps = found["type"], found["input"], steps_to(found["loc"])
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


def steps_to(loc: Sequence[Any]) -> list[str]:
    """The way to a place in the file; a key that is at fault itself is its own last step."""
    return [plain(str(step), 40) for step in loc if step != "[key]"]


def _plain_number(number: float) -> str:
    return f"{number:.0f}" if number == int(number) else str(number)


def either(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"
