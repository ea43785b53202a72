"""Where two bodies come nearest: both in ink, the rest quiet, the spot ringed; the whole axle small in a corner."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from . import drawn_words
from .labels import Lettering
from .projection import LEFT, REAR, TOP_LEFT, Box, Place, View, Window, fitted
from .shape import grid, scale_bar
from .svg import Pixel, circle, drawing, element, join, line, rectangle, text

WIDTH, HEIGHT = 360.0, 250.0
KEY = (112.0, 84.0)
"""Width and height of the small view, px."""
LEAST_HALF = 330.0
"""mm each way that the large view shows at least."""
RING = 15.0
VIEWS = {"side": LEFT, "end": REAR, "top": TOP_LEFT}
ACROSS = {"side": 1, "end": 0, "top": 2}
"""Which part of a direction a view does not show."""


@dataclass(frozen=True)
class Drawn:
    """One body: two ends and a diameter, or the places whose hull it is. pair: one of the two it is about; still: it
    belongs to the frame and may run on far."""

    places: tuple[Place, ...]
    diameter: float
    pair: bool
    still: bool


def best_view(spots: Sequence[Place]) -> str:
    """The view that shows most of the way between two spots."""
    way = [abs(a - b) for a, b in zip(*spots, strict=True)]
    return min(("top", "end", "side"), key=lambda view: way[ACROSS[view]])


def tight_spot(bodies: Sequence[Drawn], spots: Sequence[Place], said: str, label: str, view: str, unit: str) -> Markup:
    """360 x 250. spots: the nearest places of both surfaces; said: the gap as it is lettered at the ring."""
    looking = VIEWS[view]
    middle = tuple(0.5 * (a + b) for a, b in zip(*spots, strict=True))
    window = _around(looking, middle, spots)
    at = window.at(middle)
    key = _key_window(looking, bodies)
    corner = (WIDTH - KEY[0] - 6, 6.0) if at[1] > HEIGHT / 3 or at[0] < WIDTH / 2 else (6.0, 6.0)
    box = (corner[0], corner[1], corner[0] + KEY[0], corner[1] + KEY[1])
    lettering = Lettering(WIDTH, HEIGHT, [box, (at[0] - RING, at[1] - RING, at[0] + RING, at[1] + RING)])
    x, y = at
    words = lettering.put("tl", said, [((x + RING + 6, y + 5), None), ((x - RING - 6, y + 5), "end"),
                                            ((x, y + RING + 20), "middle"), ((x, y - RING - 8), "middle")], 17)
    ends = [window.at(place) for place in spots]
    return drawing(
        WIDTH, HEIGHT, grid(window, unit), *_bodies(bodies, window), line("lit", *ends), circle("lit", at, RING),
        words, _small(bodies, key, middle, corner), scale_bar(window, unit, (8.0, HEIGHT - 12)),
        text("tq", (352, HEIGHT - 8), _looking(looking), "end"), label=label, class_="d tight")


def _around(view: View, middle: Place, spots: Sequence[Place]) -> Window:
    half = max(LEAST_HALF, 1.5 * max(abs(a - b) for a, b in zip(*spots, strict=True)))
    right, up = view.paper(middle)
    box = Box(right - half, right + half, up - half * 0.6, up + half * 0.6)
    return fitted(view, box, WIDTH, HEIGHT, 0, 0, 0, 0, 2.0)


def _key_window(view: View, bodies: Sequence[Drawn]) -> Window:
    """The whole axle, without what runs on far along the frame."""
    inside = [place for body in bodies for place in body.places if not body.still]
    return fitted(view, Box.around([view.paper(place) for place in inside]), *KEY, 5, 5, 5, 5)


def _small(bodies: Sequence[Drawn], window: Window, middle: Place, corner: Pixel) -> Markup:
    frame = rectangle("gr hair", 0, 0, *KEY, 4)
    pieces = element("svg", *_bodies(bodies, window), circle("lit thin", window.at(middle), 7.0), x=0.0, y=0.0,
                     width=KEY[0], height=KEY[1], viewBox=f"0 0 {KEY[0]:g} {KEY[1]:g}")
    return element("g", frame, pieces, transform=f"translate({corner[0]:g} {corner[1]:g})")


def _bodies(bodies: Sequence[Drawn], window: Window) -> Iterable[Markup]:
    for body in sorted(bodies, key=lambda body: (body.pair, bool(body.diameter))):
        yield _shape(body, window)


def _shape(body: Drawn, window: Window) -> Markup:
    pixels = [window.at(place) for place in body.places]
    style = "own" if body.pair else "link"
    if len(pixels) == 1:
        return circle("inkf" if body.pair else "ptq", pixels[0], 4.0)
    if not body.diameter:
        return line(f"{style} bare" if not body.pair else style, *hull(pixels), close=True)
    width = max(body.diameter * window.scale, 2.5)
    (x1, y1), (x2, y2) = pixels
    outer, inner = ("tube", "bore") if body.pair else ("tube quiet-tube", "bore")
    ends = {"x1": x1, "y1": y1, "x2": x2, "y2": y2}
    return join((element("line", class_=outer, stroke_width=width + 1.6, **ends),
                 element("line", class_=inner, stroke_width=max(width - 1.6, 0.8), **ends)))


def hull(pixels: Sequence[Pixel]) -> list[Pixel]:
    """The outline round points on the paper, in order (monotone chain)."""
    points = sorted(set(pixels))
    if len(points) < 3:
        return points

    def half(line_of: Iterable[Pixel]) -> list[Pixel]:
        chain: list[Pixel] = []
        for point in line_of:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
                chain.pop()
            chain.append(point)
        return chain[:-1]

    return half(points) + half(reversed(points))


def _turn(one: Pixel, two: Pixel, three: Pixel) -> float:
    return (two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])


def _looking(view: View) -> str:
    return {"left": "front at left", "top_left": drawn_words.FRONT_AT_LEFT}.get(view.key, "seen from behind")
