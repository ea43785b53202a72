"""Distances along and across said the way people say them: "115 in behind the axle", never ahead with a minus."""

from __future__ import annotations

from dataclasses import replace

from geometry.figures import Column, Figure

KEYS = ("instant_centre.x", "cg.x", "cg.y")
"""Figures and columns that count forward from the axle's centre, or to the left of the centreline."""


def behind(key: str, value: float | None) -> bool:
    """Whether what counts forward lies behind, or what counts to the left lies to the right."""
    return key in KEYS and value is not None and value < 0


def title(said: str) -> str:
    """"Instant centre, behind the axle" for "Instant centre, ahead of the axle"; right for left."""
    return said.replace("ahead of", "behind").replace("ahead", "behind").replace("left of", "right of")


def counted_back(figure: Figure) -> Figure:
    """The same figure, counted the other way."""
    ends = None if figure.interval is None else (-figure.interval[1], -figure.interval[0])
    return replace(figure, value=None if figure.value is None else -figure.value, interval=ends)


def column_as_said(key: str, column: Column, said: str) -> tuple[Column, str]:
    """A column with its title; counted to the rear where it lies behind the axle more often than ahead of it."""
    known = sorted(value for value in column.values if value is not None)
    if not known or not behind(key, known[len(known) // 2]):
        return column, said
    return replace(column, values=tuple(None if value is None else -value for value in column.values)), title(said)
