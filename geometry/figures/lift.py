"""How well raising one end tells the height of the centre of gravity, before anybody lifts anything.

The height follows from the weight that moves: h = r + L dF / (W tan(angle)), angle = asin(rise / L), the axle lift of
ISO 10392 with its wheel-radius term. Its spread is first order in every reading; it falls about as one over the rise
and ends at what the level weights and the radius leave.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.complex_step import STEP
from geometry.figures import anti
from geometry.figures.base import Facts, NotYet
from geometry.figures.ride import Ride
from geometry.figures.spread import covariance
from geometry.fit import Fit
from geometry.readings import parse_name
from geometry.readings.weight import LEAST_KG

STEEPEST = 0.5
"""Rise over wheelbase, 30 deg: nobody raises a vehicle further."""
STEP_MM = 10.0


@dataclass(frozen=True)
class Weighed:
    """A vehicle about to be lifted: kg and mm. staying: the level load of the end that stays down; height: the guess.

    sd_weights kg: of the staying end's level load, of the raised one's, and of the weight left with that end raised.
    sd_rise, sd_radius, sd_wheelbase mm.
    """

    staying: float
    raised: float
    wheelbase: float
    radius: float
    height: float
    sd_weights: tuple[float, float, float] = (5.0, 5.0, 5.0)
    sd_rise: float = 3.0
    sd_radius: float = 3.0
    sd_wheelbase: float = 3.0


@dataclass(frozen=True)
class LiftSpread:
    """What one lift would tell: rise mm, angle deg, kg that move to the scales, one sd of the height, mm."""

    rise: float
    angle: float
    moved: float
    sd: float


def rear_to_lift(fit: Fit, wheelbase: tuple[float, float], height: float) -> Weighed | None:
    """A fitted vehicle whose rear is to be raised, with its readings' own spreads; None where an end weighs nothing.

    wheelbase: with its sd. The weight left counts as such a reading will, or as the level ones where theirs was stated.
    """
    (front, rear), (sd_front, sd_rear) = fit.predict(["weight:front", "weight:rear"])
    if not min(front, rear) > LEAST_KG:
        return None
    stated = any(seen.sd is not None for seen in fit.observations if seen.name.startswith("weight:"))
    usual = parse_name("lifted_weight:front", fit.setup.layout, fit.setup.worked_axle).kind.sd(float(front))
    weights = float(sd_front), float(sd_rear), float(min(usual, sd_front) if stated else usual)
    at = fit.slot["tyre.loaded_radius"]
    return Weighed(
        float(front), float(rear), wheelbase[0], fit.tyre_radius, height, weights,
        sd_radius=float(np.sqrt(fit.covariance[at, at])), sd_wheelbase=wheelbase[1],
    )  # fmt: skip


def height_from_lift(
    staying: float, raised: float, lifted: float, rise: float, wheelbase: float, radius: float
) -> float:
    """Height of the centre of gravity, mm. staying, raised: level loads; lifted: the first with the other end up, kg.

    Errors: ValueError where the rise does not fit the wheelbase or nothing is weighed.
    """
    total = staying + raised
    if not (total > 0.0 and 0.0 < abs(rise) < wheelbase):
        raise ValueError(f"a rise of {rise} mm at a wheelbase of {wheelbase} mm and {total} kg tells no height")
    return radius + wheelbase * (lifted - staying) / (total * math.tan(math.asin(rise / wheelbase)))


def lift_spread(vehicle: Weighed, rises: Sequence[float]) -> tuple[LiftSpread, ...]:
    """The spread of the height for each rise, mm. Rises of nought or beyond 30 deg are left out."""
    return tuple(_one(vehicle, rise) for rise in rises if 0.0 < rise <= STEEPEST * vehicle.wheelbase)


def rise_for(vehicle: Weighed, wanted: float) -> LiftSpread | None:
    """The least rise in whole steps of 10 mm whose sd is `wanted` mm or less; None where 30 deg are not enough."""
    count = int(STEEPEST * vehicle.wheelbase / STEP_MM)
    found = lift_spread(vehicle, [STEP_MM * step for step in range(1, count + 1)])
    return next((one for one in found if one.sd <= wanted), None)


def height_enough(fit: Fit, facts: Facts) -> float | None:
    """The sd of the height, mm, at which it leaves as much doubt in the anti figure as all other readings together.

    A surer height than that is hardly worth a higher lift. None where the anti figure cannot be had yet.
    """
    with np.errstate(all="ignore"):
        ride = Ride(fit, facts)
        try:
            figure = anti.geometric(ride)
        except NotYet:
            return None
        rest = np.where(ride.unknowns == fit.slot["cg.z"], 0.0, figure.imag / STEP)
        others = float(np.sqrt(np.maximum(rest @ covariance(ride) @ rest, 0.0)))
        value, height = abs(float(figure.real[0])), float(ride.cg_height.real[0])
        found = height * others / value if value > 0.0 else np.inf
    return found if np.isfinite(found) and found > 0.0 else None


def _one(vehicle: Weighed, rise: float) -> LiftSpread:
    total, arm = vehicle.staying + vehicle.raised, vehicle.height - vehicle.radius
    level = vehicle.wheelbase**2 - rise**2
    slope = rise / math.sqrt(level)
    by_lifted = vehicle.wheelbase / (total * slope)
    sd_staying, sd_raised, sd_left = vehicle.sd_weights
    parts = (
        by_lifted * sd_left,
        (by_lifted + arm / total) * sd_staying,
        arm / total * sd_raised,
        vehicle.sd_radius,
        arm * vehicle.wheelbase**2 / (level * rise) * vehicle.sd_rise,
        arm * (1.0 / vehicle.wheelbase + vehicle.wheelbase / level) * vehicle.sd_wheelbase,
    )
    moved = total * arm * slope / vehicle.wheelbase
    return LiftSpread(rise, math.degrees(math.asin(rise / vehicle.wheelbase)), moved, math.hypot(*parts))
