"""A link's parts as the file states them, for cutting and setting: tube, joints, threads, and what is missing."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.cutting import End
from geometry.layouts import Link
from geometry.threads import Thread, name_of

from capture import part_words
from capture.vehicle_facts import Facts

ENDS = ("frame", "axle")
ENDS_ACROSS = ("left", "right")


def ends_of(name: str) -> tuple[str, str]:
    """The two ends of a link or rod: the first is drawn at the left."""
    return ENDS_ACROSS if name == "tie_rod" else ENDS


@dataclass(frozen=True)
class LinkEnd:
    """One end of a link. end: as the sums take it, None while something is missing.

    turns: the same for setting a length, which asks for thread, its length and jam nut only. missing: what is not
    stated, each as its place in the facts and its words. thread: what it is called, "" where nothing turns; left:
    left-hand. made: the joint in the person's words.
    """

    key: str
    words: str
    end: End | None
    missing: tuple[tuple[str, str], ...]
    thread: str = ""
    left: bool = False
    made: str = ""
    turns: End | None = None


@dataclass(frozen=True)
class LinkParts:
    """All of one link. outside, wall: of its tube, mm. A tie rod's left end stands in the frame's place."""

    frame: LinkEnd
    axle: LinkEnd
    outside: float | None
    wall: float | None

    @property
    def ends(self) -> tuple[LinkEnd, LinkEnd]:
        return self.frame, self.axle

    @property
    def missing(self) -> tuple[tuple[str, str], ...]:
        """What a cut length still waits for."""
        return self.frame.missing + self.axle.missing


def parts_of_link(facts: Facts, link: Link | str) -> LinkParts:
    """What is stated of a link, or of a rod by its name."""
    name = link if isinstance(link, str) else link.name
    tube = facts.tubes.get(name)
    frame, axle = (_end(facts, name, key) for key in ends_of(name))
    return LinkParts(frame, axle, tube.outside_diameter if tube else None, tube.wall if tube else None)


def _end(facts: Facts, link: str, key: str) -> LinkEnd:
    words = f"{key} end"
    joint = facts.joints.get(link, {}).get(key)
    thread = facts.threads.get(link, {}).get(key)
    made = (joint.made if joint else None) or ""
    standing = joint.standing if joint else None
    missing = [] if standing is not None else [(f"joints.{link}.{key}.standing", part_words.STANDS_OUT)]
    if thread is None:
        end = None if standing is None else End(words, standing)
        return LinkEnd(key, words, end, tuple(missing), made=made)
    wanted = (("diameter", "the thread"), ("length", "the thread’s length"),
              ("jam_nut", "the jam nut"), ("lip", part_words.LIP_OF_THE_INSERT))
    missing += [(f"threads.{link}.{key}.{part}", said) for part, said in wanted if getattr(thread, part) is None]
    turns = None
    if thread.diameter and thread.length is not None and thread.jam_nut is not None:
        turning = Thread(thread.diameter, thread.pitch, thread.hand == "left")
        turns = End(words, standing or 0.0, turning, thread.length, thread.jam_nut, thread.lip or 0.0)
    end = None if missing else turns
    called = name_of(thread.diameter, thread.pitch) or f"pitch {thread.pitch:.4g} mm"
    return LinkEnd(key, words, end, tuple(missing), called, thread.hand == "left", made, turns)
