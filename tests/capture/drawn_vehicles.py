"""Made-up vehicles for looking at drawings: a layout's typical places, called measured or guessed as asked."""

from __future__ import annotations

from capture.drawings.lit import Step
from capture.drawings.marks import step_of
from capture.drawings.vehicle import GUESSED, MEASURED, Spot, Vehicle, layout_bars
from geometry.layouts import LAYOUTS
from geometry.points import points_of, typical_places
from geometry.readings import possible

SPREAD = ((9.0, 1.0, 0.0), (1.0, 16.0, 0.0), (0.0, 0.0, 4.0))
FAR = ((90000.0, 0.0, 0.0), (0.0, 90000.0, 0.0), (0.0, 0.0, 90000.0))
EXTRA = ("drag_link", "driveshaft")


def made_up(layout: str = "three_link_panhard", worked_axle: str = "front", measured: bool = True,
            unit: str = "in", tyre: float = 876.0) -> Vehicle:
    """A vehicle on its typical places; the driveshaft is always a guess."""
    points = points_of(layout, worked_axle)
    spots, typical = {}, {}
    for name, place in typical_places(layout, worked_axle, 2704.0, tyre).items():
        group = points[name].group
        solid = measured and group != "driveshaft"
        spot = Spot(name, *place, MEASURED if solid else GUESSED, SPREAD if solid else FAR, points[name].words)
        entered = group in ("links", "wheels") or (measured and group in EXTRA)
        (spots if entered else typical)[name] = spot
    bars = layout_bars(LAYOUTS[layout], {}, {**typical, **spots})
    cross = 700.0 if worked_axle == "front" else -700.0
    return Vehicle(worked_axle, spots, bars, tyre, tyre * 0.48, typical, cross, unit)


def every_step(layout: str = "three_link_panhard", worked_axle: str = "front") -> list[Step]:
    """One step for every reading that makes sense on the layout."""
    return [step_of(name, layout, worked_axle) for name in possible(layout, worked_axle)]
