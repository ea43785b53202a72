"""How well doubts find planted mistakes: seeded vehicles of all layouts, read along the walk, with scatter and slips.

    python -m tests.benchmarks.doubt_harness           1000 vehicles of each sort
    python -m tests.benchmarks.doubt_harness --short   60 of each, for a look

Printed: of the mistakes that theory calls findable (at least the smallest findable one of that reading, 99.9 % and
80 %) the share found, named first or in a tie, with the right slip, with the value that stood there; beside them what
the plain w-test reaches; false alarms on clean vehicles; shared mistakes; how many readings later a slip is seen.
Two slips that make the same number of a reading are told apart by nothing; the right one counts when it is named first
or said beside that to come to the same.
The slips are made here, forwards, and not by the catalogue that undoes them.
"""

from __future__ import annotations

import argparse
import math
import statistics
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from capture.walk import walk_of
from geometry.case import case_of
from geometry.doubt import judge
from geometry.evidence import LEVEL, POWER, noncentrality
from geometry.fit import Fit, Observation, Setup, fit
from geometry.network import Equations
from geometry.readings import parse_name
from geometry.shared_mistakes import Shared, hypotheses

LAYOUTS = ("three_link_panhard", "four_link", "four_link_panhard", "radius_arms_panhard")
INCH = 25.4
SYMMETRIC, ASYMMETRIC, AXLE = 25.0, 6.0, 2.0
"""mm, one sd: how far points stand from the usual place, both sides alike; one side alone; and wheel centres."""
TILT = math.radians(0.3)
SIXTEENTH = INCH / 16


@dataclass
class Vehicle:
    """A drawn vehicle: what would be read without scatter (values, file unit), and one clean set of readings."""

    setup: Setup
    values: np.ndarray
    clean: list[Observation]
    imperial: bool


def draw(rng: np.random.Generator, layout: str | None = None, axle: str | None = None) -> Vehicle:
    """One vehicle, read along its walk with the scatter of each kind, to a sixteenth of an inch or to half a mm."""
    layout = layout or str(rng.choice(LAYOUTS))
    axle = axle or str(rng.choice(("front", "rear")))
    setup = Setup(layout, axle, float(rng.normal(2700, 150)), float(rng.normal(840, 40)))
    steps = walk_of(layout, axle).steps
    keys = [step.reading if step.take == 1 else f"{step.reading}#{step.take}" for step in steps]
    readings = [parse_name(step.reading, layout, axle) for step in steps]
    usual = fit(setup, [Observation(reading.text, 1000.0, key) for reading, key in zip(readings, keys, strict=True)])
    values, _ = Equations(readings, usual.slot, usual.unknowns)(_truth(rng, usual))
    values = values * np.array([reading.kind.in_file_unit for reading in readings])
    sds = [reading.kind.sd(value, "II") for reading, value in zip(readings, values, strict=True)]
    imperial = bool(rng.random() < 0.5)
    read = values + rng.normal(0.0, sds)
    clean = [
        Observation(reading.text, *_as_typed(float(value), reading.kind.unit, imperial)[:1], key,
                    unit=_as_typed(float(value), reading.kind.unit, imperial)[1])
        for reading, value, key in zip(readings, read, keys, strict=True)
    ]
    return Vehicle(setup, values, clean, imperial)


def _as_typed(value: float, unit: str, imperial: bool) -> tuple[float, str]:
    if unit == "mm":
        return (round(value / SIXTEENTH) * SIXTEENTH, "in") if imperial else (round(value * 2) / 2, "mm")
    if unit == "kg":
        return (round(value / 0.45359237) * 0.45359237, "lb") if imperial else (round(value), "kg")
    return round(value, 1), "deg"


