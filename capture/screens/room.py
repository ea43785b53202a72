"""What every room of a vehicle shares: title block, room bar, and the address under which it follows the phone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from flask import current_app
from markupsafe import Markup

from capture import stage_log
from capture.report import Report
from capture.screens import words
from capture.screens.onward import OnwardLink, from_room

ROOMS = (("walk", "Measure"), ("second-look", "Second look"), ("shape", "Shape"),
         ("behaviour", "Behaviour"), ("record", "Record"))  # address, what the bar calls it


@dataclass(frozen=True)
class Head:
    """The title block. cell: the ruled cell at its right, or nothing."""

    title: str
    under: str = ""
    back: str = "/"
    back_words: str = words.TO_THE_VEHICLES
    cell: Markup | str = ""


@dataclass(frozen=True)
class RoomLink:
    key: str
    words: str
    href: str


@dataclass(frozen=True, kw_only=True)
class RoomPage:
    """What a room's template receives; each room adds its own fields. doubts: how many are open."""

    vehicle_id: str
    vehicle_name: str
    room: str
    head: Head
    doubts: int
    version: int
    unit: str
    query: tuple[tuple[str, str], ...] = ()

    @property
    def rooms(self) -> tuple[RoomLink, ...]:
        return tuple(RoomLink(key, said, room_address(self.vehicle_id, key)) for key, said in ROOMS)

    @property
    def onward(self) -> tuple[OnwardLink, ...]:
        return from_room(self.vehicle_id, self.room)

    def fresh(self, mark: str) -> str:
        """Asked every second: answers nothing while the room shows what this mark stands for, else the room anew."""
        return f"/vehicles/{self.vehicle_id}/fresh?" + urlencode([("v", mark), ("room", self.room), *self.query])


def room_address(vehicle_id: str, room: str) -> str:
    return f"/vehicles/{vehicle_id}/{room}"


def measure_address(vehicle_id: str, reading: str) -> str:
    """Where this reading is taken."""
    return f"/vehicles/{vehicle_id}/measure?" + urlencode({"at": reading})


def plumbtack() -> Any:
    """The running program's parts: store, models, settings."""
    return current_app.extensions["plumbtack"]


def report_now(vehicle_id: str, stage: str | None = None) -> tuple[Report, int]:
    """Fit, doubts and figures of the newest log, and its version. Raises NoSuchVehicle."""
    report, version = plumbtack().models.at_version(vehicle_id, stage)
    return report, version


def shared(
    vehicle_id: str, room: str, report: Report, version: int, title: str, cell: Markup | str = ""
) -> dict[str, Any]:
    """The fields of RoomPage that all rooms fill alike."""
    vehicle = report.vehicle
    under = ", ".join(part for part in (vehicle.name, stage_log.said(vehicle, report.stage)) if part)
    return {
        "vehicle_id": vehicle_id,
        "vehicle_name": vehicle.name,
        "room": room,
        "head": Head(title, under, room_address(vehicle_id, "walk"), words.TO_THE_WALK, cell),
        "doubts": len(report.doubts),
        "version": version,
        "unit": vehicle.display_unit,
    }
