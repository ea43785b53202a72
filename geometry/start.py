"""Where the search for the fit starts: at the typical places; where that ends badly, once more at what was read.

A tape knows no sides: a panhard bar mounted the other way round than is usual would have to pass through length nothing
on its way from the typical place, and the search may stop short of that. What was read straight off starts it on the
right side. The typical place still comes first: it knows the side of a point whose side was mixed up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from geometry.adjustment import Adjustment
from geometry.assumptions import usual_scalar
from geometry.frame import Array
from geometry.points import SCALARS
from geometry.readings import ReadingName
from geometry.scale import Scale

COLUMNS = {"cross line": 0, "centreline": 1, "floor": 2}
"""Which coordinate of its point a reading from that datum gives, but for the floor's slope."""
FAR = 3.5
"""A row this many sds off is a sign that the search may have ended in the wrong place."""
MUCH_BETTER = 0.5
"""A place that leaves less than this share of the misfit is the better one even if something there is far off too:
with one reading misread both places leave about as much, and then the one reached from the typical places holds."""


def typical_start(slots: Mapping[str, int], points: Iterable[str], scale: Scale, size: int) -> Array:
    """Every point at its typical place, every scalar at its usual value, (size,)."""
    start = np.zeros(size)
    for name in points:
        start[slots[name] : slots[name] + 3] = scale.place(name)
    for name in SCALARS:
        if name in slots:
            start[slots[name]] = usual_scalar(name, scale.tyre_diameter, scale.cg_height)[0]
    return start


def read_start(typical: Array, slots: Mapping[str, int], readings: Sequence[ReadingName], read: Array) -> Array:
    """The typical start with the coordinates that were read straight off put where they were read, (size,).

    read (n,): mm. A bar across whose one end was read on the other side than is usual has both ends mirrored.
    """
    taken: dict[int, list[float]] = {}
    for reading, value in zip(readings, read.tolist(), strict=True):
        if reading.kind.datum in COLUMNS and reading.points[0] in slots:
            taken.setdefault(slots[reading.points[0]] + COLUMNS[reading.kind.datum], []).append(value)
    start = typical.copy()
    for column, values in taken.items():
        start[column] = np.median(values)
    for one, other in _across(typical, slots):
        if one in taken and other not in taken and start[one] * typical[one] < 0.0:
            start[other] = -typical[other]
    return start


def _across(typical: Array, slots: Mapping[str, int]) -> Iterator[tuple[int, int]]:
    """The y columns of a link's two ends, each way round, where they lie on either side of the centreline."""
    for name in slots:
        link, dot, end = name.rpartition(".")
        if end == "frame" and f"{link}.axle" in slots:
            one, other = slots[name] + 1, slots[f"{link}{dot}axle"] + 1
            if typical[one] * typical[other] < 0.0:
                yield from ((one, other), (other, one))


def ended_far(done: Adjustment, sd: Array) -> bool:
    """Whether one of the first rows is so far off that another start is worth trying. sd (n,): those rows'."""
    return bool((np.abs(done.residual[: len(sd)]) > FAR * sd).any())


def better_of(first: Adjustment, second: Adjustment, sd: Array) -> Adjustment:
    """The one that fits better; the first unless the second clearly does. sd (n,): the readings', the first rows."""
    clearly = second.chi2 < MUCH_BETTER * first.chi2
    return second if clearly or (second.chi2 < first.chi2 and not ended_far(second, sd)) else first