def _truth(rng: np.random.Generator, usual: Fit) -> np.ndarray:
    """A state near the usual one: both sides alike by much, one side alone by little, wheels straight to a few mm."""
    state = usual.estimate.copy()
    alike: dict[str, np.ndarray] = {}
    for name in usual.points:
        slot = usual.slot[name]
        pair = name.replace("left", "side").replace("right", "side")
        if name.startswith(("wheel", "other")):
            nudge = rng.normal(0.0, AXLE, 3)
        else:
            both = alike.setdefault(pair, rng.normal(0.0, SYMMETRIC, 3))
            side = -1.0 if "right" in name else 1.0
            nudge = both * np.array([1.0, side, 1.0]) + rng.normal(0.0, ASYMMETRIC, 3)
        state[slot : slot + 3] = np.array(usual.scale.place(name)) + nudge
    for scalar, size in (("floor.pitch", TILT), ("floor.bank", TILT)):
        state[usual.slot[scalar]] = rng.normal(0.0, size)
    usual_values = {"tyre.loaded_radius": 0.475 * usual.scale.tyre_diameter, "cg.z": 720.0, "pinion": math.radians(3.0),
                    "tyre.free_diameter": usual.scale.tyre_diameter, "gearbox_output": math.radians(2.0),
                    "travel.bump": 100.0, "travel.droop": 110.0}
    for scalar, value in usual_values.items():
        if scalar in usual.slot:
            state[usual.slot[scalar]] = value
    for corner in ("front_left", "front_right", "rear_left", "rear_right"):
        if f"load.{corner}" in usual.slot:
            state[usual.slot[f"load.{corner}"]] = rng.normal(500.0, 40.0)
    for instrument, size in (("tape", 1.0), ("gauge", math.radians(0.2)), ("level", 1.0)):
        if f"{instrument}.offset" in usual.slot:
            state[usual.slot[f"{instrument}.offset"]] = rng.normal(0.0, size)
    return state


# -- slips, forwards --------------------------------------------------------------------------------------------------


def _either(size: float) -> Callable[[float, np.random.Generator], float]:
    return lambda value, rng: value + float(rng.choice((-size, size)))


def _one_of(*sizes: float) -> Callable[[float, np.random.Generator], float]:
    return lambda value, rng: value + float(rng.choice((-1, 1)) * rng.choice(sizes))


def _longer(size: float, often: float) -> Callable[[float, np.random.Generator], float]:
    return lambda value, rng: value + math.copysign(size, value) * (1 if rng.random() < often else -1)


def _mirror_at_inch(value: float, rng: np.random.Generator) -> float:
    inches = value / INCH
    return (2 * round(inches) - inches) * INCH


def _swap(value: float, rng: np.random.Generator) -> float:
    digits = str(abs(round(value)))
    if len(digits) < 2:
        return value
    k = int(rng.integers(len(digits) - 1))
    swapped = digits[:k] + digits[k + 1] + digits[k] + digits[k + 2 :]
    return math.copysign(float(swapped) + abs(value) - abs(round(value)), value)


def _swap_inches(value: float, rng: np.random.Generator) -> float:
    whole = math.floor(abs(value) / INCH + 1e-9)
    rest = abs(value) / INCH - whole
    return math.copysign((_swap(float(whole), rng) + rest) * INCH, value)


Forward = Callable[[float, np.random.Generator], float]
MM_INCH: dict[str, tuple[float, Forward]] = {
    "one inch": (30, _longer(INCH, 0.7)),
    "half an inch": (6, _either(INCH / 2)),
    "one foot": (8, _either(12 * INCH)),
    "fraction on the wrong side": (12, _mirror_at_inch),
    "half a bolt": (9, _one_of(9.5, 10.3, 11.9, 14.3)),
    "wrong hole": (4, _one_of(19.05, 31.75, 38.1)),
    "cm read as inch": (4, lambda value, rng: value * 2.54),
    "swapped digits": (8, _swap_inches),
}
MM_METRIC: dict[str, tuple[float, Forward]] = {
    "100 mm": (20, _longer(100.0, 0.7)),
    "10 mm": (10, _either(10.0)),
    "half a bolt": (9, _one_of(9.0, 10.5, 12.0, 15.0)),
    "wrong hole": (4, _one_of(19.05, 25.4, 31.75, 38.1)),
    "inch read as cm": (4, lambda value, rng: value / 2.54),
    "cm read as mm": (4, lambda value, rng: value / 10.0),
    "swapped digits": (8, _swap),
}
DEG: dict[str, tuple[float, Forward]] = {
    "gauge from the other end": (12, lambda value, rng: -value),
    "complement of the angle": (6, lambda value, rng: 90.0 - abs(value)),
    "one degree": (6, _either(1.0)),
    "ten degrees": (3, _either(10.0)),
}
KG: dict[str, tuple[float, Forward]] = {"100 kg": (3, _either(100.0))}
SIDE: dict[str, tuple[float, Forward]] = {"wrong side": (8, lambda value, rng: -value)}
BACK: dict[str, tuple[float, Forward]] = {"read backwards": (12, lambda value, rng: -value)}
ELSEWHERE = "something else"


