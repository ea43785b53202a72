"""One link on the bench: tube, inserts, jam nuts, joint eyes and dimension lines, to scale along its length.

A long tube is broken so that its ends can be seen; what is left out is said. Parts too small for a number of their own
carry a letter that the table beside the drawing explains.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.cutting import End
from markupsafe import Markup

from .svg import arrow_head, circle, drawing, join, line, number, path, rectangle, text

WIDTH, HEIGHT = 360.0, 252.0
MARGIN = 12.0
AXIS = 92.0
TUBE_OUTSIDE = 45.0
"""mm, where it is not stated."""
MOST_TALL = 60.0
STUB = 34.0
"""mm of tube drawn beyond the thread at each end, at the least."""
BREAK = 14.0
"""px."""
BELOW_WORDS = 166.0
"""px down, where the words at the ends are past."""
LETTERS = "abcdefgh"
APART = 19.0
"""px between two letters."""


@dataclass(frozen=True)
class Said:
    """The dimensions in the person's unit. left_out: what is written at the break, of so many mm."""

    whole: str
    tube: str
    frame: str
    axle: str
    left_out: str
    label: str


@dataclass(frozen=True)
class Laid:
    """The link laid out on the paper: where each end's parts begin and end, px. cut_out: tube not drawn, mm."""

    scale: float
    eyes: tuple[float, float]
    faces: tuple[float, float]
    cut_out: float
    tall: float


def shortened(length: float, ends: Sequence[End], outside: float | None) -> float:
    """How much of the tube the drawing leaves out, mm; 0 where it is drawn whole."""
    return laid(length, ends, outside).cut_out


def laid(length: float, ends: Sequence[End], outside: float | None) -> Laid:
    """length: of the tube, mm. The same scale along and across."""
    outside = outside or TUBE_OUTSIDE
    stubs = sum(STUB + engaged(end) for end in ends)
    out = max(length - stubs, 0.0)
    drawn = length - out + sum(end.taken_off + eye(end, outside) for end in ends)
    room = WIDTH - 2 * MARGIN - (BREAK if out else 0.0)
    scale = min(room / drawn, MOST_TALL / outside)
    used = drawn * scale + (BREAK if out else 0.0)
    left = (WIDTH - used) / 2 + eye(ends[0], outside) * scale
    right = (WIDTH + used) / 2 - eye(ends[1], outside) * scale
    faces = left + ends[0].taken_off * scale, right - ends[1].taken_off * scale
    return Laid(scale, (left, right), faces, out, outside * scale)


def eye(end: End, outside: float) -> float:
    """Half the height of a joint's eye, mm: what such joints usually have, as nobody states it."""
    return 1.05 * end.thread.diameter if end.thread else 0.55 * outside


def engaged(end: End) -> float:
    return max(end.thread_length - end.showing, 0.0) if end.thread else 0.0


def link_drawing(length: float, ends: Sequence[End], outside: float | None, said: Said) -> Markup:
    """ends: the frame's, which is drawn at the left, and the axle's."""
    at = laid(length, ends, outside)
    pieces = [_tube(at), *(_end(at, ends[side], side) for side in (0, 1)), *_letters(at, ends)]
    pieces += [_words(at, ends, side) for side in (0, 1)]
    pieces += _dimensions(at, said)
    return drawing(WIDTH, HEIGHT, *pieces, label=said.label, class_="d linkd")


def _tube(at: Laid) -> Markup:
    """The tube, whole or in two pieces with wavy ends."""
    (left, right), half = at.faces, at.tall / 2
    top = AXIS - half
    if not at.cut_out:
        return rectangle("own", left, top, right - left, at.tall)
    middle = (left + right) / 2
    one, two = middle - BREAK / 2, middle + BREAK / 2
    bulge, tall = number(half * 0.35), number(at.tall)
    wave = f"c{bulge} {number(at.tall * 0.3)} -{bulge} {number(at.tall * 0.7)} 0 {tall}"
    return join((
        path("own", f"M{number(left)} {number(top)}H{number(one)}{wave}H{number(left)}Z"),
        path("own", f"M{number(right)} {number(top)}H{number(two)}{wave}H{number(right)}Z"),
        path("cl", f"M{number(one)} {number(AXIS)}H{number(two)}"),
    ))


