"""The few words of SVG the drawings are written with: numbers to a tenth of a pixel, every text escaped."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from markupsafe import Markup, escape

Pixel = tuple[float, float]
"""x to the right, y down, in the drawing's own pixels."""

FRACTION = re.compile(r"(?:(?<=\d) )?(?<![\d/])(\d{1,2})/(\d{1,2})(?![\d/])")


def number(value: float) -> str:
    """A coordinate to 0.1 px, as short as it can be written, and never a minus zero."""
    text = f"{value:.1f}"
    if text.endswith(".0"):
        text = text[:-2]
    return "0" if text == "-0" else text


def element(tag: str, *inside: str, **attributes: object) -> Markup:
    """One element. `class_` becomes class, other underscores hyphens; None leaves an attribute out, True is bare."""
    words = [tag]
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        name = key.rstrip("_").replace("_", "-")
        if value is True:
            words.append(name)
            continue
        words.append(f'{name}="{number(value) if isinstance(value, float) else escape(str(value))}"')
    opening = " ".join(words)
    content = join(inside)
    if content or tag in {"text", "g", "a", "defs", "svg"}:
        return Markup(f"<{opening}>{content}</{tag}>")
    return Markup(f"<{opening}/>")


def join(pieces: Iterable[str]) -> Markup:
    """Pieces of drawing one after the other; plain text among them is escaped."""
    return Markup("").join(pieces)


def path(class_: str, commands: str, **attributes: object) -> Markup:
    return element("path", class_=class_, d=commands, **attributes)


def line(class_: str, *points: Pixel, close: bool = False) -> Markup:
    """A line through the points."""
    return path(class_, through(points) + ("Z" if close else ""))


def through(points: Sequence[Pixel]) -> str:
    """Path commands of a polyline."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def circle(class_: str, centre: Pixel, radius: float) -> Markup:
    return element("circle", class_=class_, cx=float(centre[0]), cy=float(centre[1]), r=float(radius))


def rectangle(class_: str, x: float, y: float, width: float, height: float, corner: float = 0.0) -> Markup:
    return element("rect", class_=class_, x=float(x), y=float(y), width=float(width), height=float(height),
                   rx=float(corner) if corner else None)


def text(class_: str, at: Pixel, words: str, anchor: str | None = None, **attributes: object) -> Markup:
    """Lettering. `n/m` in the words is set as a fraction, as on a drawing. anchor: None, "middle" or "end"."""
    return element("text", lettered(words), class_=class_, text_anchor=anchor, x=float(at[0]), y=float(at[1]),
                   **attributes)


def lettered(words: str) -> Markup:
    """Words with raised numerators and lowered denominators; a screen reader still hears n/m."""
    pieces: list[str] = []
    after = 0
    for found in FRACTION.finditer(words):
        pieces.append(words[after:found.start()])
        pieces.append(Markup(
            '<tspan dx="1.5" dy="-.3em" font-size="72%">{}</tspan><tspan dy=".16em" font-size="86%">/</tspan>'
            '<tspan dy=".16em" font-size="72%">{}</tspan><tspan dy="-.02em">\u200b</tspan>'
        ).format(found[1], found[2]))
        after = found.end()
    pieces.append(words[after:])
    return join(pieces)


def drawing(width: float, height: float, *inside: str, label: str | None = None, class_: str = "d",
            role: str = "img", **attributes: object) -> Markup:
    """A whole drawing. With a label it is announced by it; without, it is hidden from a screen reader."""
    hidden = None if label else "true"
    return element("svg", *inside, class_=class_, viewBox=f"0 0 {number(width)} {number(height)}",
                   role=role if label else None, aria_label=label, aria_hidden=hidden, **attributes)


def diamond(class_: str, centre: Pixel, radius: float) -> Markup:
    x, y = centre
    return line(class_, (x, y - radius), (x + radius, y), (x, y + radius), (x - radius, y), close=True)


def doubt_mark(corner: Pixel, scale: float = 1.0) -> Markup:
    """The diamond with its question mark, 18 px square at scale 1; `corner` is its upper left."""
    moved = f"translate({number(corner[0])} {number(corner[1])})"
    if scale != 1.0:
        moved += f" scale({number(scale)})"
    return element(
        "g",
        path("doubtf", "M9 .5 17.5 9 9 17.5 .5 9Z"),
        path("qm", "M6.8 7.2q0-2.3 2.2-2.3t2.2 2q0 1.3-1.2 2-.9.6-.9 1.5M9.05 12.3v.9"),
        transform=moved,
    )


def arrow_head(class_: str, tip: Pixel, towards: Pixel, length: float = 9.0, width: float = 6.4) -> Markup:
    """A slim filled head whose point is at `tip`; `towards` lies on the shaft."""
    dx, dy = towards[0] - tip[0], towards[1] - tip[1]
    far = (dx * dx + dy * dy) ** 0.5 or 1.0
    dx, dy = dx / far, dy / far
    foot = (tip[0] + dx * length, tip[1] + dy * length)
    half = width / 2
    return line(class_, tip, (foot[0] - dy * half, foot[1] + dx * half), (foot[0] + dy * half, foot[1] - dx * half),
                close=True)
