"""The report as a page of plain text, 80 columns: points, figures, doubts, what is missing.

Every give or take is two standard deviations, as on the screens.
"""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import groupby

from geometry.doubt import Doubt
from geometry.errors import BadName
from geometry.figures import Figure, FigureKind, catalogue
from geometry.fit import Placed
from geometry.layouts import LAYOUTS
from geometry.points import point_named
from geometry.readings import describe, parse_name

from capture import doubt_words, report_words, stage_log
from capture.doubt_place import place_of
from capture.json_text import plain
from capture.lengths import say, say_length, say_spread, say_with_spread
from capture.report import Report

WIDTH = 80
MOST_FIRMING = 12
FACTS = {
    "brake_share_front": "the front axle's share of braking",
    "drive_share_front": "the front axle's share of driving",
    "unsprung_mass": "the unsprung weight",
    "driveshaft_joints": "whether the driveshaft has a single or a double joint at the gearbox",
    "slip_travel": "how far the driveshaft's slip joint moves in all",
}
OPENINGS = {
    "tie": "One of these does not go with the rest: ",
    "takes_disagree": "These takes of one reading differ: ",
}
FAMILIES = {
    "anti": "Braking and driving",
    "roll": "Roll",
    "steering": "Steering",
    "driveline": "Driveline",
    "balance": "Size and weight",
    "links": "Links",
}


def page(report: Report) -> str:
    """The whole page, without a line break at its end. Nothing typed can steer the terminal or begin a line."""
    parts = (_title, _points, _figures, _sweep, _doubts, _settled, _missing, _firming, _left_out)
    blocks = ("\n".join(plain(line, len(line)).rstrip() for line in part(report)) for part in parts)
    return "\n\n".join(block for block in blocks if block)


def _title(report: Report) -> Iterator[str]:
    vehicle, view = report.vehicle, report.stage_view
    yield vehicle.name
    yield "=" * min(len(vehicle.name), WIDTH)
    layout = LAYOUTS[vehicle.layout].words
    yield from _wrapped(f"{vehicle.worked_axle.capitalize()} axle, {layout}, at {stage_log.said(vehicle, view.stage)}.")
    if not view.takes:
        yield from _wrapped(report_words.NO_READING_COUNTS)
        return
    readings = _count(len(view.takes), "reading")
    carried = report_words.carried_over(len(view.carried), len(view.takes)) if view.carried else ""
    yield from _wrapped(f"{readings}{carried}. Every ± holds in about 19 cases of 20.")


def _points(report: Report) -> Iterator[str]:
    unit = "inches" if report.vehicle.display_unit == "in" else "mm"
    yield from _heading("Points")
    axle = report.vehicle.worked_axle
    yield from _wrapped(report_words.axes(unit, axle))
    for point in report.fit.placed().values():
        words = point_named(point.name, report.vehicle.layout, report.vehicle.worked_axle).words
        yield ""
        yield words + ("" if point.known else "   (guessed in part)" if point.takes else "   (guessed)")
        yield _place(point, report.vehicle.display_unit)


def _place(point: Placed, unit: str) -> str:
    cells = zip("xyz", (point.x, point.y, point.z), point.sd, strict=True)
    return "  " + "".join(f"{axis} {_length(value, sd, unit):<24}" for axis, value, sd in cells)


def _length(value: float, sd: float, unit: str) -> str:
    return f"{say_length(value, unit).removesuffix(f' {unit}')} {say_spread(2 * sd, 'mm', unit)}"


def _figures(report: Report) -> Iterator[str]:
    kinds = catalogue(report.vehicle.layout, report.vehicle.worked_axle)
    had = [(kinds[key], figure) for key, figure in report.sheet.figures.items() if figure.value is not None]
    yield from _heading("Figures")
    if not had:
        yield report_words.NONE_YET
    if report.doubted:
        yield from _wrapped(report_words.QUESTION_MARK)
    for family, group in groupby(had, key=lambda pair: pair[0].family):
        yield ""
        yield FAMILIES.get(family, family.capitalize())
        for kind, figure in group:
            yield from _figure(report, kind, figure)


