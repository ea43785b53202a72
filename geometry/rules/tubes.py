"""What is stated of tubes and threads: whether a joint's thread goes into its tube at all. No reading is needed.

A thread is cut into the tube itself, or into an insert that stands in the tube. Source of the depth of a thread: the
basic profile of ISO 68-1 and ASME B1.1, 5/8 of a pitch's triangle, 0.5413 pitches a side. How much steel must stand
round a thread is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from geometry.figures.parts import ThreadFact, TubeFact
from geometry.layouts import layout_named
from geometry.rules.rule import SOME, Broken, Look, Rule, passed

LEAST_ROUND = 1.5
"""mm of steel round a thread, the tube's or an insert's: with less nobody cuts one; common practice, no source."""
HALF_DEPTH = 0.5413
"""Pitches by which a bore may be wider than the thread's core and still hold half its depth on both sides."""
STATED_SD = 0.25
"""mm: how near a part is to the size it is sold as, one sd; common practice, no source."""
RODS = {"drag_link": "drag link", "tie_rod": "tie rod", "driveshaft": "driveshaft"}
ENDS = {"frame": "frame end", "axle": "axle end", "axle_front": "front axle end", "axle_rear": "rear axle end"}


def tube_walls(look: Look) -> Iterator[Broken]:
    """A wall is half the outside at most; then the bar is solid."""
    for part, tube in look.facts.tubes.items():
        if tube.wall is None or not _sound(tube.outside_diameter, tube.wall):
            continue
        beyond = passed(tube.wall, tube.outside_diameter / 2.0, STATED_SD)
        if beyond > SOME:
            facts = {"wall": tube.wall, "outside": tube.outside_diameter}
            yield Broken("tube_wall", (), beyond, facts, _words(look, part), stated=(f"tubes.{part}",))


def thread_in_tube(look: Look) -> Iterator[Broken]:
    """A thread is narrower than its tube by some steel all round; a solid bar may carry it outside."""
    for part, end, tube, thread in _pairs(look):
        room = 0.0 if _solid(tube) else 2.0 * LEAST_ROUND
        beyond = passed(thread.diameter or 0.0, tube.outside_diameter - room, STATED_SD)
        if beyond > SOME:
            facts = {"thread": thread.diameter or 0.0, "outside": tube.outside_diameter}
            yield _broken(look, "tube_too_narrow", beyond, facts, part, end)


def thread_in_bore(look: Look) -> Iterator[Broken]:
    """A tube is tight enough inside for a thread to be cut in it, or wide enough for an insert round the thread."""
    for part, end, tube, thread in _pairs(look):
        inside = _inside(tube)
        if inside is None or thread.diameter is None or thread.insert is not None or not _sound(thread.pitch):
            continue
        tight, wide = thread.diameter - HALF_DEPTH * thread.pitch, thread.diameter + 2.0 * LEAST_ROUND
        beyond = min(passed(inside, tight, STATED_SD), passed(wide, inside, STATED_SD))
        if beyond > SOME:
            facts = {"thread": thread.diameter, "inside": inside}
            yield _broken(look, "tube_neither_nor", beyond, facts, part, end)


def insert_in_bore(look: Look) -> Iterator[Broken]:
    """A stated insert goes into its tube."""
    for part, end, tube, thread in _pairs(look):
        insert, inside = thread.insert, _inside(tube)
        if insert is None or inside is None:
            continue
        beyond = passed(insert, inside, STATED_SD)
        if beyond > SOME:
            yield _broken(look, "insert_too_wide", beyond, {"insert": insert, "inside": inside}, part, end)


def thread_in_insert(look: Look) -> Iterator[Broken]:
    """A thread goes into its stated insert."""
    for part, end, _, thread in _pairs(look):
        if thread.insert is None or thread.diameter is None:
            continue
        beyond = passed(thread.diameter, thread.insert, STATED_SD)
        if beyond > SOME:
            facts = {"insert": thread.insert, "thread": thread.diameter}
            yield _broken(look, "insert_too_narrow", beyond, facts, part, end)


def _pairs(look: Look) -> Iterator[tuple[str, str, TubeFact, ThreadFact]]:
    """Every thread of known diameter with its tube, where both are sizes that can be."""
    for part, ends in look.facts.threads.items():
        tube = look.facts.tubes.get(part)
        if tube is None or not _sound(tube.outside_diameter) or (tube.wall is not None and not _sound(tube.wall)):
            continue
        for end, thread in ends.items():
            if thread.diameter is not None and _sound(thread.diameter):
                yield part, end, tube, thread


def _inside(tube: TubeFact) -> float | None:
    """mm; None of a bar that is solid, or stated thicker than that, and where the wall is not stated."""
    return None if tube.wall is None or _solid(tube) else tube.outside_diameter - 2.0 * tube.wall


def _solid(tube: TubeFact) -> bool:
    return tube.wall is not None and tube.wall >= tube.outside_diameter / 2.0 - STATED_SD


def _sound(*sizes: float) -> bool:
    return all(math.isfinite(size) and size > 0.0 for size in sizes)


def _broken(look: Look, rule: str, beyond: float, facts: dict[str, float], part: str, end: str) -> Broken:
    about = f"{_words(look, part)}, {ENDS.get(end, end)}"
    return Broken(rule, (), beyond, facts, about, stated=(f"tubes.{part}", f"threads.{part}.{end}"))


def _words(look: Look, part: str) -> str:
    links = {link.name: link.words for link in layout_named(look.fit.setup.layout).links}
    return links.get(part) or RODS.get(part, part)


RULES = (
    Rule("tube_wall", "a wall is no more than half the tube's outside", tube_walls),
    Rule("tube_too_narrow", "a tube is wider than its joint's thread by some steel all round", thread_in_tube),
    Rule("tube_neither_nor", "a thread is cut in its tube or in an insert round it", thread_in_bore),
    Rule("insert_too_wide", "an insert goes into its tube", insert_in_bore),
    Rule("insert_too_narrow", "a thread goes into its insert", thread_in_insert),
)
