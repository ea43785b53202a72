"""The walk round a vehicle: which reading at which place, in which order, and why.

Pure data and small functions on it; no pages, no store. A walk depends on the layout, on the axle worked on and on
the names already in the log, so that nothing is asked that this vehicle does not have and nothing that was read is
out of reach.

The order spares knees: first what is read standing round the vehicle, then one pass beneath it from left to right,
then what is done at the bench and on the scales. The first frame marks come last once more: they show whether the
vehicle moved in between. Within a link, its incline follows its two heights at once, because it guards them.

A step's priority: "core" opens figures, "check" guards what the core says, "more" is there for whoever wants it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from geometry.layouts import LAYOUTS, Layout, Link

from capture import walk_words

CORE, CHECK, MORE = "core", "check", "more"
FRAME_MARKS = ("front_left", "front_right", "rear_left", "rear_right")
OWN_POINT = "keep_clear."
TAKE = "#"


@dataclass(frozen=True)
class Station:
    """One place to stand, kneel or lie. `letter` is how the plan marks it while it waits."""

    key: str
    letter: str
    name: str
    short: str
    before: str = ""


@dataclass(frozen=True)
class Step:
    """One reading at one station. `take` 2 means: read it a second time at this point of the walk."""

    reading: str
    station: str
    why: str
    priority: str = CORE
    take: int = 1

    @property
    def key(self) -> str:
        """The reading's name, with its take where that is not the first: `height:mark.rear_left#2`."""
        return self.reading if self.take == 1 else f"{self.reading}{TAKE}{self.take}"


@dataclass(frozen=True)
class Walk:
    """Stations in the order they are walked, steps in the order they are read."""

    stations: tuple[Station, ...]
    steps: tuple[Step, ...]

    def station(self, key: str) -> Station:
        """The station of that key. KeyError where there is none."""
        for station in self.stations:
            if station.key == key:
                return station
        raise KeyError(key)

    def at(self, station: str) -> tuple[Step, ...]:
        """The steps of one station."""
        return tuple(step for step in self.steps if step.station == station)

    def find(self, key: str) -> Step | None:
        """The step with that key, or with that reading, P~Q and Q~P being the same; None where the walk has none."""
        wanted = {key, _other_way_round(key)}
        return next((step for step in self.steps if step.key in wanted), None)


@dataclass(frozen=True)
class Count:
    """How far a station, or the whole walk, is: of its core steps and whatever else was read."""

    done: int
    of: int
    doubts: int = 0

    @property
    def left(self) -> int:
        return self.of - self.done


class Progress:
    """A walk against the log: takes of each reading, what he cannot reach, what stands in doubt."""

    def __init__(
        self,
        walk: Walk,
        takes: Mapping[str, int],
        out_of_reach: Collection[str] = (),
        in_doubt: Collection[str] = (),
    ) -> None:
        self.walk = walk
        self._takes = {_same(name): number for name, number in takes.items()}
        self._out_of_reach = {_same(name) for name in out_of_reach}
        self._in_doubt = {_same(name) for name in in_doubt}

    def taken(self, step: Step) -> bool:
        """The log holds enough takes for this step."""
        return self._takes.get(_same(step.reading), 0) >= step.take

    def beyond_reach(self, step: Step) -> bool:
        """He wrote down that he cannot get at it, and has not read it since."""
        return _same(step.reading) in self._out_of_reach and not self.taken(step)

    def doubted(self, step: Step) -> bool:
        return self.taken(step) and _same(step.reading) in self._in_doubt

    def waits(self, step: Step) -> bool:
        return not self.taken(step) and not self.beyond_reach(step)

    def count(self, station: str | None = None) -> Count:
        """Core steps, and others once they are read, of one station or of the whole walk."""
        steps = self.walk.steps if station is None else self.walk.at(station)
        counted = [step for step in steps if step.priority == CORE or self.taken(step)]
        done = sum(not self.waits(step) for step in counted)
        return Count(done, len(counted), sum(self.doubted(step) for step in counted))

    def next(self, skipped: Collection[str] = ()) -> Step | None:
        """The first core step that waits; when none does, the first check. None at the end of the walk."""
        for priority in (CORE, CHECK):
            for step in self.walk.steps:
                if step.priority == priority and self.waits(step) and step.key not in skipped:
                    return step
        return None


