"""What the axle will do: the headline figures, each on its rule, then the families of figures, one to open."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, render_template, request

from capture.screens import families
from capture.screens.behaviour_family import family_page
from capture.screens.behaviour_figure import opened
from capture.screens.figure_rows import FigureRow, figure_row, kinds_of
from capture.screens.room import RoomPage, report_now, room_address, shared
from capture.screens.travelled import Asked

blueprint = Blueprint("behaviour", __name__, template_folder="templates")


@dataclass(frozen=True, kw_only=True)
class BehaviourPage(RoomPage):
    """figures: headlines with a value; waiting: headlines without one; families: what can be opened."""

    figures: tuple[FigureRow, ...]
    waiting: tuple[FigureRow, ...]
    families: tuple[families.FamilyLink, ...]
    second_look: str
    empty: bool
    walk: str


@blueprint.get("/vehicles/<vehicle_id>/behaviour")
def page(vehicle_id: str) -> str:
    return render_template("behaviour.html", page=behaviour(vehicle_id))


@blueprint.get("/vehicles/<vehicle_id>/behaviour/<key>")
def one(vehicle_id: str, key: str) -> str:
    return render_template("figure.html", page=opened(vehicle_id, key, Asked.of(request.args)))


@blueprint.get("/vehicles/<vehicle_id>/behaviour/family/<key>")
def family(vehicle_id: str, key: str) -> str:
    return render_template("family.html", page=family_page(vehicle_id, key, request.args))


def fragment(vehicle_id: str, asked: dict[str, str]) -> str:
    """The room alone, for a page that follows the phone."""
    if key := asked.get("figure"):
        return render_template("_figure.html", page=opened(vehicle_id, key, Asked.of(asked)))
    if key := asked.get("family"):
        return render_template("_family.html", page=family_page(vehicle_id, key, asked))
    return render_template("_behaviour.html", page=behaviour(vehicle_id))


def behaviour(vehicle_id: str) -> BehaviourPage:
    report, version = report_now(vehicle_id)
    headlines = [figure_row(vehicle_id, report, kind) for kind in kinds_of(report) if kind.headline]
    return BehaviourPage(
        **shared(vehicle_id, "behaviour", report, version, "Behaviour"),
        figures=tuple(row for row in headlines if row.value is not None),
        waiting=tuple(row for row in headlines if row.value is None),
        empty=not report.stage_view.takes,
        walk=room_address(vehicle_id, "walk"),
        families=tuple(families.as_link(vehicle_id, one) for one in families.of_vehicle(report.vehicle.worked_axle)),
        second_look=room_address(vehicle_id, "second-look"),
    )