def slip(rng: np.random.Generator, seen: Observation, imperial: bool, setup: Setup) -> tuple[str, float]:
    """The name of a slip and the value it leaves; one in six is none that a catalogue could know."""
    kind = parse_name(seen.name, setup.layout, setup.worked_axle).kind
    if kind.unit == "deg":
        table = {name: row for name, row in DEG.items() if name in kind.slips}
    elif kind.unit == "kg":
        table = KG
    else:
        table = dict(MM_INCH if imperial else MM_METRIC)
        table |= SIDE if "wrong side" in kind.slips else {}
        table |= BACK if "read backwards" in kind.slips else {}
        table = {name: row for name, row in table.items() if name in kind.slips}
    names = [*table, ELSEWHERE]
    known = sum(row[0] for row in table.values())
    weights = np.array([*(row[0] for row in table.values()), 0.2 * known if known else 1.0])
    name = str(rng.choice(names, p=weights / weights.sum()))
    if name == ELSEWHERE:
        size = float(rng.normal(0.0, {"mm": 60.0, "deg": 5.0, "kg": 60.0}[kind.unit]))
        return name, _as_typed(seen.value + size, kind.unit, imperial)[0]
    return name, table[name][1](seen.value, rng)


# -- counting ---------------------------------------------------------------------------------------------------------


@dataclass
class Tally:
    """Counts of one sort of trial."""

    counts: Counter[str] = field(default_factory=Counter)
    sizes: list[float] = field(default_factory=list)

    def share(self, what: str, of: str) -> str:
        found, among = self.counts[what], self.counts[of]
        return f"{100.0 * found / max(among, 1):5.1f} %  ({found} of {among})"


def one_slip(rng: np.random.Generator, tally: Tally, missed: Counter[str]) -> None:
    """Plant one slip in one vehicle, judge, and count."""
    vehicle = draw(rng)
    clean_fit = fit(vehicle.setup, vehicle.clean)
    number = int(rng.integers(len(vehicle.clean)))
    seen = vehicle.clean[number]
    name, wrong = slip(rng, seen, vehicle.imperial, vehicle.setup)
    least = clean_fit.smallest_findable[number]
    tally.counts["drawn"] += 1
    if not abs(wrong - seen.value) >= least:
        return
    readings = list(vehicle.clean)
    readings[number] = replace(seen, value=wrong)
    fitted = fit(vehicle.setup, readings)
    found = judge(fitted)
    counts = tally.counts
    counts["findable"] += 1
    w = np.abs(fitted.w)
    counts["plain found"] += bool(w[number] > 3.29)
    counts["plain first"] += bool(w.argmax() == number and w[number] > 3.29)
    counts["found"] += any(seen.key in one.readings for one in found)
    counts["any alarm"] += bool(found)
    counts["doubts"] += len(found)
    first = found[0] if found else None
    if first is None or seen.key not in first.readings:
        missed[f"{name}, {seen.name.partition(':')[0]}, {first.reason if first else 'nothing said'}"] += 1
        return
    counts["first"] += 1
    counts["alone"] += len(first.readings) == 1
    counts["with another way"] += bool(first.also)
    counts["at the head"] += first.readings[0] == seen.key
    tally.sizes.append(len(first.readings))
    suspect = next((one for one in first.suspects if one.key == seen.key), None)
    if suspect is None:
        return
    counts["suspects"] += 1
    counts["within two sd"] += abs(suspect.expected - vehicle.values[number]) <= 2.0 * suspect.sd
    if name != ELSEWHERE:
        counts["in the catalogue"] += 1
        likely = suspect.likely[0] if suspect.likely else None
        counts["right slip"] += likely is not None and likely.mistake == name
        same = likely is not None and any(one.mistake == name and one.same_as(likely) for one in suspect.likely)
        counts["right slip or the same value"] += same
        counts["right slip named at all"] += any(one.mistake == name for one in suspect.likely)
        counts["right value"] += likely is not None and abs(likely.value - seen.value) < 0.6
        sure = abs(wrong - seen.value) > 2.0 * least
        counts["in the catalogue, twice findable"] += sure
        counts["right slip, twice findable"] += sure and likely is not None and likely.mistake == name
        if likely is None or likely.mistake != name:
            missed[f"slip {name} named {likely.mistake if likely else 'nothing'}"] += 1


