"""Which links run the other way along the vehicle than is usual: away from its middle, not towards it.

Their usual place would be on the wrong side of the axle, further off than an assumption may be, and the fit would have
to take them through length nothing to where they were read.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from geometry.layouts import Layout, Link, Place
from geometry.readings import ReadingName

TELLS = (0.25, 2.0)
"""How far on the other side of its axle end, over its usual reach, a frame bolt tells that its link is turned: nearer
says nothing, and further off the cross line itself was mixed up."""

Told = tuple[ReadingName, float]
"""A reading and its value, file unit."""


def lengthwise(layout: Layout) -> tuple[Link, ...]:
    """The links that run along the vehicle."""
    return tuple(link for link in layout.links if link.role != "panhard")


def foot(link: Link, places: Mapping[str, Place]) -> float:
    """x of a link's axle end, mm; of an arm the middle of both."""
    return sum(places[name][0] for name in link.axle) / len(link.axle)


def turned_links(layout: Layout, places: Mapping[str, Place], cross_line: Iterable[Told]) -> tuple[Link, ...]:
    """The links whose frame ends were read on the other side of the axle.

    places: the usual ones, vehicle frame. cross_line: the readings from the cross line that touch points of `places`
    only. A link nobody read goes with its twin, else with all the others; twins that disagree stay where they usually
    are, as one of their signs was mixed up.
    """
    links = lengthwise(layout)
    told = list(cross_line)
    frames = {link.frame for link in links}
    shifts = [value - places[reading.subject][0] for reading, value in told
              if reading.subject in places and reading.subject not in frames]  # fmt: skip
    if not shifts:
        return ()
    shift = float(np.median(shifts))
    says: dict[str, bool] = {}
    for link in links:
        values = [value for reading, value in told if reading.subject == link.frame]
        if values:
            usual = places[link.frame][0] - foot(link, places)
            over = -(float(np.median(values)) - shift - foot(link, places)) / usual
            says[link.name] = TELLS[0] < over < TELLS[1]
    return tuple(link for link in links if _turned(link.name, says))


def _turned(name: str, says: Mapping[str, bool]) -> bool:
    twins = [says[each] for each in (name, _twin(name)) if each in says]
    return all(twins or says.values()) if says else False


def _twin(name: str) -> str:
    if name.endswith("_left"):
        return name.removesuffix("_left") + "_right"
    return name.removesuffix("_right") + "_left" if name.endswith("_right") else name
