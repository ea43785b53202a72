"""Stylesheet, scripts and the vendored file: read once, packed once, cached by the browser for ever.

The address carries a hash of the content, so a changed file has a new address and an old one never comes back.
"""

from __future__ import annotations

import gzip
import hashlib
import mimetypes
from dataclasses import dataclass
from pathlib import Path

from flask import Flask, Response, abort, request
from werkzeug.security import safe_join
from werkzeug.wrappers import Response as Answer

from capture import places

FOR_EVER = "public, max-age=31536000, immutable"
SMALLEST_PACKED = 1000
PACKED = ("text/", "application/javascript", "application/json", "application/manifest+json", "image/svg+xml")

ENDPOINT = "static"


@dataclass(frozen=True)
class StaticFile:
    """One file as it goes over the wire."""

    stamp: tuple[int, int]
    content: bytes
    packed: bytes | None
    kind: str
    hash: str


_read: dict[str, StaticFile] = {}


def static_url(name: str) -> str:
    """The address of a file in the static folder, for templates: /static/NAME?v=HASH."""
    there = _static_file(name)
    return f"/static/{name}?v={there.hash}" if there else f"/static/{name}"


def program() -> str:
    """Stands for all files of the static folder: a page made of others is an older program's."""
    names = sorted(path.name for path in places.static_folder().iterdir() if path.is_file())
    found = [f"{name} {there.hash}" for name in names if (there := _static_file(name))]
    return hashlib.sha256("\n".join(found).encode()).hexdigest()[:12]


def serve_static_files(app: Flask) -> None:
    """Answers at the addresses of `static_url`."""
    app.add_url_rule("/static/<path:name>", ENDPOINT, _send)


def _send(name: str) -> Answer:
    there = _static_file(name)
    if there is None:
        abort(404)
    packed = there.packed is not None and "gzip" in request.accept_encodings
    answer = Response(there.packed if packed else there.content, content_type=there.kind)
    if packed:
        answer.headers["Content-Encoding"] = "gzip"
    answer.headers["Vary"] = "Accept-Encoding"
    answer.headers["Cache-Control"] = FOR_EVER if request.args.get("v") == there.hash else "no-cache"
    answer.set_etag(there.hash + ("-gzip" if packed else ""))
    return answer.make_conditional(request)


def _static_file(name: str) -> StaticFile | None:
    """The file, read again only when it has changed on disk. None where there is none of that name."""
    path = safe_join(str(places.static_folder()), name)
    try:
        if path is None or not Path(path).is_file():
            return None
        status = Path(path).stat()
        stamp = (status.st_mtime_ns, status.st_size)
        there = _read.get(name)
        if there is None or there.stamp != stamp:
            there = _read[name] = _take(Path(path), stamp)
        return there
    except (OSError, ValueError):
        return None


def _take(path: Path, stamp: tuple[int, int]) -> StaticFile:
    content = path.read_bytes()
    kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    if path.suffix == ".js":
        kind = "text/javascript"  # some machines' own tables say text/plain, which nosniff would refuse to run
    packed = gzip.compress(content, 9, mtime=0) if is_text(kind) and len(content) > SMALLEST_PACKED else None
    if kind.startswith("text/") or kind == "application/javascript":
        kind += "; charset=utf-8"
    return StaticFile(stamp, content, packed, kind, hashlib.sha256(content).hexdigest()[:12])


def is_text(kind: str) -> bool:
    """True for content that gzip makes smaller."""
    return kind.startswith(PACKED)
