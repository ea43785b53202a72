"""A layout in plan, drawn from its own typical places, so that a new layout needs no picture of its own."""

from __future__ import annotations

from functools import cache

from geometry.layouts import LAYOUTS
from geometry.points import typical_places
from markupsafe import Markup

WIDE, HIGH, HEAD = 48, 60, 11  # the picture, and where its axle stands
PER_MM = 0.034
RAIL = 11  # half the distance of the frame rails, in the picture


@cache
def pictogram(layout: str) -> Markup:
    """The links of a front axle seen from above, front up: an inline drawing of 48 by 60 units."""
    places = typical_places(layout, "front", 2700.0, 880.0)
    centre = places["wheel_left.centre"][0]

    def at(point: str) -> tuple[float, float]:
        x, y, _ = places[point]
        return round(WIDE / 2 - PER_MM * y, 1), round(HEAD + PER_MM * (centre - x), 1)

    lines, eyes = [], []
    for link in LAYOUTS[layout].links:
        frame = at(link.frame)
        ends = [at(end) for end in link.axle]
        lines.append(f'<path class="{"lit" if link.role == "panhard" else "ink"}" d="{_through([frame, *ends])}"/>')
        eyes += [f'<circle class="inkf" cx="{x}" cy="{y}" r="2.2"/>' for x, y in (frame, *ends)]
    rails = "".join(f'<path class="hairl" d="M{WIDE / 2 + side * RAIL} 14V56"/>' for side in (-1, 1))
    axle = f'<path class="ink" d="M4 {HEAD}H44"/>'
    return Markup(f'<svg class="d" viewBox="0 0 {WIDE} {HIGH}" aria-hidden="true">'
                  f"{rails}{axle}{''.join(lines)}{''.join(eyes)}</svg>")


def _through(corners: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x} {y}" for x, y in corners)
