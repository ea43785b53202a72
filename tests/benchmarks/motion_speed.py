"""Motion: a sweep against scipy step by step, all figures beside a bare matrix product, many geometries beside one."""

from __future__ import annotations

import json

import numpy as np
from scipy.spatial.transform import Rotation

from capture.report import build, facts_of
from capture.vehicle_file import read_vehicle_file
from geometry import motion
from geometry.figures import Facts, sheet
from geometry.figures.base import NotYet
from geometry.figures.clearance import clearances
from geometry.figures.flatten import flattening
from geometry.figures.joints import joint_swings
from geometry.figures.ride import Ride
from geometry.figures.steering import steered_side
from geometry.figures.taken import real_rig, take
from geometry.figures.travel import columns, steps
from geometry.points import SCALARS
from geometry.unbroken import unbroken
from tests.benchmarks.clock import in_turn, said
from tests.benchmarks.step_by_step import EveryColumn, StepByStep
from tests.benchmarks.vehicles import measured

READINGS, STEPS, ROUNDS = 120, 41, 9
ANGLES = ("floor.pitch", "floor.bank", "pinion", "gearbox_output")
GEOMETRIES, SCATTER_MM = 1000, 10.0
PER_POSE = 10_000
"""Real operations for one nudged vehicle at one step, counted by hand: two closures (1,600 each), following the pose
and its speed (600), and 26 columns (about 240 each)."""


def timed_vehicle():
    vehicle = read_vehicle_file(json.dumps(measured(READINGS)).encode(), "timed")
    return build(vehicle).fit, facts_of(vehicle)


def run() -> None:
    fitted, facts = timed_vehicle()
    ride = Ride(fitted, facts)
    travels = steps(ride)
    if travels.size != STEPS:
        raise SystemExit(f"the sweep has {travels.size} steps, not {STEPS}")
    _against_scipy(ride, travels)
    _beside_a_product(ride, facts)
    _many(ride, travels)
    _tables(ride, facts)


def with_columns(ride: Ride, travels: np.ndarray) -> dict[str, np.ndarray]:
    """The poses and every column of a vehicle, alone or nudged."""
    at, _ = take(ride, travels)
    found = {}
    for kind in columns(ride.layout.name, "front" if ride.front else "rear"):
        try:
            found[kind.key] = np.asarray(kind.of(ride, at))
        except NotYet:
            continue
    return found


def _against_scipy(ride: Ride, travels: np.ndarray) -> None:
    rig = real_rig(ride)
    rival = StepByStep(rig)
    pose = unbroken(rig, travels).pose
    every = ride.unknowns.size
    ours_only = lambda: unbroken(rig, travels)  # noqa: E731
    whole = lambda: with_columns(ride.alone(), travels)  # noqa: E731
    count = len(with_columns(ride.alone(), travels))
    print(f"\nSweep of {travels.size} steps, one vehicle; scipy.optimize.root solves the same equations step by step")
    for name, warm in (("from ride height", False), ("from its neighbour", True)):
        theirs = rival.sweep(travels, warm)
        off = np.abs(pose.shift[0, :, :2].real - theirs[:, :2]).max()
        turned = np.abs(pose.turn[0].real - Rotation.from_rotvec(theirs[:, 2:]).as_matrix()).max()
        poses, all_columns, scipy = in_turn((ours_only, whole, lambda warm=warm: rival.sweep(travels, warm)), ROUNDS)
        print(
            f"  each step {name:18s} ours, poses {said(poses)}   ours, {count} columns {said(all_columns)}"
            f"   scipy, poses {said(scipy)}   {scipy / poses:6.1f} and {scipy / all_columns:6.1f} times"
            f"   largest difference {off:.1e} mm, {turned:.1e}"
        )
    rival_too = EveryColumn(rig, *plain_numbers(ride), steered_side(ride))
    mine, theirs = whole(), rival_too.table(travels)
    off = max(np.abs(mine[name][0].real - column).max() for name, column in theirs.items())
    all_columns, scipy = in_turn((whole, lambda: rival_too.table(travels)), ROUNDS)
    print(
        f"  the same {len(theirs)} columns of both: ours {said(all_columns)}   scipy, poses and two beside each for "
        f"their velocity, both knuckles {said(scipy)}   {scipy / all_columns:6.1f} times"
        f"   largest difference {off:.1e} mm, deg or %"
    )
    nudged, scipy = in_turn((lambda: with_columns(ride, travels), lambda: rival.sweep(travels, True)), ROUNDS)
    print(
        f"  with every slope by {every} unknowns: ours, {count} columns {said(nudged)}   scipy, once and once more for "
        f"each unknown, {every + 1} times one {said((every + 1) * scipy)}   {(every + 1) * scipy / nudged:6.1f} times"
    )


