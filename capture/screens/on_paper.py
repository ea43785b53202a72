"""What a what-if page is about, all of it in its address: the moves so far, where one looks, which bolt is in hand.

Nothing is kept until the plan is given a name, so a page can be gone back to, sent on and loaded again. A move stands
in the address as one word with commas, lengths in mm: "by,upper.frame,0,0,3.175".
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from geometry.frame import INCH
from geometry.layouts import LAYOUTS
from geometry.points import point_named
from pydantic import TypeAdapter, ValidationError

from capture.lengths import say_length
from capture.log_entries import MOST_MOVES, MoveEntry, MovePlan
from capture.screens import move_words
from capture.vehicle_file import VehicleFile

VIEWS = ("side", "top", "front")
STEPS = {"16th": INCH / 16, "quarter": INCH / 4, "mm": 1.0, "cm": 10.0}
STEP_WORDS = {"16th": "1/16 in", "quarter": "1/4 in", "mm": "1 mm", "cm": "10 mm"}
ACTS = ("x+", "x-", "y+", "y-", "z+", "z-")
LONGEST = 20_000.0
"""mm: what the log takes as an offset."""
KINDS = {"by": 3, "both": 3, "to": 3, "link": 1, "longer": 1, "tyre": 1, "ride": 2, "cg": 2}
"""How many numbers each kind of move has; the first four and the links' name something first."""
NAMED = ("by", "both", "to", "link", "longer")
BLANK = ("to", "cg")
_MOVE: TypeAdapter[Any] = TypeAdapter(MoveEntry)


class NotAMove(ValueError):
    """A move that cannot be taken; one plain sentence."""


@dataclass(frozen=True)
class Word:
    """One move of the address. numbers: None leaves that coordinate where it is."""

    kind: str
    name: str
    numbers: tuple[float | None, ...]

    def __str__(self) -> str:
        said = ["" if number is None else short(number) for number in self.numbers]
        return ",".join([self.kind, *([self.name] if self.kind in NAMED else []), *said])

    @classmethod
    def of(cls, text: str) -> Word:
        """Raises NotAMove."""
        kind, *parts = text[:200].split(",")
        named = kind in NAMED
        if kind not in KINDS or len(parts) != KINDS[kind] + named:
            raise NotAMove(move_words.UNREADABLE_MOVE)
        numbers = tuple(_number(part, kind) for part in parts[named:])
        return cls(kind, parts[0] if named else "", numbers)


def _number(text: str, kind: str) -> float | None:
    if not text and kind in BLANK:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not abs(value) <= LONGEST:
        raise NotAMove(move_words.NO_LENGTH)
    return value


def short(number: float) -> str:
    """To a ten-thousandth of a mm, so that sixteenths stay what they are."""
    text = f"{number:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass(frozen=True)
class OnPaper:
    """moves: None where the named plan's own stand. keep: links keep their lengths. both: the twin goes along."""

    plan: str = ""
    moves: tuple[Word, ...] | None = None
    keep: bool = False
    view: str = "side"
    point: str = ""
    step: str = ""
    curve: str = ""
    both: bool = False
    every: bool = False
    name: str = ""

    @classmethod
    def of(cls, query: Any) -> OnPaper:
        """From an address; what is not known counts as not asked for. Raises NotAMove."""
        view, step = query.get("view", ""), query.get("step", "")
        words = tuple(Word.of(text) for text in query.getlist("do") if text) if "do" in query else None
        if words is not None and len(words) > MOST_MOVES:
            raise NotAMove(move_words.too_many_moves(MOST_MOVES))
        return cls(query.get("plan", "")[:200], words, query.get("keep") == "1", view if view in VIEWS else "side",
                   query.get("point", "")[:100], step if step in STEPS else "", query.get("curve", "")[:100],
                   query.get("both") == "1", query.get("every") == "1", query.get("name", "")[:200])

    def query(self, **changes: Any) -> str:
        """The address of this page, or of it with something changed."""
        return urlencode(replace(self, **changes).pairs)

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """Everything that is not as it is when nothing is said."""
        said = [("plan", self.plan)]
        if self.moves is not None:
            said += [("do", str(word)) for word in self.moves] or [("do", "")]
        said += [("keep", "1" if self.keep else ""), ("view", self.view if self.view != "side" else ""),
                 ("point", self.point), ("step", self.step), ("curve", self.curve), ("both", "1" if self.both else ""),
                 ("every", "1" if self.every else ""), ("name", self.name)]
        return [(key, value) for key, value in said if value or key == "do"]

    def with_plan(self, kept: MovePlan | None) -> OnPaper:
        """The same with the named plan's moves written out, unless others stand in the address."""
        if self.moves is not None:
            return self
        if kept is None:
            return replace(self, plan="", moves=())
        return replace(self, moves=tuple(map(word_of, kept.moves)), keep=kept.keep_lengths)

    @property
    def done(self) -> tuple[Word, ...]:
        return self.moves or ()

    def stepped(self, act: str, unit: str) -> OnPaper:
        """The bolt in hand moved by one step. act: "x+", "z-"..."""
        far = STEPS[self.step or usual_step(unit)] * (1.0 if act[1] == "+" else -1.0)
        by = tuple(far if axis == act[0] else 0.0 for axis in "xyz")
        return self.added(Word("both" if self.both else "by", self.point, by))

    def added(self, word: Word) -> OnPaper:
        """With one more move; steps of one bolt along one axis run together into one, and what the new one says anew
        stands no longer."""
        done = tuple(one for one in self.done if not _says_anew(word, one))
        if done and _one_way(done[-1]) is not None and _one_way(done[-1]) == _one_way(word):
            sums = tuple((a or 0.0) + (b or 0.0) for a, b in zip(done[-1].numbers, word.numbers, strict=True))
            last = (replace(word, numbers=sums),) if any(abs(each) > 1e-4 for each in sums) else ()
            return replace(self, moves=(*done[:-1], *last))
        return replace(self, moves=(*done, word))

    def undone(self) -> OnPaper:
        return replace(self, moves=self.done[:-1])