def clean_vehicle(rng: np.random.Generator, tally: Tally, missed: Counter[str]) -> None:
    """Judge a vehicle without any mistake."""
    vehicle = draw(rng)
    found = judge(fit(vehicle.setup, vehicle.clean))
    tally.counts["clean"] += 1
    tally.counts["alarmed"] += bool(found)
    for one in found:
        missed[f"clean: {one.reason}" + (f" {one.shared.family}" if one.shared else "")] += 1


def two_slips(rng: np.random.Generator, tally: Tally) -> None:
    """Plant two slips at once."""
    vehicle = draw(rng)
    clean_fit = fit(vehicle.setup, vehicle.clean)
    numbers = rng.choice(len(vehicle.clean), 2, replace=False)
    readings = list(vehicle.clean)
    for number in numbers:
        seen = vehicle.clean[number]
        _, wrong = slip(rng, seen, vehicle.imperial, vehicle.setup)
        if not abs(wrong - seen.value) >= clean_fit.smallest_findable[number]:
            return
        readings[number] = replace(seen, value=wrong)
    found = judge(fit(vehicle.setup, readings))
    tally.counts["pairs"] += 1
    named = {key for one in found for key in one.readings}
    tally.counts["both found"] += all(readings[number].key in named for number in numbers)


def shared_mistake(rng: np.random.Generator, tally: Tally, missed: Counter[str]) -> None:
    """Plant a shared mistake of three times its smallest findable size."""
    vehicle = draw(rng)
    case = case_of(fit(vehicle.setup, vehicle.clean))
    all_of_them = [one for one in hypotheses(case.rows) if not one.known and one.directions.shape[1] == 1]
    families = sorted({one.family for one in all_of_them} - {"same_name"})
    family = str(rng.choice(families))
    of_family = [one for one in all_of_them if one.family == family and len(one.members) >= 3]
    if not of_family:
        return
    planted: Shared = of_family[int(rng.integers(len(of_family)))]
    _, sd = case.evidence.amounts(case.directions(planted.directions))
    size = 3.0 * noncentrality(LEVEL, POWER) * float(sd[0])
    if not size < {"mm": 150.0, "deg": 8.0}[planted.unit]:
        return
    size *= float(rng.choice((-1, 1)))
    readings = [
        replace(seen, value=seen.value + size * float(planted.directions[number, 0]))
        for number, seen in enumerate(vehicle.clean)
    ]
    found = judge(fit(vehicle.setup, readings))
    tally.counts["shared"] += 1
    first = found[0] if found else None
    ways = (first, *first.also) if first else ()
    tally.counts["either way"] += any(way.shared is not None for way in ways)
    tally.counts["family either way"] += any(way.shared is not None and way.shared.family == family for way in ways)
    if first is None or first.shared is None:
        missed[f"shared {family}: {first.reason if first else 'nothing said'}"] += 1
        return
    members = {case.rows[number].key for number in planted.members}
    alike = len(members & set(first.readings)) / len(members | set(first.readings))
    tally.counts["named shared"] += 1
    tally.counts["right family"] += first.shared.family == family
    tally.counts["members mostly right"] += alike >= 0.5


def along_the_walk(rng: np.random.Generator, tally: Tally) -> None:
    """How many readings after a findable slip it is first named, reading on along the walk."""
    vehicle = draw(rng)
    clean_fit = fit(vehicle.setup, vehicle.clean)
    number = int(rng.integers(len(vehicle.clean) - 1))
    seen = vehicle.clean[number]
    _, wrong = slip(rng, seen, vehicle.imperial, vehicle.setup)
    if not abs(wrong - seen.value) >= clean_fit.smallest_findable[number]:
        return
    readings = list(vehicle.clean)
    readings[number] = replace(seen, value=wrong)
    for last in range(number + 1, len(readings) + 1):
        found = judge(fit(vehicle.setup, readings[:last]))
        if any(seen.key in one.readings for one in found):
            tally.sizes.append(last - number - 1)
            return


def timing(rng: np.random.Generator) -> tuple[float, float]:
    """Median ms of one fit and of one judgement of 60 readings with one slip, process time."""
    vehicle = draw(rng, "three_link_panhard", "front")
    readings = vehicle.clean[:60]
    readings[10] = replace(readings[10], value=readings[10].value + INCH)
    fits, judgements = [], []
    for _ in range(15):
        start = time.process_time()
        fitted = fit(vehicle.setup, readings)
        fits.append(time.process_time() - start)
        start = time.process_time()
        judge(fitted)
        judgements.append(time.process_time() - start)
    return 1e3 * statistics.median(fits), 1e3 * statistics.median(judgements)


