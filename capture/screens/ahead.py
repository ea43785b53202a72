"""Distances along the vehicle said the way people say them: "115 in behind the axle", never ahead with a minus."""

from __future__ import annotations

from dataclasses import replace

from geometry.figures import Column, Figure

KEYS = ("instant_centre.x", "cg.x")
"""Figures and columns that count forward from the axle's centre."""


def behind(key: str, value: float | None) -> bool:
    """Whether what counts forward lies behind."""
    return key in KEYS and value is not None and value < 0


def title(said: str) -> str:
    """"Instant centre, behind the axle" for "Instant centre, ahead of the axle"."""
    return said.replace("ahead of", "behind").replace("ahead", "behind")


def counted_back(figure: Figure) -> Figure:
    """The same figure, counted to the rear."""
    ends = None if figure.interval is None else (-figure.interval[1], -figure.interval[0])
    return replace(figure, value=None if figure.value is None else -figure.value, interval=ends)


def column_as_said(key: str, column: Column, said: str) -> tuple[Column, str]:
    """A column with its title; counted to the rear where it lies behind the axle more often than ahead of it."""
    known = sorted(value for value in column.values if value is not None)
    if not known or not behind(key, known[len(known) // 2]):
        return column, said
    return replace(column, values=tuple(None if value is None else -value for value in column.values)), title(said)
