"""Entries of what was decided, made by a form and stored as the door for programs stores them."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from typing import Any

from capture.entry_checks import check_entries
from capture.screens.room import plumbtack
from capture.vehicle_file import VehicleFile


def made(kind: str, entry_id: str | None = None, **body: Any) -> dict[str, Any]:
    """An entry made now; an id that came with the form makes sending it twice one entry."""
    now = f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}"
    return {"id": entry_id or new_id(), "at": now, "type": kind, **body}


def new_id() -> str:
    """For the entry that a form will make."""
    return secrets.token_hex(16)


def store(vehicle_id: str, vehicle: VehicleFile, bodies: list[dict[str, Any]]) -> None:
    """All or none. Raises BadFile and StoreError, one sentence each."""
    plumbtack().store.add_entries(vehicle_id, check_entries(bodies, vehicle, known=None))
