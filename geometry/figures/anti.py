"""Side view under braking and driving: the instant centre and the anti figures.

The line from the mean contact point to the instant centre, over cg height by wheelbase, says how much of the load
transfer the links carry at once (usual textbook construction, e.g. Gillespie, Fundamentals of Vehicle Dynamics, ch. 7,
from memory). A solid axle carries brake and drive torque in its housing, so both use the same line.

On request the axle's own mass is counted too. Of the whole vehicle's mass m the axle with its wheels is mu; under an
acceleration a the floor pushes it with share m a along the path of the contact point, and its own inertia mu a pulls it
back along the path of its centre. By virtual work in heave the links then carry, of the load transfer m a h / L,

    100 (share s - mu/m s_centre) L / h   per cent,

with s the slope of the contact point's path and s_centre that of the axle centre's, both towards the axle's own end.
Without the second term it is the usual textbook figure, which neglects the axle's mass.
"""

from __future__ import annotations

import numpy as np

from geometry import motion
from geometry.complex_step import Complex
from geometry.figures import figure_words
from geometry.figures.base import Band, FigureKind, NotYet
from geometry.figures.ride import Ride

FAR_MM = 50_000.0


CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
LOADS = tuple(f"load.{corner}" for corner in CORNERS)


def centre_of_heave(rise: motion.Motion, centre: Complex) -> tuple[Complex, Complex]:
    """The instant centre in the vertical plane along the vehicle through the axle's centre: x and z, (P, T) mm.

    There the velocity in heave has no part in the plane: v + w x r = 0. Infinite (nan or huge) where w_y is 0.
    """
    with np.errstate(all="ignore"):
        ahead = rise.velocity[..., 2] / rise.spin[..., 1]
        below = rise.velocity[..., 0] / rise.spin[..., 1]
    return centre[..., 0] + ahead, centre[..., 2] - below


def instant_centre_x(ride: Ride) -> Complex:
    """Vehicle frame, mm, + ahead of the worked axle."""
    return _instant_centre(ride)[0] - ride.centre[:, 0]


def instant_centre_z(ride: Ride) -> Complex:
    """Above the floor, mm."""
    return _instant_centre(ride)[1]


def _instant_centre(ride: Ride) -> tuple[Complex, Complex]:
    x, z = centre_of_heave(ride.heave, ride.centre[:, None])
    far = np.hypot((x[0, 0] - ride.centre[0, 0]).real, (z[0, 0] - ride.centre[0, 2]).real)
    if not far <= FAR_MM:
        raise NotYet((), figure_words.NEARLY_PARALLEL)
    return x[:, 0], z[:, 0]


def geometric(ride: Ride) -> Complex:
    """100 s L / h, %, before any share."""
    return percent(ride, ride.heave, ride.rig.contact[:, None])[:, 0]


def percent(ride: Ride, rise: motion.Motion, contact: Complex) -> Complex:
    """100 s L / h for a velocity in heave and the mean contact point from the centre, (P, T)."""
    return 100.0 * ride.slope(rise, contact) * (ride.wheelbase / ride.cg_height)[:, None]


def braking(ride: Ride) -> Complex:
    """The geometric figure times this axle's share of braking, %."""
    return carried(ride, ride.heave, ride.rig.contact[:, None], "brake_share_front")[:, 0]


def driving(ride: Ride) -> Complex:
    """The geometric figure times this axle's share of driving, %."""
    return carried(ride, ride.heave, ride.rig.contact[:, None], "drive_share_front")[:, 0]


def carried(ride: Ride, rise: motion.Motion, contact: Complex, fact: str) -> Complex:
    """What the links carry of the load transfer at a pose, %, (P, T): the axle's share, and its own mass on request."""
    _wait_for_all(ride, fact)
    whole = _share(ride, fact) * percent(ride, rise, contact)
    if not ride.facts.anti_counts_unsprung:
        return whole
    own = own_share(ride)
    return np.asarray(whole - own[:, None] * percent(ride, rise, np.zeros_like(contact)))


