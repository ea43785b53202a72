"""A table of its own on a family's page: lines with give or take, what it was counted with, what it waits for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from markupsafe import Markup

from capture.lengths import say_length
from capture.screens import family_words


@dataclass(frozen=True)
class Line:
    """One row. value: None where there is none; place: where on the way it is so, and pose the address that moves
    the drawing there; remark: what else stands below the words; current: the picture shows it;
    heading: the rows that follow belong to it, and it has no number of its own; doubted: it rests on a reading in
    doubt; there: the address where what the remark asks for is stated."""

    words: str
    value: Markup | None
    spread: Markup | str = ""
    remark: str = ""
    place: str = ""
    pose: str = ""
    guessed: bool = False
    current: bool = False
    heading: bool = False
    doubted: bool = False
    there: str = ""


@dataclass(frozen=True)
class Choice:
    words: str
    href: str
    current: bool


@dataclass(frozen=True)
class Section:
    """A table with its title. needs: what it waits for."""

    title: str
    lines: tuple[Line, ...] = ()
    heads: tuple[str, str] = ("", "±")
    intro: str = ""
    notes: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    caution: str = ""
    needs: tuple[str, ...] = ()
    reason: str = ""
    facts_href: str = ""
    reads: tuple[Choice, ...] = ()


def where(travel: float, lifted: float, unit: str, steer: float = 0.0) -> str:
    """"at 4 in bump, steered 30° right"; "with the left wheel 3 in higher"; of one wheel that has moved alone "with the
    left wheel 4 in up"."""
    length = partial(say_length, display_unit=unit) if unit == "in" else lambda mm: f"{mm:.0f} mm"
    if abs(lifted) > 1.0 and abs(abs(lifted) - 2.0 * abs(travel)) < 0.5:
        side, way = "left" if lifted * travel > 0 else "right", "up" if travel > 0 else "down"
        place = family_words.wheel_stands(side, length(abs(lifted)), way)
    elif abs(lifted) > 1.0:
        place = family_words.wheel_stands("left" if lifted > 0 else "right", length(abs(lifted)), "higher")
    elif abs(travel) > 1.0:
        place = f"at {length(abs(travel))} {'bump' if travel > 0 else 'droop'}"
    else:
        place = "at ride height"
    return f"{place}, steered {abs(steer):.0f}° {'left' if steer > 0 else 'right'}" if abs(steer) > 0.5 else place


def pose_at(address: str, travel: float, lifted: float) -> str:
    """The address of a family's drawing with the axle at a place."""
    path, way = ("crossed", lifted) if abs(lifted) > 1.0 else ("heave", travel)
    return f"{address}?path={path}&way={way:.0f}#moving"
