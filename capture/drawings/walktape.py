"""Progress as a tape along the top: one tick a reading, longer where a station begins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from .svg import drawing, number, path

PHONE, WIDE = 360.0, 1280.0
HEIGHT = 14.0
WAITING, DONE, NOW, DOUBT = "waiting", "done", "now", "doubt"


@dataclass(frozen=True)
class Tick:
    """One reading: state "done", "waiting", "now" or "doubt"; first: a station begins here."""

    state: str
    first: bool = False


def walk_tape(ticks: Sequence[Tick], width: float = PHONE, label: str | None = None) -> Markup:
    """The tape, 360 or 1280 px wide. Ticks of a kind are one path each, so that a long walk stays light."""
    margin = 8.7 if width <= PHONE else 15.9
    gap = (width - 2 * margin) / max(len(ticks) - 1, 1)
    ink, hair, over = "", "", []
    for i, tick in enumerate(ticks):
        x = margin + i * gap
        stroke = f"M{number(x)} 0v{13 if tick.first else 8}"
        if tick.state == NOW:
            over.append(path("lit", f"M{number(x)} 0V14"))
            over.append(path("litf", f"M{number(x - 4)} 0h8l-4 6Z"))
        elif tick.state == DOUBT:
            over.append(path("doubtf", f"M{number(x)} 1l4 5-4 5-4-5Z"))
        elif tick.state == DONE:
            ink += stroke
        else:
            hair += stroke
    taken = sum(tick.state in (DONE, DOUBT) for tick in ticks)
    doubts = sum(tick.state == DOUBT for tick in ticks)
    told = label or f"{taken} of {len(ticks)} readings taken" + (f", {doubts} in doubt" if doubts else "")
    pieces = [path(style, marks) for style, marks in (("hairl", hair), ("ink", ink)) if marks]
    size = "phone" if width <= PHONE else "wide"
    return drawing(width, HEIGHT, *pieces, *over, label=told, class_=f"d walktape {size}")
