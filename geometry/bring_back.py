"""What to move back, or how to set the links, so that the figures of a later stage are again what they were before.

Two ways, each carried out on paper on the later stage:
- Brackets: of the bolts that moved for sure, the fewest of their coordinates put back by what they went, the one that
  helps most first; the axle stays and each link is made to fit.
- Lengths: the least change of link lengths, the axle following under the frame. Every figure that people ask for first
  is held: those to be brought back to what they were, the others between what they were and what they are, and the
  axle where it stands. With J the slopes of these by the lengths (central differences on the plan itself), each divided
  by its spread, steps of (J'J + I/FREE^2) x = -J'off are taken, so that what helps little is hardly turned; rows that
  lie where they should do not pull. One link alone, then two and so on: fewer are easier to set.
A figure is back when it differs from what it was by less than two spreads of the change, as the tape cannot tell more.
A change that is sure and still too little to be worth work (`worth`) is told and not brought back, and a way may leave
such a change behind.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.compare import NOT_SEEN, SURE, Comparison, FigureChange, PointChange
from geometry.figures import Facts, FigureKind, catalogue
from geometry.figures.slopes import Sloped
from geometry.fit import ORIGIN, Fit
from geometry.frame import Array
from geometry.layouts import layout_named
from geometry.moves import BadMove, LinkBy, Move, Plan, PointBy
from geometry.points import point_named
from geometry.what_if import Measured, what_if
from geometry.worth import Small, is_among, room_of, small_change

SDS = 2.0
FREE_MM = 20.0
"""A length changed by so much counts as much as a figure one spread off."""
NUDGE_MM = 1.0
LEAST_MM = 0.5
"""No one sets a length or a bracket finer."""
MOST_MM = 40.0
"""Adjusters hardly go further; a way that needs more is none."""
STEPS = 3
MOST_TRIED = 4
"""Sets of links that are carried out on paper before it is said that none does."""
PLACE_MM = 2.0
"""The axle may stand so far from where it does, one spread: nobody gives up wheelbase or squareness for a figure."""

ENDS = ("anti", "roll", "steering")
"""Families of figures that say what the axle does."""
MEANS = ("instant_centre.", "match.")
ANTI = "anti_geometric"
"""The anti figures of braking and driving are shares of it: with one of them it need not be held as well."""

PLACES = 3
"""Rows that say where the axle stands."""

BRACKETS, LENGTHS = "brackets", "lengths"


@dataclass(frozen=True)
class Back:
    """One figure of a way. wanted: what it was before; now; then: what the way makes of it, in its unit. sd: of the
    change. back: it differs from what was wanted by less than two of them. changed: it had changed for sure."""

    key: str
    unit: str
    wanted: float
    now: float
    then: float
    sd: float
    back: bool
    changed: bool


@dataclass(frozen=True)
class Way:
    """One way. kind: BRACKETS or LENGTHS. points: how far to move each bolt, vehicle frame, mm; lengths: by how much to
    set each link longer, mm. figures: those that changed, and those that this would move beyond their spread. axle: how
    far its middle then goes ahead and to the left, mm."""

    kind: str
    points: Mapping[str, tuple[float, float, float]]
    lengths: Mapping[str, float]
    figures: tuple[Back, ...]
    axle: tuple[float, float] = (0.0, 0.0)

    @property
    def enough(self) -> bool:
        """Everything that changed is back, and nothing else has left its place."""
        return all(figure.back for figure in self.figures)


@dataclass(frozen=True)
class Advice:
    """What could be done. moved: bolts that moved for sure; changed: figures people ask for that changed for sure and
    by enough; none of these, and nothing needs doing. ways: those that help, the one that brings most back first.
    small: figures that changed for sure, but by less than is worth the work."""

    moved: tuple[str, ...]
    changed: tuple[str, ...]
    ways: tuple[Way, ...]
    small: tuple[Small, ...] = ()

    @property
    def needed(self) -> bool:
        return bool(self.changed)


def bring_back(after: Fit, comparison: Comparison, facts: Facts) -> Advice:
    """The ways back from `after` to what `comparison` says was before."""
    moved = tuple(change for change in comparison.points if change.category == SURE and _is_bolt(after, change.name))
    kinds = catalogue(after.setup.layout, after.setup.worked_axle)
    held = _held(kinds, comparison)
    small = tuple(one for change in held if (one := small_change(change, kinds[change.key])))
    changed = tuple(change.key for change in held if change.category == SURE and not is_among(change, small))
    names = tuple(change.name for change in moved)
    if not changed:
        return Advice(names, (), (), small)
    paper = _Paper(Measured(after, facts), held, [room_of(change, kinds[change.key], changed) for change in held])
    ways = [way for way in (_brackets(paper, moved), _lengths(paper, after)) if way is not None]
    ways.sort(key=lambda way: -sum(figure.back for figure in way.figures if figure.changed))
    return Advice(names, changed, tuple(ways), small)


def _is_bolt(fitted: Fit, name: str) -> bool:
    return point_named(name, fitted.setup.layout, fitted.setup.worked_axle).group == "links"


def _held(kinds: Mapping[str, FigureKind], comparison: Comparison) -> tuple[FigureChange, ...]:
    """The figures people ask for first, and others that say what the axle does where they changed for sure.

    Lengths and angles of links and the instant centre are means, no ends.
    """
    known = [change for change in comparison.figures if change.category != NOT_SEEN and change.sd > 0.0]
    held = [change for change in known if kinds[change.key].headline or (
        change.category == SURE and kinds[change.key].family in ENDS and not change.key.startswith(MEANS))]  # fmt: skip
    by_share = any(change.key.startswith("anti_") and change.key != ANTI for change in held)
    return tuple(change for change in held if not (by_share and change.key == ANTI))


class _Paper:
    """The later stage, plans tried on it, and how far what is held then is from where it should be.

    Held are the figures, (n,), and behind them where the axle stands: both wheels fore and aft, the left one across,
    (3,), mm. rooms: from where to where each figure may lie, (n, 2): what it was for one that is to be brought back.
    """

    def __init__(self, measured: Measured, held: Sequence[FigureChange], rooms: Sequence[tuple[float, float]]) -> None:
        self.measured, self.held = measured, held
        self.wanted = [low == high for low, high in rooms]
        self.sd = np.array([*(change.sd for change in held), *[PLACE_MM] * PLACES])
        self.low = np.array([*(low for low, _ in rooms), 0.0, 0.0, 0.0])
        self.high = np.array([*(high for _, high in rooms), 0.0, 0.0, 0.0])

    def values(self, moves: Sequence[Move]) -> Array | None:
        """What is held after these moves; None where the links cannot be put together or a figure is lost."""
        try:
            outcome = what_if(self.measured, Plan(tuple(moves)))
        except BadMove:
            return None
        answers = [outcome.answers[change.key] for change in self.held]
        found = [answer.value for answer in answers if isinstance(answer, Sloped)]
        if len(found) < len(answers):
            return None
        left, right = (outcome.points[wheel].by for wheel in ORIGIN)
        return np.array([*found, left[0], right[0], left[1]])

    def off(self, values: Array) -> Array:
        """How far each is off, in spreads of its change."""
        return np.asarray((values - np.clip(values, self.low, self.high)) / self.sd)

    def way(self, kind: str, moves: Sequence[Move], values: Array) -> Way:
        off = np.abs(self.off(values))
        figures = tuple(
            Back(change.key, change.unit, change.before, change.after, float(then), change.sd, bool(far <= SDS), wanted)
            for change, wanted, then, far in zip(
                self.held, self.wanted, values[: len(self.held)], off[: len(self.held)], strict=True)
            if wanted or far > SDS
        )  # fmt: skip
        points = {move.point: (move.x, move.y, move.z) for move in moves if isinstance(move, PointBy)}
        lengths = {move.link: move.by for move in moves if isinstance(move, LinkBy)}
        left, right, across = (float(value) for value in values[len(self.held) :])
        return Way(kind, points, lengths, figures, (0.5 * (left + right), across))


# Brackets.


def _brackets(paper: _Paper, moved: Sequence[PointChange]) -> Way | None:
    """Coordinates put back one by one, the one that helps most first, until every figure is back."""
    left = [(change, axis) for change in moved for axis in range(3) if abs(change.by[axis]) > SDS * change.sd[axis]]
    taken: list[tuple[PointChange, int]] = []
    best = paper.values(())
    if best is None:
        return None
    while left and np.abs(paper.off(best)).max() > SDS:
        tried = [(paper.values(_put_back([*taken, one])), one) for one in left]
        fit_ones = [(float((paper.off(values) ** 2).sum()), at) for at, (values, _) in enumerate(tried)
                    if values is not None]  # fmt: skip
        if not fit_ones or min(fit_ones)[0] >= float((paper.off(best) ** 2).sum()):
            break
        values, one = tried[min(fit_ones)[1]]
        assert values is not None
        best = values
        taken.append(one)
        left.remove(one)
    return paper.way(BRACKETS, _put_back(taken), best) if taken else None


def _put_back(coordinates: Sequence[tuple[PointChange, int]]) -> list[Move]:
    found: dict[str, list[float]] = {}
    for change, axis in coordinates:
        found.setdefault(change.name, [0.0, 0.0, 0.0])[axis] = -change.by[axis]
    return [PointBy(name, x, y, z) for name, (x, y, z) in found.items()]


# Lengths.


def _lengths(paper: _Paper, after: Fit) -> Way | None:
    """The fewest links that suffice, and of these the least change; None where turning links does not bring it back."""
    links = [link.name for link in layout_named(after.setup.layout).links if link.role != "arm"]
    start = paper.values(())
    slopes = _slopes(paper, links)
    if start is None or slopes is None:
        return None
    for some in _by_effort(paper, slopes, start)[:MOST_TRIED]:
        way = _set(paper, [links[at] for at in some], slopes[:, list(some)], start)
        if way is not None and way.enough:
            return way
    return None


def _by_effort(paper: _Paper, slopes: Array, values: Array) -> list[tuple[int, ...]]:
    """Sets of links that would do on a straight line, the fewest first, of these the least change."""
    number = slopes.shape[1]
    found = []
    for size in range(1, number + 1):
        for some in itertools.combinations(range(number), size):
            part = slopes[:, list(some)]
            by = _least(paper, part, values)
            there = paper.off(values + paper.sd * (part @ by))
            if np.abs(there).max() <= SDS and np.abs(by).max() <= MOST_MM:
                found.append((size, float(np.abs(by).sum()), some))
    return [some for _, _, some in sorted(found)]


def _least(paper: _Paper, slopes: Array, values: Array) -> Array:
    """On a straight line the change that brings everything where it should be by little, mm.

    What may be anywhere between two values pulls only where it leaves them, so the rows that pull are found by turns.
    """
    by = np.zeros(slopes.shape[1])
    pulls = np.zeros(len(values), dtype=bool)
    pulls[-PLACES:] = True
    for _ in range(STEPS):
        off = paper.off(values + paper.sd * (slopes @ by))
        pulls |= off != 0.0
        rows = slopes[pulls]
        normal = rows.T @ rows + np.eye(len(by)) / FREE_MM**2
        by = by - np.linalg.solve(normal, rows.T @ off[pulls] + by / FREE_MM**2)
    return by


def _slopes(paper: _Paper, links: Sequence[str]) -> Array | None:
    """Of what is held, in spreads, by each link's length, (held, links), per mm."""
    columns = []
    for link in links:
        plus, minus = (paper.values([LinkBy(link, by)]) for by in (NUDGE_MM, -NUDGE_MM))
        if plus is None or minus is None:
            return None
        columns.append((plus - minus) / (2.0 * NUDGE_MM) / paper.sd)
    return np.array(columns).T


def _set(paper: _Paper, links: Sequence[str], slopes: Array, values: Array) -> Way | None:
    """These links set by the least that brings the figures back; None where they cannot be put together."""
    by = np.zeros(len(links))
    for _ in range(STEPS):
        by = by + _least(paper, slopes, values)
        if np.abs(by).max() > MOST_MM:
            return None
        there = paper.values(_moves(links, by))
        if there is None:
            return None
        values = there
    moves = _moves(links, np.where(np.abs(by) < LEAST_MM, 0.0, by))
    there = paper.values(moves)
    return None if there is None or not moves else paper.way(LENGTHS, moves, there)


def _moves(links: Sequence[str], by: Array) -> list[Move]:
    return [LinkBy(link, float(mm)) for link, mm in zip(links, by, strict=True) if mm]