def run(trials: int, seed: int = 20260502, notes: bool = False) -> dict[str, Tally]:
    """All sorts of trials, `trials` of each (a tenth along the walk); the tallies by name."""
    rng = np.random.default_rng(seed)
    tallies = {name: Tally() for name in ("slip", "clean", "two", "shared", "walk")}
    missed: Counter[str] = Counter()
    for _ in range(trials):
        clean_vehicle(rng, tallies["clean"], missed)
        one_slip(rng, tallies["slip"], missed)
        two_slips(rng, tallies["two"])
        shared_mistake(rng, tallies["shared"], missed)
    for _ in range(trials // 10):
        along_the_walk(rng, tallies["walk"])
    if notes:
        for what, count in missed.most_common(60):
            print(f"  {count:5d}  {what}")
    return tallies


def main() -> None:
    parser = argparse.ArgumentParser(description="How well doubts find planted mistakes.")
    parser.add_argument("--short", action="store_true", help="60 vehicles of each sort instead of 1000")
    parser.add_argument("--trials", type=int, default=None, help="so many of each sort")
    parser.add_argument("--notes", action="store_true", help="also list what was missed or named otherwise")
    asked = parser.parse_args()
    trials = asked.trials or (60 if asked.short else 1000)
    tallies = run(trials, notes=asked.notes)
    slips = tallies["slip"]
    print(f"One slip in a vehicle read along the walk, {trials} vehicles of all layouts")
    print(f"  findable by theory              {slips.share('findable', 'drawn')}")
    print(f"  found                           {slips.share('found', 'findable')}   aim 95 %")
    print(f"  named first or in a tie         {slips.share('first', 'findable')}   aim 90 %")
    print(f"    named alone                   {slips.share('alone', 'findable')}")
    print(f"    at the head                   {slips.share('at the head', 'findable')}")
    print(f"    with another way to see it    {slips.share('with another way', 'findable')}")
    print(f"    readings in a doubt, mean     {statistics.mean(slips.sizes or [0]):5.2f}")
    print(f"    doubts in a vehicle, mean     {slips.counts['doubts'] / max(slips.counts['findable'], 1):5.2f}")
    same = slips.share("right slip or the same value", "in the catalogue")
    print(f"  right slip, of the catalogue's  {same}   aim 90 %")
    print(f"    named first                   {slips.share('right slip', 'in the catalogue')}")
    print(f"    named at all                  {slips.share('right slip named at all', 'in the catalogue')}")
    sure = slips.share("right slip, twice findable", "in the catalogue, twice findable")
    print(f"    twice the findable size       {sure}")
    print(f"  right value                     {slips.share('right value', 'in the catalogue')}")
    print(f"  truth within the ± said         {slips.share('within two sd', 'suspects')}")
    print(f"  plain w-test: found             {slips.share('plain found', 'findable')}")
    print(f"  plain w-test: first             {slips.share('plain first', 'findable')}")
    print(f"Two slips: both named             {tallies['two'].share('both found', 'pairs')}")
    print(f"Clean vehicles with any alarm     {tallies['clean'].share('alarmed', 'clean')}   aim at most 5 %")
    shared = tallies["shared"]
    print(f"Shared, of three times findable   {shared.share('named shared', 'shared')}   aim 80 %")
    print(f"    right family                  {shared.share('right family', 'shared')}")
    print(f"    or said to be the other way   {shared.share('either way', 'shared')}")
    print(f"    the right family either way   {shared.share('family either way', 'shared')}")
    print(f"    members mostly right          {shared.share('members mostly right', 'shared')}")
    later = sorted(tallies["walk"].sizes)
    if later:
        half, most = statistics.median(later), later[int(0.9 * (len(later) - 1))]
        print(f"Seen so many readings later on the walk: half within {half:.0f}, nine in ten within {most:.0f}")
    one_fit, one_judgement = timing(np.random.default_rng(1))
    times = one_judgement / one_fit
    print(f"60 readings: fit {one_fit:.1f} ms, judging {one_judgement:.1f} ms, {times:.1f} times   aim at most 5")


if __name__ == "__main__":
    main()
