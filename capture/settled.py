"""Which doubts a person has settled by keeping what was read, and which of those came back.

A doubt is settled by one entry of the log, "keep". It comes back when later readings make another doubt of it: it names
another reading, is raised for another reason, or stands out clearly further than it did when it was kept. One about
stated parts comes back when one of the sizes it hangs on is changed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from geometry.doubt import Doubt

from capture.kept_parts import stands
from capture.log import StageView
from capture.vehicle_file import Facts, Keep

GROWN = 1.25
"""A kept doubt that stands out further than by this factor comes back."""


@dataclass(frozen=True)
class Settled:
    """A doubt the numbers still show, and the entry that settled it."""

    doubt: Doubt
    keep: Keep


def sorted_out(
    judged: Iterable[Doubt], view: StageView, keeps: Iterable[Keep], facts: Facts
) -> tuple[tuple[Doubt, ...], tuple[Settled, ...]]:
    """The open doubts and the settled ones, each in the order judged; of several keeps the latest counts."""
    newest_first = list(keeps)[::-1]
    still_open: list[Doubt] = []
    settled: list[Settled] = []
    for doubt in judged:
        keep = next((keep for keep in newest_first if covers(keep, doubt, view, facts)), None)
        if keep is None:
            still_open.append(doubt)
        else:
            settled.append(Settled(doubt, keep))
    return tuple(still_open), tuple(settled)


def covers(keep: Keep, doubt: Doubt, view: StageView, facts: Facts) -> bool:
    """Whether this is still the doubt that was kept. facts: as they are stated now."""
    if doubt.stated:
        return doubt.reason == keep.doubt and set(doubt.stated) <= set(keep.facts) and stands(keep, facts)
    readings = {take.id for key in doubt.readings if (take := view.by_key.get(key))}
    grown = abs(doubt.w) > GROWN * keep.beyond
    return bool(readings) and readings <= set(keep.of) and doubt.reason == keep.doubt and not grown
