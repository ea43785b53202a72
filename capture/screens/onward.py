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
    Onward("record", "compare", "Compare stages", "What moved, how sure that is, and what brings the figures back."),
    Onward("record", "sheet", "As-built sheet", "All of it to print, whole or on one page, for an inspector."),
    Onward("record", "photos", "Photos", "Of a bracket, a mark, a hole: taken on the phone, kept with the record."),
    Onward("behaviour", "what-if", "What if", "Move a bolt on paper: figures and curves follow, nothing is measured."),
    Onward("behaviour", "holes", "Rows of holes", "Every combination of holes in one table, the best on top."),
    Onward("behaviour", "aims", "Aims", "Say what you want and where bolts may move: the tool looks for places."),
    Onward("record", "stage", "Stages", "Start tacked, welded or a new setting: what is carried, what is asked."),
    Onward("record", "close", "Close the record", "With a fingerprint: nothing before it can change unseen."),
    Onward("record", "cautions", "Cautions", "Before raising, beneath, before welding, springs, lines, first drive."),
    Onward("record", "cut", "Cut list", "The tube for every link, joints and nuts taken off; lengths set by turning."),
    Onward("record", "table", "Tables in and out", "Bring in readings from a spreadsheet; take tables and views away."),
    Onward("record", "paper", "The walk on paper", "Drawings and boxes to print, typed in afterwards in their order."),
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
