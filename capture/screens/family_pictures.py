"""The picture a family opens with, of the person's own vehicle, and the words below it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple
from urllib.parse import urlencode

from geometry.figures import loads
from geometry.figures.base import NotYet
from geometry.figures.clearance import Clearance
from geometry.figures.tight_spot import shapes_at
from geometry.layouts import LAYOUTS
from markupsafe import Markup

from capture.drawings.forces import Lettered, links_plan
from capture.drawings.plan_steer import larger, roll_steer_plan
from capture.drawings.shaft import shaft_side
from capture.drawings.tight import VIEWS, Drawn, best_view, tight_spot
from capture.drawings.weight import weight_side
from capture.lengths import say_spread, say_with_spread
from capture.report import Report, facts_of
from capture.screens import figure_pictures, figure_words, pictures, words
from capture.screens.figure_rows import kinds_of
from capture.screens.load_tables import chosen_case
from capture.screens.sections import Choice, where


class Picture(NamedTuple):
    """A family's drawing, the words below it, and a second drawing that comes after the family's sentence."""

    drawing: Markup = Markup()
    caption: str = ""
    below: Markup = Markup()


NOTHING = Picture()


def of(key: str, report: Report, query: Mapping[str, str]) -> Picture:
    """Nothing where the moving drawing is the picture, or where too little is known."""
    makers: dict[str, Callable[[], Picture]] = {
        "anti": lambda: side(report),
        "roll": lambda: rolling(report),
        "driveline": lambda: driveline(report),
        "loads": lambda: forces(report, query),
        "balance": lambda: weight(report),
        "links": lambda: lengths(report),
        "clearance": lambda: tight(report, query),
    }
    return makers[key]() if key in makers else NOTHING


def side(report: Report) -> Picture:
    kind = next((kind for kind in kinds_of(report) if kind.family == "anti" and kind.headline), None)
    if kind is None:
        return NOTHING
    drawn, figure = figure_pictures.construction(report, kind), report.sheet.figures[kind.key]
    if not drawn:
        return NOTHING
    full = figure.value is not None and figure.value > 0
    return Picture(drawn, f"{figure_words.LIT_LINE} {figure_words.FULL_LINE if full else ''}".strip())


def rolling(report: Report) -> Picture:
    """The end view with the roll centre; below it the plan with the steer of the axle in roll."""
    kind = next(kind for kind in kinds_of(report) if kind.key == "roll_centre_height")
    figure = report.sheet.figures["roll_steer"]
    above = figure_pictures.construction(report, kind)
    if figure.value is None or figure.sd is None:
        return Picture(above)
    way = "left" if figure.value > 0 else "right"
    give = say_spread(2 * figure.sd, "deg/deg", report.vehicle.display_unit)
    label = figure_words.turns_the_axle(abs(figure.value), way, give, figure.leans)
    plan = roll_steer_plan(pictures.vehicle(report), figure.value, label)
    said = figure_words.drawn_larger(words.sentence_start(label), larger(figure.value))
    return Picture(above, f"{said} {figure_words.MOSTLY_GUESSED if figure.leans else ''}".strip(), plan)


def driveline(report: Report) -> Picture:
    unit = report.vehicle.display_unit
    figures = report.sheet.figures
    labels = []
    for end in ("frame", "axle"):
        bend = figures.get(f"driveshaft_angle.{end}")
        known = bend is not None and bend.value is not None and bend.sd is not None
        labels.append(say_with_spread(bend.value, bend.sd, "deg", unit) if known else "")
    drawn = shaft_side(pictures.vehicle(report), scalar(report, "incline:pinion"),
                       scalar(report, "incline:gearbox_output"), (labels[0], labels[1]))
    return Picture(drawn, figure_words.SHAFT_CAPTION if drawn else "")


def scalar(report: Report, reading: str) -> float | None:
    """An angle against the floor as the fit has it; None before any reading touched it."""
    name = reading.partition(":")[2]
    return float(report.fit.predict([reading])[0][0]) if name in report.fit.slot else None


def forces(report: Report, query: Mapping[str, str]) -> Picture:
    unit, case = report.vehicle.display_unit, chosen_case(query)
    try:
        every = loads.link_loads(report.fit, facts_of(report.vehicle))
    except NotYet:
        return Picture(links_plan(pictures.vehicle(report), {}, figure_words.NO_LOADS_YET))
    told = {load.link: Lettered(say_with_spread(abs(load.force), load.sd, "N", unit), pulled(load)) for load in every
            if load.case == case.key}
    drawn = links_plan(pictures.vehicle(report), told, figure_words.loads_drawn(case.words))
    return Picture(drawn, figure_words.LOADS_CAPTION)


def pulled(load: loads.LinkLoad) -> bool | None:
    """Whether a link is pulled or pressed; None where the spread does not tell."""
    return load.force > 0 if abs(load.force) > 2 * load.sd else None


def tight(report: Report, query: Mapping[str, str]) -> Picture:
    """Where the chosen pair of bodies, else the nearest, comes nearest: at its travel and its steering lock."""
    try:
        rows = report.gaps.rows
    except NotYet:
        return NOTHING
    if not rows:
        return NOTHING
    unit, row = report.vehicle.display_unit, chosen_gap(rows, query)
    pair = (row.one, row.other)
    bodies = [Drawn(shape.places, shape.diameter, shape.name in pair, shape.name.startswith(("body.", "keep_clear.")))
              for shape in shapes_at(report.fit, facts_of(report.vehicle), row)]
    gap = f"{'about ' if row.leans else ''}{say_with_spread(abs(row.least), row.sd, 'mm', unit)}"
    gap = f"overlap {gap}" if row.least < 0 else gap
    place = where(row.travel, row.lift, unit, row.steer)
    label = f"{words.sentence_start(row.words[0])} and {row.words[1]}, {place}: {gap}"
    drawn = tight_spot(bodies, row.spots, gap, label, chosen_view(row, query), unit)
    guessed = f" {figure_words.MOSTLY_GUESSED}" if row.leans else ""
    return Picture(drawn, f"{words.sentence_start(row.words[0])} and {row.words[1]}, {place}.{guessed}")


def gap_key(row: Clearance) -> str:
    """A pair in an address."""
    return f"{row.one}~{row.other}"


def chosen_gap(rows: Sequence[Clearance], query: Mapping[str, str]) -> Clearance:
    return next((row for row in rows if gap_key(row) == query.get("pair")), rows[0])


def chosen_view(row: Clearance, query: Mapping[str, str]) -> str:
    asked = query.get("view", "")
    return asked if asked in VIEWS else best_view(row.spots)


def views(key: str, address: str, report: Report, query: Mapping[str, str]) -> tuple[Choice, ...]:
    """The ways a family's picture can be looked at; none where there is one only."""
    if key != "clearance":
        return ()
    try:
        rows = report.gaps.rows
    except NotYet:
        return ()
    if not rows:
        return ()
    row = chosen_gap(rows, query)
    at = chosen_view(row, query)
    return tuple(Choice(said, f"{address}?{urlencode({'pair': gap_key(row), 'view': view})}#picture", view == at)
                 for view, said in (("top", "From above"), ("end", "From behind"), ("side", "From the side")))


def weight(report: Report) -> Picture:
    unit, height, along = report.vehicle.display_unit, *(report.sheet.figures[f"cg.{axis}"] for axis in "zx")
    if height.value is None or height.sd is None:
        return Picture(weight_side(pictures.vehicle(report), None, None, (0.0, 0.0), ("", "")))
    far = along.value is not None and along.sd is not None
    drawn = weight_side(
        pictures.vehicle(report), height.value, along.value if far else None,
        (2 * along.sd if far else 0.0, 2 * height.sd),
        (say_with_spread(height.value, height.sd, "mm", unit),
         say_with_spread(abs(along.value), along.sd, "mm", unit) if far else ""))
    return Picture(drawn, "" if far else figure_words.HALFWAY)


def lengths(report: Report) -> Picture:
    unit, told = report.vehicle.display_unit, {}
    for link in LAYOUTS[report.vehicle.layout].links:
        figure = report.sheet.figures.get(f"link_length.{link.name}")
        if figure is not None and figure.value is not None and figure.sd is not None and not figure.leans:
            told[link.name] = Lettered(say_with_spread(figure.value, figure.sd, "mm", unit))
    label = figure_words.LINKS_DRAWN
    return Picture(links_plan(pictures.vehicle(report), told, label))
