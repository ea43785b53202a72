"""Who may come in: the key in the QR code's address becomes a cookie; without it there is one page and no names.

The key belongs to the data folder, so a phone stays paired over restarts, and the cookie's name belongs to the key,
so that two folders served by one laptop do not throw each other's phones out (cookies do not see ports).
"""

from __future__ import annotations

import hashlib
import secrets

from flask import Blueprint, Response, current_app, make_response, redirect, render_template, request

from capture.answers import for_a_program, refuse
from capture.static_files import ENDPOINT
from capture.store import Store

LONG = 400 * 24 * 3600  # the longest a browser keeps a cookie, seconds
LOCKED = (
    "This page opens with the code that the laptop shows: point the phone's camera at it, or open the whole address "
    "printed there."
)
NO_KEY = "The key is missing or another one's: send Authorization: Bearer KEY (plumbtack --print-key shows it)."
OPEN_TO_ALL = ("pairing.come_in", ENDPOINT)

blueprint = Blueprint("pairing", __name__)


def pairing_key(store: Store) -> str:
    """The key of this data folder; made at the first asking."""
    return store.setting("pairing_key", secrets.token_urlsafe(18))


class Pairing:
    """Compares what a request shows with the key, in constant time."""

    def __init__(self, store: Store) -> None:
        self.key = pairing_key(store)

    @property
    def cookie(self) -> str:
        return "plumbtack_" + hashlib.sha256(self.key.encode()).hexdigest()[:8]

    def way_in(self, address: str) -> str:
        """What the QR code says: the address with the key in it. address: http://HOST:PORT."""
        return f"{address}/in?key={self.key}"

    def fits(self, shown: str | None) -> bool:
        return shown is not None and secrets.compare_digest(_bytes(shown), _bytes(self.key))

    def shows_key(self) -> bool:
        """True when the request carries the key itself, as programs do."""
        scheme, _, shown = request.headers.get("Authorization", "").partition(" ")
        return scheme.lower() == "bearer" and self.fits(shown.strip())

    def refuse_stranger(self) -> Response | None:
        """The locked page, or 401 for programs; None for who is paired."""
        if request.endpoint in OPEN_TO_ALL or self.fits(request.cookies.get(self.cookie)) or self.shows_key():
            return None
        return locked()


def locked(sentence: str = LOCKED) -> Response:
    """The one page strangers see. It says how to get in and nothing else."""
    if for_a_program():
        answer = refuse(401, NO_KEY)
        answer.headers["WWW-Authenticate"] = "Bearer"
        return answer
    answer = make_response(render_template("locked.html", sentence=sentence))
    answer.status_code = 403
    return answer


@blueprint.get("/in")
def come_in() -> Response:
    """Turns the key in the address into a cookie and leads to the clean address."""
    pairing: Pairing = current_app.extensions["plumbtack"].pairing
    if not pairing.fits(request.args.get("key")):
        return locked("This code is no longer the right one: point the camera at the code the laptop shows now.")
    answer = make_response(redirect("/", code=303))
    answer.set_cookie(pairing.cookie, pairing.key, max_age=LONG, httponly=True, samesite="Lax", path="/")
    return answer


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")
