"""The walk in plan, front at the top: the vehicle in quiet lines and a disc for each station, with its count."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from . import drawn_words, parts
from .labels import Lettering, Rectangle, rectangle_of, text_width
from .projection import PLAN, Place, Window, fitted
from .scenes import whole_box
from .svg import Pixel, circle, doubt_mark, drawing, element, join, line, path, text
from .vehicle import Vehicle

WIDTH, HEIGHT = 360.0, 398.0
COLUMNS = {1: 30.0, 0: 180.0, -1: 330.0}
RADIUS = 18.0
APART = 76.0
"""px from one station of a column to the next: a disc and two lines of lettering."""
ROOMY = 92.0
MIDDLE = 260.0
"""mm from the centreline within which a station stands in the middle column."""
DONE, NOW, WAITING, DOUBT = "done", "now", "waiting", "doubt"


@dataclass(frozen=True)
class PlanStation:
    """A station as the plan shows it. state: "done", "now", "waiting" or "doubt". place: where its points are in the
    vehicle frame, mm (`place_of` finds it); a station without one stands in the middle, behind the worked axle."""

    key: str
    letter: str
    title: str
    done: int
    total: int
    state: str
    href: str
    place: Place | None = None
    doubts: int = 0

    @property
    def count(self) -> str:
        """What the second line says."""
        extra = f", {self.doubts} in doubt" if self.doubts else ", now" if self.state == NOW else ""
        return f"{self.done} of {self.total}{extra}"


@dataclass(frozen=True)
class Seat:
    """Where a station's disc has come to stand."""

    station: PlanStation
    column: int
    y: float
    anchor: Pixel | None


def place_of(vehicle: Vehicle, points: Iterable[str]) -> Place | None:
    """The mean of a station's points; None when none of them has a place."""
    found = [spot.place for spot in map(vehicle.spot, points) if spot is not None]
    if not found:
        return None
    return tuple(sum(axis) / len(found) for axis in zip(*found, strict=True))  # type: ignore[return-value]


def stations_plan(vehicle: Vehicle, stations: Sequence[PlanStation]) -> Markup:
    """The plan, 360 wide and 398 high or more. Every station is a link with its name and count."""
    height = max(HEIGHT, 12 + APART * max((sum(seat_column(s) == c for s in stations) for c in COLUMNS), default=1))
    window = fitted(PLAN, whole_box(vehicle, PLAN), WIDTH, height, 84, 84, 26, 22, 0.16)
    seats = seated(stations, window)
    lettering = Lettering(WIDTH, height, [box for seat in seats for box in _boxes(seat)])
    ends = [lettering.put("tq", "front", [((8, 16), None), ((120, 16), None), ((352, 16), "end")]),
            lettering.put("tq", "rear", [((WIDTH / 2, height - 6), "middle"), ((8, height - 6), None),
                                         ((352, height - 6), "end"), ((120, height - 6), None)])]
    lines = [_leader(seat) for seat in seats if seat.anchor is not None and seat.column]
    return drawing(WIDTH, height, ground(vehicle, window), *ends, *lines,
                   *(_station(seat) for seat in seats), class_="d plan", role="group",
                   label=drawn_words.STATIONS)


def ground(vehicle: Vehicle, window: Window) -> Markup:
    """The vehicle from above, all quiet."""
    return parts.body(vehicle, window, "link", Markup())


def seat_column(station: PlanStation) -> int:
    """Left column, middle or right, by where the station's points are."""
    if station.place is None or abs(station.place[1]) < MIDDLE:
        return 0
    return 1 if station.place[1] > 0 else -1


def seated(stations: Sequence[PlanStation], window: Window) -> list[Seat]:
    """A seat for each station: beside its own points where there is room, pushed along its column where not."""
    seats = []
    for column in COLUMNS:
        members = [s for s in stations if seat_column(s) == column]
        wished = [(_wish(station, window), station) for station in members]
        wished.sort(key=lambda pair: pair[0])
        ys = spaced([wish for wish, _ in wished], 24.0, window.height - 62.0)
        for y, (_, station) in zip(ys, wished, strict=True):
            anchor = window.at(station.place) if station.place is not None else None
            seats.append(Seat(station, column, y, anchor))
    order = {station.key: i for i, station in enumerate(stations)}
    return sorted(seats, key=lambda seat: order[seat.station.key])


