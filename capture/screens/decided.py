"""Entries made by a form and stored as the door for programs stores them, each form once.

A phone holds such a form until the laptop answers, and may send it again: the form's own id, and the time it was filled
in, make that one entry. It is answered in JSON then.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable, Iterable, Iterator
from datetime import UTC, datetime
from typing import Any

from flask import g, jsonify, redirect, request
from werkzeug.wrappers import Response as Answer

from capture import plans
from capture.entry_checks import check_entries
from capture.screens.room import plumbtack
from capture.vehicle_file import Facts, VehicleFile

Bodies = list[dict[str, Any]]
Page = tuple[str, int]


class NotTaken(ValueError):
    """What was typed cannot be taken; one plain sentence."""


def made(kind: str, **body: Any) -> dict[str, Any]:
    """An entry of the form now in hand, made when the phone says it was."""
    return {"id": form_id(), "at": at(), "type": kind} | body


def withdrawals(ids: Iterable[str]) -> Iterator[dict[str, Any]]:
    """Takes entries back; the same form makes the same ones again."""
    for of in ids:
        yield made("withdraw", of=of, id=further_id(of))


def form_id() -> str:
    """A phone gives each form it holds an id of its own. A page's id stands for all its forms: with what is typed in
    it becomes this form's. A form without one has the same all through its request."""
    sent = request.form.get("id", "")
    if held_by_a_phone() and sent:
        return sent
    if not sent:
        if "form_id" not in g:
            g.form_id = new_id()
        return str(g.form_id)
    return _digest(request.path, *(f"{key}={text}" for key, text in request.form.items(multi=True)))


def at() -> str:
    """When the form was filled in, as the phone says; now for one sent at once."""
    return request.form.get("at") or f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"


def further_id(of: str) -> str:
    """Of one more entry that this form makes, about the entry `of`; the same form makes the same ones again."""
    return _digest(form_id(), of)


def new_id() -> str:
    """For the entry that a form will make."""
    return secrets.token_hex(16)


def _digest(*parts: str) -> str:
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:32]


def take(vehicle_id: str, vehicle: VehicleFile, make: Callable[[], Bodies], onward: str,
         again: Callable[[str], Page]) -> Answer | Page:
    """Stores what the form makes, all or none, and goes on; or answers the form again with why not.

    make: the entries, raises NotTaken. again: the page with that sentence. Raises BadFile and StoreError.
    """
    try:
        ids = [form_id()] if taken_before(vehicle_id) else store(vehicle_id, vehicle, make())
    except NotTaken as trouble:
        return again(str(trouble)) if not held_by_a_phone() else not_taken(str(trouble))
    return gone_on(onward, ids)


def not_taken(*sentences: str) -> Answer:
    """The answer to a phone's form that is refused for good."""
    answer = jsonify({"error": " ".join(sentences)})
    answer.status_code = 422
    return answer


def change_facts(vehicle_id: str, facts: dict[str, Any], onward: str) -> Answer:
    """Keeps the facts as a form left them. They stand beside the log, so the form made no entry."""
    head = plumbtack().store.head(vehicle_id)
    kept = Facts.model_validate(facts).model_dump(exclude_unset=True)
    plumbtack().store.change_facts(vehicle_id, VehicleFile.model_validate(
        {**head.model_dump(exclude_unset=True), "facts": kept}))
    return gone_on(onward, [])


def withdrawn(vehicle_id: str, kind: type[Any], onward: str) -> Answer:
    """Takes back those entries of the kind that the form names and that still stand."""
    vehicle, named = plumbtack().store.vehicle(vehicle_id), request.form.getlist("of")
    gone = {entry.id for entry in plans.standing(vehicle, kind) if entry.id in named}
    there = {entry.id for entry in vehicle.entries}
    bodies = list(withdrawals(named))
    store(vehicle_id, vehicle, [body for body in bodies if body["of"] in gone])
    return gone_on(onward, [body["id"] for body in bodies if body["of"] in gone or body["id"] in there])


def gone_on(onward: str, ids: list[str]) -> Answer:
    """The answer to a form that was taken. ids: of the entries it made, by which the phone knows whether they are still
    there after an older copy of the store was put back."""
    if held_by_a_phone():
        return jsonify({"stored": [request.form.get("id", "")], "made": ids, "onward": onward})
    return redirect(onward, code=303)


def store(vehicle_id: str, vehicle: VehicleFile, bodies: Bodies) -> list[str]:
    """All or none; their ids. Raises BadFile and StoreError, one sentence each."""
    if not bodies:
        return []
    ids: list[str] = plumbtack().store.add_entries(vehicle_id, check_entries(bodies, vehicle, known=None))
    return ids


def taken_before(vehicle_id: str) -> bool:
    """Whether this very form was; its answer may have been lost on the way."""
    return plumbtack().store.type_of(vehicle_id, form_id()) is not None


def held_by_a_phone() -> bool:
    accepted = request.accept_mimetypes
    return bool(accepted["application/json"] > accepted["text/html"])
