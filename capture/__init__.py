"""Everything a person meets: the file, the store, the screens, the drawings and the command."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from capture.later import later

# Before numpy is loaded: the matrices here are small, and threads that wait for each other cost more than they bring,
# twentyfold on a laptop that has other work to do.
for library in ("OPENBLAS", "OMP", "MKL", "VECLIB"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")
# Before pydantic is: else it searches everything installed for plugins, at each start, and hands them what is typed.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

secrets = later("secrets")

if TYPE_CHECKING:
    from flask import Flask

    from capture.models import Models
    from capture.pairing import Pairing
    from capture.settings import Settings
    from capture.store import Store


@dataclass(frozen=True)
class Parts:
    """What a request reaches through `current_app.extensions["plumbtack"]`."""

    settings: Settings
    store: Store
    pairing: Pairing
    models: Models
    run: str = field(default_factory=lambda: secrets.token_hex(8))
    """Names this run of the program: what a page knew of another run may be newer than what there is now."""


def create_app(settings: Settings, paired: Pairing | None = None) -> Flask:
    """The server as a parts list. Opens the store; raises StoreRefused when it cannot be used.

    paired: where who comes in is decided already, and so the store is open; see `opening`.
    """
    # Imported here, so that the report without a server does not wait for the web's modules.
    from flask import Flask

    from capture import door, headers, pairing, screens
    from capture.answers import listen_for_trouble
    from capture.freshness import Freshness
    from capture.models import Models
    from capture.static_files import serve_static_files
    from capture.store import Store

    app = Flask(__name__, static_folder=None, template_folder="screens/templates")
    app.config["MAX_CONTENT_LENGTH"] = settings.largest_file
    app.json.sort_keys = False

    store = Store(settings.data, checked=paired is not None)
    parts = Parts(settings, store, paired or pairing.Pairing(store), Models(store))
    app.extensions["plumbtack"] = parts

    headers.look_at(app, settings, parts.pairing)
    Freshness(store, parts.pairing).listen(app)  # after_request runs the newest first: its word comes before `finish`
    listen_for_trouble(app)

    serve_static_files(app)
    app.register_blueprint(pairing.blueprint)
    app.register_blueprint(door.blueprint)
    for blueprint in screens.blueprints():
        app.register_blueprint(blueprint)
    return app
