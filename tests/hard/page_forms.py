"""Requests for `fuzz` as a person's browser makes them, from the forms of the pages themselves.

Their fields are sent as they were, with another choice, or with anything; the files a page takes whole and bent.
"""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from html.parser import HTMLParser
from urllib.parse import urlencode, urljoin

from tests.conftest import vehicle_object
from tests.hard.anything import ODD_NUMBERS, ODD_TEXTS, Request
from tests.hard.load import MORE_ROOMS, ROOMS
from tests.hard.other_entries import picture
from tests.hard.phones import NAMES, Line, reading

BOUNDARY = "made-by-a-made-browser"
FORM = {"Content-Type": "application/x-www-form-urlencoded", "Accept": "text/html"}
MOST_PAGES = 80
"""Pages read for their forms: then the first ones again, since forms change with what was stored."""
RARE = ("/close", "/stage", "/withdraw")
"""What ends a stage or takes readings back is done seldom: afterwards little else is taken."""
TYPED = ("24 1/8", "612.5", "5' 3 1/2", "12.4 deg", "1 1/16", "0.62", "3", "70", "38.1", "-3.5", "0", "up a hole")


@dataclass
class Form:
    method: str
    action: str
    packed: bool = False
    """True where it goes as multipart, so that it can carry files."""
    fields: list[tuple[str, list[str]]] = field(default_factory=list)
    """Name, and the values it offers: one for what is typed, all of a choice."""
    files: list[str] = field(default_factory=list)


