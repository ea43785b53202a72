"""What each link carries in stated cases: static balance of axle and wheels. A sizing aid, never a rating.

The axle with its wheels is one free body. On it act the floor's forces of the case, the links along their length, and
one upright spring a side. Six equations of equilibrium give four links and two springs; with more links than that the
balance is shared by least squares, all links alike, and bushings decide in the metal. Radius arms take a force of any
direction at their frame end; what is shown is the part along the arm, and what bends it at its nearer axle bolt.
Tension is positive. Cases and factors are common practice, no source, unless the person states others.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from functools import partial

import numpy as np

from geometry.complex_step import STEP, Complex, cross, norm
from geometry.figures import Spread, figure_words
from geometry.figures.base import Facts, NotYet
from geometry.figures.ride import Ride
from geometry.figures.spread import spreads
from geometry.fit import Fit
from geometry.layouts import Link

GRAVITY = 9.80665
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
SIDES = ("left", "right")


@dataclass(frozen=True)
class Assumed:
    """What the cases take for granted. grip: friction of tyre on floor; step, bump: multiples of a wheel's own load;

    drive_torque: the most at both wheels together, N m, None where the tyres slip first. spring_across: where the
    springs stand, share of half the track; spring_ahead: mm ahead of the axle's centre.
    """

    grip: float = 0.8
    side_grip: float = 0.7
    drive_torque: float | None = None
    step: float = 2.0
    bump: float = 3.0
    spring_across: float = 0.55
    spring_ahead: float = 0.0


def taken(facts: Facts) -> Assumed:
    """What the person stated, and the usual for the rest."""
    stated = {key: value for key, value in asdict(facts.loads).items() if value is not None}
    return Assumed(**stated)


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
    """What one link carries in one case, N, + tension, with one standard deviation.

    moment: what bends a radius arm at its nearer axle bolt, N m, with one sd; None for links, which nothing bends.
    leans: it stands on a guess in place of a reading; needs: the readings that would tell.
    """

    link: str
    case: str
    force: float
    sd: float
    moment: float | None = None
    moment_sd: float | None = None
    leans: bool = False
    needs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Balance:
    """forces along each link, (P,) N + tension by name; springs (P, 2) N + compression, left first; feet: the whole
    force on each radius arm's frame end, (P, 3) N by name."""

    forces: dict[str, Complex]
    springs: Complex
    feet: dict[str, Complex]


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
    """Full drive: the floor pushes forward at the contact, as far as the torque goes or until the tyres slip."""
    load = _standing(ride, assumed.grip)
    if assumed.drive_torque is None or slips_first(ride, assumed):
        return _even(ride, assumed.grip * load, load)
    push = 1000.0 * assumed.drive_torque / ride.scalar("tyre.loaded_radius")
    whole = sum(GRAVITY * ride.scalar(f"load.{corner}") for corner in CORNERS)
    gain = min(assumed.grip, float(push.real[0]) / max(float(np.asarray(whole).real[0]), 1.0))
    return _even(ride, push, _standing(ride, gain))


def slips(fit: Fit, facts: Facts) -> bool:
    """The same of a fitted vehicle with what is stated."""
    return slips_first(Ride(fit, facts), taken(facts))


def slips_first(ride: Ride, assumed: Assumed) -> bool:
    """Whether the tyres slip before the stated torque is reached, or none is stated."""
    if assumed.drive_torque is None:
        return True
    slip = assumed.grip * _standing(ride, assumed.grip)
    return bool(1000.0 * assumed.drive_torque / ride.scalar("tyre.loaded_radius").real[0] >= slip.real[0])


def cornering(ride: Ride, assumed: Assumed, way: float = 1.0) -> list[Push]:
    """A bend to the left: the floor pushes left, the right wheel gains what the left one loses. way -1: right."""
    load = axle_weight(ride)
    track = ride.rig.contact_span[:, 1]
    moved = assumed.side_grip * load * ride.cg_height / track
    moved = way * np.where(moved.real < 0.5 * load.real, moved, 0.5 * load)
    pushes = []
    for at, share in zip(_contacts(ride), (0.5 * load - moved, 0.5 * load + moved), strict=True):
        pushes.append(Push(np.stack([0.0 * share, way * assumed.side_grip * share, share], axis=-1), at))
    return pushes


def step(ride: Ride, assumed: Assumed, side: int = 0) -> list[Push]:
    """One wheel, 0 left or 1 right, meets a step: pushed back and up alike through its hub; the other one stands."""
    wheel = 0.5 * axle_weight(ride)
    hit = assumed.step * wheel
    hub = ride.point(f"wheel_{SIDES[side]}.centre") - ride.centre
    stand = np.stack([0.0 * wheel, 0.0 * wheel, wheel], axis=-1)
    return [Push(np.stack([-hit, 0.0 * hit, hit], axis=-1), hub), Push(stand, _contacts(ride)[1 - side])]


