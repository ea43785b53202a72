"""What is lit for one reading: the dimension with its arrows, the plumb line, the lit points, the place of the value.

Each shape says three things of a step: which places must be seen, between which two places the asked dimension runs
(so that a window can be chosen), and how it is drawn in that window. Glow goes below the vehicle, the rest above.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from geometry.readings import describe, parse_name

from . import lit_angles as angles
from . import lit_lengths as lengths
from . import lit_wholes as wholes
from .lit import Lit, Reach, Step, spots_of
from .projection import LEFT, RIGHT, View, Window
from .vehicle import Vehicle


@dataclass(frozen=True)
class Shape:
    """A way of lighting a dimension. views: where it can be seen, best first. floor: the floor must be in the window.
    whole: the whole vehicle is shown. close: no length is asked, so the window comes close by itself."""

    reach: Callable[[Vehicle, Step], Reach]
    draw: Callable[[Vehicle, Step, Window], Lit]
    views: tuple[str, ...]
    floor: bool = True
    whole: bool = False
    close: bool = False


SHAPES: dict[str, Shape] = {
    "height": Shape(lengths.height_reach, lengths.height, ("side",)),
    "plumb": Shape(lengths.height_reach, lengths.height, ("side",)),
    "fore_aft": Shape(lengths.fore_aft_reach, lengths.fore_aft, ("side",)),
    "lateral": Shape(lengths.lateral_reach, lengths.lateral, ("top",), floor=False),
    "span": Shape(lengths.pair_reach, lengths.span, ("side", "front", "top"), floor=False),
    "across": Shape(lengths.pair_reach, lengths.across, ("top", "front"), floor=False),
    "floor_span": Shape(lengths.pair_reach, lengths.floor_span, ("top",), floor=False),
    "rise": Shape(lengths.pair_reach, lengths.rise, ("side", "front"), floor=False),
    "incline": Shape(lengths.pair_reach, angles.incline, ("side", "front"), floor=False),
    "shaft": Shape(angles.shaft_reach, angles.shaft, ("side",), floor=False, close=True),
    "caster": Shape(angles.caster_reach, angles.caster, ("side",), floor=False, close=True),
    "floor_slope": Shape(angles.floor_slope_reach, angles.floor_slope, ("side",), whole=True),
    "wheelbase": Shape(wholes.wheelbase_reach, wholes.wheelbase, ("side",), whole=True),
    "diameter": Shape(wholes.tyre_reach, wholes.diameter, ("side",)),
    "circumference": Shape(wholes.tyre_reach, wholes.circumference, ("side",)),
    "weight": Shape(wholes.weight_reach, wholes.weight, ("top",), floor=False, whole=True),
    "travel": Shape(wholes.travel_reach, wholes.travel, ("side",)),
    "cg_height": Shape(wholes.cg_reach, wholes.cg, ("side",), whole=True),
    "none": Shape(wholes.nothing_reach, wholes.nothing, ("side",), whole=True),
}


def step_of(reading: str, layout: str, worked_axle: str) -> Step:
    """The step for a reading's name, with the kind's own view, shape and words. Errors: geometry's BadName."""
    name = parse_name(reading, layout, worked_axle)
    told = describe(name)
    return Step(reading, name.kind.shape, told.view, name.points, told.short, name.subject)


def lights(step: Step) -> Shape:
    """How a reading is drawn: an incline between no points is a shaft's; an unknown shape shows the vehicle alone."""
    if step.shape == "incline" and not step.points:
        return SHAPES["shaft"]
    return SHAPES.get(step.shape, SHAPES["none"])


def side_view(vehicle: Vehicle, step: Step) -> View:
    """Seen from the side one stands on; a point in the middle from the left."""
    sides = [spot.side for spot in spots_of(vehicle, step) if spot.side]
    if not sides and step.subject in ("left", "right"):
        sides = [1 if step.subject == "left" else -1]
    return RIGHT if sides and sides[0] < 0 else LEFT
