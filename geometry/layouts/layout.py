"""What a layout is: its links, and where they usually are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

Place = tuple[float, float, float]
"""x, y, z in mm, vehicle frame."""


@dataclass(frozen=True)
class Link:
    """One link between the frame and the axle.

    name: as in the file, "lower_left". frame: its joint centre on the frame. axle: its joint centres on the axle, one,
    or two for a radius arm (the forward one first). words: "left lower link". role: "lower", "upper", "panhard", "arm".
    """

    name: str
    frame: str
    axle: tuple[str, ...]
    words: str
    role: str


@dataclass(frozen=True)
class Layout:
    """One way of linking an axle to the frame.

    places: given +1 when the vehicle's middle lies forward of the worked axle (a rear axle) and -1 when it lies
    rearward (a front axle), the usual place of every joint centre, mm, vehicle frame, for a wheelbase of 2700 and a
    tyre of 840. Common practice, no source; too weak in the fit to pull a measured figure.
    """

    name: str
    words: str
    links: tuple[Link, ...]
    places: Callable[[int], dict[str, Place]]


def link(name: str, words: str, role: str) -> Link:
    """A link with one joint centre at each end."""
    return Link(name, f"{name}.frame", (f"{name}.axle",), words, role)


def arm(name: str, words: str) -> Link:
    """A radius arm: one joint centre on the frame, two on the axle."""
    return Link(name, f"{name}.frame", (f"{name}.axle_front", f"{name}.axle_rear"), words, "arm")


def mirrored(left: dict[str, Place]) -> dict[str, Place]:
    """The left side's places and their right twins, y turned over."""
    right = {name.replace("_left.", "_right."): (x, -y, z) for name, (x, y, z) in left.items()}
    return left | right


LOWERS = (link("lower_left", "left lower link", "lower"), link("lower_right", "right lower link", "lower"))
UPPERS = (link("upper_left", "left upper link", "upper"), link("upper_right", "right upper link", "upper"))
PANHARD = link("panhard", "panhard bar", "panhard")


def usual_lowers(inward: int) -> dict[str, Place]:
    """About 900 long, the frame end higher and a little further in."""
    return mirrored(
        {"lower_left.frame": (inward * 920.0, 430.0, 430.0), "lower_left.axle": (inward * 20.0, 480.0, 336.0)}
    )


def usual_panhard(inward: int) -> dict[str, Place]:
    """Across on the outer side of the axle; the frame end on the left, where a steering box usually sits."""
    return {"panhard.frame": (inward * -130.0, 430.0, 590.0), "panhard.axle": (inward * -130.0, -430.0, 550.0)}
