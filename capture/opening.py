"""The door opens before the house is lit: who knocks is answered at once, while the rest is loaded behind it.

Loading every screen and all the sums takes far longer than opening the port. Until that is done, strangers get their
page, the phone's code its cookie, and the stylesheet is sent; everything else waits for the whole program.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from flask import Flask, Response

from capture import door_words, headers, pairing, static_files
from capture.guards import GUARDS
from capture.later import later
from capture.pairing import Pairing
from capture.settings import Settings

filters = later("capture.screens.filters")

if TYPE_CHECKING:
    from wsgiref.types import StartResponse, WSGIEnvironment

KNOCKS = "knocks"
AT_THE_DOOR = ("pairing.come_in", static_files.ENDPOINT)


@dataclass(frozen=True)
class AtTheDoor:
    """Of the program's parts those that letting in takes."""

    pairing: Pairing


class Opening:
    """What the server serves: the door alone at first, then the whole program."""

    def __init__(self, settings: Settings, paired: Pairing, whole: Callable[[], Flask]) -> None:
        """whole: makes the whole program, in a thread of its own."""
        self._door, self._paired, self._make = door(settings, paired), paired, whole
        self._whole: Flask | None = None
        self._loaded = threading.Event()
        self._thread = threading.Thread(target=self._load, name="opening", daemon=True)
        self._failed: Callable[[], None] = lambda: None
        self.trouble: BaseException | None = None
        """What kept the whole program from being there."""

    def start(self, failed: Callable[[], None]) -> None:
        """Begins to load. failed: called when that does not succeed; `trouble` says why."""
        self._failed = failed
        self._thread.start()

    def end(self) -> None:
        """Waits until nothing is being loaded any more."""
        if self._thread.ident is not None:
            self._thread.join()

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Any:
        if not self._loaded.is_set() and self._is_for_the_door(environ):
            return self._door(environ, start_response)
        self._loaded.wait()
        return (self._whole or _cannot_start())(environ, start_response)

    def _load(self) -> None:
        try:
            self._whole = self._make()
        except BaseException as trouble:
            self.trouble = trouble
            self._failed()
        finally:
            self._loaded.set()
        if self._whole is not None:
            warm(self._whole)

    def _is_for_the_door(self, environ: WSGIEnvironment) -> bool:
        with self._door.request_context(environ) as asked:
            endpoint = asked.request.endpoint
            return endpoint in AT_THE_DOOR or (endpoint == KNOCKS and self._paired.is_strange())


def _cannot_start() -> Response:
    """The answer while the program ends because the whole of it cannot be had; the terminal says why."""
    return Response(f"{door_words.CANNOT_START}\n", 503, GUARDS, "text/plain")


def door(settings: Settings, paired: Pairing) -> Flask:
    """Lets in or shows the page for strangers; the same looks at every request as the whole program has."""
    app = Flask("capture", static_folder=None, template_folder="screens/templates")
    headers.look_at(app, settings, paired)
    static_files.serve_static_files(app)
    app.register_blueprint(pairing.blueprint)
    app.add_url_rule("/", KNOCKS, pairing.locked)
    app.context_processor(lambda: filters.in_every_template())  # loaded with the first page, not before
    app.extensions["plumbtack"] = AtTheDoor(paired)
    return app


def warm(app: Flask) -> None:
    """Reads the screens' templates, which takes as long as several pages, before the first of them is asked for."""
    for name in app.jinja_env.list_templates():
        app.jinja_env.get_template(name)
