"""What a drawing knows of the vehicle: places with their spread, bars between them, wheels. No sums but halves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from geometry import points
from geometry.layouts import LAYOUTS

from .projection import Matrix, Place

MEASURED, WORKED_OUT, GUESSED, IN_DOUBT = "measured", "worked out", "guessed", "in doubt"

DIAMETERS = {"lower": 50.0, "upper": 45.0, "panhard": 35.0, "arm": 60.0,
             "drag_link": 32.0, "tie_rod": 32.0, "driveshaft": 60.0}
"""Outside diameters drawn where the person has not stated one, mm."""

NO_SPREAD: Matrix = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
AXLE_TUBE = 76.0
HIDDEN_TWINS = ("lower", "upper", "arm")
"""Links whose far twin a side view leaves out: it would lie behind the near one."""


@dataclass(frozen=True)
class Spot:
    """A point as drawn. cov: 3 x 3, mm², vehicle frame. state: one of the four words above. seen: what it is in the
    planes ("side", "top", "end") that show nothing guessed of it, for a point guessed in some direction."""

    name: str
    x: float
    y: float
    z: float
    state: str = GUESSED
    cov: Matrix = NO_SPREAD
    words: str = ""
    seen: Mapping[str, str] = field(default_factory=dict)

    @property
    def place(self) -> Place:
        return self.x, self.y, self.z

    @property
    def side(self) -> int:
        """+1 left, -1 right, 0 neither."""
        return side_of(self.name)

    @property
    def solid(self) -> bool:
        return self.state != GUESSED


@dataclass(frozen=True)
class Bar:
    """A link, rod or shaft between two points, or along more than two."""

    name: str
    points: tuple[str, ...]
    diameter: float
    words: str = ""

    @property
    def side(self) -> int:
        return side_of(self.name)


@dataclass(frozen=True)
class Vehicle:
    """Everything the drawings are made from. Lengths mm, vehicle frame.

    spots: points of the estimate. typical: where other points usually are, drawn only when a reading asks for them.
    cross_line: x of the chalked cross line. unit: "in" or "mm", the person's.
    """

    worked_axle: str
    spots: Mapping[str, Spot]
    bars: tuple[Bar, ...]
    tyre_diameter: float
    loaded_radius: float
    typical: Mapping[str, Spot] = field(default_factory=dict)
    cross_line: float = 0.0
    unit: str = "mm"

    def spot(self, name: str) -> Spot | None:
        """A point, a link's middle or the axle's centre; None when nothing at all is known of such a name."""
        if name in self.spots:
            return self.spots[name]
        if name == "axle.centre":
            return self._between(name, ("wheel_left.centre", "wheel_right.centre"))
        if name.endswith(".middle"):
            bar = self.bar(name.removesuffix(".middle"))
            return self._between(name, (bar.points[0], bar.points[-1])) if bar else None
        return self.typical.get(name) or self._own(name)

    def within(self, plane: str) -> Vehicle:
        """As one plane shows it: a point whose two coordinates there are read is no guess in that view."""
        read = {name: replace(spot, state=spot.seen[plane]) for name, spot in self.spots.items() if plane in spot.seen}
        return replace(self, spots={**self.spots, **read}) if read else self

    def _own(self, name: str) -> Spot | None:
        """The person's own mark or keep-clear point before it is read: where its name says it is."""
        point = points.own_point(name)
        if point is None:
            return None
        place = points.own_place(name, self.worked_axle, self.wheelbase, self.tyre_diameter)
        return Spot(name, *place, words=point.words)

    def bar(self, name: str) -> Bar | None:
        return next((bar for bar in self.bars if bar.name == name), None)

    def bars_at(self, names: Iterable[str]) -> tuple[Bar, ...]:
        """The bars that carry one of these points."""
        wanted = {name.removesuffix(".middle") if name.endswith(".middle") else name for name in names}
        return tuple(bar for bar in self.bars if bar.name in wanted or wanted & set(bar.points))

    def spots_of(self, bar: Bar) -> tuple[Spot, ...]:
        return tuple(spot for spot in map(self.spot, bar.points) if spot is not None)

    def entered(self, bar: Bar) -> bool:
        """Whether all of a bar's points are in the estimate, so that it belongs into every drawing."""
        return all(name in self.spots for name in bar.points)

    def solid(self, bar: Bar) -> bool:
        """A bar is drawn solid once none of its points is a guess."""
        return all(spot.solid for spot in self.spots_of(bar))

    @property
    def wheels(self) -> tuple[Spot, ...]:
        names = ("wheel_left.centre", "wheel_right.centre", "other_left.centre", "other_right.centre")
        return tuple(self.spots[name] for name in names if name in self.spots)

    @property
    def wheelbase(self) -> float:
        """How far the other axle is from the worked one along x, mm; a middling one where it is not known."""
        others = [spot.x for spot in self.wheels if spot.name.startswith("other")]
        return abs(sum(others) / len(others)) if others else 2600.0

    def _between(self, name: str, ends: tuple[str, str]) -> Spot | None:
        one, two = self.spot(ends[0]), self.spot(ends[1])
        if one is None or two is None:
            return None
        state = GUESSED if GUESSED in (one.state, two.state) else WORKED_OUT
        return Spot(name, (one.x + two.x) / 2, (one.y + two.y) / 2, (one.z + two.z) / 2, state)


