"""Three views at one stated scale, with numbered bolt centres and dimensions that say their ±."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from geometry.errors import GeometryError
from markupsafe import Markup

from capture.drawings import parts
from capture.drawings.labels import Lettering
from capture.drawings.projection import LEFT, TOP_LEFT, Box, View, Window
from capture.drawings.scenes import end_view, whole_box
from capture.drawings.shape import mark
from capture.drawings.svg import Pixel, element, join, line
from capture.drawings.vehicle import GUESSED, Spot, Vehicle
from capture.lengths import say_length, say_spread
from capture.report import Report
from capture.sheet import paper, sheet_words
from capture.sheet.dimensions import ROW, Level, Upright, columns, columns_wide, rows

EDGE = 6.0
ABOVE = 22.0
RINGS = (15.0, 24.0, 34.0, 46.0)
"""How far from its bolt a number may stand, units."""
MOST_UPRIGHT = 3
ACROSS_SHORT, DOWN_SHORT = 127.0, 100.0
"""mm of paper for the two views of the short form: across, and for both above each other without their dimensions."""
NEAR = 15.0
"""mm: two bolts nearer to each other than this in height share one dimension."""


@dataclass(frozen=True)
class Drawn:
    """One view. caption: how it is looked at, and its scale."""

    key: str
    caption: str
    picture: Markup


def numbered(vehicle: Vehicle, most: int | None = None) -> dict[str, int]:
    """The number of every bolt centre and mark, or of the first few, in the order of the table; wheel centres have
    none."""
    names = [name for name in vehicle.spots if not name.endswith(".centre")]
    return {name: number for number, name in enumerate(names[:most], start=1)}


def views(
    report: Report, vehicle: Vehicle, keys: Sequence[str], scale: float, most: int | None = None
) -> tuple[Drawn, ...]:
    """The views asked for, "side", "top", "end", at 1:scale. most: how many points are numbered."""
    numbers = numbered(vehicle, most)
    made = {"side": _side, "top": _top, "end": _end}
    return tuple(made[key](report, vehicle, numbers, scale) for key in keys)


def scale_of(vehicle: Vehicle, short: bool = False) -> float:
    """1:scale at which the whole vehicle fits across the paper; on the short form side and top view above each other
    too."""
    room = (ACROSS_SHORT if short else paper.WIDTH) - 2 * EDGE / paper.UNIT
    across = paper.scale_for([_box(vehicle, LEFT).width], room)
    heights = [_box(vehicle, view).height for view in (LEFT, TOP_LEFT)]
    return max(across, paper.scale_for(heights, DOWN_SHORT)) if short else across


def _side(report: Report, vehicle: Vehicle, numbers: Mapping[str, int], scale: float) -> Drawn:
    levels = [*_along(report, vehicle), *_wheelbase(report, vehicle)]
    sheet = _Sheet.of(vehicle, LEFT, scale, len(levels))
    window = sheet.window
    ends = [spot for spot in _frame_ends(vehicle) if spot.side >= 0]
    uprights = [
        Upright((window.at(spot.place)[0], window.floor), window.at(spot.place), _said(report, f"height:{spot.name}"))
        for spot in _apart(ends)
    ]
    hubs = [window.at((spot.x, spot.y, 0.0)) for spot in vehicle.wheels if spot.side > 0]
    way = 1 if vehicle.worked_axle == "front" else -1
    first = _clear_of(vehicle, window, way)
    beside = columns(_before_the_tyre(uprights, vehicle, window, first, way), first, way)
    below = rows([Level(window.at((start, 0, 0)), window.at((end, 0, 0)), words) for start, end, words in levels],
                 window.floor + 22)  # fmt: skip
    ground = parts.floor(window, 0.0, window.width)
    caption = sheet_words.from_the_left(paper.said(scale))
    return sheet.drawn("side", caption, vehicle, numbers, join((ground, below)) if hubs else ground, beside)


def _top(report: Report, vehicle: Vehicle, numbers: Mapping[str, int], scale: float) -> Drawn:
    sheet = _Sheet.of(vehicle, TOP_LEFT, scale, 0)
    window = sheet.window
    uprights = []
    for left, right in _pairs(vehicle):
        words = _said(report, f"across:{left.name}~{right.name}")
        uprights.append(Upright(window.at(left.place), window.at(right.place), words))
    way = 1 if vehicle.worked_axle == "front" else -1
    first = _clear_of(vehicle, window, way)
    beside = columns(_before_the_tyre(uprights, vehicle, window, first, way), first, way)
    caption = sheet_words.from_above(paper.said(scale))
    return sheet.drawn("top", caption, vehicle, numbers, Markup(), beside)


def _end(report: Report, vehicle: Vehicle, numbers: Mapping[str, int], scale: float) -> Drawn:
    view = end_view(vehicle)
    track = _said(report, "across:wheel_left.centre~wheel_right.centre")
    panhard = [vehicle.spots[name] for name in ("panhard.frame", "panhard.axle") if name in vehicle.spots]
    said = [(spot, _said(report, f"height:{spot.name}")) for spot in panhard]
    room = columns_wide([Upright((0, 0), (0, 0), words) for _, words in said])
    sheet = _Sheet.of(vehicle, view, scale, 1, beside=room + 14)
    window = sheet.window
    hubs = sorted(window.at((spot.x, spot.y, 0.0)) for spot in vehicle.wheels if spot.name.startswith("wheel"))
    below = rows([Level(hubs[0], hubs[-1], f"track {track}")] if len(hubs) == 2 else [], window.floor + 22)
    edge = window.pixel((whole_box(vehicle, view).right, 0.0))[0]
    uprights = [Upright((window.at(spot.place)[0], window.floor), window.at(spot.place), words) for spot, words in said]
    ground = parts.floor(window, 0.0, edge + EDGE)
    where = "From the front" if vehicle.worked_axle == "front" else "From behind"
    here, there = ("right", "left") if view.right[1] > 0 else ("left", "right")
    caption = sheet_words.from_the_end(where, paper.said(scale), here, there)
    return sheet.drawn("end", caption, vehicle, numbers, join((ground, below)), columns(uprights, edge + 14, 1))


@dataclass(frozen=True)
class _Sheet:
    """A view with its room on the paper, in units."""

    window: Window

    @classmethod
    def of(cls, vehicle: Vehicle, view: View, scale: float, levels: int, beside: float = 0.0) -> _Sheet:
        """levels: rows of dimensions below; beside: room at the right."""
        box, size = _box(vehicle, view), paper.UNIT / scale
        below = (16.0 + levels * ROW if levels else 12.0) if view.upright else ABOVE
        across = box.width * size + 2 * EDGE + beside
        up = box.height * size + ABOVE + below
        middle = ((box.left + box.right) / 2 + beside / 2 / size, (box.low + box.high) / 2 + (ABOVE - below) / 2 / size)
        return cls(Window(view, size, middle, across, up))

    def drawn(self, key: str, caption: str, vehicle: Vehicle, numbers: Mapping[str, int], under: Markup,
              over: Markup) -> Drawn:  # fmt: skip
        window = self.window
        picture = element(
            "svg", under, parts.body(vehicle, window, "own", Markup()), over, *_numbers(vehicle, window, numbers),
            class_="d view", viewBox=f"0 0 {window.width:.1f} {window.height:.1f}", role="img", aria_label=caption,
            width=f"{window.width / paper.UNIT:.2f}mm", height=f"{window.height / paper.UNIT:.2f}mm",
        )  # fmt: skip
        return Drawn(key, caption, picture)


def _box(vehicle: Vehicle, view: View) -> Box:
    """The whole vehicle, and every point that lies beyond it."""
    box = whole_box(vehicle, view)
    points = [view.paper(spot.place) for spot in vehicle.spots.values()]
    joined = box.joined(Box.around(points)) if points else box
    return Box(joined.left, joined.right, min(joined.low, 0.0), joined.high) if view.upright else joined


def _numbers(vehicle: Vehicle, window: Window, numbers: Mapping[str, int]) -> Iterator[Markup]:
    """Every point's mark and its number beside it, on a short leader where there is no room close by."""
    shown = parts.visible_spots(vehicle, window)
    centres = {spot.name: window.at(spot.place) for spot in shown}
    yield from (mark(spot, centres[spot.name]) for spot in shown)
    taken = [(x - 5.0, y - 5.0, x + 5.0, y + 5.0) for x, y in centres.values()]
    lettering = Lettering(window.width, window.height, taken)
    for spot in sorted((spot for spot in shown if spot.name in numbers), key=lambda spot: numbers[spot.name]):
        at = centres[spot.name]
        word = str(numbers[spot.name])
        label = lettering.put("t12 tb1", word, [(_base(at, ring, way, word), "middle") for ring, way in _places()])
        left, top, right, bottom = lettering.taken[-1]
        middle = ((left + right) / 2, (top + bottom) / 2)
        if math.dist(middle, at) > RINGS[0] + 4:
            yield line("leader", at, _towards(middle, at, 8.0))
        yield label


