"""Curves over travel: droop left, bump right, spread as a grey band, usual range as a wash, ride height marked."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from . import drawn_words
from .labels import Lettering, text_width
from .rule import nice_step, readable
from .svg import Pixel, circle, drawing, element, join, line, number, path, rectangle, text, through

WIDTH, HEIGHT = 360.0, 196.0
LEFT, RIGHT, TOP, LOW = 44.0, 348.0, 20.0, 162.0
SPARK_WIDTH, SPARK_HEIGHT = 112.0, 46.0
INCH = 25.4
At = Callable[[float, float], Pixel]
"""From travel (mm) and value to the paper."""
Values = Sequence[float | None]


@dataclass(frozen=True)
class Marker:
    """The place on a curve that a person moves. path: which way through the travel; at: the step it stands on; said:
    what is said at each step."""

    path: str
    at: int
    said: Sequence[str]


def runs(values: Values) -> Iterator[range]:
    """The stretches without a gap."""
    start = None
    for i, value in enumerate([*values, None]):
        if value is not None and start is None:
            start = i
        elif value is None and start is not None:
            yield range(start, i)
            start = None


def _two(sd: Values, i: int) -> float:
    """Two sd; nothing where there is none."""
    found = sd[i] if i < len(sd) else None
    return 2.0 * found if found is not None else 0.0


def _extent(values: Values, sd: Values, least: float = -math.inf) -> tuple[float, float]:
    edges = [max(value + sign * _two(sd, i), min(value, least))
             for i, value in enumerate(values) if value is not None for sign in (1, -1)]
    return (min(edges), max(edges)) if edges else (0.0, 1.0)


def curve(travel: Sequence[float], values: Values, sd: Values, *, unit: str, display_unit: str = "mm",
          band: tuple[float, float] | None = None, band_words: str = "usual", said: str = "",
          title: str = "", feet: tuple[str, str] = ("droop", "bump"), marker: Marker | None = None,
          was: Values | None = None, least: float = -math.inf) -> Markup:
    """A column of the sweep. travel: mm, bump +. values, sd, band: in `unit` as shown. display_unit: of the travel,
    "in" or "mm". said: the figure at ride height in words, lettered beside its mark. title: for a screen reader.
    feet: what the left and the right end of the travel are called. was: another state's values, dashed behind. least:
    no value can lie below, so no spread is drawn there."""
    low, high = _extent([*values, *(was or ())], sd, least)
    if band is not None:
        reach = (high - low) or abs(high) or 1.0
        low = min(low, band[0]) if band[0] > low - reach else low
        high = max(high, band[1]) if band[1] < high + reach else high
    if high - low < 1e-6:
        low, high = low - 0.5, high + 0.5
    step = nice_step(high - low, 6)
    low, high = _outward(low, high, step)

    def at(i_travel: float, value: float) -> Pixel:
        share = (i_travel - travel[0]) / ((travel[-1] - travel[0]) or 1.0)
        return LEFT + share * (RIGHT - LEFT), LOW - (value - low) / (high - low) * (LOW - TOP)

    ride = at(0.0, low)[0]
    pieces = [_wash(band, low, high, at), *_levels(low, high, step, at), *_spread(travel, values, sd, at, least),
              path("dim", f"M{number(ride)} {number(TOP)}V{number(LOW)}M{number(LEFT)} {number(LOW)}H{number(RIGHT)}"),
              *(line("was", *(at(travel[i], was[i] or 0.0) for i in run)) for run in runs(was or ()) if was),
              *(line("curve", *(at(travel[i], values[i] or 0.0) for i in run)) for run in runs(values)),
              *_binding(travel, values, at), *_travel_words(travel, display_unit, at, feet),
              text("tq", (8, 12), unit)]
    pieces += _letters(travel, values, band, band_words, said, at, low, high)
    label = _told(travel, values, unit, display_unit, title, feet)
    if marker is None:
        return drawing(WIDTH, HEIGHT, *pieces, label=label)
    along = [at(step, low)[0] for step in travel]
    heights = [None if value is None else at(0.0, value)[1] for value in values]
    pieces.append(_place(along[marker.at], heights[marker.at]))
    return drawing(WIDTH, HEIGHT, *pieces, label=label, class_="d curved", data_path=marker.path,
                   data_x=",".join(map(number, along)),
                   data_y=",".join("" if y is None else number(y) for y in heights), data_said="|".join(marker.said))


def _place(x: float, y: float | None) -> Markup:
    """The upright line and the ring that a person moves along the curve."""
    upright = element("g", path("lit thin", f"M0 {number(TOP)}V{number(LOW)}"), data_cursor="",
                      transform=f"translate({number(x)} 0)")
    ring = element("g", element("circle", class_="lit", r=8), data_dot="", hidden="" if y is None else None,
                   transform=f"translate({number(x)} {number(y or 0.0)})")
    return join((upright, ring))


def _outward(low: float, high: float, step: float) -> tuple[float, float]:
    down, up = int(low // step), int(-(-high // step))
    return down * step, (up if up > down else down + 1) * step


def _wash(band: tuple[float, float] | None, low: float, high: float, at: At) -> Markup:
    if band is None:
        return Markup()
    below, above = max(band[0], low), min(band[1], high)
    if above <= below:
        return Markup()
    y0, y1 = at(0.0, above)[1], at(0.0, below)[1]
    edges = [line("bandl", (LEFT, y), (RIGHT, y)) for y, edge in ((y0, band[1]), (y1, band[0])) if low < edge < high]
    return join((rectangle("band", LEFT, y0, RIGHT - LEFT, y1 - y0), *edges))


def _levels(low: float, high: float, step: float, at: At) -> list[Markup]:
    pieces = []
    for i in range(round((high - low) / step) + 1):
        y = at(0.0, low + i * step)[1]
        pieces.append(line("hairl", (LEFT, y), (RIGHT, y)))
        pieces.append(text("tq", (LEFT - 6, y + 4), readable(low + i * step, step), "end"))
    return pieces


def _spread(travel: Sequence[float], values: Values, sd: Values, at: At, least: float = -math.inf) -> list[Markup]:
    pieces = []
    for run in runs(values):
        upper = [at(travel[i], (values[i] or 0.0) + _two(sd, i)) for i in run]
        lower = [at(travel[i], max((values[i] or 0.0) - _two(sd, i), least)) for i in reversed(run)]
        if len(upper) > 1 and any(_two(sd, i) for i in run):
            pieces.append(path("spread", through([*upper, *lower]) + "Z"))
    return pieces


def _binding(travel: Sequence[float], values: Values, at: At) -> list[Markup]:
    """Where there is no value the links cannot reach: crossed out and said once a side."""
    known = [i for i, value in enumerate(values) if value is not None]
    if not known:
        return [text("tq", ((LEFT + RIGHT) / 2, (TOP + LOW) / 2), drawn_words.NO_VALUE, "middle")]
    pieces = []
    for first, last, anchor in ((0, known[0], None), (known[-1], len(values) - 1, "end")):
        if last <= first:
            continue
        x0, x1 = at(travel[first], 0.0)[0], at(travel[last], 0.0)[0]
        edge = x1 if anchor is None else x0
        pieces.append(rectangle("gapw", x0, TOP, x1 - x0, LOW - TOP))
        pieces.append(path("doubt", f"M{number(edge - 4)} {number(LOW - 4)}l8 8m0-8l-8 8"))
        inside = (x0 + 4, None) if anchor is None else (x1 - 4, "end")
        pieces.append(text("td t12", (inside[0], TOP + 14), "links bind", inside[1]))
    return pieces


def _travel_words(travel: Sequence[float], display_unit: str, at: At, feet: tuple[str, str]) -> list[Markup]:
    """Numbers along the foot: droop at the left, ride in the middle, bump at the right, or what stands for them."""
    size = INCH if display_unit in ("in", "ft") else 1.0
    droop, bump = -travel[0] / size, travel[-1] / size
    step = nice_step(max(droop, bump), 2)
    y = LOW + 16
    ride = at(0.0, 0.0)[0]
    pieces = [text("tq", (ride, y), "ride", "middle")]
    ends = [(LEFT, f"{readable(round(droop, 1), 1 if droop >= 10 else .5)} {feet[0]}", None),
            (RIGHT, f"{feet[1]} {readable(round(bump, 1), 1 if bump >= 10 else .5)}", "end")]
    taken = [(ride - 18, ride + 18)]
    for x, words, anchor in ends:
        width = text_width(words)
        taken.append((x, x + width) if anchor is None else (x - width, x))
        pieces.append(text("tq", (x, y), words, anchor))
    for i in range(1, int(min(droop, bump) / step + 1e-6) + 1):  # on both sides or on neither: one alone misleads
        pair = [at(sign * i * step * size, 0.0)[0] for sign in (-1, 1)]
        if all(x + 14 < a or x - 14 > b for x in pair for a, b in taken):
            pieces += [text("tq", (x, y), readable(i * step, step), "middle") for x in pair]
            taken += [(x - 12, x + 12) for x in pair]
    return pieces


def _letters(travel: Sequence[float], values: Values, band: tuple[float, float] | None, band_words: str,
             said: str, at: At, low: float, high: float) -> list[Markup]:
    """The value at ride height with its mark, and the band's name, both clear of the curve."""
    points = [at(travel[i], value) for i, value in enumerate(values) if value is not None]
    lettering = Lettering(WIDTH, HEIGHT, [(x - 5, y - 4, x + 5, y + 4) for x, y in points])
    pieces = []
    here = next((i for i, step in enumerate(travel) if step == 0), None)
    if here is not None and values[here] is not None:
        x, y = at(0.0, values[here] or 0.0)
        pieces.append(circle("litf", (x, y), 5))
        if said:
            pieces.append(lettering.put("tl t15", said, [
                ((x + 9, y - 9), None), ((x - 9, y - 9), "end"), ((x + 9, y + 20), None), ((x - 9, y + 20), "end"),
                ((x + 9, y - 24), None), ((x + 9, y + 34), None)], 15))
    if band is not None and min(band[1], high) > max(band[0], low):
        top, foot = at(0.0, min(band[1], high))[1], at(0.0, max(band[0], low))[1]
        pieces.append(lettering.put("ts", band_words, [
            ((RIGHT - 6, foot - 7), "end"), ((LEFT + 6, foot - 7), None), ((RIGHT - 6, top + 14), "end"),
            ((LEFT + 6, top + 14), None), ((RIGHT - 6, (top + foot) / 2), "end")]))
    return pieces


