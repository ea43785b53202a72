"""One family of figures: a sentence, a picture, its figures, the axle moving, and its curves over the travel."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from flask import abort
from markupsafe import Markup

from capture.report import Report
from capture.screens import families, family_pictures, family_tables
from capture.screens.families import Family
from capture.screens.figure_rows import FigureRow, figure_row, kinds_of
from capture.screens.readings_said import Need, need
from capture.screens.room import RoomPage, report_now, room_address, shared
from capture.screens.sections import Choice, Section
from capture.screens.travelled import PATHS, Asked, CurveSaid, Sweep, Travelled


@dataclass(frozen=True, kw_only=True)
class FamilyPage(RoomPage):
    """below: a second drawing; views: other ways to look at the picture; doubted: something here rests on a reading in
    doubt; headlines: with rule and curve; rows: the other figures; sections:
    tables of its own; reasons: why a figure cannot be had; waits: what is missing."""

    family: Family
    picture: Markup
    below: Markup
    caption: str
    views: tuple[Choice, ...]
    doubted: bool
    headlines: tuple[FigureRow, ...]
    rows: tuple[FigureRow, ...]
    sections: tuple[Section, ...]
    sweep: Sweep | None
    curves: tuple[CurveSaid, ...]
    binds: tuple[str, ...]
    reasons: tuple[str, ...]
    waits: tuple[Need, ...]
    second_look: str
    empty: bool
    walk: str


def family_page(vehicle_id: str, key: str, query: Mapping[str, str]) -> FamilyPage:
    """404 for a family this vehicle does not have."""
    report, version = report_now(vehicle_id)
    vehicle = report.vehicle
    family = next((one for one in families.of_vehicle(vehicle.worked_axle) if one.key == key), None)
    if family is None:
        abort(404)
    asked = Asked.of(query)
    rows = [figure_row(vehicle_id, report, kind, kind.headline) for kind in kinds_of(report)
            if kind.family in family.groups]
    picture = family_pictures.of(family.key, report, query)
    sections = family_tables.of(family.key, vehicle_id, report, query)
    travelled = Travelled(report, asked)
    curves = tuple(curves_of(family, travelled))
    fields = shared(vehicle_id, "behaviour", report, version, family.title)
    fields["head"] = replace(fields["head"], back=room_address(vehicle_id, "behaviour"), back_words="Back to behaviour")
    address = families.address(vehicle_id, key)
    headline_keys = {kind.key for kind in kinds_of(report) if kind.headline}
    return FamilyPage(
        **fields,
        query=(("family", key), *family_tables.asked(query), *asked.query),
        family=family,
        picture=picture.drawing,
        below=picture.below,
        caption=picture.caption,
        doubted=any(one.doubted for one in (*rows, *curves, *(line for part in sections for line in part.lines))),
        views=family_pictures.views(family.key, address, report, query),
        headlines=tuple(row for row in rows if row.key in headline_keys and row.value is not None),
        rows=tuple(row for row in rows if row.key not in headline_keys and row.value is not None),
        sections=sections,
        sweep=travelled.sweep(address, family.view, lines=family.key in ("anti", "steering")) if family.view else None,
        curves=curves,
        binds=tuple(dict.fromkeys(said for path in PATHS for _, said in travelled.binds[path])) if family.view else (),
        reasons=tuple(dict.fromkeys(row.reason for row in rows if row.value is None and row.reason)),
        waits=waits_of(vehicle_id, report, [*(tuple(one.name for one in row.waits) for row in rows),
                                            *(section.needs for section in sections), *curve_needs(family, travelled)]),
        second_look=room_address(vehicle_id, "second-look"),
        empty=not report.stage_view.takes,
        walk=room_address(vehicle_id, "walk"),
    )


def curves_of(family: Family, travelled: Travelled) -> Iterator[CurveSaid]:
    """The curves that can be had."""
    for path, key, title in family.curves:
        curve = travelled.curve(path, travelled.columns[path].get(key), title)
        if curve is not None:
            yield curve


def curve_needs(family: Family, travelled: Travelled) -> Iterator[tuple[str, ...]]:
    """What the curves that cannot be had wait for."""
    for path, key, _ in family.curves:
        column = travelled.columns[path].get(key)
        if column is not None and (column.leans or not any(value is not None for value in column.values)):
            yield column.needs


def waits_of(vehicle_id: str, report: Report, waiting: Iterable[tuple[str, ...]]) -> tuple[Need, ...]:
    """What the family's figures, tables and curves wait for, each once, what most wait for first."""
    counts: dict[str, int] = {}
    for names in waiting:
        for name in names:
            counts[name] = counts.get(name, 0) + 1
    order = sorted(counts, key=lambda name: -counts[name])
    return tuple(need(vehicle_id, report.vehicle, name) for name in order)
