"""What each link carries in stated cases: static balance of axle and wheels. A sizing aid, never a rating.

The axle with its wheels is one free body. On it act the floor's forces of the case, the links along their length, and
one upright spring a side. Six equations of equilibrium give four links and two springs; with more links than that the
balance is shared by least squares, all links alike, and bushings decide in the metal. Radius arms take a force of any
direction at their frame end; what is shown is the part along the arm, their bending is not sized here.
Tension is positive. Cases and factors are common practice, no source; the person may state others.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geometry.complex_step import STEP, Complex, cross, norm
from geometry.figures.base import Facts, NotYet
from geometry.figures.ride import Ride
from geometry.fit import Fit

GRAVITY = 9.80665
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
SIDES = ("left", "right")


@dataclass(frozen=True)
class Assumed:
    """What the cases take for granted. grip: friction of tyre on floor; step, bump: multiples of a wheel's own load;

    spring_across: where the springs stand, share of half the track; spring_ahead: mm ahead of the axle's centre.
    """

    grip: float = 0.8
    side_grip: float = 0.7
    step: float = 2.0
    bump: float = 3.0
    spring_across: float = 0.55
    spring_ahead: float = 0.0


@dataclass(frozen=True)
class Push:
    """A force on the axle and where it acts, (P, 3) N and (P, 3) mm from the axle's centre."""

    force: Complex
    at: Complex


@dataclass(frozen=True)
class Case:
    """One stated case. `pushes` gives what the floor does to the wheels."""

    key: str
    words: str
    pushes: Callable[[Ride, Assumed], list[Push]]


@dataclass(frozen=True)
class LinkLoad:
    """What one link carries in one case, N, + tension, with one standard deviation."""

    link: str
    case: str
    force: float
    sd: float


def axle_weight(ride: Ride) -> Complex:
    """What the worked axle's wheels carry standing, (P,) N."""
    end = "front" if ride.front else "rear"
    return np.asarray(GRAVITY * (ride.scalar(f"load.{end}_left") + ride.scalar(f"load.{end}_right")))


def transfer(ride: Ride, gain: float) -> Complex:
    """Load that moves to the rear axle for an acceleration of `gain` times gravity, (P,) N."""
    total = GRAVITY * sum(ride.scalar(f"load.{corner}") for corner in CORNERS)
    return np.asarray(gain * total * ride.cg_height / ride.wheelbase)


def _standing(ride: Ride, gain: float) -> Complex:
    """Load on the worked axle under an acceleration of `gain` times gravity, (P,) N, never below none."""
    moved = transfer(ride, gain)
    load = axle_weight(ride) + (-moved if ride.front else moved)
    return np.where(load.real > 0, load, 0.0 * load)


def _contacts(ride: Ride) -> list[Complex]:
    half = 0.5 * ride.rig.contact_span
    return [ride.rig.contact + half, ride.rig.contact - half]


def _even(ride: Ride, forward: Complex, upward: Complex) -> list[Push]:
    force = np.stack([0.5 * forward, np.zeros_like(forward), 0.5 * upward], axis=-1)
    return [Push(force, at) for at in _contacts(ride)]


def braking(ride: Ride, assumed: Assumed) -> list[Push]:
    """All wheels locked: the floor pushes rearward at the contact, the axle takes the torque."""
    load = _standing(ride, -assumed.grip)
    return _even(ride, -assumed.grip * load, load)


def driving(ride: Ride, assumed: Assumed) -> list[Push]:
    """Full drive up to the tyres' slip: the floor pushes forward at the contact."""
    load = _standing(ride, assumed.grip)
    return _even(ride, assumed.grip * load, load)


def cornering(ride: Ride, assumed: Assumed) -> list[Push]:
    """A bend to the left: the floor pushes left, the right wheel gains what the left one loses."""
    load = axle_weight(ride)
    track = ride.rig.contact_span[:, 1]
    moved = assumed.side_grip * load * ride.cg_height / track
    moved = np.where(moved.real < 0.5 * load.real, moved, 0.5 * load)
    pushes = []
    for at, share in zip(_contacts(ride), (0.5 * load - moved, 0.5 * load + moved), strict=True):
        pushes.append(Push(np.stack([0.0 * share, assumed.side_grip * share, share], axis=-1), at))
    return pushes


def step(ride: Ride, assumed: Assumed) -> list[Push]:
    """The left wheel meets a step: pushed back and up alike through its hub; the right one stands."""
    wheel = 0.5 * axle_weight(ride)
    hit = assumed.step * wheel
    hub = ride.point("wheel_left.centre") - ride.centre
    stand = np.stack([0.0 * wheel, 0.0 * wheel, wheel], axis=-1)
    return [Push(np.stack([-hit, 0.0 * hit, hit], axis=-1), hub), Push(stand, _contacts(ride)[1])]


