"""A page that has not changed is not sent again: each carries a tag, and whoever shows the same tag is answered 304.

A page is a function of the log, the address, who asks and the day ("today 11:14"); the tag stands for all of them and
for this run of the program, so that a new program or a store put back never passes for what a browser kept. Browsers
ask each time before they show what they kept.

The one exception is the page for measuring, and only where its own script fetches it once more with the header
`X-Keep`: that copy may be shown without asking, so that a new tab opens while the laptop is away. It says which version
it is, and its script asks for what is new; without a script nobody would, so without it nothing is kept that way.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import date

from flask import Flask, Response, g, request

from capture.pairing import Pairing
from capture.store import NoSuchVehicle, Store

ASK_FIRST = "private, no-cache"
WHILE_AWAY = "private, max-age=43200"
"""Half a day: a long walk with the laptop's lid shut."""
OPENS_ALONE = "measure.measure"
WHOLE_STORE = ("start.page", "door.vehicles")
NEVER_KEPT = ("fresh.fresh", "measure.remark", "measure.expectations", "photos.picture")
"""Answers for a script in a page, which say "nothing new" in their own way, and pictures, which never change."""


class Freshness:
    """Looks at a request before it is answered and at its answer before that leaves."""

    def __init__(self, store: Store, pairing: Pairing) -> None:
        self._store, self._pairing = store, pairing
        self._run = secrets.token_hex(8)

    def listen(self, app: Flask) -> None:
        """After who is asking is known, before anything is worked out."""
        app.before_request(self.unchanged)
        app.after_request(self.tagged)

    def unchanged(self) -> Response | None:
        """304 when the browser has this very answer."""
        g.tag = self._tag()
        if g.tag is None or not request.if_none_match.contains_weak(g.tag):
            return None
        return Response(status=304)

    @staticmethod
    def tagged(response: Response) -> Response:
        tag = g.get("tag")
        if tag is not None and response.status_code in (200, 304):
            response.set_etag(tag, weak=True)
            kept = request.endpoint == OPENS_ALONE and "X-Keep" in request.headers
            response.headers["Cache-Control"] = WHILE_AWAY if kept else ASK_FIRST
            if request.endpoint == OPENS_ALONE:
                response.vary.add("Cookie")  # what was kept for a guest is not for who may record
            response.vary.add("Accept-Encoding")
        return response

    def _tag(self) -> str | None:
        """What the answer depends on, as one short text; None where it is made anew each time."""
        if request.method not in ("GET", "HEAD") or request.endpoint in NEVER_KEPT:
            return None
        vehicle_id = (request.view_args or {}).get("vehicle_id")
        if vehicle_id is None and request.endpoint not in WHOLE_STORE:
            return None
        try:
            state = self._store.state() if vehicle_id is None else self._store.version(vehicle_id)
        except NoSuchVehicle:
            return None
        key = self._pairing.guest_key if g.guest else self._pairing.key
        whole = (self._run, key, request.host, request.full_path, state, date.today().isoformat())
        return hashlib.sha256(repr(whole).encode("utf-8", "surrogatepass")).hexdigest()[:24]
