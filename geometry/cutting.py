"""Cutting a link's tube, and setting its length afterwards by turning.

Along a link from joint centre to joint centre: the joint's standing length (centre to where its thread begins), the
thread that shows (jam nut and room to adjust), the lip of the insert, the tube, and the same again. A tube is cut for
the thread showing at the middle of its range, so that it can be set as far either way. Lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from geometry import refusal_words
from geometry.errors import GeometryError
from geometry.frame import INCH
from geometry.threads import Thread, stroke

ENGAGED_DIAMETERS = 1.0
"""Thread left in, against its diameter: the least in common practice (1.5 is usual), no source."""
SDS = 2.0
FLATS = 6
LARGEST_MM = 5_000.0
Say = Callable[[float], str]
"""How a length in mm is said to the person."""
COARSE = {"mm": (5.0, 10.0, 20.0, 50.0, 100.0), "in": tuple(INCH * part for part in (0.25, 0.5, 1.0, 2.0, 4.0))}
"""Steps that a length is rounded to where its give or take forbids a finer one, mm, for each unit."""


class BadCut(GeometryError):
    """Parts that do not make a link; one plain sentence."""


@dataclass(frozen=True)
class End:
    """One end of a link. words: which, as in "frame end".

    standing: joint centre to where its thread begins, or to the tube where nothing turns. thread: None for a joint that
    is welded on. thread_length: of the shank. jam_nut: its height. lip: the flange of the insert, between tube and nut.
    """

    words: str
    standing: float
    thread: Thread | None = None
    thread_length: float = 0.0
    jam_nut: float = 0.0
    lip: float = 0.0

    @property
    def least_engaged(self) -> float:
        """Thread that must stay in, mm."""
        return ENGAGED_DIAMETERS * self.thread.diameter if self.thread else 0.0

    @property
    def range(self) -> float:
        """How far this end can be set in all, mm: from nut against shoulder to one diameter left in."""
        return self.thread_length - self.least_engaged - self.jam_nut if self.thread else 0.0

    @property
    def showing(self) -> float:
        """Thread between shoulder and insert at the middle of the range, jam nut included, mm."""
        return self.jam_nut + 0.5 * self.range if self.thread else 0.0

    @property
    def taken_off(self) -> float:
        """What this end takes off the length from joint centre to joint centre, mm."""
        return self.standing + self.showing + self.lip

    @property
    def spans(self) -> tuple[tuple[str, float], ...]:
        """The same part by part from the joint's centre to the tube: words, mm; what is not there is left out."""
        spans = [(f"joint centre to {'thread' if self.thread else 'tube'}", self.standing)]
        if self.thread:
            spans += [("half the adjustment", 0.5 * self.range), ("jam nut", self.jam_nut)]
        return tuple(span for span in [*spans, (refusal_words.LIP, self.lip)] if span[1] > 0.0)


@dataclass(frozen=True)
class Cut:
    """A tube to cut. length mm, its sd that of the link's length; each_way: how far it can be set longer or shorter;
    parts: what was taken off, in words, mm. within_reach: the give or take (two sds) lies within the adjustment; where
    it does not, no length to a tenth may be shown: measure more first, or cut long."""

    length: float
    sd: float
    each_way: float
    parts: tuple[tuple[str, float], ...]
    within_reach: bool

    @property
    def cut_long(self) -> float:
        """By how much to cut longer so that two sds of doubt can still be taken off with the adjustment, mm."""
        return max(SDS * self.sd - self.each_way, 0.0)


def in_mm(length: float) -> str:
    """A length as sentences say it where nobody says otherwise."""
    return f"{length:.0f} mm"


def cut(length: float, sd: float, frame: End, axle: End, say: Say = in_mm) -> Cut:
    """The tube for a link of this length, joint centre to joint centre. Errors: BadCut, lengths said by `say`."""
    _check_length("length", length, say)
    ends = (frame, axle)
    for end in ends:
        _check_end(end, say)
    left = length - frame.taken_off - axle.taken_off
    if left <= 0.0:
        raise BadCut(refusal_words.no_tube_left(say(length - left), say(length)))
    each_way = 0.5 * (frame.range + axle.range)
    parts = tuple((f"{end.words}: {words}", size) for end in ends for words, size in end.spans)
    return Cut(left, sd, each_way, parts, SDS * sd <= each_way)


def finest(spread: float, unit: str) -> float:
    """The finest step of `unit`, "in" or "mm", that a length with this give or take may be said in, mm."""
    steps = COARSE[unit]
    return next((step for step in steps if step >= spread), steps[-1])


def rounded(length: float, spread: float, unit: str) -> float:
    """A length as coarse as its give or take allows, for "about", mm."""
    step = finest(spread, unit)
    return round(length / step) * step


def _check_length(words: str, value: float, say: Say) -> None:
    if not math.isfinite(value):
        raise BadCut(refusal_words.no_length(words))
    if not 0.0 < value <= LARGEST_MM:
        raise BadCut(refusal_words.not_a_length(words, say(value)))