def side_of(name: str) -> int:
    """+1 when the name speaks of the left, -1 of the right, 0 of neither."""
    head = name.replace(".", "_").split("_")
    return 1 if "left" in head else -1 if "right" in head else 0


def layout_bars(layout: Any, tubes: Mapping[str, float], places: Mapping[str, Spot]) -> tuple[Bar, ...]:
    """The bars of a layout (`geometry.layouts.Layout`), its links first, then steering and driveline.

    tubes: link name -> outside diameter, mm. An arm runs from its frame end to the nearer axle joint, then the other.
    """
    bars = []
    for link in layout.links:
        ends = [link.frame, *link.axle]
        if len(ends) == 3 and all(end in places for end in ends):
            ends[1:] = sorted(ends[1:], key=lambda end: abs(places[end].x - places[link.frame].x))
        diameter = tubes.get(link.name, DIAMETERS.get(link.role, DIAMETERS["lower"]))
        bars.append(Bar(link.name, tuple(ends), diameter, link.words))
    bars.append(Bar("drag_link", ("drag_link.frame", "drag_link.axle"), DIAMETERS["drag_link"], "drag link"))
    bars.append(Bar("tie_rod", ("tie_rod.left", "tie_rod.right"), DIAMETERS["tie_rod"], "tie rod"))
    bars.append(Bar("driveshaft", ("driveshaft.frame", "driveshaft.axle"), DIAMETERS["driveshaft"], "driveshaft"))
    return tuple(bars)


def in_doubt(vehicle: Vehicle, names: Iterable[str]) -> Vehicle:
    """The same vehicle with these points marked as in doubt."""
    wanted = set(names)
    spots = {name: _doubted(spot) if name in wanted else spot for name, spot in vehicle.spots.items()}
    return replace(vehicle, spots=spots)


def _doubted(spot: Spot) -> Spot:
    """A guess stays one, but for the planes in which it is read."""
    return replace(spot, state=IN_DOUBT) if spot.solid else replace(spot, seen=dict.fromkeys(spot.seen, IN_DOUBT))


def vehicle_of(fit: Any, *, unit: str = "mm", tubes: Mapping[str, float] | None = None,
               doubted: Iterable[str] = ()) -> Vehicle:
    """The vehicle a `geometry.fit.Fit` describes.

    tubes: link name -> outside diameter, mm. doubted: names of points that an unsettled doubt touches.
    """
    setup = fit.setup
    wheelbase = setup.wheelbase or points.USUAL_WHEELBASE
    tyre = setup.tyre_diameter or points.USUAL_TYRE_DIAMETER
    spots = {name: _placed(point, setup) for name, point in fit.placed().items()}
    typical = {name: Spot(name, *place, words=words_of(name, setup))
               for name, place in points.typical_places(setup.layout, setup.worked_axle, wheelbase, tyre).items()
               if name not in spots}
    bars = layout_bars(LAYOUTS[setup.layout], tubes or {}, {**typical, **spots})
    vehicle = Vehicle(setup.worked_axle, spots, bars, tyre, fit.tyre_radius, typical, -fit.origin, unit)
    return in_doubt(vehicle, doubted)


def _placed(point: Any, setup: Any) -> Spot:
    held = MEASURED if point.takes else WORKED_OUT
    seen = {} if point.known else dict.fromkeys(point.seen, held)
    return Spot(point.name, point.x, point.y, point.z, held if point.known else GUESSED, point.cov,
                words_of(point.name, setup), seen)


def words_of(name: str, setup: Any) -> str:
    """What a person calls the point: "left lower link, frame bolt"."""
    return points.point_named(name, setup.layout, setup.worked_axle).words
