"""The screens, one module each with its templates in `templates/`. A new screen is its module and its name in `ALL`."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module

from flask import Blueprint

ALL: tuple[str, ...] = (
    "filters",
    "start",
    "let_in",
    "new",
    "photos",
    "walk_page",
    "measure",
    "second_look",
    "settle",
    "ready",
    "shape",
    "behaviour",
    "facts_page",
    "record",
    "as_built",
    "with_photos",
    "cut",
    "set_length",
    "table_page",
    "paper",
    "paper_in",
    "what_if",
    "plans_page",
    "holes_page",
    "aims_page",
    "stage",
    "close",
    "compare",
    "cautions_page",
    "fresh",
)


def blueprints() -> Iterator[Blueprint]:
    """Loads every screen. Until then this package holds nothing, so that one of its modules can be had alone."""
    for name in ALL:
        yield import_module(f"capture.screens.{name}").blueprint
