"""JSON from outside, read with guards on size, encoding, depth and keys that stand twice."""

from __future__ import annotations

import json
import re
from typing import Any

from capture import file_words

LARGEST_BYTES = 20_000_000
MOST_KEYS = 200
"""Keys of one object: no part of a vehicle file has nearly as many."""
LONGEST_WHOLE_NUMBER = 30
"""Digits kept as a whole number; a longer one becomes a decimal and is judged as such."""


class BadFile(ValueError):
    """What came in cannot be taken; the text is one plain sentence, `place` where in it ("entry 14 (...)")."""

    def __init__(self, sentence: str, place: str | None = None) -> None:
        super().__init__(sentence)
        self.place = place

    @property
    def bare(self) -> str:
        """The sentence without its place, for a person who never saw the file or request."""
        said = str(self).partition(f"{self.place}: ")[2] if self.place else ""
        return f"{said[:1].upper()}{said[1:]}" if said else str(self)


def read_json(content: bytes | str, name: str, advice: str = "") -> Any:
    """What the JSON text says, as plain dicts, lists, strings and numbers. `name` begins every refusal, `advice`
    ("; do this") ends it.

    NaN and Infinity come back as such and are for the caller to refuse with their place. Raises BadFile.
    """
    name = plain(name, 200)
    text = _decoded(content, name)
    if not text.strip():
        raise BadFile(file_words.json_empty(name, advice))
    twice: list[tuple[dict[str, Any], str]] = []
    try:
        value = json.loads(text, object_pairs_hook=_pairs_into(twice, name), parse_int=_whole_number)
    except json.JSONDecodeError as trouble:
        where = f"line {trouble.lineno}, column {trouble.colno}"
        raise BadFile(file_words.not_json(name, where, advice), where) from None
    except RecursionError:
        raise BadFile(file_words.json_too_deep(name, advice)) from None
    if twice:
        where = _place_of(value, twice[0][0])
        raise BadFile(file_words.key_twice(name, where, shown(twice[0][1])), where)
    return value


def shown(value: object, longest: int = 40) -> str:
    """A value as JSON would show it, short enough for a sentence and on one line."""
    try:
        text = json.dumps(value, ensure_ascii=False)
    except (TypeError, ValueError, RecursionError):
        text = str(type(value).__name__)
    return plain(text, longest)


def plain(text: str, longest: int) -> str:
    """Text that is safe in one line: unprintable signs become blanks, what is long is cut."""
    kept = "".join(sign if sign.isprintable() else " " for sign in text[: longest + 1])
    return kept if len(kept) <= longest else kept[: longest - 1] + "…"


def _decoded(content: bytes | str, name: str) -> str:
    if len(content) > LARGEST_BYTES:
        most = LARGEST_BYTES // 1_000_000
        raise BadFile(file_words.json_too_large(name, most))
    if isinstance(content, str):
        return content.removeprefix("\ufeff")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadFile(file_words.utf_16(name))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        line = content.count(b"\n", 0, trouble.start) + 1
        raise BadFile(file_words.not_utf_8(name, line)) from None


def _pairs_into(twice: list[tuple[dict[str, Any], str]], name: str) -> Any:
    """The builder of objects that notes every key standing twice."""

    def build(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(pairs) > MOST_KEYS:
            raise BadFile(file_words.too_many_keys(name, len(pairs), MOST_KEYS))
        if len(found) != len(pairs):
            seen: set[str] = set()
            twice.append((found, next(key for key, _ in pairs if key in seen or seen.add(key))))
        return found

    return build


def _whole_number(digits: str) -> int | float:
    return int(digits) if len(digits) <= LONGEST_WHOLE_NUMBER else float(digits)


def _place_of(value: Any, wanted: dict[str, Any]) -> str:
    """Where in a file or request an object stands, as a person counts."""
    steps = _steps_to(value, wanted) or []
    said = ".".join(str(step + 1) if isinstance(step, int) else step for step in steps)
    return re.sub(r"^entries\.(\d+)", r"entry \1", said) or "the outermost part"


def _steps_to(value: Any, wanted: dict[str, Any]) -> list[str | int] | None:
    if value is wanted:
        return []
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in inside:
        steps = _steps_to(part, wanted)
        if steps is not None:
            return [key, *steps]
    return None