def _places() -> Iterator[tuple[float, float]]:
    """How far and which way (radian) a number may stand from its bolt, the best first."""
    for ring in RINGS:
        for eighth in (-1, 1, -3, 3, 2, -2, 0, 4, -1.5, 1.5, 0.5, -0.5, 2.5, -2.5, 3.5, -3.5):
            yield ring, eighth * math.pi / 4


def _base(at: Pixel, ring: float, way: float, word: str) -> Pixel:
    """The foot of a word whose middle stands `ring` away."""
    return at[0] + ring * math.cos(way), at[1] + ring * math.sin(way) + 4.0


def _towards(start: Pixel, end: Pixel, far: float) -> Pixel:
    share = far / (math.dist(start, end) or 1.0)
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _clear_of(vehicle: Vehicle, window: Window, way: int) -> float:
    """Where the first column stands: beyond every joint, on the side of the other axle."""
    joints = [spot for spot in vehicle.spots.values() if not spot.name.startswith(("other", "mark", "keep_clear"))]
    return way * (max((way * window.at(spot.place)[0] for spot in joints), default=0.0) + 20)


def _before_the_tyre(
    uprights: Sequence[Upright], vehicle: Vehicle, window: Window, first: float, way: int
) -> list[Upright]:
    """As many of the columns as stand clear of the other axle's tyre."""
    tyres = [way * window.at(spot.place)[0] for spot in vehicle.wheels if spot.name.startswith("other")]
    room = min(tyres, default=1e9) - vehicle.tyre_diameter / 2 * window.scale - way * first
    return [one for number, one in enumerate(uprights) if columns_wide(uprights[: number + 1]) < room]