def _check_end(end: End, say: Say) -> None:
    for words, value in (("standing length", end.standing), ("jam nut", end.jam_nut), ("lip", end.lip)):
        if not (math.isfinite(value) and 0.0 <= value < LARGEST_MM):
            raise BadCut(refusal_words.no_such_part(end.words, words, value))
    if end.thread and end.range < 0.0:
        raise BadCut(
            refusal_words.thread_too_short(end.words, say(end.thread_length), say(end.jam_nut), say(end.least_engaged))
        )


# Setting a length.


@dataclass(frozen=True)
class Turned:
    """A threaded end as it is set now. engaged: thread in the tube, mm; most: as much as can go in, mm."""

    words: str
    thread: Thread
    engaged: float
    most: float = math.inf


@dataclass(frozen=True)
class EndAfter:
    """An end after turning: thread left in, mm, whether that is at least one diameter, and whether as much can go in.

    out: how far it came out of the tube, mm; least: one diameter, mm.
    """

    words: str
    engaged: float
    enough: bool
    fits: bool
    out: float
    least: float


@dataclass(frozen=True)
class Turns:
    """How to set a length. turns: of the tube where both ends turn on it, else of the one joint; always above zero.

    whole, flats: the same in whole turns and flats of a hexagon (sixths), nearest. direction: "clockwise" or
    "counter-clockwise", seen from the frame end looking towards the axle (a joint that is turned alone: looking at it
    from outside). step: the length changes by this a turn. reached: the length these turns give; off: that less what
    was wanted. ends: thread left in.
    """

    turns: float
    whole: int
    flats: int
    direction: str
    step: float
    reached: float
    off: float
    ends: tuple[EndAfter, ...]

    @property
    def enough(self) -> bool:
        """Every end keeps its diameter of thread, and none is to go in further than its nut lets it."""
        return all(end.enough and end.fits for end in self.ends)


def set_now(end: End, showing: float, say: Say = in_mm) -> Turned:
    """An end as it is set now, by the thread that shows between the joint and the insert, jam nut included, mm.

    Errors: BadCut where nothing turns there, or where so much or so little cannot show.
    """
    if end.thread is None:
        raise BadCut(refusal_words.nothing_turns(end.words))
    if not end.jam_nut <= showing < end.thread_length:
        raise BadCut(refusal_words.cannot_show(end.words, say(showing), say(end.jam_nut), say(end.thread_length)))
    return Turned(end.words, end.thread, end.thread_length - showing, end.thread_length - end.jam_nut)


def turn_tube(now: float, wanted: float, frame: Turned, axle: Turned, say: Say = in_mm) -> Turns:
    """The tube turned against both joints, which stay on their bolts. To the nearest flat. Errors: BadCut."""
    _check_length("length now", now, say)
    _check_length("length wanted", wanted, say)
    step = stroke(frame.thread, axle.thread)
    if frame.thread.left == axle.thread.left:
        raise BadCut(refusal_words.SAME_HAND)
    flats = round((wanted - now) / step * FLATS)
    longer = flats / FLATS * step
    # Seen from the frame end, a right-hand joint held still comes out of a tube that turns clockwise.
    clockwise = (flats > 0) != frame.thread.left
    after = [(end, flats / FLATS * end.thread.pitch) for end in (frame, axle)]
    return _turns(flats / FLATS, clockwise, step, now + longer, wanted, after)


def turn_joint(now: float, wanted: float, end: Turned, half_turns: bool = True, say: Say = in_mm) -> Turns:
    """One joint taken off its bolt and turned in or out of the tube. half_turns: it must end in the same plane.

    Errors: BadCut.
    """
    _check_length("length now", now, say)
    _check_length("length wanted", wanted, say)
    step = end.thread.pitch
    parts = 2 if half_turns else FLATS
    turns = round((wanted - now) / step * parts) / parts
    # Seen from outside, a right-hand joint comes out as it is turned counter-clockwise.
    clockwise = (turns > 0) == end.thread.left
    return _turns(turns, clockwise, step, now + turns * step, wanted, [(end, turns * step)])


def within(now: float, ends: Sequence[Turned]) -> tuple[float, float]:
    """(shortest, longest) length that turning gives, mm: of the tube with two ends, of one joint with one.

    Longest: one end is down to one diameter; shortest: one end is in up to its nut.
    """
    step = stroke(ends[0].thread, ends[1].thread) if len(ends) == 2 else ends[0].thread.pitch
    out = min((end.engaged - ENGAGED_DIAMETERS * end.thread.diameter) / end.thread.pitch for end in ends)
    in_ = min((end.most - end.engaged) / end.thread.pitch for end in ends)
    return now - in_ * step, now + out * step


def _turns(
    turns: float, clockwise: bool, step: float, reached: float, wanted: float, after: Sequence[tuple[Turned, float]]
) -> Turns:
    whole, flats = divmod(round(abs(turns) * FLATS), FLATS)
    ends = tuple(_after(end, out) for end, out in after)
    direction = "clockwise" if clockwise else "counter-clockwise"
    return Turns(abs(turns), whole, flats, direction if turns else "", step, reached, reached - wanted, ends)


def _after(end: Turned, out: float) -> EndAfter:
    left, least = end.engaged - out, ENGAGED_DIAMETERS * end.thread.diameter
    return EndAfter(end.words, left, left >= least, left <= end.most + 1e-9, out, least)
