"""Requests of every kind for `fuzz`: some without any rule, some grown from the form of the vehicle file and bent."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from hypothesis import strategies as st

from capture.vehicle_file import VehicleFile
from tests.conftest import reading_object, vehicle_object
from tests.hard.phones import NAMES

QUERY = (
    "at",
    "v",
    "room",
    "view",
    "point",
    "reading",
    "value",
    "unit",
    "stage",
    "text",
    "key",
    "own",
    "landed",
    "with",
)
METHODS = ("GET", "GET", "GET", "POST", "POST", "POST", "HEAD", "PUT", "DELETE", "PATCH", "OPTIONS")
ODD_TEXTS = (
    "",
    " ",
    "\0",
    "x",
    "0",
    "-1",
    "1e999",
    "NaN",
    "null",
    "true",
    "[]",
    "{}",
    "../..",
    "%00",
    "<script>",
    "‮",
    "\ud800",
    "é",
    "height:lower_left.frame",
    "span:a~b",
    "~",
    ":",
    "x" * 300,
    "🛻",
    "'; --",
    "{{7*7}}",
    "\r\nX: y",
    "1/0",
    "24 1/8",
    "5' 3 1/2",
)
ODD_NUMBERS = (
    0,
    -0.0,
    1,
    -1,
    0.5,
    1e6,
    -1e6,
    1.0000001e6,
    1e308,
    -1e308,
    5e-324,
    2**53,
    2**64,
    10**40,
    True,
    None,
    "1",
)
KINDS = (
    "application/json",
    "text/plain",
    "application/x-www-form-urlencoded",
    "multipart/form-data; boundary=x",
    "x/y",
    "",
)


@dataclass
class Request:
    method: str
    path: str
    body: bytes | None = None
    headers: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Rule:
    """An address of the program: its pattern and the methods it takes."""

    pattern: str
    methods: tuple[str, ...]
    gaps: tuple[str, ...]


def rules() -> list[Rule]:
    """Every address there is, from the program itself."""
    import tempfile
    from pathlib import Path

    from capture import create_app
    from capture.settings import Settings

    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(Path(folder) / "data"))
        app.extensions["plumbtack"].store.close()
    found = [
        Rule(rule.rule, tuple(sorted(rule.methods)), tuple(sorted(rule.arguments))) for rule in app.url_map.iter_rules()
    ]
    return [*found, Rule("/<path:rest>", ("GET",), ("rest",))]


# Without any rule.

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
    lambda inside: st.lists(inside, max_size=5) | st.dictionaries(st.text(max_size=12), inside, max_size=5),
    max_leaves=20,
)
bodies = (
    st.none()
    | st.binary(max_size=2000)
    | json_values.map(lambda value: json.dumps(value).encode())
    | st.lists(json_values, max_size=4).map(lambda found: json.dumps({"entries": found}).encode())
)
header_texts = st.text(st.characters(min_codepoint=32, max_codepoint=255, exclude_characters="\x7f"), max_size=60)
header_names = st.sampled_from(
    [
        "Accept",
        "Accept-Encoding",
        "Cookie",
        "Content-Type",
        "If-None-Match",
        "If-Modified-Since",
        "Range",
        "Origin",
        "Host",
        "Referer",
        "Authorization",
        "X-Forwarded-For",
        "HX-Request",
        "Expect",
        "Content-Encoding",
        "TE",
        "X-HTTP-Method-Override",
    ]
)


def free_requests(there: Sequence[Rule], vehicle_id: str) -> st.SearchStrategy[Request]:
    """Anything at all at any address."""
    gap = st.sampled_from([vehicle_id, vehicle_id, vehicle_id[:-1], *ODD_TEXTS]) | st.text(max_size=40)
    query = st.dictionaries(
        st.sampled_from(QUERY) | st.text(max_size=8), st.sampled_from(ODD_TEXTS) | st.text(max_size=40), max_size=4
    )

    def made(draw: Callable[[Any], Any]) -> Request:
        rule = draw(st.sampled_from(there))
        path = filled(rule, lambda name: vehicle_id if name == "vehicle_id" and draw(st.booleans()) else draw(gap))
        asked = draw(query)
        if asked:
            path += "?" + "&".join(f"{_quoted(name)}={_quoted(value)}" for name, value in asked.items())
        headers = draw(st.dictionaries(header_names, header_texts, max_size=3))
        return Request(draw(st.sampled_from(METHODS)), path, draw(bodies), headers)

    return st.composite(made)()


# Grown from the form.


class Former:
    """Makes what the form of the vehicle file describes, and bends a part of it now and then."""

    def __init__(self, luck: random.Random, bent: float = 0.06) -> None:
        self._luck, self._bent = luck, bent
        self._form = VehicleFile.model_json_schema()

    def entries(self) -> list[Any]:
        made = [self._of(self._form["properties"]["entries"]["items"], "") for _ in range(self._luck.randrange(1, 5))]
        return [self._likely(entry) for entry in made]

    def vehicle(self) -> dict[str, Any]:
        made = self._of(self._form, "")
        return vehicle_object() | made if isinstance(made, dict) and self._luck.random() < 0.7 else made

    def _likely(self, entry: Any) -> Any:
        """Often enough an entry that is taken: with a known reading and an id of the right form."""
        if not isinstance(entry, dict) or self._luck.random() < 0.2:
            return entry
        entry["id"] = f"made-{self._luck.randrange(10**6):07d}"
        entry["at"] = reading_object(1)["at"]
        if "reading" in entry:
            entry["reading"] = self._luck.choice(NAMES)
        if "of" in entry:
            entry["of"] = f"made-{self._luck.randrange(10**6):07d}"
        return entry

    def _of(self, form: dict[str, Any], name: str) -> Any:
        luck = self._luck
        if luck.random() < self._bent:
            return luck.choice((*ODD_NUMBERS, *ODD_TEXTS, [], {}, [[]]))
        if "$ref" in form:
            return self._of(self._form["$defs"][form["$ref"].rpartition("/")[2]], name)
        if "const" in form:
            return form["const"]
        if "enum" in form:
            return luck.choice(form["enum"])
        for choice in ("anyOf", "oneOf"):
            if choice in form:
                return self._of(luck.choice(form[choice]), name)
        return self._plain(form, name)

    def _plain(self, form: dict[str, Any], name: str) -> Any:
        luck = self._luck
        kind = form.get("type")
        if kind == "object":
            wanted = form.get("required", [])
            parts = {
                key: self._of(part, key)
                for key, part in form.get("properties", {}).items()
                if key in wanted or luck.random() < 0.5
            }
            if luck.random() < self._bent:
                parts[luck.choice(ODD_TEXTS)] = luck.choice(ODD_NUMBERS)
            return parts
        if kind == "array":
            return [self._of(form.get("items", {}), name) for _ in range(luck.randrange(4))]
        if kind == "boolean":
            return luck.random() < 0.5
        if kind in ("number", "integer"):
            low, high = form.get("minimum", 0.01), form.get("maximum", 1000.0)
            return luck.uniform(max(low, -5000.0), min(high, 5000.0))
        return luck.choice((*NAMES, "mm", "in", "ride", "24 1/8", *ODD_TEXTS[:6])) if kind == "string" else None


def formed_requests(vehicle_id: str, luck: random.Random, there: Sequence[Rule]) -> Callable[[], Request]:
    """A source of requests that mostly are as they should be."""
    former = Former(luck)

    def made() -> Request:
        if luck.random() < 0.45:
            body = {"entries": former.entries()}
            return Request("POST", f"/vehicles/{vehicle_id}/entries", _text(body), {"Content-Type": luck.choice(KINDS)})
        if luck.random() < 0.1:
            vehicle = former.vehicle()
            if isinstance(vehicle, dict):
                vehicle["entries"] = [] if luck.random() < 0.9 else vehicle.get("entries")
                vehicle["version"] = 99 if luck.random() < 0.9 else vehicle.get("version")  # few that stay
            return Request("POST", "/vehicles", _text(vehicle), {"Content-Type": luck.choice(KINDS)})
        rule = luck.choice(there)
        path = filled(
            rule, lambda name: vehicle_id if name == "vehicle_id" else luck.choice(("lower_left", *ODD_TEXTS))
        )
        asked = [(name, luck.choice((*NAMES, *ODD_TEXTS, "mock_up", "612.5", "mm"))) for name in luck.sample(QUERY, 2)]
        if rule.methods == ("OPTIONS", "POST"):
            body = "&".join(f"{_quoted(name)}={_quoted(value)}" for name, value in asked).encode()
            return Request("POST", path, body, {"Content-Type": KINDS[2], "Accept": luck.choice(("text/html", "*/*"))})
        return Request("GET", path + "?" + "&".join(f"{_quoted(name)}={_quoted(value)}" for name, value in asked))

    return made


def filled(rule: Rule, gap: Callable[[str], str]) -> str:
    path = rule.pattern
    for name in rule.gaps:
        given = _quoted(gap(name))
        for form in (f"<{name}>", f"<path:{name}>"):
            path = path.replace(form, given)
    return path


def _text(value: Any) -> bytes:
    return json.dumps(value).encode()


def _quoted(text: str) -> str:
    return quote(text.encode("utf-8", "surrogatepass"), safe="")
