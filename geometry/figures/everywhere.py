"""All places the axle gets to, droop to bump and one wheel up with the other down: what is greatest or least there.

Only the fitted vehicle goes everywhere. Where something is at its most, the nudged ones follow it to that one place:
the derivative of a greatest value is the derivative at the place where it is greatest. Drawn or moved vehicles, which
are vehicles of their own, all go everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from geometry.complex_step import Complex
from geometry.figures import figure_words
from geometry.figures.base import NotYet
from geometry.figures.ride import Ride
from geometry.figures.taken import Taken
from geometry.figures.travel import crossed, stops
from geometry.frame import Array
from geometry.unbroken import unbroken

SHARES = np.array([0.25, 0.5, 0.75, 1.0])
"""Of the way of one wheel alone."""
KEPT_AS = b"everywhere"
"""Among the poses a ride keeps."""
Quantity = Callable[[Ride, Taken], Complex]
"""Something that changes on the way: (P, T) for P vehicles at T places."""


@dataclass(frozen=True)
class Everywhere:
    """Vehicles at every place they all reach: the fitted one alone, or all the drawn ones.

    complete: False where the links stop one of them on the way. followed: nudged ones that were taken there too.
    """

    ride: Ride
    at: Taken
    complete: bool
    followed: dict[int, Taken] = field(default_factory=dict)

    def places(self, ride: Ride, steps: tuple[int, ...]) -> Taken:
        """The nudged vehicles (P, ...) at some of the places. No equation is solved anew."""
        chosen, at = list(steps), self.at
        pose, closure = at.pose.at(chosen), at.closure.at(chosen)
        return Taken.followed(ride.rig, Taken(at.travel[chosen], at.lift[chosen], pose, closure, at.rig))

    def place(self, ride: Ride, step: int) -> Taken:
        """The nudged vehicles at one place, followed there once."""
        if step not in self.followed:
            self.followed[step] = self.places(ride, (step,))
        return self.followed[step]


def everywhere(ride: Ride) -> Everywhere:
    """The places of a vehicle, worked out once. NotYet where its links leave it loose.

    The ride itself keeps them: they lead back to it, so that whoever else kept them would keep it for ever.
    """
    found: Everywhere | None = ride.taken.get(KEPT_AS)
    if found is None:
        found = ride.taken[KEPT_AS] = _gone_everywhere(ride)
    return found


def nudged(ride: Ride) -> bool:
    """Whether these are one vehicle nudged, and not vehicles of their own."""
    return bool(np.iscomplexobj(ride.centre))


def _gone_everywhere(ride: Ride) -> Everywhere:
    ride.heave  # noqa: B018  says NotYet where the links leave the axle loose at ride height already
    alone = ride.alone() if nudged(ride) else ride
    travel, lift = (np.concatenate(parts) for parts in zip(*_ways(ride), strict=True))
    swept = unbroken(alone.rig, travel, lift)
    reached = swept.reached
    if not reached.any():
        raise NotYet((), figure_words.NONE_OF_THESE)
    at = Taken(travel[reached], lift[reached], swept.pose.at(reached), swept.closure.at(reached), alone.rig)
    return Everywhere(alone, at, bool(reached.all()))


def _ways(ride: Ride) -> tuple[tuple[Array, Array], ...]:
    """Ways out from ride height, travel and lift of each: both wheels up, both down, left one up, right one up; for
    bodies that come near each other also one wheel alone, up or down."""
    up, (rise, lift) = stops(ride), crossed(ride)
    heave = [(part, np.zeros_like(part)) for part in (up[up >= 0], up[up < 0])]
    ways = [*heave, *((rise[side], lift[side]) for side in (lift > 0, lift < 0))]
    if ride.each_wheel:
        for stop in (up.max(), up.min()):
            alone = stop * SHARES
            ways += [(0.5 * alone, side * alone) for side in (1.0, -1.0)]
    return tuple(ways)


@dataclass(frozen=True)
class Most:
    """The most of a quantity: its value for P nudged vehicles, and where it is so (travel and lift, mm)."""

    value: Complex
    travel: float
    lift: float


def greatest(ride: Ride, quantity: Quantity) -> Most:
    """The greatest value on the way. nan where it cannot be had anywhere."""
    whole = everywhere(ride)
    seen = np.asarray(quantity(whole.ride, whole.at)).real
    first = np.where(np.isnan(seen[0]), -np.inf, seen[0])
    step = int(first.argmax())
    travel, lift = float(whole.at.travel[step]), float(whole.at.lift[step])
    if not nudged(ride):
        return Most(seen.max(axis=1), travel, lift)
    return Most(np.asarray(quantity(ride, whole.place(ride, step)))[:, 0], travel, lift)


def least(ride: Ride, quantity: Quantity) -> Most:
    """The least value on the way. nan where it cannot be had anywhere."""
    most = greatest(ride, lambda at_ride, at: -quantity(at_ride, at))
    return Most(-most.value, most.travel, most.lift)
