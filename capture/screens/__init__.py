"""The screens, one module each with its templates in `templates/`. A new screen is its module and its line in `ALL`."""

from __future__ import annotations

from flask import Blueprint

from capture.screens import (
    as_built,
    behaviour,
    cut,
    facts_page,
    filters,
    fresh,
    let_in,
    measure,
    new,
    photos,
    ready,
    record,
    second_look,
    paper,
    paper_in,
    set_length,
    settle,
    shape,
    start,
    walk_page,
)

ALL: tuple[Blueprint, ...] = (
    filters.blueprint,
    start.blueprint,
    table_page,
    let_in.blueprint,
    new.blueprint,
    photos.blueprint,
    walk_page.blueprint,
    measure.blueprint,
    second_look.blueprint,
    settle.blueprint,
    ready.blueprint,
    shape.blueprint,
    behaviour.blueprint,
    facts_page.blueprint,
    record.blueprint,
    as_built.blueprint,
    cut.blueprint,
    set_length.blueprint,
    fresh.blueprint,
)
    table_page.blueprint,
    paper.blueprint,
    paper_in.blueprint,
    what_if.blueprint,
    plans_page.blueprint,
    holes_page.blueprint,
    stage.blueprint,
    close.blueprint,
    cautions_page.blueprint,
