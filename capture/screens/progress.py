"""How far the walk of a vehicle is, for the list of vehicles and the title block."""

from __future__ import annotations

from markupsafe import Markup

from capture.report import Report
from capture.screens.walking import Walking
from capture.walk import Count


def progress(vehicle_id: str, report: Report, version: int) -> Count:
    """Core steps of the walk and whatever else was read, at the report's stage."""
    return Walking(vehicle_id, report, version, report.stage).progress.count()


def progress_cell(vehicle_id: str, report: Report, version: int) -> Markup:
    """The same in the title block's cell."""
    count = progress(vehicle_id, report, version)
    return Markup("<span><b>{}</b>of {}</span>").format(count.done, count.of)
