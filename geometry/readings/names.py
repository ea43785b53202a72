"""From a reading's name to what it means: "height:lower_left.frame" and its like."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from geometry.errors import BadName, did_you_mean
from geometry.layouts import layout_named, towards_middle
from geometry.points import SCALARS, combination
from geometry.readings import reading_words
from geometry.readings.kind import Kind, Setting, Terms


@dataclass(frozen=True)
class ReadingName:
    """A reading's name, taken apart.

    text: as it stands in the file. kind, subject: its two halves. points: the points it is between, derived ones as
    named. canonical: the same for all spellings of one reading (P~Q and Q~P of a span).
    """

    text: str
    kind: Kind
    subject: str
    points: tuple[str, ...]
    canonical: str
    setting: Setting

    @cached_property
    def terms(self) -> Terms:
        """The points and scalars it is made of, as its kind wants them."""
        return self.kind.terms(self.subject, self.setting)

    @cached_property
    def touches(self) -> tuple[str, ...]:
        """The fixed or own points and the scalars that it hangs on, each once."""
        found: dict[str, None] = {}
        for name in self.terms.inputs:
            parts = (name,) if name in SCALARS else combination(name, self.setting.layout, self.setting.worked_axle)
            found.update(dict.fromkeys(parts))
        return tuple(found)


def split(text: str, layout: str, worked_axle: str, kinds: Mapping[str, Kind]) -> ReadingName:
    """The reading of that name. Errors: BadName, BadLayout."""
    layout_named(layout)
    towards_middle(worked_axle)
    kind_name, colon, subject = text.partition(":")
    if not colon:
        raise BadName(reading_words.no_colon(text))
    if kind_name not in kinds:
        near = did_you_mean(kind_name, kinds) or f"; there are {', '.join(kinds)}."
        raise BadName(reading_words.no_such_kind(text, kind_name, near))
    return _parsed(text, kinds[kind_name], subject, Setting(layout, worked_axle))


@lru_cache(maxsize=8192)
def _parsed(text: str, kind: Kind, subject: str, setting: Setting) -> ReadingName:
    try:
        points = kind.points(subject, setting)
    except BadName as refusal:
        raise BadName(f"{text}: {_without_repeat(str(refusal))}") from None
    canonical = "~".join(sorted(points)) if kind.symmetric else subject
    return ReadingName(text, kind, subject, points, f"{kind.name}:{canonical}", setting)


def _without_repeat(sentence: str) -> str:
    """A point's own sentence begins with its name, which the reading's name already says."""
    _, _, rest = sentence.partition(": ")
    return rest or sentence