def walk_of(layout: str, worked_axle: str, names: Iterable[str] = (), own_points: Iterable[str] = ()) -> Walk:
    """The walk for a layout and axle. `names`: readings in the log already; `own_points`: his keep-clear points."""
    plan = _Plan(LAYOUTS[layout], worked_axle, tuple(names), tuple(own_points))
    steps = [step for station in plan.stations() for step in station.steps]
    steps += _left_over(plan.names, steps)
    used = [station for station in plan.stations() if any(step.station == station.key for step in steps)]
    if any(step.station == "others" for step in steps):
        used.append(_Stop("others", "Other readings", "Others", ()))
    stations = tuple(
        Station(stop.key, chr(ord("A") + number), stop.name, stop.short, stop.before)
        for number, stop in enumerate(used)
    )
    return Walk(stations, tuple(steps))


def own_point_name(typed: str) -> str:
    """What he called his own point, as a point's name: `Oil pan, left` is keep_clear.oil_pan_left. Empty: no name."""
    plain = re.sub(r"[^a-z0-9]+", "_", typed.lower()).strip("_")[:40].strip("_")
    return OWN_POINT + plain if plain else ""


@dataclass(frozen=True)
class _Stop:
    key: str
    name: str
    short: str
    steps: tuple[Step, ...]
    before: str = ""