class Reader(HTMLParser):
    """The forms of a page and the addresses it leads to."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self._address, self._open = address, Form("GET", address)
        self.forms: list[Form] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, given: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in given}
        if tag == "a" and told.get("href", "").startswith(("/", "?")):
            self.links.append(urljoin(self._address, told["href"]).partition("#")[0])
        elif tag == "form":
            action = urljoin(self._address, told.get("action") or self._address).partition("#")[0]
            packed = told.get("enctype") == "multipart/form-data"
            self._open = Form(told.get("method", "get").upper(), action, packed)
            self.forms.append(self._open)
        elif tag == "option":
            self._open.fields and self._open.fields[-1][1].append(told.get("value", ""))
        elif told.get("type") == "radio" and told.get("name") in dict(self._open.fields):
            dict(self._open.fields)[told["name"]].append(told.get("value", ""))
        elif tag in ("input", "select", "textarea", "button") and told.get("name"):
            if told.get("type") == "file":
                self._open.files.append(told["name"])
            else:
                self._open.fields.append((told["name"], [told["value"]] if "value" in told else []))


def page_requests(line: Line, vehicle_id: str, luck: random.Random) -> Callable[[], Request]:
    """A source of requests from the pages of this vehicle as they are by then."""
    first = ["/", "/new", *(f"/vehicles/{vehicle_id}/{room}" for room in (*ROOMS, *MORE_ROOMS))]
    waiting: list[str] = list(first)
    seen: set[str] = set()
    forms: dict[str, list[Form]] = {}
    """By where they go, ids left out, so that a page of many rows counts once."""

    def read_one() -> None:
        if not waiting or len(seen) > MOST_PAGES:
            waiting[:] = first
            seen.clear()
        address = waiting.pop(luck.randrange(len(waiting)))
        answer = line.ask("GET", address, None, {"Accept": "text/html"})
        if answer.status != 200 or not answer.headers.get("content-type", "").startswith("text/html"):
            return
        reader = Reader(address)
        reader.feed(answer.body.decode())
        for form in reader.forms:
            forms.setdefault(re.sub("[0-9a-f]{16,}|[a-z]+-[0-9]+", "", form.action.partition("?")[0]), []).append(form)
        fresh = [link for link in dict.fromkeys(reader.links) if link not in seen and vehicle_id in link]
        seen.update(fresh)
        waiting.extend(fresh)

    def made() -> Request:
        while not forms or luck.random() < 0.25:
            read_one()
        where = luck.choice(sorted(forms))
        if where.endswith(RARE) and luck.random() < 0.9:
            return made()
        return filled_in(luck.choice(forms[where][-20:]), luck)

    return made


def filled_in(form: Form, luck: random.Random) -> Request:
    """The form sent with some of its fields."""
    bent = luck.choice((0.0, 0.0, 0.1, 0.5))
    said = [(name, _value(there, bent, luck)) for name, there in form.fields if luck.random() > bent / 3]
    if luck.random() < bent / 3:
        said.append(luck.choice(said or [("x", "x")]))
    if form.method == "GET":
        return Request("GET", form.action.partition("?")[0] + "?" + _coded(said))
    if form.packed:
        return Request("POST", form.action, *_packed(said, form.files, luck))
    return Request("POST", form.action, _coded(said).encode(), FORM)


def _value(there: list[str], bent: float, luck: random.Random) -> str:
    if luck.random() < bent:
        return str(luck.choice((*ODD_TEXTS, *ODD_NUMBERS, "x" * 20_000)))
    if not there or (len(there) == 1 and luck.random() < 0.2):
        return luck.choice(TYPED)
    return luck.choice(there)


def _coded(said: list[tuple[str, str]]) -> str:
    return urlencode([(name, value.encode("utf-8", "surrogatepass")) for name, value in said])


# Files.


def _packed(said: list[tuple[str, str]], files: list[str], luck: random.Random) -> tuple[bytes, dict[str, str]]:
    parts = [(f'name="{name}"', value.encode("utf-8", "surrogatepass")) for name, value in said]
    for name in files:
        kind, content = luck.choice(_files())
        called = luck.choice((f"a.{kind}", "../../etc/a", "", "a" * 300, 'a"b.jpg', "a\\..\\b.json"))
        if luck.random() < 0.8:
            parts.append((f'name="{name}"; filename="{called}"', bent(content, luck)))
    body = b"".join(
        f"--{BOUNDARY}\r\nContent-Disposition: form-data; {head}\r\n\r\n".encode() + value + b"\r\n"
        for head, value in parts
    )
    return body + f"--{BOUNDARY}--\r\n".encode(), FORM | {"Content-Type": f"multipart/form-data; boundary={BOUNDARY}"}


def bent(content: bytes, luck: random.Random) -> bytes:
    """Whole half of the time; else cut off, with a few other bytes in it, or with a piece twice."""
    if luck.random() < 0.5 or not content:
        return content
    at = luck.randrange(len(content))
    if luck.random() < 0.3:
        return content[:at]
    if luck.random() < 0.3:
        return content[:at] + content[at : at + luck.randrange(400)] + content[at:]
    changed = bytearray(content)
    for _ in range(luck.choice((1, 3, 30))):
        changed[luck.randrange(len(changed))] = luck.randrange(256)
    return bytes(changed)


@cache
def _files() -> tuple[tuple[str, bytes], ...]:
    """One whole file of each kind a page takes."""
    vehicle = json.dumps(vehicle_object(entries=[reading("filed", number) for number in range(6)])).encode()
    table = "reading,value,unit,note\r\n" + "".join(f"{name},24 1/8,in,\r\n" for name in NAMES[:9])
    return (
        ("jpg", picture()), ("png", _png()), ("json", vehicle), ("zip", _zip(vehicle)), ("csv", table.encode()),
        ("csv", re.sub(",", ";", table).encode("utf-16")), ("txt", b""),
    )  # fmt: skip


def _png() -> bytes:
    from PIL import Image

    kept = io.BytesIO()
    Image.linear_gradient("L").resize((64, 48)).save(kept, "PNG")
    return kept.getvalue()


def _zip(vehicle: bytes) -> bytes:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("vehicle.json", vehicle)
        packed.writestr("photos/photo-0001.jpg", picture())
    return kept.getvalue()
