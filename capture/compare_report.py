"""Two stages of one vehicle side by side: what changed, as JSON for programs and as a page of plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from geometry.bring_back import Advice
from geometry.compare import NOT_READ, SURE, Comparison, FigureChange, PointChange
from geometry.figures import catalogue
from geometry.figures.figure_words import COMMON_PRACTICE
from geometry.points import point_named
from geometry.proof import Proof
from geometry.readings import describe, parse_name

from capture import advice_words, compare_report_words, log_words, report, stage_log, stages
from capture.compare_words import summary
from capture.json_text import plain
from capture.lengths import say, say_length, say_spread
from capture.log import NoReadings
from capture.report import Report
from capture.vehicle_file import VehicleFile

FORMAT = "plumbtack comparison"
VERSION = 1
WIDTH = 80
MOST_STEPS = 12


@dataclass(frozen=True)
class Compared:
    """Two stages of a vehicle. Its parts are worked out when first asked for."""

    vehicle: VehicleFile
    before: Report
    after: Report

    @cached_property
    def comparison(self) -> Comparison:
        return self.before.worked.comparison(self.after.fit, report.facts_of(self.vehicle))

    @cached_property
    def proof(self) -> Proof:
        """The walk that tells the move of every bracket that the stage before knows ± 2 mm, or as closely as it can."""
        known = self.before.fit.placed()
        from_before = [name for name in known if known[name].known]
        bolts = [name for name in from_before if self._is_bolt(name)]
        return self.before.worked.proof(bolts) if bolts else Proof((), 0.0, {}, False)

    @cached_property
    def advice(self) -> Advice:
        """What would bring the figures back to what they were."""
        return self.after.worked.advice(self.comparison, report.facts_of(self.vehicle))

    def _is_bolt(self, name: str) -> bool:
        return point_named(name, self.vehicle.layout, self.vehicle.worked_axle).feature == "bolt"

    def as_json(self) -> dict[str, Any]:
        """As programs read it: plain dicts and lists; sd is one standard deviation, changes are TO less FROM."""
        found = self.comparison
        return {
            "format": FORMAT,
            "version": VERSION,
            "from": self.before.stage,
            "to": self.after.stage,
            "carried": len(self.after.stage_view.carried),
            "said": summary(found, self.vehicle),
            "points": {change.name: _point(change) for change in found.points},
            "figures": {change.key: _figure(change) for change in found.figures},
            "level": {"points": found.point_level, "figures": found.figure_level},
            "advice": advice_words.as_json(self.advice, self.vehicle, self.before.stage),
            "proof": {
                "enough": self.proof.enough,
                "minutes": self.proof.minutes,
                "readings": [{"reading": step.name, "takes": step.takes} for step in self.proof.steps],
                "smallest": {name: list(sizes) for name, sizes in self.proof.smallest.items()},
            },
        }


def _point(change: PointChange) -> dict[str, Any]:
    return {
        "from": list(change.before),
        "to": list(change.after),
        "change": list(change.by),
        "sd": list(change.sd),
        "chance": change.chance,
        "category": change.category,
    }


def _figure(change: FigureChange) -> dict[str, Any]:
    return {
        "from": change.before,
        "to": change.after,
        "change": change.by,
        "sd": change.sd,
        "unit": change.unit,
        "chance": change.chance,
        "category": change.category,
    }


def build(
    vehicle: VehicleFile, before: str, after: str, report_at: Callable[[VehicleFile, str], Report] = report.build
) -> Compared:
    """Two stages compared. report_at: where the report of a stage comes from.

    Raises log.NoReadings with one sentence where they are not two stages with readings.
    """
    for stage in (before, after):
        if not stages.is_stage(stage):
            raise NoReadings(compare_report_words.no_such_stage(stage, stages.THERE_ARE))
    if before == after:
        raise NoReadings(compare_report_words.with_itself(stages.said(before)))
    if stages.place(before) > stages.place(after):
        raise NoReadings(compare_report_words.wrong_way(stages.said(before), stages.said(after), after, before))
    sides = [report_at(vehicle, stage) for stage in (before, after)]
    with_some = sides[0].stage_view.stages
    for stage in (before, after):
        if stage not in with_some:
            raise NoReadings(log_words.nothing_read(stages.said(stage), [stages.said(one) for one in with_some]))
    return Compared(vehicle, *sides)


# The page.


def page(compared: Compared) -> str:
    """The comparison as plain text, 80 columns; every give or take is two sds. Nothing typed can steer the terminal."""
    parts = (_title, _said, _advice, _points, _figures, _walk)
    blocks = ("\n".join(plain(line, len(line)).rstrip() for line in part(compared)) for part in parts)
    return "\n\n".join(block for block in blocks if block)


def _title(compared: Compared) -> Iterator[str]:
    name = compared.vehicle.name
    yield name
    yield "=" * min(len(name), WIDTH)
    carried = len(compared.after.stage_view.carried)
    sides = [stage_log.said(compared.vehicle, side.stage) for side in (compared.before, compared.after)]
    yield from _wrapped(compare_report_words.heading(sides[0], sides[1], carried))


def _said(compared: Compared) -> Iterator[str]:
    for sentence in summary(compared.comparison, compared.vehicle):
        yield from _wrapped(sentence, indent=2, first=0)


def _advice(compared: Compared) -> Iterator[str]:
    advice, vehicle, before = compared.advice, compared.vehicle, compared.before.stage
    yield from _heading("What to do")
    yield from _wrapped(advice_words.opening(advice, vehicle, before))
    if advice_words.no_way(advice):
        yield from _wrapped(advice_words.no_way(advice))
    for way in advice.ways:
        yield ""
        yield f"  {advice_words.title(way, compared.after.stage)}"
        said = [deed.words for deed in advice_words.deeds(way, vehicle, compared.comparison)]
        for sentence in (*said, advice_words.how(way), *advice_words.results(way, vehicle, before)):
            yield from _wrapped(sentence, indent=4, first=4)
    if advice.small:
        yield ""
        yield f"  {advice_words.NOT_WORTH} ({COMMON_PRACTICE})"
        for sentence in advice_words.small(advice, vehicle):
            yield from _wrapped(sentence, indent=4, first=4)


def _points(compared: Compared) -> Iterator[str]:
    yield from _heading("Points")
    unit = "inches" if compared.vehicle.display_unit == "in" else "mm"
    yield from _wrapped(compare_report_words.how_far(unit))
    for change in compared.comparison.points:
        if change.category == NOT_READ:
            continue
        words = point_named(change.name, compared.vehicle.layout, compared.vehicle.worked_axle).words
        yield ""
        yield f"{_mark(change.category)} {words}" + ("" if change.category == SURE else f"   ({change.category})")
        yield "  " + "".join(
            f"{axis} {_length(by, sd, compared.vehicle.display_unit):<24}"
            for axis, by, sd in zip("xyz", change.by, change.sd, strict=True)
        )


def _length(by: float, sd: float, unit: str) -> str:
    return f"{say_length(by, unit, signed=True).removesuffix(f' {unit}')} {say_spread(2 * sd, 'mm', unit)}"


def _figures(compared: Compared) -> Iterator[str]:
    unit = compared.vehicle.display_unit
    kinds = catalogue(compared.vehicle.layout, compared.vehicle.worked_axle)
    yield from _heading("Figures")
    yield from _wrapped(compare_report_words.CHANGES_HEAD)
    for change in compared.comparison.figures:
        by = say(change.by, change.unit, unit, signed=True)
        value = f"{by} {say_spread(2 * change.sd, change.unit, unit)}"
        yield _row(kinds[change.key].title, value, _mark(change.category))


def _walk(compared: Compared) -> Iterator[str]:
    proof = compared.proof
    if not proof.steps:
        return
    small = "2 mm (1/16 in)"
    all_of_it = compare_report_words.at_every_bracket(small)
    yield from _heading(all_of_it if proof.enough else compare_report_words.AS_MUCH_AS_READINGS_ALLOW)
    if not proof.enough:
        yield from _wrapped(compare_report_words.no_closer(small))
    for step in proof.steps[:MOST_STEPS]:
        name = parse_name(step.name, compared.vehicle.layout, compared.vehicle.worked_axle)
        yield _row(describe(name).short, "once" if step.takes == 1 else f"{step.takes} times")
    if len(proof.steps) > MOST_STEPS:
        yield compare_report_words.more_steps(len(proof.steps) - MOST_STEPS)


def _mark(category: str) -> str:
    return "*" if category == SURE else " "


def _heading(words: str) -> tuple[str, str]:
    return words, "-" * len(words)


def _row(title: str, value: str, mark: str = " ") -> str:
    dots = WIDTH - 4 - len(title) - len(value)
    return f"{mark} {title} {'.' * dots if dots > 2 else ' ' * max(dots, 1)} {value}"


def _wrapped(text: str, indent: int = 0, first: int | None = None) -> list[str]:
    start = indent if first is None else first
    return textwrap.wrap(text, WIDTH, initial_indent=" " * start, subsequent_indent=" " * indent) or [""]
