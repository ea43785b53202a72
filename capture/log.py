"""From the log to what the fit takes: which takes count at a stage, under which name, with which added spread.

The log only grows, so everything here is worked out from its order: what was withdrawn or set aside, which posture a
reading was taken in, and of which stage the takes of each reading are used.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property, lru_cache

from geometry.fit import Observation
from geometry.points import SCALARS
from geometry.readings import ReadingName, parse_name

from capture import log_words
from capture import stages as order
from capture.stages import FIRST_STAGE, NoReadings
from capture.vehicle_file import Entry, Keep, Reading, SetAside, VehicleFile, Withdraw

RIDE = "ride"
MOVED = {"mm": 4.0, "deg": 0.4}
"""How far tacking or welding may have moved a point since a carried reading was taken; common practice, no source."""
SET = {"mm": 50.0, "deg": 5.0}
"""The same for a new setting, other tyres or another ride height; common practice, no source."""


@dataclass(frozen=True)
class Take:
    """One take that is in the fit. key: "height:x#2" for the second take of a reading, name: without the number.

    value, sd, added_sd: file unit. carried: taken at an earlier stage. kept: recorded against a remark.
    """

    key: str
    name: str
    value: float
    entry: Reading
    carried: bool = False
    added_sd: float = 0.0

    @cached_property
    def observation(self) -> Observation:
        """What the fit takes of it."""
        entry = self.entry
        return Observation(
            self.name, self.value, self.key, entry.sd, self.added_sd, self.carried, entry.id, entry.text, entry.unit
        )

    @property
    def id(self) -> str:
        return self.entry.id

    @property
    def at(self) -> str:
        return self.entry.at

    @property
    def text(self) -> str:
        return self.entry.text

    @property
    def unit(self) -> str:
        return self.entry.unit

    @property
    def stage(self) -> str:
        return self.entry.stage

    @property
    def kept(self) -> bool:
        return self.entry.kept


@dataclass(frozen=True)
class LeftOut:
    """A reading in the log that is not in the fit. why: "withdrawn", "set aside", "other state", "other stage".

    note: what the person wrote when taking it back. name: as the fit would call it.
    """

    name: str
    entry: Reading
    why: str
    note: str = ""


@dataclass(frozen=True)
class StageView:
    """The log as seen at one stage. stages: those that have readings, in order. entries: those that were looked at.

    takes: in the order in which they were read, by the times the phones wrote down and by the log where these are the
    same. So the order in which two phones sent what they had makes no difference, neither to which take is the second
    nor to the last digit of a sum, and a stretch of readings from a moved line stays a stretch. A clock that is off
    moves stretches past each other, no more.
    """

    stage: str
    takes: tuple[Take, ...]
    left_out: tuple[LeftOut, ...]
    stages: tuple[str, ...]
    entries: tuple[Entry, ...]

    @cached_property
    def observations(self) -> tuple[Observation, ...]:
        """What the fit takes."""
        return tuple(take.observation for take in self.takes)

    @cached_property
    def by_name(self) -> dict[str, tuple[Take, ...]]:
        """The takes of each reading."""
        found: dict[str, list[Take]] = {}
        for take in self.takes:
            found.setdefault(take.name, []).append(take)
        return {name: tuple(takes) for name, takes in found.items()}

    @cached_property
    def by_key(self) -> dict[str, Take]:
        """Each take by its key."""
        return {take.key: take for take in self.takes}

    @cached_property
    def carried(self) -> frozenset[str]:
        """The keys of the takes from an earlier stage."""
        return frozenset(take.key for take in self.takes if take.carried)


def observations(vehicle: VehicleFile, stage: str | None = None, before: StageView | None = None) -> StageView:
    """The log as seen at a stage; without one, at the latest that has a reading (`plan` only when nothing else has).

    before: an earlier view, whose takes stay the same objects where nothing about them has changed: with thousands of
    takes a new one costs no more than itself. Raises NoReadings when that stage and those before it have none although
    others do.
    """
    entries = counted(vehicle)
    more = _one_more(vehicle, entries, stage, before) if before else None
    if more is not None:
        return more
    readings, aside = vehicle.of_kind(Reading), _taken_back(vehicle)
    names_met = dict.fromkeys(entry.reading for entry in readings)
    parsed = {name: parse_name(name, vehicle.layout, vehicle.worked_axle) for name in names_met}
    names = _first_spellings(readings, parsed)
    usable = [entry for entry in readings if entry.id not in aside and _at_ride_height(entry)]
    stages = _in_order(usable)
    shown = stage or _latest(stages)
    used = _used_stages(usable, parsed, shown)
    if stage is not None and not used and stages:
        raise NoReadings(log_words.nothing_read(order.said(stage), [order.said(stage) for stage in stages]))
    takes = [entry for entry in usable if used.get(parsed[entry.reading].canonical) == entry.stage]
    return StageView(
        entries=entries,
        stage=shown,
        takes=_numbered(takes, parsed, names, shown, before.by_key if before else {}),
        left_out=tuple(_left_out(readings, parsed, names, aside, {entry.id for entry in takes})),
        stages=stages,
    )


def _one_more(
    vehicle: VehicleFile, entries: tuple[Entry, ...], stage: str | None, before: StageView
) -> StageView | None:
    """The view before with the one reading that was read after all of it at its only stage: what happens most, and
    need not look at thousands again. None where it is anything else."""
    newest = entries[-1] if entries else None
    if not isinstance(newest, Reading) or entries[:-1] != before.entries or not _at_ride_height(newest):
        return None
    if not before.takes or before.stages != (newest.stage,) or stage not in (None, newest.stage):
        return None
    if before.stage != newest.stage or _moment(newest.at) < _moment(before.takes[-1].at):
        return None
    if any(entry.of == newest.id for entry in (*vehicle.of_kind(SetAside), *vehicle.of_kind(Withdraw))):
        return None
    met = {take.name for take in before.takes} | {left.name for left in before.left_out}
    spelled = {parse_name(one, vehicle.layout, vehicle.worked_axle).canonical: one for one in met}
    name = spelled.get(parse_name(newest.reading, vehicle.layout, vehicle.worked_axle).canonical, newest.reading)
    number = sum(take.name == name for take in before.takes) + 1
    take = Take(name if number == 1 else f"{name}#{number}", name, newest.value, newest)
    return replace(before, takes=(*before.takes, take), entries=entries)


def counted(vehicle: VehicleFile) -> tuple[Entry, ...]:
    """The entries that `observations` looks at; no other can change what the fit takes."""
    return vehicle.of_kind(Reading, SetAside, Withdraw)


def with_readings(vehicle: VehicleFile) -> tuple[str, ...]:
    """The stages that have readings of their own that count, in order."""
    aside = _taken_back(vehicle)
    return _in_order(entry for entry in vehicle.of_kind(Reading) if entry.id not in aside and _at_ride_height(entry))


def _in_order(usable: Iterable[Reading]) -> tuple[str, ...]:
    found = {entry.stage for entry in usable}
    return tuple(stage for stage in order.STAGES if stage in found)


def keeps(vehicle: VehicleFile, shown: str) -> tuple[Keep, ...]:
    """The doubts settled at a stage or before by keeping what was read, those taken back left out, in the order of the
    log. What was kept later changes nothing here."""
    gone = _taken_back(vehicle)
    kept = (entry for entry in vehicle.of_kind(Keep) if entry.id not in gone)
    return tuple(entry for entry in kept if entry.stage is None or order.place(entry.stage) <= order.place(shown))


def _first_spellings(readings: Iterable[Reading], parsed: dict[str, ReadingName]) -> dict[str, str]:
    """The name the fit uses for each reading: P~Q or Q~P, whichever the log met first."""
    names: dict[str, str] = {}
    for entry in readings:
        names.setdefault(parsed[entry.reading].canonical, entry.reading)
    return names


def _taken_back(vehicle: VehicleFile) -> dict[str, tuple[str, str]]:
    """Of every entry withdrawn or set aside: which of the two, and the note. A withdrawn withdrawal counts no more."""
    found: dict[str, tuple[str, str]] = {}
    for entry in reversed(vehicle.of_kind(Withdraw, SetAside)):
        if entry.id in found and found[entry.id][0] == "withdrawn":
            continue
        if isinstance(entry, Withdraw):
            found[entry.of] = ("withdrawn", entry.note)
        else:
            found.setdefault(entry.of, ("set aside", entry.note))
    return found


def _latest(stages: tuple[str, ...]) -> str:
    return stages[-1] if stages else FIRST_STAGE


def _used_stages(usable: Iterable[Reading], parsed: dict[str, ReadingName], shown: str) -> dict[str, str]:
    """For each reading the stage whose takes count: the latest up to the one shown; wishes of `plan` stay apart."""
    open_stages = (order.PLAN,) if shown == order.PLAN else order.up_to(shown)
    used: dict[str, str] = {}
    for entry in usable:
        if entry.stage not in open_stages:
            continue
        canonical = parsed[entry.reading].canonical
        if canonical not in used or order.place(used[canonical]) < order.place(entry.stage):
            used[canonical] = entry.stage
    return used


def _numbered(
    takes: Iterable[Reading], parsed: dict[str, ReadingName], names: dict[str, str], shown: str, before: dict[str, Take]
) -> tuple[Take, ...]:
    """The takes as they were read, with their keys; for carried ones at points read again, what they may be off by."""
    takes = sorted(takes, key=lambda entry: _moment(entry.at))
    points = {name: points_of(reading) for name, reading in parsed.items()}
    again = {point for name in {entry.reading for entry in takes if entry.stage == shown} for point in points[name]}
    counts: dict[str, int] = {}
    found = []
    for entry in takes:
        reading = parsed[entry.reading]
        name = names[reading.canonical]
        number = counts[name] = counts.get(name, 0) + 1
        key = name if number == 1 else f"{name}#{number}"
        carried = entry.stage != shown
        moved = carried and not again.isdisjoint(points[entry.reading])
        added = may_have_moved(reading, order.is_setting(shown)) if moved else 0.0
        there = before.get(key)
        if there is None or there.entry is not entry or (there.carried, there.added_sd) != (carried, added):
            there = Take(key, name, entry.value, entry, carried, added)
        found.append(there)
    return tuple(found)


def points_of(reading: ReadingName) -> tuple[str, ...]:
    """The points a reading hangs on; the floor's slope and other scalars are no points that welding moves."""
    return tuple(name for name in reading.touches if name not in SCALARS)


def may_have_moved(reading: ReadingName, setting: bool) -> float:
    """What is added to the sd of a carried reading of a point read again since, file unit."""
    return (SET if setting else MOVED).get(reading.kind.unit, 0.0)


def _left_out(
    readings: Iterable[Reading],
    parsed: dict[str, ReadingName],
    names: dict[str, str],
    aside: dict[str, tuple[str, str]],
    taken: set[str],
) -> Iterable[LeftOut]:
    for entry in readings:
        if entry.id in taken:
            continue
        name = names[parsed[entry.reading].canonical]
        if entry.id in aside:
            yield LeftOut(name, entry, *aside[entry.id])
        else:
            yield LeftOut(name, entry, "other stage" if _at_ride_height(entry) else "other state")


def _at_ride_height(entry: Reading) -> bool:
    return entry.state.strip() in ("", RIDE)


@lru_cache(maxsize=20_000)
def _moment(at: str) -> datetime:
    """A time of the log to be compared: with or without parts of a second."""
    return datetime.fromisoformat(at)