def bump(ride: Ride, assumed: Assumed) -> list[Push]:
    """Both wheels land: straight up, a multiple of what they carry standing."""
    load = assumed.bump * axle_weight(ride)
    return _even(ride, 0.0 * load, load)


CASES = (
    Case("braking", "braking with locked wheels", braking),
    Case("driving", "full drive up to slip", driving),
    Case("cornering", "a hard bend to the left", cornering),
    Case("step", "the left wheel against a step", step),
    Case("bump", "landing on both wheels", bump),
)


def balance(ride: Ride, pushes: list[Push], assumed: Assumed) -> tuple[dict[str, Complex], Complex]:
    """Link forces along each link, (P,) N + tension by name, and spring forces (P, 2) N + compression, left first."""
    names, columns, parts = _columns(ride, assumed)
    total = sum(push.force for push in pushes)
    moment = sum(cross(push.at, push.force) for push in pushes)
    right = -np.concatenate([np.asarray(total), np.asarray(moment)], axis=-1)
    lever = np.array([1.0, 1.0, 1.0, 1e-3, 1e-3, 1e-3])
    matrix = np.swapaxes(columns * lever, -1, -2)
    known = (right * lever)[..., None]
    answer = _solve(matrix, known)[..., 0]
    forces: dict[str, Complex] = {}
    for name in dict.fromkeys(names):
        mine = [k for k, other in enumerate(names) if other == name]
        forces[name] = np.einsum("pk,pk->p", answer[:, mine], parts[:, mine])
    return forces, answer[:, -2:]


def _solve(matrix: Complex, known: Complex) -> Complex:
    """Exact where square; else the springs' and links' least forces: A^T (A A^T)^-1."""
    try:
        if matrix.shape[-1] == matrix.shape[-2]:
            return np.linalg.solve(matrix, known)
        turned = np.swapaxes(matrix, -1, -2)
        return np.asarray(turned @ np.linalg.solve(matrix @ turned, known))
    except np.linalg.LinAlgError:
        raise NotYet((), "The links and springs cannot hold the axle: look for two links in one line.") from None


def _columns(ride: Ride, assumed: Assumed) -> tuple[list[str], Complex, Complex]:
    """Unknown unit forces as wrenches about the axle's centre (P, k, 6); names and parts along the link (P, k)."""
    names: list[str] = []
    wrenches: list[Complex] = []
    parts: list[Complex] = []
    ones = np.ones_like(ride.centre[:, 0])
    for link in ride.layout.links:
        along = ride.link(link.name)
        unit = along / norm(along)[:, None]
        if link.role != "arm":
            names.append(link.name)
            parts.append(ones)
            wrenches.append(_wrench(unit, ride.axle_end(link.name) - ride.centre))
            continue
        foot = ride.point(link.frame) - ride.centre
        for axis in range(3):
            direction = np.zeros_like(unit)
            direction[:, axis] = 1.0
            names.append(link.name)
            parts.append(unit[:, axis])
            wrenches.append(_wrench(direction, foot))
    for at in SIDES:
        seat = assumed.spring_across * (ride.point(f"wheel_{at}.centre") - ride.centre)
        seat = seat + np.array([assumed.spring_ahead, 0.0, 0.0])
        down = np.zeros_like(seat)
        down[:, 2] = -1.0
        names.append(f"spring {at}")
        parts.append(ones)
        wrenches.append(_wrench(down, seat))
    return names[:-2], np.stack(wrenches, axis=1), np.stack(parts, axis=1)


def _wrench(force: Complex, at: Complex) -> Complex:
    return np.concatenate([force, cross(at, force)], axis=-1)


def link_loads(fit: Fit, facts: Facts, assumed: Assumed = Assumed()) -> tuple[LinkLoad, ...]:
    """Every link in every case, with its spread. NotYet names the weights or heights it waits for."""
    ride = Ride(fit, facts)
    chosen = fit.covariance[np.ix_(ride.unknowns, ride.unknowns)]
    found = []
    for case in CASES:
        forces, _ = balance(ride, case.pushes(ride, assumed), assumed)
        for name, force in forces.items():
            gradient = np.asarray(force).imag / STEP
            sd = float(np.sqrt(max(gradient @ chosen @ gradient, 0.0)))
            value = float(np.asarray(force).real[0])
            if not (np.isfinite(value) and np.isfinite(sd)):
                raise NotYet((), "The links and springs cannot hold the axle: look for two links in one line.")
            found.append(LinkLoad(name, case.key, value, sd))
    return tuple(found)
