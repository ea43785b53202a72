"""Who may come in: a key in the QR code's address becomes a cookie; without one there is one page and no names.

There are two keys. Who has the first may read and add; who has the second, the guests' one, may look. They belong to
the data folder, so a phone stays paired over restarts, and the cookie's name belongs to its key, so that two folders
served by one laptop do not throw each other's phones out (cookies do not see ports).
"""

from __future__ import annotations

import hashlib
import ipaddress
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, Request, Response, current_app, g, make_response, redirect, render_template, request

from capture import door_words
from capture.answers import for_a_program, refuse
from capture.guesses import Guesses
from capture.static_files import ENDPOINT

if TYPE_CHECKING:
    from capture.store_settings import StoreSettings

LONG = 400 * 24 * 3600  # the longest a browser keeps a cookie, seconds
OPEN_TO_ALL = ("pairing.come_in", ENDPOINT)
SHOWS_KEYS = ("let_in.page", "pairing.renew")
"""Pages that are not for guests: they would make more of themselves there."""
LOOKING = ("GET", "HEAD", "OPTIONS")

blueprint = Blueprint("pairing", __name__)


@dataclass(frozen=True)
class Keys:
    """full: reads and adds; guest: looks."""

    full: str
    guest: str

    @staticmethod
    def fresh() -> Keys:
        return Keys(_new_key(), _new_key())


def pairing_key(store: StoreSettings) -> str:
    """The key of this data folder; made at the first asking."""
    return store.setting("pairing_key", _new_key())


class Pairing:
    """Compares what a request shows with the keys, in constant time."""

    def __init__(self, store: StoreSettings) -> None:
        self._store = store
        self._keys = Keys(pairing_key(store), store.setting("guest_key", _new_key()))
        self.guesses = Guesses()

    @property
    def key(self) -> str:
        return self._keys.full

    @property
    def guest_key(self) -> str:
        return self._keys.guest

    @property
    def cookie(self) -> str:
        return cookie_name(self.key)

    def way_in(self, address: str) -> str:
        """What the QR code says: the address with the key in it. address: http://HOST:PORT."""
        return f"{address}/in?key={self.key}"

    def guest_way_in(self, address: str) -> str:
        """The same for who may look and change nothing."""
        return f"{address}/in?key={self.guest_key}"

    def renew(self) -> None:
        """Makes both keys anew: whoever came in with the old ones is outside, at once."""
        keys = Keys.fresh()
        self._store.change_settings({"pairing_key": keys.full, "guest_key": keys.guest})
        self._keys = keys

    def fitting(self, shown: str | None) -> str | None:
        """Of the two keys the one shown; always compares with both."""
        if shown is None:
            return None
        keys, given = self._keys, _bytes(shown)
        full = secrets.compare_digest(given, _bytes(keys.full))
        guest = secrets.compare_digest(given, _bytes(keys.guest))
        return keys.full if full else keys.guest if guest else None

    def shows_key(self) -> bool:
        """True when the request carries a key itself, as programs do."""
        return self.fitting(_bearer(request)) is not None

    def is_strange(self) -> bool:
        """True when the request shows no key that fits."""
        return not any(map(self.fitting, self._shown(request)))

    def may_add(self, cookie: str, authorization: str) -> bool:
        """True when these two headers of a request show the key of who reads and adds."""
        asking = Request({"HTTP_COOKIE": cookie, "HTTP_AUTHORIZATION": authorization})
        return self.key in map(self.fitting, self._shown(asking))

    def refuse_stranger(self) -> Response | None:
        """The locked page, or 401 for programs; None for who is paired. Guests that would change something: 403."""
        g.guest = False
        if request.endpoint in OPEN_TO_ALL:
            return None
        shown = self._shown(request)
        fitting = next((key for key in map(self.fitting, shown) if key is not None), None)
        if fitting is None:
            return self.slowed(locked()) if shown else locked()
        g.guest = fitting != self.key
        if g.guest and (request.method not in LOOKING or request.endpoint in SHOWS_KEYS):
            return refuse(403, door_words.GUEST_MAY_LOOK, title="Only looking")
        return None

    def slowed(self, answer: Response) -> Response:
        """The answer to a key that does not fit; after a few from one address it is "wait". Who shows the right key in
        a cookie or as a program never comes here, so guessing locks nobody out who is in."""
        seconds = self.guesses.missed(request.remote_addr or "")
        if not seconds:
            return answer
        answer = refuse(429, door_words.too_many_keys(seconds), title="Too many tries")
        answer.headers["Retry-After"] = str(seconds)
        return answer

    def may_renew(self) -> bool:
        """True in a paired browser on this machine: its network address is the loopback, and it shows the cookie."""
        return _is_this_machine(request.remote_addr) and self.fitting(request.cookies.get(self.cookie)) == self.key

    def let_in(self, answer: Response, key: str) -> Response:
        """The answer with the cookie of this key."""
        answer.set_cookie(cookie_name(key), key, max_age=LONG, httponly=True, samesite="Lax", path="/")
        return answer

    def _shown(self, asking: Request) -> list[str]:
        """Every key a request shows, as cookie or in its header."""
        keys = self._keys
        cookies = (asking.cookies.get(cookie_name(key)) for key in (keys.full, keys.guest))
        return [shown for shown in (*cookies, _bearer(asking)) if shown is not None]


def cookie_name(key: str) -> str:
    return "plumbtack_" + hashlib.sha256(key.encode()).hexdigest()[:8]


def locked(sentence: str = door_words.NO_KEY) -> Response:
    """The one page strangers see. It says how to get in and nothing else."""
    if for_a_program():
        answer = refuse(401, door_words.NO_KEY_FOR_PROGRAMS)
        answer.headers["WWW-Authenticate"] = "Bearer"
        return answer
    answer = make_response(render_template("locked.html", sentence=sentence))
    answer.status_code = 403
    return answer


@blueprint.get("/in")
def come_in() -> Response:
    """Turns the key in the address into a cookie and leads to the clean address."""
    pairing: Pairing = current_app.extensions["plumbtack"].pairing
    if pairing.guesses.wait(request.remote_addr or ""):
        return pairing.slowed(locked(door_words.KEY_OF_BEFORE))
    fitting = pairing.fitting(request.args.get("key"))
    if fitting is None:
        answer = locked(door_words.KEY_OF_BEFORE)
        return pairing.slowed(answer) if request.args.get("key") else answer
    return pairing.let_in(make_response(redirect("/", code=303)), fitting)


@blueprint.post("/pairing/renew")
def renew() -> Response:
    """New keys; this browser stays in, every other is outside."""
    pairing: Pairing = current_app.extensions["plumbtack"].pairing
    if not pairing.may_renew():
        return refuse(403, door_words.KEYS_ARE_MADE_ON_THE_LAPTOP, title=door_words.ONLY_ON_THE_LAPTOP)
    pairing.renew()
    return pairing.let_in(make_response(redirect("/let-in?renewed", code=303)), pairing.key)


def _bearer(asking: Request) -> str | None:
    scheme, _, shown = asking.headers.get("Authorization", "").partition(" ")
    return shown.strip() or None if scheme.lower() == "bearer" else None


def _is_this_machine(address: str | None) -> bool:
    try:
        there = ipaddress.ip_address((address or "").partition("%")[0])
    except ValueError:
        return False
    mapped = getattr(there, "ipv4_mapped", None)
    return (mapped or there).is_loopback


def _new_key() -> str:
    return secrets.token_urlsafe(18)


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")