def _wish(station: PlanStation, window: Window) -> float:
    return window.height * 0.62 if station.place is None else window.at(station.place)[1]


def spaced(wishes: Sequence[float], low: float, high: float) -> list[float]:
    """The wishes, in order, moved apart to a station's room each, a little more where there is, and kept inside."""
    apart = min(max((high - low) / max(len(wishes) - 1, 1), APART), ROOMY)
    ys: list[float] = []
    for wish in wishes:
        ys.append(max(wish, low, ys[-1] + apart if ys else low))
    limit = high
    for i in range(len(ys) - 1, -1, -1):
        ys[i] = min(ys[i], limit)
        limit = ys[i] - apart
    return ys


def _leader(seat: Seat) -> Markup:
    """From the disc to the place it stands for."""
    x = COLUMNS[seat.column]
    assert seat.anchor is not None
    start = (x + seat.column * (RADIUS + 3), seat.y)
    dx, dy = seat.anchor[0] - start[0], seat.anchor[1] - start[1]
    far = (dx * dx + dy * dy) ** 0.5
    if far < 14:
        return Markup()
    end = (start[0] + dx * (far - 5) / far, start[1] + dy * (far - 5) / far)
    return line("lit thin" if seat.station.state == NOW else "dim", start, end)


def _boxes(seat: Seat) -> list[Rectangle]:
    """Where a station's disc and lettering stand."""
    x, y = COLUMNS[seat.column], seat.y
    at, anchor = _letters_at(seat)
    return [(x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS),
            rectangle_of(seat.station.title, (at, y + 38), anchor, 14),
            rectangle_of(seat.station.count, (at, y + 53), anchor)]


def _letters_at(seat: Seat) -> tuple[float, str | None]:
    anchors: dict[int, tuple[float, str | None]] = {1: (6.0, None), 0: (WIDTH / 2, "middle"), -1: (WIDTH - 6, "end")}
    return anchors[seat.column]


def _station(seat: Seat) -> Markup:
    """Disc, name and count as one link, at least 48 px in both directions."""
    station, x, y = seat.station, COLUMNS[seat.column], seat.y
    left = {1: 0.0, 0: x - 48, -1: WIDTH - 96}[seat.column]
    hit = element("rect", class_="hit", x=left, y=y - 24, width=96.0, height=APART + 2)
    said = f"{station.title}: {station.count}" + (", you are here" if station.state == NOW else "")
    return element("a", hit, _disc(station, (x, y)), _letters(seat), href=station.href, aria_label=said)


def _disc(station: PlanStation, at: Pixel) -> Markup:
    x, y = at
    if station.state == DONE:
        return join((circle("inkf", at, RADIUS), path("on3", f"M{x - 8:g} {y + 1:.1f}l6 6 11-13")))
    if station.state == DOUBT:
        return join((path("doubtf", f"M{x:g} {y - 19:.1f}l19 19-19 19-19-19Z"), _question((x, y))))
    if station.state == NOW:
        return join((circle("glowf", at, 23), circle("gr", at, RADIUS), circle("lit", at, RADIUS),
                     text("tl bare-text", (x, y + 6), station.letter, "middle")))
    return join((circle("gr", at, RADIUS), circle("ink dash", at, RADIUS),
                 text("bl", (x, y + 6), station.letter, "middle")))


def _question(at: Pixel) -> Markup:
    """The question mark of a large diamond."""
    return doubt_mark((at[0] - 12.6, at[1] - 12.6), 1.4)


def _letters(seat: Seat) -> Markup:
    station, y = seat.station, seat.y
    x, anchor = _letters_at(seat)
    longest = 96.0 if seat.column else 120.0
    size = "lb" if text_width(station.title, 14) <= longest + 14 else "lb lbs"
    return join((text(size, (x, y + 38), station.title, anchor), text("tq", (x, y + 53), station.count, anchor)))
