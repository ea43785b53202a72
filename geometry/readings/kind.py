"""What a kind of reading is: its unit and spread, what it predicts, what the person does, what goes wrong.

A new kind is one module with one subclass and one line in `readings.ALL`. Whatever a page, the store or the export
would have to know about a kind is a field here.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from geometry.errors import BadName, did_you_mean
from geometry.frame import Array
from geometry.layouts import layout_named
from geometry.points import Point, point_named, points_of
from geometry.readings import reading_words

TAPE_LIMITS = {"I": (0.1, 0.1), "II": (0.3, 0.2), "III": (0.6, 0.4)}
"""Greatest error of a tape of each class: mm, and mm per metre begun. [MID] 2014/32/EU annex X (MI-008) chapter I."""


@dataclass(frozen=True)
class Mark:
    """One shape of a drawing between named points, no pixels. Shapes: "height", "plumb", "fore_aft", "lateral", "span",
    "across", "floor_span", "rise", "incline", "wheelbase", "caster", "floor_slope", "diameter", "circumference",
    "weight", "travel", "cg_height"."""

    shape: str
    points: tuple[str, ...]


@dataclass(frozen=True)
class Terms:
    """What a reading is made of: `inputs` are point names (three columns each, x y z) and scalar names (one column),
    in the order `predicted` wants them; `constants` go with them unchanged."""

    inputs: tuple[str, ...]
    constants: tuple[float, ...] = ()


@dataclass(frozen=True)
class Wording:
    """What a person is told. title, do_this, mistakes and sides may hold {p} and {q}, the points as phrases; of two
    points also {pair}, both in as few words as will do, and {q_end}, the second where the first is named.

    sides: what + and - mean, for a kind whose value may lie on either side of nought; side_keys: the same on a key.
    """

    title: str
    do_this: tuple[str, ...]
    mistakes: tuple[str, ...]
    care: str | None = None
    sides: tuple[str, str] | None = None
    side_keys: tuple[str, str] = ("up", "down")


@dataclass(frozen=True)
class Words:
    """One reading's wording with its points filled in, its view ("side", "top", "front", "none") and its marks.

    short: without article, for lists and reports: "height, left lower link, frame bolt".
    """

    title: str
    short: str
    do_this: tuple[str, ...]
    mistakes: tuple[str, ...]
    care: str | None
    view: str
    marks: tuple[Mark, ...]
    sides: tuple[str, str] | None = None
    side_keys: tuple[str, str] = ("up", "down")


@dataclass(frozen=True)
class Setting:
    """The layout and worked axle a reading belongs to."""

    layout: str
    worked_axle: str


class Kind(ABC):
    """One kind of reading. Values in the file's unit outside; mm, radian, kg inside `predicted` and `partials`.

    subjects: "point", "pair", or the words it accepts. symmetric: P~Q and Q~P are the same reading. low, high: the
    physical range, file unit. effort: minutes for one careful person, common practice. slips: names of the usual
    mistakes in the catalogue. datum: what it is measured from, "floor", "cross line", "centreline"; "" when between
    points. view: which view shows it best.
    """

    name: ClassVar[str]
    noun: ClassVar[str]
    unit: ClassVar[str] = "mm"
    usual_sd: ClassVar[float]
    taped: ClassVar[bool] = False
    signed: ClassVar[bool] = False
    symmetric: ClassVar[bool] = False
    subjects: ClassVar[str | tuple[str, ...]]
    low: ClassVar[float]
    high: ClassVar[float]
    effort: ClassVar[float]
    tells: ClassVar[str] = ""
    """What it roughly tells before any fit: "wheelbase", "tyre_diameter", "cross_line", "cg_height"; "" for nothing."""
    tells_per: ClassVar[float] = 1.0
    """How much of that one unit of the reading is."""
    slips: ClassVar[tuple[str, ...]]
    guessed: ClassVar[bool] = False
    """Nobody measures it: guessed once more it tells nothing new."""
    instrument: ClassVar[str] = ""
    """What reads it besides the tape: "gauge", "level"; "" for none whose offset is checked."""
    datum: ClassVar[str] = ""
    view: ClassVar[str]
    shape: ClassVar[str]
    wording: ClassVar[Wording]
    special: ClassVar[Mapping[str, Wording]] = {}
    """Other wordings, by the first point's feature or by the subject."""

    @property
    def title(self) -> str:
        """The usual title, {p} and {q} for the points."""
        return self.wording.title

    @property
    def do_this(self) -> tuple[str, ...]:
        """What to do, alone, a sentence each."""
        return self.wording.do_this

    @property
    def mistakes(self) -> tuple[str, ...]:
        """What goes wrong here, the two commonest first."""
        return self.wording.mistakes

    @property
    def care(self) -> str | None:
        """A caution that belongs to this step, or None."""
        return self.wording.care

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The shapes of its drawing, "p" and "q" for the points."""
        return (Mark(self.shape, ("p", "q") if self.subjects == "pair" else ("p",)),)

    @property
    def offset(self) -> str:
        """The unknown that all readings by its instrument share once that was checked; "" where there is none."""
        instrument = "tape" if self.taped else self.instrument
        return f"{instrument}.offset" if instrument else ""

    @property
    def in_file_unit(self) -> float:
        """What one inside unit is in the file's: degrees a radian for angles, 1 otherwise."""
        return math.degrees(1.0) if self.unit == "deg" else 1.0

    def points(self, subject: str, setting: Setting) -> tuple[str, ...]:
        """The points a subject names, fixed or derived, (P,) or (P, Q) or none. Errors: BadName."""
        if self.subjects == "point":
            return (point_named(subject, setting.layout, setting.worked_axle).name,)
        if self.subjects == "pair":
            return _pair(subject, setting)
        if subject not in self.subjects:
            allowed = ", ".join(self.subjects)
            near = did_you_mean(subject, self.subjects)
            raise BadName(reading_words.no_such_subject(self.name, subject, near or "; write one of " + allowed + "."))
        return ()

    def terms(self, subject: str, setting: Setting) -> Terms:
        """What the reading is made of; the points and nothing else unless a kind says more."""
        return Terms(self.points(subject, setting))

    @abstractmethod
    def predicted(self, inputs: Array, constants: Array) -> Array:
        """What n readings should show: inputs (n, k), constants (n, c) -> (n,); mm, radian, kg, floor frame."""

    @abstractmethod
    def partials(self, inputs: Array, constants: Array) -> Array:
        """Change of `predicted` per change of each input: (n, k)."""

    def sd(self, value: float, tape_class: str = "II") -> float:
        """One standard deviation of a reading of this value, file unit. The tape's limit over sqrt(3): [GUM] 4.3.7."""
        if not self.taped:
            return self.usual_sd
        fixed, growing = TAPE_LIMITS[tape_class]
        limit = fixed + growing * math.ceil(abs(value) / 1000.0)
        return math.hypot(self.usual_sd, limit / math.sqrt(3.0))

    def sds(self, values: Array, tape_class: str = "II") -> Array:
        """`sd` of each of these values (k,)."""
        if not self.taped:
            return np.array([self.sd(value, tape_class) for value in values.tolist()])
        fixed, growing = TAPE_LIMITS[tape_class]
        limit = fixed + growing * np.ceil(np.abs(values) / 1000.0)
        return np.asarray(np.hypot(self.usual_sd, limit / math.sqrt(3.0)))

    def side(self, subject: str, setting: Setting) -> int:
        """+1 or -1 where the name alone says which sign the value has, 0 where it may have either."""
        return 0

    def possible(self, setting: Setting) -> tuple[str, ...]:
        """The subjects that make sense on this layout, in a sensible order."""
        return () if isinstance(self.subjects, str) else self.subjects

    def describe(self, subject: str, setting: Setting) -> Words:
        """The wording of one reading, its points filled in."""
        points = [point_named(name, setting.layout, setting.worked_axle) for name in self.points(subject, setting)]
        wording = self._wording(subject, points)
        phrases = {letter: point.phrase for letter, point in zip("pq", points, strict=False)}
        phrases["subject"] = said = subject.replace("_", " ")
        if len(points) == 2:
            phrases["pair"], phrases["q_end"], said = _between(*points)
        return Words(
            title=_sentence(wording.title.format(**phrases)),
            short=f"{self.noun}, {points[0].words if len(points) == 1 else said}",
            do_this=tuple(_sentence(line.format(**phrases)) for line in wording.do_this),
            mistakes=tuple(_sentence(line.format(**phrases)) for line in wording.mistakes),
            care=wording.care,
            view=self.view_of(subject, setting),
            marks=self.marks_of(subject, setting),
            sides=(wording.sides[0].format(**phrases), wording.sides[1].format(**phrases)) if wording.sides else None,
            side_keys=wording.side_keys,
        )

    def view_of(self, subject: str, setting: Setting) -> str:
        """The view that shows this reading best."""
        return self.view

    def marks_of(self, subject: str, setting: Setting) -> tuple[Mark, ...]:
        """The shapes of its drawing between real points."""
        points = self.points(subject, setting)
        return (Mark(self.shape, points),) if points else ()

    def _wording(self, subject: str, points: list[Point]) -> Wording:
        if subject in self.special:
            return self.special[subject]
        return self.special.get(points[0].feature, self.wording) if points else self.wording