def _end(at: Laid, end: End, side: int) -> Markup:
    """Joint eye, shank, jam nut, lip, and the thread hidden in the tube; mirrored for the axle's end."""
    way, centre, face = (1 if side == 0 else -1), at.eyes[side], at.faces[side]
    round_ = eye(end, at.tall / at.scale) * at.scale
    pieces = []

    def block(class_: str, one: float, two: float, tall: float) -> None:
        pieces.append(rectangle(class_, min(one, two), AXIS - tall / 2, abs(two - one), tall))

    if end.thread:
        shank = end.thread.diameter * at.scale
        shoulder = centre + way * end.standing * at.scale
        lip = face - way * end.lip * at.scale
        nut = lip - way * end.jam_nut * at.scale
        inside = face + way * engaged(end) * at.scale
        pieces.append(line("ghost", (face, AXIS - shank / 2), (inside, AXIS - shank / 2), (inside, AXIS + shank / 2),
                           (face, AXIS + shank / 2)))
        block("own", centre, shoulder, shank * 1.1)
        block("own", shoulder, nut, shank)
        pieces.append(path("hairl", _hatch(shoulder, nut, shank)))
        if end.jam_nut:
            block("own", nut, lip, shank * 1.6)
        if end.lip:
            block("own", lip, face, at.tall * 1.08)
    else:
        block("own", centre, face, at.tall * 0.7)
    pieces += [circle("own", (centre, AXIS), round_), circle("ring", (centre, AXIS), round_ * 0.5),
               path("cl", f"M{number(centre - round_ - 4)} {number(AXIS)}h{number(2 * round_ + 8)}"
                          f"M{number(centre)} {number(AXIS - round_ - 4)}v{number(2 * round_ + 8)}")]
    return join(pieces)


def _hatch(one: float, two: float, tall: float) -> str:
    """Slanting strokes for a thread."""
    low, high = sorted((one, two))
    strokes, x = "", low + 2.0
    while x < high - 1.0:
        strokes += f"M{number(x)} {number(AXIS - tall / 2)}l-1.5 {number(tall)}"
        x += 3.5
    return strokes


def parts_of(end: End, first: int) -> Iterator[tuple[str, float, float]]:
    """Each part that is taken off at an end: its letter, and from where to where, mm from the joint's centre."""
    begin = 0.0
    for place, (_, span) in enumerate(end.spans):
        yield LETTERS[first + place], begin, begin + span
        begin += span


def _letters(at: Laid, ends: Sequence[End]) -> Iterator[Markup]:
    """A letter over each part, far enough from the next, with a thin line to it."""
    first = 0
    for side, end in enumerate(ends):
        way = 1 if side == 0 else -1
        found = list(parts_of(end, first))
        first += len(found)
        middles = [at.eyes[side] + way * at.scale * (one + two) / 2 for _, one, two in found]
        spread = _apart(middles, way)
        for (letter, _, _), middle, x in zip(found, middles, spread, strict=True):
            yield line("hairl", (x, 26.0), (middle, AXIS - 4))
            yield circle("gr", (x, 16.0), 9.0)
            yield circle("dim", (x, 16.0), 9.0)
            yield text("t12", (x, 20.2), letter, "middle")


def _apart(middles: list[float], way: int) -> list[float]:
    """The same places pushed apart towards the tube, and back in from the edge."""
    found: list[float] = []
    for middle in middles:
        x = middle if not found else max(found[-1] * way + APART, middle * way) * way
        found.append(x)
    return found


def _words(at: Laid, ends: Sequence[End], side: int) -> Markup:
    """Which end it is and its hand, below it."""
    end = ends[side]
    anchor, x = (None, MARGIN - 6) if side == 0 else ("end", WIDTH - MARGIN + 6)
    hand = "" if end.thread is None else "left-hand" if end.thread.left else "right-hand"
    y = min(AXIS + max(at.tall / 2, eye(end, at.tall / at.scale) * at.scale) + 17, BELOW_WORDS - 20)
    pieces = [text("t12 tb1", (x, y), end.words, anchor)]
    if hand:
        pieces.append(text("t12 tb1" if hand == "left-hand" else "tq", (x, y + 15), hand, anchor))
    return join(pieces)


def _dimensions(at: Laid, said: Said) -> list[Markup]:
    """Tube, what each end takes off, and joint to joint."""
    chain, whole = 198.0, 236.0
    (eye_one, eye_two), (one, two) = at.eyes, at.faces
    pieces = [line("dim", (x, AXIS + at.tall / 2 + 3), (x, chain + 4)) for x in (one, two)]
    pieces += [line("dim", (x, BELOW_WORDS), (x, whole + 4)) for x in (eye_one, eye_two)]
    pieces += [_dimension("ext", "litf", one, two, chain), _dimension("dim", "dimf", eye_one, one, chain),
               _dimension("dim", "dimf", two, eye_two, chain), _dimension("dim", "dimf", eye_one, eye_two, whole)]
    middle = (one + two) / 2
    pieces += [text("tl", (middle, chain - 7), said.tube, "middle"),
               text("t12", ((eye_one + one) / 2, chain - 6), said.frame, "middle"),
               text("t12", ((two + eye_two) / 2, chain - 6), said.axle, "middle"),
               text("", ((eye_one + eye_two) / 2, whole - 6), said.whole, "middle")]
    if at.cut_out:
        pieces.append(text("tq", (middle, AXIS + at.tall / 2 + 17), said.left_out, "middle"))
    return pieces


def _dimension(class_: str, head: str, one: float, two: float, y: float) -> Markup:
    return join((line(class_, (one, y), (two, y)), arrow_head(head, (one, y), (two, y), 8.0, 5.0),
                 arrow_head(head, (two, y), (one, y), 8.0, 5.0)))
