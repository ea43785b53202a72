"""From a report to its drawings: the one place where the screens meet `capture.drawings`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from markupsafe import Markup

from capture.report import Report

Address = Callable[[str], str]


def thumbnail(report: Report) -> Markup:
    return Markup('<svg class="d" viewBox="0 0 112 60" aria-hidden="true"></svg>')


def shape(report: Report, view: str, point: str, address: Address) -> Markup:
    return Markup()


def board(report: Report, point: str, address: Address) -> Markup:
    return Markup()


def rule(figure: Any, kind: Any, unit: str) -> Markup:
    return Markup()


def spark(report: Report, kind: Any) -> Markup:
    return Markup()


def curve(report: Report, kind: Any, column: Any) -> Markup:
    return Markup()


def construction(report: Report, kind: Any) -> Markup:
    return Markup()


def trust(report: Report, name: str) -> str:
    """How far a point is to be believed: "measured", "measured twice", "worked out", "guessed" or "in doubt"."""
    place = report.fit.placed()[name]
    if not place.known:
        return "guessed"
    return "measured"