def plain_numbers(ride: Ride) -> tuple[dict[str, np.ndarray], dict[str, float]]:
    """Points in the vehicle frame, mm, and scalars in file units, as the second calculation takes them."""
    places = {name: np.array([point.x, point.y, point.z]) for name, point in ride.fit.placed().items()}
    scalars = {
        name: float(ride.fit.estimate[ride.fit.slot[name]]) for name in SCALARS if name in ride.fit.slot
    }
    return places, {name: np.degrees(value) if name in ANGLES else value for name, value in scalars.items()}


def _beside_a_product(ride: Ride, facts: Facts) -> None:
    unknowns = ride.unknowns.size
    operations = PER_POSE * unknowns * STEPS
    size = round((0.5 * operations) ** (1.0 / 3.0))
    left, right = np.random.default_rng(1).standard_normal((2, size, size))
    ours, product = in_turn((lambda: sheet(ride.fit, facts), lambda: left @ right), ROUNDS)
    print(
        f"\nAll figures and the sweep with spreads, {unknowns} unknowns nudged at {STEPS} steps {said(ours)}"
        f"   a bare matrix product of {size} x {size}, as many operations {said(product)}   {ours / product:.1f} times"
    )


def scattered(rig: motion.Rig, count: int) -> motion.Rig:
    """Vehicles like one, every joint moved by random millimetres: (count, ...)."""
    random = np.random.default_rng(7)
    parts = [np.repeat(part.real, count, axis=0) for part in (rig.centre, rig.contact, rig.contact_span)]
    ends = [
        np.repeat(part.real, count, axis=0) + random.normal(0.0, SCATTER_MM, (count, *part.shape[1:]))
        for part in (rig.frame, rig.axle, rig.held)
    ]
    return motion.Rig(*parts, *ends)


def _many(ride: Ride, travels: np.ndarray) -> None:
    rig = real_rig(ride)
    many = scattered(rig, GEOMETRIES)
    single, batch = in_turn((lambda: unbroken(rig, travels), lambda: unbroken(many, travels)), 5)
    reached = unbroken(many, travels).reached_by.mean()
    print(
        f"\n{GEOMETRIES} random geometries at {travels.size} steps {said(batch)} in one call, "
        f"{said(batch / GEOMETRIES)} each   one alone {said(single)}   share {batch / GEOMETRIES / single:.2f}"
        f"   {100.0 * reached:.1f} % of the poses reached"
    )
    states = np.repeat(ride.fit.estimate[None, :], GEOMETRIES, axis=0)
    states += np.random.default_rng(8).normal(0.0, SCATTER_MM / 1000.0, states.shape)
    for name in ride.fit.points:
        first = ride.fit.slot[name]
        states[:, first : first + 3] += np.random.default_rng(9).normal(0.0, SCATTER_MM, (GEOMETRIES, 3))
    single, batch = in_turn(
        (
            lambda: with_columns(Ride(ride.fit, ride.facts, states[:1]), travels),
            lambda: with_columns(Ride(ride.fit, ride.facts, states), travels),
        ),
        5,
    )
    print(
        f"  every column too {said(batch)}, {said(batch / GEOMETRIES)} each   "
        f"one alone {said(single)}   share {batch / GEOMETRIES / single:.2f}"
    )


def _tables(ride: Ride, facts: Facts) -> None:
    works = {
        "clearances": lambda: clearances(ride.fit, facts),
        "rod ends": lambda: joint_swings(ride.fit, facts),
        "flattening of bump steer": lambda: flattening(ride.fit, facts),
    }
    print("\nTables of the same vehicle, with spreads")
    for name, taken in zip(works, in_turn(tuple(works.values()), 5), strict=True):
        print(f"  {name:26s}{said(taken)}")