def _told(travel: Sequence[float], values: Values, unit: str, display_unit: str, title: str,
          feet: tuple[str, str] = ("droop", "bump")) -> str:
    """Droop, ride and bump in words."""
    known = [i for i, value in enumerate(values) if value is not None]
    if not known:
        return drawn_words.no_value_of(title or "Over travel")
    size = INCH if display_unit in ("in", "ft") else 1.0
    def said(i: int) -> str:
        where = "ride height" if travel[i] == 0 else \
            f"{readable(round(abs(travel[i]) / size, 1), 0.5)} {display_unit} {feet[travel[i] > 0]}"
        return f"{readable(round(values[i] or 0.0, 2), 0.01)} {unit} at {where}"
    picked = sorted({known[0], known[-1], *(i for i in known if travel[i] == 0)})
    bound = "" if len(known) == len(values) else drawn_words.LINKS_BIND
    return f"{title or 'Over travel'}: {', '.join(map(said, picked))}{bound}"


def spark(travel: Sequence[float], values: Values, sd: Values, unit: str = "") -> Markup:
    """The same small, beside a figure: 112 x 46, no axes."""
    low, high = _extent(values, sd)
    middle, half = (low + high) / 2, max((high - low) / 2, 1e-6)

    def at(i_travel: float, value: float) -> Pixel:
        share = (i_travel - travel[0]) / ((travel[-1] - travel[0]) or 1.0)
        return 4 + share * (SPARK_WIDTH - 8), SPARK_HEIGHT / 2 - (value - middle) / half * (SPARK_HEIGHT / 2 - 4)

    ride = at(0.0, 0.0)[0]
    pieces = [*_spread(travel, values, sd, at), line("hairl", (ride, 2), (ride, SPARK_HEIGHT - 2)),
              *(line("curve", *(at(travel[i], values[i] or 0.0) for i in run)) for run in runs(values))]
    here = next((i for i, step in enumerate(travel) if step == 0), None)
    if here is not None and values[here] is not None:
        pieces.append(circle("litf", at(0.0, values[here] or 0.0), 3.5))
    return drawing(SPARK_WIDTH, SPARK_HEIGHT, *pieces, class_="d spark", label=_told(travel, values, unit, "mm", ""))