def _one_way(word: Word) -> tuple[str, str, int] | None:
    """Bolt and axis of a move along one axis."""
    ways = [axis for axis, number in enumerate(word.numbers) if number]
    return (word.kind, word.name, ways[0]) if word.kind in ("by", "both") and len(ways) == 1 else None


def _says_anew(word: Word, before: Word) -> bool:
    """Whether `word` says all that `before` said: a link's length, the tyres, a bolt's or the weight's place."""
    if word.name != before.name:
        return False
    if word.kind == "link":
        return before.kind in ("link", "longer")
    placed = word.kind == before.kind and word.kind in ("tyre", *BLANK)
    return placed and all(old is None or new is not None
                          for old, new in zip(before.numbers, word.numbers, strict=True))


def usual_step(unit: str) -> str:
    return "16th" if unit == "in" else "mm"


# To the log and back.


def entries_of(words: Sequence[Word], vehicle: VehicleFile) -> list[Any]:
    """The moves as the log keeps them. Raises NotAMove, and geometry's BadName."""
    for word in words:
        if word.kind == "tyre" and not 200.0 <= (word.numbers[0] or 0.0) <= 4_000.0:
            said = say_length(word.numbers[0] or 0.0, vehicle.display_unit)
            raise NotAMove(move_words.no_tyre_of(said))
        if word.kind == "link" and (word.numbers[0] or 0.0) <= 0.0:
            raise NotAMove(move_words.no_link_of(say_length(word.numbers[0] or 0.0, vehicle.display_unit)))
    try:
        return [_MOVE.validate_python(body) for word in words for body in _bodies(word, vehicle)]
    except ValidationError:
        raise NotAMove(move_words.TOO_LONG_A_MOVE) from None


def _bodies(word: Word, vehicle: VehicleFile) -> list[dict[str, Any]]:
    numbers = list(word.numbers)
    if word.kind in ("by", "both", "to"):
        point = point_named(word.name, vehicle.layout, vehicle.worked_axle)
        if word.kind == "to":
            return [{"move": "point_to", "point": word.name, "to": numbers}]
        found = [{"move": "point_by", "point": word.name, "by": numbers}]
        if word.kind == "both" and point.twin:
            mirrored = [numbers[0], -(numbers[1] or 0.0), numbers[2]]
            found.append({"move": "point_by", "point": point.twin, "by": mirrored})
        return found
    if word.kind in ("link", "longer"):
        if word.name not in (link.name for link in LAYOUTS[vehicle.layout].links):
            raise NotAMove(move_words.no_such_link(word.name[:40]))
        key = "length" if word.kind == "link" else "by"
        return [{"move": f"link_{'to' if word.kind == 'link' else 'by'}", "link": word.name, key: numbers[0]}]
    keys: Mapping[str, tuple[str, ...]] = {"tyre": ("diameter",), "ride": ("worked", "other"),
                                           "cg": ("height", "along")}
    names = {"tyre": "tyre_to", "ride": "ride_by", "cg": "cg_to"}
    return [{"move": names[word.kind], **dict(zip(keys[word.kind], numbers, strict=True))}]


def word_of(move: Any) -> Word:
    """A move of the log as the address has it."""
    match move.move:
        case "point_to":
            return Word("to", move.point, tuple(move.to))
        case "point_by":
            return Word("by", move.point, tuple(move.by))
        case "link_to":
            return Word("link", move.link, (move.length,))
        case "link_by":
            return Word("longer", move.link, (move.by,))
        case "tyre_to":
            return Word("tyre", "", (move.diameter,))
        case "ride_by":
            return Word("ride", "", (move.worked, move.other))
    return Word("cg", "", (move.height, move.along))