def own_share(ride: Ride) -> Complex:
    """The axle's own mass over the vehicle's, (P,). NotYet names what it waits for."""
    mass = ride.facts.unsprung_mass
    if mass is None:
        raise NotYet((*ride.missing(*LOADS), "unsprung_mass"))
    total = np.asarray(sum(ride.scalar(load) for load in LOADS))
    if not float(total[0].real) > mass:
        raise NotYet((), figure_words.AXLE_TOO_HEAVY)
    return np.asarray(mass / total)


def _wait_for_all(ride: Ride, fact: str) -> None:
    """NotYet with everything a shared figure waits for, readings first."""
    counts_own = ride.facts.anti_counts_unsprung
    stated = (fact, "unsprung_mass") if counts_own else (fact,)
    unsaid = tuple(name for name in stated if getattr(ride.facts, name) is None)
    needs = (*ride.missing("cg.z", *(LOADS if counts_own else ())), *unsaid)
    if needs:
        raise NotYet(needs)


def _share(ride: Ride, fact: str) -> float:
    front = float(getattr(ride.facts, fact))
    return front if ride.front else 1.0 - front


def _remark(ride: Ride) -> str:
    """What is said beside a shared figure that counts the axle's own mass."""
    return figure_words.COUNTS_OWN_MASS if ride.facts.anti_counts_unsprung else ""


def figures(layout_name: str, worked_axle: str) -> tuple[FigureKind, ...]:
    """Every figure of this family for an axle."""
    front = worked_axle == "front"
    brake = (
        FigureKind(
            "anti_dive", "%", "anti", "Anti-dive", braking, _says_dive,
            Band(20.0, 60.0, "usual on the road", other_view="trail vehicles are often built with 0 to 30"), True,
            remark=_remark,
        )
        if front
        else FigureKind("anti_lift_braking", "%", "anti", "Anti-lift, braking", braking, _says_lift_braking,
                        remark=_remark)
    )  # fmt: skip
    drive = (
        FigureKind("anti_lift_driving", "%", "anti", "Anti-lift, driving", driving, _says_lift_driving,
                   remark=_remark)
        if front
        else FigureKind(
            "anti_squat", "%", "anti", "Anti-squat", driving, _says_squat,
            Band(50.0, 100.0, "usual", other_view="crawlers often 60 to 90, some builders 100 to 120 for climbs"), True,
            remark=_remark,
        )
    )  # fmt: skip
    return (
        brake,
        drive,
        FigureKind("anti_geometric", "%", "anti", "Anti figure before any share", geometric, _says_geometric),
        FigureKind("instant_centre.x", "mm", "anti", "Instant centre, ahead of the axle", instant_centre_x, _says_ic),
        FigureKind("instant_centre.z", "mm", "anti", "Instant centre, above the floor", instant_centre_z, _says_ic),
    )


def _tenths(value: float) -> str:
    names = ("none", "a tenth", "two tenths", "three tenths", "four tenths", "half", "six tenths", "seven tenths",
             "eight tenths", "nine tenths", "all")  # fmt: skip
    return names[min(10, max(0, round(value / 10)))]


def _says_dive(value: float, sd: float) -> str:
    if value < -5:
        return figure_words.BRAKING_PULLS_DOWN
    if value > 105:
        return figure_words.BRAKING_HOLDS_TOO_MUCH
    return figure_words.braking_carries(_tenths(value))


def _says_lift_braking(value: float, sd: float) -> str:
    if value < -5:
        return figure_words.BRAKING_HELPS_TAIL
    return figure_words.braking_holds_tail(_tenths(value))


def _says_lift_driving(value: float, sd: float) -> str:
    if value < -5:
        return figure_words.POWER_HELPS_NOSE
    return figure_words.power_holds_nose(_tenths(value))


def _says_squat(value: float, sd: float) -> str:
    if value < -5:
        return figure_words.POWER_PULLS_TAIL
    if value > 105:
        return figure_words.POWER_LIFTS_TAIL
    return figure_words.power_carries(_tenths(value))


def _says_geometric(value: float, sd: float) -> str:
    return figure_words.SIDE_VIEW_ALONE


def _says_ic(value: float, sd: float) -> str:
    return figure_words.TURNS_ABOUT