def _figure(report: Report, kind: FigureKind, figure: Figure) -> Iterator[str]:
    value, sd = figure.value or 0.0, figure.sd or 0.0
    said = say_with_spread(value, sd, figure.unit, report.vehicle.display_unit)
    yield _row(kind.title, said, "?" if figure.key in report.doubted else " ")
    if figure.key in report.doubted:
        yield from _would_be(report, figure.key)
    if kind.headline:
        yield from _wrapped(kind.meaning(value, sd), indent=6)
    if figure.remark:
        yield from _wrapped(figure.remark, indent=6)
    if figure.leans:
        yield report_words.LEANS_ON_A_GUESS
    if figure.convention:
        yield from _wrapped(report_words.BY_CONVENTION, indent=6)


def _would_be(report: Report, key: str) -> Iterator[str]:
    """What a figure that leans on a reading in doubt would be with that corrected."""
    figure = report.corrected[key]
    if figure.value is None or figure.sd is None:
        yield report_words.LEANS_ON_DOUBT
        return
    said = say_with_spread(figure.value, figure.sd, figure.unit, report.vehicle.display_unit)
    yield from _wrapped(report_words.would_be(said), indent=6)


def _sweep(report: Report) -> Iterator[str]:
    """What can be had at full droop and at full bump; everything between is in the JSON."""
    sweep, unit = report.sheet.sweep, report.vehicle.display_unit
    columns = [column for column in sweep.columns.values() if any(value is not None for value in column.values)]
    if not columns:
        return
    yield from _heading(f"From {_travel(sweep.travel[0], unit)} to {_travel(sweep.travel[-1], unit)}")
    for column in columns:
        signed = any(value < 0 for value in column.values if value is not None)
        droop, bump = (_step(column.values[at], column.unit, unit, signed) for at in (0, -1))
        yield _row(column.title, f"{droop}  to  {bump}")
    for _, sentence in sweep.binds:
        yield from _wrapped(sentence)


def _travel(mm: float, unit: str) -> str:
    return f"{say_length(abs(mm), unit)} {'droop' if mm < 0 else 'bump'}"


def _step(value: float | None, file_unit: str, unit: str, signed: bool) -> str:
    return "out of reach" if value is None else say(value, file_unit, unit, signed)


def _doubts(report: Report) -> Iterator[str]:
    yield from _heading("Second look")
    if not report.doubts:
        yield report_words.NOTHING_STANDS_OUT
    for number, doubt in enumerate(report.doubts, start=1):
        first, *rest = _wrapped(_doubt(report, doubt), indent=4)
        yield f"{number:>2}. {first.strip()}"
        yield from rest


def _settled(report: Report) -> Iterator[str]:
    """The doubts that a person settled by keeping what was read."""
    if not report.settled:
        return
    yield from _heading("Kept as read")
    for one in report.settled:
        named = "; ".join(_typed(report, key) for key in one.doubt.readings) or doubt_words.title(one.doubt)
        yield from _wrapped(f"{named}: {one.keep.note or 'no reason given'}.", indent=4, first=0)


def _doubt(report: Report, doubt: Doubt) -> str:
    """Which readings, what was typed, what a known slip would make of it, and what to do."""
    if not doubt.suspects:
        told = doubt_words.sentence(doubt, report.vehicle.display_unit, place_of(report, doubt))
        named = "; ".join(_typed(report, key) for key in doubt.readings)
        kept = f" {named}." if named and doubt.shared is None else ""
        again = f" {_retake(report, doubt)}" if doubt.readings else ""
        same = doubt.shared is not None and doubt.shared.family == "same_name"
        title = _name(report, _plain_key(doubt.readings[0])) if same else doubt_words.title(doubt)
        return f"{title[:1].upper()}{title[1:]}: {told}{kept}{_other_ways(report, doubt)}{again}"
    first = doubt.suspects[0]
    named = "; ".join(_typed(report, one.key) for one in doubt.suspects)
    opening = OPENINGS.get(doubt.reason, "") if len(doubt.suspects) > 1 else ""
    unit = report.vehicle.display_unit
    said = f"{opening}{named}. The rest says {say_with_spread(first.expected, first.sd, first.unit, unit)}"
    said += f" for {'the first' if opening else 'it'}."
    if doubt.likely is not None:
        fits = say(doubt.likely.value, first.unit, unit)
        said += report_words.likely_slip(doubt.likely.mistake.replace("_", " "), fits)
    return f"{said}{_other_ways(report, doubt)} {_retake(report, doubt)}"