class _Plan:
    """Builds the stations of one vehicle, front and rear axle alike."""

    def __init__(self, layout: Layout, worked_axle: str, names: tuple[str, ...], own_points: tuple[str, ...]) -> None:
        self.layout = layout
        self.front = worked_axle == "front"
        self.here, self.there = ("Front", "Rear") if self.front else ("Rear", "Front")
        self.names = names
        self.own_points = own_points

    def stations(self) -> tuple[_Stop, ...]:
        here, there = self.here, self.there
        end_of_axle = "Front of axle" if self.front else "Behind the axle"
        return (
            _Stop("floor", "Floor and marks", "Floor, marks", self._floor(), walk_words.FLOOR_FIRST),
            _Stop("wheel_left", f"{here} left wheel", f"{here} left", self._wheel("left")),
            _Stop("wheel_right", f"{here} right wheel", f"{here} right", self._wheel("right")),
            _Stop("other_wheels", f"{there} wheels", f"{there} wheels", self._other_wheels()),
            _Stop("under_left", "Under, left side", "Under, left", self._links("left"), walk_words.UNDER_FIRST),
            _Stop("under_middle", "Under, middle", "Under, middle", self._links("middle"), walk_words.UNDER_FIRST),
            _Stop("under_right", "Under, right side", "Under, right", self._under_right(), walk_words.UNDER_FIRST),
            _Stop("axle_end", end_of_axle, end_of_axle, self._end_of_axle(), walk_words.axle_end_first(self.front)),
            _Stop("driveline", "Driveline", "Driveline", self._driveline(), walk_words.UNDER_FIRST),
            _Stop("bench", "Bench", "Bench", self._bench()),
            _Stop("scales", "Scales", "Scales", self._scales()),
            _Stop("travel", "Travel", "Travel", self._travel(), walk_words.TRAVEL_FIRST),
            _Stop("own", "Your own points", "Own points", self._own(), walk_words.UNDER_FIRST),
            _Stop("marks_again", "Marks again", "Marks again", self._marks("marks_again", 2)),
        )

    def _floor(self) -> tuple[Step, ...]:
        checks = tuple(Step(name, "floor", walk_words.WHY_CHECK, MORE) for name in INSTRUMENT_CHECKS)
        slopes = tuple(Step(f"floor_slope:{way}", "floor", walk_words.WHY_SLOPE) for way in ("fore_aft", "across"))
        return slopes + self._marks("floor", 1) + checks

    def _marks(self, station: str, take: int) -> tuple[Step, ...]:
        why = walk_words.WHY_MARKS if take == 1 else walk_words.WHY_MARKS_AGAIN
        return tuple(Step(f"height:mark.{mark}", station, why, take=take) for mark in self._mark_names())

    def _mark_names(self) -> tuple[str, ...]:
        """His own marks where he has given them names of his own, else the usual four."""
        own = [name.partition(":mark.")[2] for name in self.names if name.startswith("height:mark.")]
        usual = () if own and not set(own) & set(FRAME_MARKS) else FRAME_MARKS
        return tuple(dict.fromkeys((*usual, *own)))

    def _wheel(self, side: str) -> tuple[Step, ...]:
        station, centre = f"wheel_{side}", f"wheel_{side}.centre"
        steps = [
            Step(f"height:{centre}", station, walk_words.WHY_WHEEL_HEIGHT),
            Step(f"fore_aft:{centre}", station, walk_words.WHY_WHEEL_ALONG),
            Step(f"lateral:{centre}", station, walk_words.WHY_WHEEL_ACROSS),
        ]
        if self.front:
            steps.append(Step(f"caster:{side}", station, walk_words.WHY_CASTER))
            steps += self._more(station, f"kingpin_{side}.top", f"kingpin_{side}.bottom")
        return tuple(steps)

    def _other_wheels(self) -> tuple[Step, ...]:
        at, sides = "other_wheels", ("left", "right")
        return (
            *(Step(f"wheelbase:{side}", at, walk_words.WHY_WHEELBASE) for side in sides),
            *(Step(f"fore_aft:other_{side}.centre", at, walk_words.WHY_OTHER_ALONG, CHECK) for side in sides),
            *(Step(f"lateral:other_{side}.centre", at, walk_words.WHY_OTHER_ACROSS, CHECK) for side in sides),
            *(Step(f"height:other_{side}.centre", at, walk_words.WHY_OTHER_HEIGHT, MORE) for side in sides),
            Step("diameter:tyre", at, walk_words.WHY_TYRE, MORE),
            Step("circumference:tyre", at, walk_words.WHY_TYRE_AGAIN, MORE),
        )

    def _links(self, place: str) -> tuple[Step, ...]:
        return tuple(
            step
            for link in self.layout.links
            if _place(link) == place
            for step in self._one_link(link, f"under_{place}")
        )

    def _one_link(self, link: Link, station: str) -> Iterator[Step]:
        """Heights, then the incline that guards them, then where both ends are in plan."""
        eyes = (*link.axle, link.frame)
        for eye in eyes:
            yield Step(f"height:{eye}", station, walk_words.WHY_HEIGHT)
        yield Step(f"incline:{self._nearest_axle_eye(link)}~{link.frame}", station, walk_words.WHY_INCLINE)
        if len(link.axle) == 1:
            yield Step(f"height:{link.name}.middle", station, walk_words.WHY_MIDDLE, MORE)
        for eye in eyes:
            yield Step(f"fore_aft:{eye}", station, walk_words.WHY_FORE_AFT)
        for eye in eyes:
            yield Step(f"lateral:{eye}", station, walk_words.WHY_LATERAL)

    def _nearest_axle_eye(self, link: Link) -> str:
        """The axle joint next to the frame: the rear one of a front axle's radius arm, the front one of a rear's."""
        return link.axle[-1] if self.front else link.axle[0]

    def _under_right(self) -> tuple[Step, ...]:
        lefts = {link.name: link for link in self.layout.links if _place(link) == "left"}
        steps = list(self._links("right"))
        for right in self.layout.links:
            left = lefts.get(right.name.replace("right", "left")) if _place(right) == "right" else None
            if left is None:
                continue
            pairs = [*zip(left.axle, right.axle, strict=True), (left.frame, right.frame)]
            steps += [Step(f"across:{one}~{two}", "under_right", walk_words.WHY_ACROSS, CHECK) for one, two in pairs]
            steps += [
                Step(f"floor_span:{left.axle[0]}~{right.frame}", "under_right", walk_words.WHY_DIAGONAL, MORE),
                Step(f"floor_span:{right.axle[0]}~{left.frame}", "under_right", walk_words.WHY_DIAGONAL, MORE),
            ]
        return tuple(steps)

    def _end_of_axle(self) -> tuple[Step, ...]:
        at = "axle_end"
        steps = [
            step for link in self.layout.links if link.role == "panhard" for step in self._one_link(link, at)
        ]
        if self.front:
            eyes = ("drag_link.axle", "drag_link.frame")
            steps += [Step(f"height:{eye}", at, walk_words.WHY_DRAG_LINK) for eye in eyes]
            steps.append(Step("incline:drag_link.axle~drag_link.frame", at, walk_words.WHY_INCLINE, CHECK))
            steps += [
                Step(f"{kind}:{eye}", at, walk_words.WHY_DRAG_LINK) for kind in ("fore_aft", "lateral") for eye in eyes
            ]
            steps += self._more(at, "tie_rod.left", "tie_rod.right")
        return tuple(steps)

    def _driveline(self) -> tuple[Step, ...]:
        at, eyes = "driveline", ("driveshaft.axle", "driveshaft.frame")
        return (
            Step("incline:pinion", at, walk_words.WHY_PINION),
            Step("incline:gearbox_output", at, walk_words.WHY_OUTPUT),
            *(Step(f"height:{eye}", at, walk_words.WHY_SHAFT) for eye in eyes),
            Step("incline:driveshaft.axle~driveshaft.frame", at, walk_words.WHY_INCLINE, CHECK),
            *(Step(f"fore_aft:{eye}", at, walk_words.WHY_SHAFT) for eye in eyes),
            *(Step(f"lateral:{eye}", at, walk_words.WHY_SHAFT) for eye in eyes),
        )

    def _bench(self) -> tuple[Step, ...]:
        steps = [
            Step(f"span:{self._nearest_axle_eye(link)}~{link.frame}", "bench", walk_words.WHY_SPAN)
            for link in self.layout.links
        ]
        arms = [link for link in self.layout.links if len(link.axle) > 1]
        steps += [Step(f"span:{arm.axle[0]}~{arm.axle[1]}", "bench", walk_words.WHY_ARM_BOLTS) for arm in arms]
        if self.front:
            steps.append(Step("span:drag_link.axle~drag_link.frame", "bench", walk_words.WHY_SPAN, CHECK))
            steps.append(Step("span:tie_rod.left~tie_rod.right", "bench", walk_words.WHY_SPAN, MORE))
        steps.append(Step("span:driveshaft.axle~driveshaft.frame", "bench", walk_words.WHY_SPAN, CHECK))
        return tuple(steps)

    def _scales(self) -> tuple[Step, ...]:
        corners = ("front_left", "front_right", "rear_left", "rear_right")
        return (
            Step("weight:front", "scales", walk_words.WHY_AXLE_LOADS),
            Step("weight:rear", "scales", walk_words.WHY_AXLE_LOADS),
            Step("cg_height:estimate", "scales", walk_words.WHY_CG_HEIGHT),
            Step("weight:total", "scales", walk_words.WHY_TOTAL, MORE),
            *(Step(f"weight:{corner}", "scales", walk_words.WHY_CORNERS, MORE)
              for corner in corners),
        )

    def _travel(self) -> tuple[Step, ...]:
        why = walk_words.WHY_TRAVEL
        return tuple(Step(f"travel:{way}", "travel", why) for way in ("bump", "droop"))

    def _own(self) -> tuple[Step, ...]:
        read = (
            subject for name in self.names for subject in name.partition(":")[2].split("~")
            if subject.startswith(OWN_POINT)
        )
        kinds = ("height", "fore_aft", "lateral")
        return tuple(
            Step(f"{kind}:{point}", "own", walk_words.WHY_OWN, CHECK)
            for point in dict.fromkeys((*read, *self.own_points)) for kind in kinds
        )

    def _more(self, station: str, *points: str) -> list[Step]:
        kinds = ("height", "fore_aft", "lateral")
        return [Step(f"{kind}:{point}", station, walk_words.WHY_STEER, MORE) for point in points for kind in kinds]


def _place(link: Link) -> str:
    """Where one lies to read a link: left, right or middle; a panhard bar is read from the end of the axle."""
    if link.role == "panhard":
        return "end"
    if link.name.endswith("_left"):
        return "left"
    return "right" if link.name.endswith("_right") else "middle"


def _left_over(names: Iterable[str], steps: list[Step]) -> list[Step]:
    """Readings of the log that no station asks for: they stay in reach, to be taken again or withdrawn."""
    asked = {_same(step.reading) for step in steps}
    others = dict.fromkeys(name for name in names if _same(name) not in asked)
    return [Step(name, "others", walk_words.WHY_OTHERS, MORE) for name in others]


def _other_way_round(name: str) -> str:
    kind, _, subject = name.partition(":")
    first, tilde, second = subject.partition("~")
    return f"{kind}:{second}~{first}" if tilde else name


def _same(name: str) -> str:
    """One spelling for P~Q and Q~P, where both are the same reading: the tapes, not rise and incline."""
    if name.partition(":")[0] not in ("span", "across", "floor_span"):
        return name
    return min(name, _other_way_round(name))


same_reading: Callable[[str], str] = _same


INSTRUMENT_CHECKS = ("gauge_check:turned", "tape_check:known_length", "level_check:both_ways")
