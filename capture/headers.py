"""What every answer carries, and whose requests are looked at: Host, Origin, the content policy, packing."""

from __future__ import annotations

import gzip
import re

from flask import Flask, Response, request

from capture import door_words
from capture.answers import refuse
from capture.guards import GUARDS, MAY_DIFFER
from capture.pairing import Pairing
from capture.settings import Settings
from capture.static_files import ENDPOINT, SMALLEST_PACKED, is_text

WHOLE_ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*://([^/?#]*)")
CHANGES_NOTHING = ("GET", "HEAD", "OPTIONS")


def look_at(app: Flask, settings: Settings, pairing: Pairing) -> None:
    """Every request first: the name it came under, whose page it is of, who asks. Every answer last: its headers."""
    app.before_request(lambda: refuse_foreign_host(settings))
    app.before_request(lambda: refuse_foreign_origin(pairing.shows_key() or pairing.is_strange()))
    app.before_request(pairing.refuse_stranger)
    app.after_request(finish)


def refuse_foreign_host(settings: Settings) -> Response | None:
    """421 for a name we never gave out: a page elsewhere may have pointed its own at this machine."""
    host = _host()
    if host in {_plain(host) for host in settings.allowed_hosts} and _named_in_line() in (None, host):
        return None
    return refuse(
        421,
        door_words.NOT_OUR_NAME,
        title="Another address",
    )


def refuse_foreign_origin(may_leave_out: bool) -> Response | None:
    """403 for a change that a page of ours did not send. may_leave_out: whether Origin may be missing: from a program
    that shows the key itself, and from a stranger, who is told so next and whose guesses are counted there."""
    if request.method in CHANGES_NOTHING:
        return None
    origin = request.headers.get("Origin")
    if origin is None and may_leave_out:
        return None
    if origin is not None and _plain(origin) == f"{request.scheme}://{_host()}":
        return None
    return refuse(403, door_words.NOT_OUR_PAGE)


def finish(response: Response) -> Response:
    """The headers of every answer, and gzip for text."""
    for name, value in GUARDS.items():
        if name not in MAY_DIFFER or name not in response.headers:
            response.headers[name] = value
    return _packed(response)


def _packed(response: Response) -> Response:
    if response.is_streamed or response.direct_passthrough or not is_text(response.mimetype or ""):
        return response
    if request.endpoint == ENDPOINT:
        return response
    response.vary.add("Accept-Encoding")
    if "gzip" not in request.accept_encodings or "Content-Encoding" in response.headers:
        return response
    content = response.get_data()
    if len(content) > SMALLEST_PACKED:
        response.set_data(gzip.compress(content, 5, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
    return response


def _host() -> str:
    return _plain(request.environ.get("HTTP_HOST", ""))


def _named_in_line() -> str | None:
    """The host in a request line with a whole address, as for a proxy; None for the usual ones with a path alone."""
    found = WHOLE_ADDRESS.match(request.environ.get("REQUEST_URI", ""))
    return _plain(found[1]) if found else None


def _plain(host: str) -> str:
    """Host names are the same in capitals, and port 80 goes without saying."""
    return host.lower().removesuffix(":80")