def _between(one: Point, other: Point) -> tuple[str, str, str]:
    """Two points as a phrase, the second of them alone, and both without article. Ends of one part name it once."""
    if one.side > 0 and other.name == one.twin:
        return f"{one.phrase.replace('left', 'left and right', 1)}s", other.phrase, f"{one.words} to {other.words}"
    part, _, end = one.words.partition(", ")
    same_part, _, other_end = other.words.partition(", ")
    if part != same_part or not end or not other_end:
        return f"{one.phrase} to {other.phrase}", other.phrase, f"{one.words} to {other.words}"
    return f"the {part}, {end} to {other_end}", f"the {other_end}", f"{part}, {end} to {other_end}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _pair(subject: str, setting: Setting) -> tuple[str, ...]:
    first, tilde, second = subject.partition("~")
    if not tilde:
        raise BadName(reading_words.one_point(subject))
    if first == second:
        raise BadName(reading_words.same_point(first))
    return tuple(point_named(name, setting.layout, setting.worked_axle).name for name in (first, second))


# What is possible on a layout, shared by several kinds.


def fixed_points(setting: Setting) -> tuple[str, ...]:
    """Every fixed point of the layout."""
    return tuple(points_of(setting.layout, setting.worked_axle))


def twins(setting: Setting) -> tuple[str, ...]:
    """Every left point with its right twin, "P~Q"."""
    points = points_of(setting.layout, setting.worked_axle).values()
    return tuple(f"{point.name}~{point.twin}" for point in points if point.side > 0 and point.twin)


def link_ends(setting: Setting) -> tuple[str, ...]:
    """Every link's joint centres, from axle to frame, "P~Q"; each axle joint of a radius arm on its own."""
    links = layout_named(setting.layout).links
    return tuple(f"{end}~{link.frame}" for link in links for end in link.axle)


def rods(setting: Setting) -> tuple[str, ...]:
    """The straight parts besides the links: driveshaft, and for a front axle drag link and tie rod, "P~Q"."""
    steering = ("drag_link.axle~drag_link.frame", "tie_rod.left~tie_rod.right")
    return ("driveshaft.axle~driveshaft.frame", *(steering if setting.worked_axle == "front" else ()))
