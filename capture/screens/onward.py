"""Where a room leads on: deciding from the figures, cutting and proving from the record. One line adds a screen."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Onward:
    """A screen reached from a room. room: which; address: what follows the vehicle's own; about: one sentence."""

    room: str
    address: str
    words: str
    about: str


ALL: tuple[Onward, ...] = (
    Onward("record", "cut", "Cut list", "The tube for every link, joints and nuts taken off; and lengths set by turning."),
)


@dataclass(frozen=True)
class OnwardLink:
    href: str
    words: str
    about: str


def from_room(vehicle_id: str, room: str) -> tuple[OnwardLink, ...]:
    """The links a room shows, in the order of ALL."""
    leading = (to for to in ALL if to.room == room)
    return tuple(OnwardLink(f"/vehicles/{vehicle_id}/{to.address}", to.words, to.about) for to in leading)