def _other_ways(report: Report, doubt: Doubt) -> str:
    """What else would explain the numbers about as well; empty where nothing does."""
    ways = []
    for way in doubt.also:
        if way.shared is not None:
            told = doubt_words.sentence(way, report.vehicle.display_unit, place_of(report, way))
            ways.append(f" Or: {told}")
        else:
            ways.append(f" Or only: {'; '.join(_typed(report, one.key) for one in way.suspects)}.")
    return "".join(ways)


def _retake(report: Report, doubt: Doubt) -> str:
    if doubt.telling and doubt.telling != doubt.retake:
        return f"Tells most: {_name(report, doubt.telling)}."
    return f"Read again: {_name(report, doubt.retake)}." if doubt.retake else report_words.LOOK_AGAIN


def _plain_key(key: str) -> str:
    """The reading's name of a take's key."""
    return key.partition("#")[0]


def _typed(report: Report, key: str) -> str:
    take = report.stage_view.by_key.get(key)
    if take is None:
        return _name(report, _plain_key(key))
    typed = f"typed {take.text} {take.unit}".rstrip() if take.text else report_words.NO_TYPED_TEXT
    return f"{_name(report, take.name)}, {typed}"


def _firming(report: Report) -> Iterator[str]:
    """The readings that figures lean on guesses for, those that serve most figures first."""
    leaning = [figure for figure in report.sheet.figures.values() if figure.value is not None and figure.leans]
    served = Counter(need for figure in leaning for need in figure.needs)
    if not served:
        return
    yield from _heading(report_words.IN_PLACE_OF_GUESSES)
    for need, number in served.most_common(MOST_FIRMING):
        yield _row(_name(report, need), _count(number, "figure"))
    if len(served) > MOST_FIRMING:
        yield f"  and {_count(len(served) - MOST_FIRMING, 'more reading')}."


def _missing(report: Report) -> Iterator[str]:
    missing = [(key, figure) for key, figure in report.sheet.figures.items() if figure.value is None]
    if not missing:
        return
    kinds = catalogue(report.vehicle.layout, report.vehicle.worked_axle)
    yield from _heading("Not yet")
    for why, group in groupby(missing, key=lambda pair: _why_not(report, pair[1])):
        titles = ", ".join(kinds[key].title for key, _ in group)
        yield from _wrapped(f"{titles}: {why}", indent=4, first=0)


def _why_not(report: Report, figure: Figure) -> str:
    waits = f"{_waits_for(report, figure.needs)}." if figure.needs else ""
    said = " ".join(part for part in (figure.reason or "", waits) if part)
    return said or report_words.POINTS_DO_NOT_GIVE_IT


def _waits_for(report: Report, needs: Iterable[str]) -> str:
    return "waits for " + "; ".join(FACTS.get(need) or _name(report, need) for need in needs)


def _left_out(report: Report) -> Iterator[str]:
    left = [each for each in report.stage_view.left_out if each.why != "other stage"]
    if not left:
        return
    yield from _heading(report_words.NOT_USED)
    for each in left:
        why = f"taken at {each.entry.state}" if each.why == "other state" else each.why
        typed = f" ({each.entry.text} {each.entry.unit})".replace(" )", ")") if each.entry.text else ""
        note = f": {each.note}" if each.note else ""
        yield from _wrapped(f"{_name(report, each.name)}{typed}, {why}{note}.", indent=4, first=0)


# Words and lines.


def _name(report: Report, reading: str) -> str:
    """A reading in words, "height, left lower link, frame bolt"; the name itself when it is none."""
    try:
        return describe(parse_name(reading, report.vehicle.layout, report.vehicle.worked_axle)).short
    except BadName:
        return reading


def _heading(words: str) -> tuple[str, str]:
    return words, "-" * len(words)


def _row(title: str, value: str, mark: str = " ") -> str:
    """A title and its value, dots between, the value at the right; a mark before them."""
    dots = WIDTH - 2 - len(title) - len(value) - 2
    return f"{mark} {title} {'.' * dots if dots > 2 else ' ' * max(dots, 1)} {value}"


def _wrapped(text: str, indent: int = 0, first: int | None = None) -> list[str]:
    start = indent if first is None else first
    return textwrap.wrap(text, WIDTH, initial_indent=" " * start, subsequent_indent=" " * indent) or [""]


def _count(number: int, word: str) -> str:
    return f"{number} {word}" + ("" if number == 1 else "s")
