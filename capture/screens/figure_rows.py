"""One figure as a page shows it: its number with give or take, what it means, how it stands to what is usual."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.figures import Band, Figure, FigureKind, catalogue
from markupsafe import Markup

from capture.report import Report
from capture.screens import ahead, figure_pictures, words
from capture.screens.filters import said, spread
from capture.screens.readings_said import Need, need
from capture.screens.room import room_address
from capture.screens.travelled import column_of


@dataclass(frozen=True)
class FigureRow:
    """value: None while the figure waits. spread: give or take, or from and to where it is lopsided. place: where it
    stands against the usual band. would_be: the figure under the likeliest correction, where it rests on a doubt."""

    key: str
    title: str
    href: str
    value: Markup | None
    spread: Markup
    meaning: str
    rule: Markup
    spark: Markup
    place: str
    band: str
    waits: tuple[Need, ...]
    reason: str
    lopsided: bool
    leans: bool
    convention: bool
    doubted: bool
    would_be: Markup
    remark: str = ""


def kinds_of(report: Report) -> tuple[FigureKind, ...]:
    """Every figure this vehicle can have, in the catalogue's order."""
    return tuple(kind for kind in catalogue(report.vehicle.layout, report.vehicle.worked_axle).values()
                 if kind.key in report.sheet.figures)


def figure_row(vehicle_id: str, report: Report, kind: FigureKind, drawn: bool = True) -> FigureRow:
    """drawn: with its rule and its small curve."""
    figure: Figure = report.sheet.figures[kind.key]
    unit, back = report.vehicle.display_unit, ahead.behind(kind.key, figure.value)
    figure = ahead.counted_back(figure) if back else figure
    known = figure.value is not None and figure.sd is not None
    shown = known and not figure.leans
    return FigureRow(
        key=kind.key,
        title=ahead.title(kind.title) if back else kind.title,
        href=f"{room_address(vehicle_id, 'behaviour')}/{kind.key}",
        value=said(figure.value, kind.unit, unit, signed(kind), figure.sd) if known else None,
        spread=give_or_take(figure, kind, unit) if known else Markup(),
        meaning=kind.meaning(figure.value, figure.sd) if shown else "",
        rule=figure_pictures.rule(figure, kind, unit) if shown and drawn else Markup(),
        spark=figure_pictures.spark(report, column_of(report, kind.key)) if shown and drawn else Markup(),
        place=words.AGAINST_BAND[against(kind.band, figure)] if shown and kind.band else "",
        band=words.band(kind.band, kind.unit, unit) if kind.band else "",
        waits=tuple(need(vehicle_id, report.vehicle, name) for name in figure.needs),
        reason=figure.reason or "",
        lopsided=figure.interval is not None,
        leans=known and figure.leans,
        convention=figure.convention,
        doubted=kind.key in report.doubted,
        would_be=would_be(report, kind),
        remark=figure.remark,
    )


def signed(kind: FigureKind) -> bool:
    """Whether a plus is written before a figure; not where the title says which way it counts."""
    return words.signed(kind.key) and kind.key not in ahead.KEYS


def give_or_take(figure: Figure, kind: FigureKind, unit: str) -> Markup:
    """"± 8", or "98 to 140 in" where a plain give or take would mislead."""
    if figure.interval is None:
        return spread(figure.sd, kind.unit, unit)
    low, high = (said(end, kind.unit, unit, signed(kind), figure.sd) for end in figure.interval)
    return Markup("{} to {}").format(low, high)


def would_be(report: Report, kind: FigureKind) -> Markup:
    """A doubted figure with every doubt settled as it most likely will be: "61 % ± 8"; nothing where it has none."""
    figure = report.corrected.get(kind.key)
    if figure is None or figure.value is None or figure.sd is None or figure.leans:
        return Markup()
    if ahead.behind(kind.key, report.sheet.figures[kind.key].value):
        figure = ahead.counted_back(figure)
    unit = report.vehicle.display_unit
    value = said(figure.value, kind.unit, unit, signed(kind), figure.sd)
    return value + " " + give_or_take(figure, kind, unit)


def against(usual: Band, figure: Figure) -> str:
    """Where a figure with its spread of two sd stands to the usual band: "above", "below", "inside" or "edge"."""
    low, high = figure.value - 2 * figure.sd, figure.value + 2 * figure.sd
    if usual.high is not None and low > usual.high:
        return "above"
    if usual.low is not None and high < usual.low:
        return "below"
    inside = (usual.low is None or low >= usual.low) and (usual.high is None or high <= usual.high)
    return "inside" if inside else "edge"
