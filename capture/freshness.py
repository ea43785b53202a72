"""A page that has not changed is not sent again: each carries a tag, and whoever shows the same tag is answered 304.

The tag stands for what the answer says, byte for byte, and for who asks at which address in this run of the program. So
an entry that changes nothing on a page leaves it a 304, and nothing else can pass for it. What an answer said is
remembered with all it is a function of (the log, the address, who asks and the day: "today 11:14"), so that nothing is
worked out while those are as they were. Browsers ask each time before they show what they kept.

The one exception is the page for measuring, and only where its own script fetches it once more with the header
`X-Keep`: that copy may be shown without asking, so that a new tab opens while the laptop is away. It says which version
it is, and its script asks for what is new; without a script nobody would, so without it nothing is kept that way.
"""

from __future__ import annotations

import hashlib
import secrets
import threading
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date

from flask import Flask, Response, g, request

from capture.pairing import Pairing
from capture.store import NoSuchVehicle, Store

ASK_FIRST = "private, no-cache"
WHILE_AWAY = "private, max-age=43200"
"""Half a day: a long walk with the laptop's lid shut."""
OPENS_ALONE = "measure.measure"
WHOLE_STORE = ("start.page", "door.vehicles")
POLICY = "Content-Security-Policy"
REMEMBERED = 512
"""Answers of which is known what they said."""
NEVER_KEPT = ("fresh.fresh", "measure.remark", "measure.expectations", "photos.picture")
"""Answers for a script in a page, which say "nothing new" in their own way, and pictures, which never change."""


@dataclass(frozen=True)
class _Said:
    """What an answer said. policy: its own, where it needs another than all pages; a 304 must not take it away."""

    tag: str
    policy: str | None

    def is_there(self) -> bool:
        """Whether the browser that asks has it."""
        return bool(request.if_none_match.contains_weak(self.tag))

    def unchanged(self) -> Response:
        headers = {POLICY: self.policy} if self.policy else None
        return _finished(Response(status=304, headers=headers), self.tag)


class Freshness:
    """Looks at a request before it is answered and at its answer before that leaves."""

    def __init__(self, store: Store, pairing: Pairing) -> None:
        self._store, self._pairing = store, pairing
        self._run = secrets.token_hex(8)
        self._said: OrderedDict[str, _Said] = OrderedDict()
        self._guard = threading.Lock()

    def listen(self, app: Flask) -> None:
        """After who is asking is known, before anything is worked out."""
        app.before_request(self.unchanged)
        app.after_request(self.tagged)

    def unchanged(self) -> Response | None:
        """304 when it is known without work that the browser has this very answer."""
        g.asked, g.state = self._asked(), None
        if g.asked is None:
            return None
        g.state = self._state()
        with self._guard:
            said = self._said.get(_digest(g.asked, g.state))
        return said.unchanged() if said is not None and said.is_there() else None

    def tagged(self, response: Response) -> Response:
        """The answer with its tag, or a 304 in its place where the browser has the same."""
        if g.get("state") is None or response.status_code != 200:
            return response
        if response.is_streamed or response.direct_passthrough:
            return _finished(response, _digest(g.asked, g.state))
        said = _Said(_digest(g.asked, response.get_data()), response.headers.get(POLICY))
        if self._state() == g.state:  # else an entry came in between, and nobody knows which log was shown
            said = self._remembered(_digest(g.asked, g.state), said)
        return said.unchanged() if said.is_there() else _finished(response, said.tag)

    def _remembered(self, key: str, said: _Said) -> _Said:
        """What was said first from the same log: a form's own fresh id makes another answer of it that is as good."""
        with self._guard:
            said = self._said.setdefault(key, said)
            while len(self._said) > REMEMBERED:
                self._said.popitem(last=False)
        return said

    def _asked(self) -> tuple[str, ...] | None:
        """Who asks for what; None where the answer is made anew each time."""
        if request.method not in ("GET", "HEAD") or request.endpoint in NEVER_KEPT:
            return None
        if "vehicle_id" not in (request.view_args or {}) and request.endpoint not in WHOLE_STORE:
            return None
        key = self._pairing.guest_key if g.guest else self._pairing.key
        return self._run, key, request.host, request.full_path

    def _state(self) -> tuple[str, ...] | None:
        """What the answer is a function of, besides who asks for what; None where there is nothing."""
        vehicle_id = (request.view_args or {}).get("vehicle_id")
        try:
            state = self._store.state() if vehicle_id is None else self._store.version(vehicle_id)
        except NoSuchVehicle:
            return None
        return str(state), date.today().isoformat()


def _digest(*parts: object) -> str:
    return hashlib.sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()[:24]


def _finished(response: Response, tag: str) -> Response:
    response.set_etag(tag, weak=True)
    kept = request.endpoint == OPENS_ALONE and "X-Keep" in request.headers
    response.headers["Cache-Control"] = WHILE_AWAY if kept else ASK_FIRST
    if request.endpoint == OPENS_ALONE:
        response.vary.add("Cookie")  # what was kept for a guest is not for who may record
    response.vary.add("Accept-Encoding")
    return response
