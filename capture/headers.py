"""What every answer carries, and whose requests are looked at: Host, Origin, the content policy, packing."""

from __future__ import annotations

import gzip

from flask import Flask, Response, request

from capture import door_words
from capture.answers import refuse
from capture.pairing import Pairing
from capture.settings import Settings
from capture.static_files import ENDPOINT, SMALLEST_PACKED, is_text

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; form-action 'self'; "
    "img-src 'self' data:; base-uri 'none'; frame-ancestors 'none'"
)
CHANGES_NOTHING = ("GET", "HEAD", "OPTIONS")


def look_at(app: Flask, settings: Settings, pairing: Pairing) -> None:
    """Every request first: the name it came under, whose page it is of, who asks. Every answer last: its headers."""
    app.before_request(lambda: refuse_foreign_host(settings))
    app.before_request(lambda: refuse_foreign_origin(pairing.shows_key()))
    app.before_request(pairing.refuse_stranger)
    app.after_request(finish)


def refuse_foreign_host(settings: Settings) -> Response | None:
    """421 for a Host header we never gave out: a page elsewhere may have pointed its own name at this machine."""
    if _host() in {_plain(host) for host in settings.allowed_hosts}:
        return None
    return refuse(
        421,
        door_words.NOT_OUR_NAME,
        title="Another address",
    )


def refuse_foreign_origin(has_key: bool) -> Response | None:
    """403 for a change that a page of ours did not send. A program that shows the key itself may leave Origin out."""
    if request.method in CHANGES_NOTHING:
        return None
    origin = request.headers.get("Origin")
    if origin is None and has_key:
        return None
    if origin is not None and _plain(origin) == f"{request.scheme}://{_host()}":
        return None
    return refuse(403, door_words.NOT_OUR_PAGE)


def finish(response: Response) -> Response:
    """The headers of every answer, and gzip for text."""
    headers = response.headers
    headers.setdefault("Content-Security-Policy", CONTENT_POLICY)  # the as-built sheet allows its own style, no more
    headers["X-Content-Type-Options"] = "nosniff"
    headers["X-Frame-Options"] = "DENY"
    headers["Referrer-Policy"] = "same-origin"  # with none at all, browsers send forms with Origin: null
    if "Cache-Control" not in headers:
        headers["Cache-Control"] = "no-store"
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


def _plain(host: str) -> str:
    """Host names are the same in capitals, and port 80 goes without saying."""
    return host.strip().lower().removesuffix(":80")