def bump(ride: Ride, assumed: Assumed) -> list[Push]:
    """Both wheels land: straight up, a multiple of what they carry standing."""
    load = assumed.bump * axle_weight(ride)
    return _even(ride, 0.0 * load, load)


CASES = (
    Case("braking", "braking with locked wheels", braking),
    Case("driving", "full drive", driving),
    Case("cornering", "a hard bend to the left", cornering),
    Case("cornering_right", "a hard bend to the right", partial(cornering, way=-1.0)),
    Case("step", "the left wheel against a step", step),
    Case("step_right", "the right wheel against a step", partial(step, side=1)),
    Case("bump", "landing on both wheels", bump),
)


def balance(ride: Ride, pushes: list[Push], assumed: Assumed) -> tuple[dict[str, Complex], Complex]:
    """Link forces and spring forces of a balance alone."""
    found = balanced(ride, pushes, assumed)
    return found.forces, found.springs


def balanced(ride: Ride, pushes: list[Push], assumed: Assumed) -> Balance:
    """The forces that hold the axle still under some pushes."""
    names, columns, parts = _columns(ride, assumed)
    total = sum(push.force for push in pushes)
    moment = sum(cross(push.at, push.force) for push in pushes)
    right = -np.concatenate([np.asarray(total), np.asarray(moment)], axis=-1)
    lever = np.array([1.0, 1.0, 1.0, 1e-3, 1e-3, 1e-3])
    matrix = np.swapaxes(columns * lever, -1, -2)
    known = (right * lever)[..., None]
    answer = _solve(matrix, known)[..., 0]
    forces: dict[str, Complex] = {}
    feet: dict[str, Complex] = {}
    for name in dict.fromkeys(names):
        mine = [k for k, other in enumerate(names) if other == name]
        forces[name] = np.einsum("pk,pk->p", answer[:, mine], parts[:, mine])
        if len(mine) == 3:
            feet[name] = answer[:, mine]
    return Balance(forces, answer[:, -2:], feet)


def arm_bending(ride: Ride, link: Link, foot: Complex) -> tuple[Complex, Complex, Complex]:
    """Of a radius arm under a force on its frame end: thrust along it, N + tension, moment at its nearer axle bolt,
    N mm, and from there to its frame end, mm, (P,) each. The bolts hold the arm's foot; its frame end turns freely."""
    arms = [ride.point(link.frame) - ride.point(end) for end in link.axle]
    arm = min(arms, key=lambda each: float(norm(each[:1].real)[0]))
    length = norm(arm)
    along = arm / np.where(length.real > 0, length, 1.0)[:, None]
    thrust = np.einsum("pi,pi->p", foot, along)
    return thrust, norm(cross(arm, foot)), length


def _solve(matrix: Complex, known: Complex) -> Complex:
    """Exact where square; else the springs' and links' least forces: A^T (A A^T)^-1."""
    try:
        if matrix.shape[-1] == matrix.shape[-2]:
            return np.linalg.solve(matrix, known)
        turned = np.swapaxes(matrix, -1, -2)
        return np.asarray(turned @ np.linalg.solve(matrix @ turned, known))
    except np.linalg.LinAlgError:
        raise NotYet((), figure_words.CANNOT_HOLD) from None


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


def link_loads(fit: Fit, facts: Facts, assumed: Assumed | None = None) -> tuple[LinkLoad, ...]:
    """Every link in every case, with its spread; counted with what is stated, or with `assumed`.

    NotYet names the weights or heights it waits for.
    """
    ride = Ride(fit, facts)
    wait_for_weights(ride)
    spread = Spread(ride)
    counted = assumed if assumed is not None else taken(facts)
    links = {link.name: link for link in ride.layout.links}
    found = []
    for case in CASES:
        held = balanced(ride, case.pushes(ride, counted), counted)
        for name, force in held.forces.items():
            value, sd = _with_sd(ride, force)
            gradient = np.asarray(force).imag / STEP
            leans = bool(spread.leans(gradient))
            needs = spread.needs(gradient) if leans else ()
            moment, moment_sd = None, None
            if name in held.feet:
                bends = arm_bending(ride, links[name], held.feet[name])[1]
                moment, moment_sd = (part / 1000.0 for part in _with_sd(ride, bends))
            found.append(LinkLoad(name, case.key, value, sd, moment, moment_sd, leans, needs))
    return tuple(found)


def wait_for_weights(ride: Ride) -> None:
    """NotYet names all that the loads cannot do without and that nobody has read, at once."""
    needs = () if ride.has(*(f"load.{corner}" for corner in CORNERS)) else ("weight:front", "weight:rear")
    height = () if ride.has("cg.z") else ("cg_height:estimate",)
    if needs or height:
        raise NotYet((*needs, *height))


def _with_sd(ride: Ride, answer: Complex) -> tuple[float, float]:
    value, sd = float(np.asarray(answer).real[0]), float(spreads(ride, np.asarray(answer)[:, None])[0])
    if not (np.isfinite(value) and np.isfinite(sd)):
        raise NotYet((), figure_words.CANNOT_HOLD)
    return value, sd
