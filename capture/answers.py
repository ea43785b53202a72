"""How the server says no: one sentence, as JSON to a program and as a small page to a person."""

from __future__ import annotations

import sys
import traceback

from flask import Flask, Response, jsonify, make_response, request
from geometry.errors import GeometryError
from werkzeug.exceptions import HTTPException

from capture import door_words
from capture.json_text import BadFile
from capture.later import later
from capture.stages import NoReadings
from capture.store_errors import Conflict, NoSuchVehicle, StoreError, StoreFull

words = later("capture.screens.words")
locked = later("capture.screens.locked")


def refuse(status: int, sentence: str, place: str | None = None, title: str = "") -> Response:
    """The answer that says why not. `place` is where in what was sent, for programs."""
    if for_a_program():
        answer = jsonify({"error": sentence, "place": place} if place else {"error": sentence})
    else:
        answer = make_response(locked.trouble_page(status, sentence, title))
    answer.status_code = status
    return answer


def for_a_program() -> bool:
    """True on the door for programs, and wherever JSON is what was asked for."""
    if request.blueprint == "door":
        return True
    accepted = request.accept_mimetypes
    return accepted["application/json"] > accepted["text/html"]


def listen_for_trouble(app: Flask) -> None:
    """Every way a request can fail ends in one sentence; only our own faults leave a traceback, on stderr."""

    @app.errorhandler(BadFile)
    def bad_file(trouble: BadFile) -> Response:
        return refuse(422, str(trouble) if for_a_program() else trouble.bare, trouble.place)

    @app.errorhandler(NoReadings)
    @app.errorhandler(GeometryError)
    def cannot_be_had(trouble: NoReadings | GeometryError) -> Response:
        said = str(trouble)
        return refuse(422, said[:1].upper() + said[1:])

    @app.errorhandler(StoreError)
    def store_trouble(trouble: StoreError) -> Response:
        if isinstance(trouble, NoSuchVehicle):
            return refuse(404, str(trouble) if for_a_program() else words.trouble(404)[1], "vehicle")
        if isinstance(trouble, StoreFull):
            return refuse(507, str(trouble), title=door_words.NO_ROOM_TITLE)
        return refuse(409 if isinstance(trouble, Conflict) else 503, str(trouble))

    @app.errorhandler(HTTPException)
    def http_trouble(trouble: HTTPException) -> Response:
        status = trouble.code or 500
        if status < 400:
            return make_response(trouble.get_response())
        answer = refuse(status, words.trouble(status)[1])
        for name, value in trouble.get_headers():
            if name.lower() in ("allow", "retry-after"):
                answer.headers[name] = value
        return answer

    @app.errorhandler(RecursionError)
    def too_deep(trouble: RecursionError) -> Response:
        if request.content_length:
            return refuse(422, door_words.TOO_DEEP)
        return our_fault(trouble)

    @app.errorhandler(Exception)
    def our_fault(trouble: Exception) -> Response:
        traceback.print_exception(trouble, file=sys.stderr)
        return refuse(500, words.trouble(500)[1])