# ---- what is dimensioned ----


def _frame_ends(vehicle: Vehicle) -> list[Spot]:
    """The frame bolts of the links that carry the axle, the panhard bar's left to the end view."""
    return [vehicle.spots[bar.points[0]] for bar in vehicle.bars
            if bar.name.startswith(("lower", "upper", "arm")) and bar.points[0] in vehicle.spots]  # fmt: skip


def _apart(spots: Sequence[Spot]) -> list[Spot]:
    """The first few that differ in height."""
    found: list[Spot] = []
    for spot in spots:
        if all(abs(spot.z - other.z) > NEAR for other in found):
            found.append(spot)
    return found[:MOST_UPRIGHT]


def _pairs(vehicle: Vehicle) -> list[tuple[Spot, Spot]]:
    """Left and right frame bolts of one link's kind."""
    ends = {spot.name: spot for spot in _frame_ends(vehicle)}
    return [(spot, ends[twin]) for name, spot in ends.items()
            if spot.side > 0 and (twin := name.replace("left", "right")) in ends]  # fmt: skip


def _along(report: Report, vehicle: Vehicle) -> Iterator[tuple[float, float, str]]:
    """From the axle's centre to the nearest link's frame bolt: from and to (x, mm), and the words."""
    placed = report.fit.placed()
    for spot in [spot for spot in _frame_ends(vehicle) if spot.side >= 0][:1]:
        yield 0.0, spot.x, _plain(abs(spot.x), 2 * placed[spot.name].sd[0], vehicle.unit, spot.state == GUESSED)


def _wheelbase(report: Report, vehicle: Vehicle) -> Iterator[tuple[float, float, str]]:
    figure = report.sheet.figures.get("wheelbase")
    hubs = sorted(spot.x for spot in vehicle.wheels if spot.side > 0)
    if figure is not None and figure.value is not None and figure.sd is not None and len(hubs) > 1:
        yield hubs[0], hubs[-1], "wheelbase " + _plain(figure.value, 2 * figure.sd, vehicle.unit, figure.leans)


def _said(report: Report, reading: str) -> str:
    """What the points say of a reading, with its ±."""
    try:
        values, sds = report.fit.predict([reading])
    except GeometryError:
        return ""
    names = reading.partition(":")[2].split("~")
    placed = report.fit.placed()
    guessed = any(name in placed and not placed[name].known for name in names)
    return _plain(float(values[0]), 2 * float(sds[0]), report.vehicle.display_unit, guessed)


def _plain(value: float, spread: float, unit: str, guessed: bool) -> str:
    if guessed:
        return "guessed"
    return f"{say_length(value, unit).removesuffix(f' {unit}')} {say_spread(spread, 'mm', unit)}"
