"""Anti-squat, anti-lift and anti-dive against a static balance of forces on axle and body, written out here.

The textbook formula (Gillespie, Fundamentals of Vehicle Dynamics, ch. 7; Milliken, Race Car Vehicle Dynamics, ch. 17;
both from memory): slope of the line from contact to side-view centre, over cg height by wheelbase, times the axle's
share. The balance below knows nothing of that line: it solves the axle's three equations of equilibrium for the two
link forces and the change of spring force. The figure is the part of the load transfer that the springs do not feel.
"""

from __future__ import annotations

import numpy as np
import pytest

from geometry.figures import Facts
from tests.outside.shapes import figures_of, pair, wheels

MASS, WHEELBASE, CG_HEIGHT = 1800.0, 2700.0, 700.0
LOWER, UPPER = ((0.0, 330.0), (950.0, 480.0)), ((60.0, 600.0), (800.0, 640.0))


def shape(lower=LOWER, upper=UPPER):
    (ax, az), (fx, fz) = lower
    (bx, bz), (gx, gz) = upper
    return {
        **pair("lower", ".axle", ax, 500.0, az),
        **pair("lower", ".frame", fx, 500.0, fz),
        "upper.axle": (bx, 0.0, bz),
        "upper.frame": (gx, 0.0, gz),
        "panhard.axle": (-150.0, 430.0, 560.0),
        "panhard.frame": (-150.0, -420.0, 560.0),
        **wheels(400.0, 780.0, WHEELBASE),
    }


def sheet_of(facts, lower=LOWER, upper=UPPER):
    cg = (("cg_height:estimate", CG_HEIGHT, 1e-3),)
    return figures_of(shape(lower, upper), "three_link_panhard", facts=facts, more=cg).figures


def balance(push: float, transfer: float, lower=LOWER, upper=UPPER, inertia: float = 0.0) -> tuple[float, float, float]:
    """Lower link force, upper link force (tension +, both sides together) and change of spring force, N.

    inertia: of the axle itself, N, pulling rearward at the height of its centre.

    On the axle act at the contact point (0, 0) the tyre's push forward and the load transfer upward, at the axle's
    centre the springs' extra push downward, and the links along their lines. Moments about the contact point.
    """
    columns = []
    for axle, frame in (lower, upper):
        along = np.subtract(frame, axle) / np.hypot(*np.subtract(frame, axle))
        moment = axle[0] * along[1] - axle[1] * along[0]
        columns.append([along[0], along[1], moment])
    matrix = np.array([*columns, [0.0, -1.0, 0.0]]).T
    links_low, links_high, spring = np.linalg.solve(matrix, [inertia - push, -transfer, -400.0 * inertia])
    return float(links_low), float(links_high), float(spring)


def anti(push: float, transfer: float, lower=LOWER, upper=UPPER) -> float:
    """Percent of the load transfer that does not reach the springs."""
    return 100.0 * (1.0 - balance(push, transfer, lower, upper)[2] / transfer)


def transfer(acceleration: float) -> float:
    return MASS * acceleration * CG_HEIGHT / WHEELBASE


def test_the_balance_gives_the_link_forces_worked_out_elsewhere():
    # Two routes (force balance of axle and body; virtual work): -12229.90, 6689.995, springs -146.3126 N.
    low, high, spring = balance(MASS * 3.0, transfer(3.0))
    assert (low, high) == pytest.approx((-12229.90, 6689.995), abs=5e-3)
    assert spring == pytest.approx(-146.3126, abs=1e-4)


def test_anti_squat_with_all_the_drive_at_the_rear():
    # Two routes: 110.45090 %.
    figures = sheet_of(Facts(drive_share_front=0.0))
    assert figures["anti_squat"].value == pytest.approx(110.45090, abs=1e-4)
    assert figures["anti_squat"].value == pytest.approx(anti(MASS * 3.0, transfer(3.0)), abs=1e-6)
    assert figures["anti_geometric"].value == pytest.approx(110.45090, abs=1e-4)


def test_anti_squat_with_six_tenths_of_the_drive_at_the_rear():
    # Two routes: 66.27054 %.
    value = sheet_of(Facts(drive_share_front=0.4))["anti_squat"].value
    assert value == pytest.approx(66.27054, abs=1e-4)
    assert value == pytest.approx(anti(0.6 * MASS * 3.0, transfer(3.0)), abs=1e-6)


def test_anti_lift_with_35_hundredths_of_the_braking_at_the_rear():
    # Two routes: 38.65781 %. Braking pushes rearward and takes load off the rear.
    value = sheet_of(Facts(brake_share_front=0.65))["anti_lift_braking"].value
    assert value == pytest.approx(38.65781, abs=1e-4)
    assert value == pytest.approx(anti(-0.35 * MASS * 6.0, -transfer(6.0)), abs=1e-6)


def test_links_that_aim_at_the_line_of_the_cg_give_100_percent():
    # Closed form: lower (0,300)-(810,330), upper (0,500)-(810,410) meet at (1350, 350): 350/1350 = 700/2700.
    lower, upper = ((0.0, 300.0), (810.0, 330.0)), ((0.0, 500.0), (810.0, 410.0))
    figures = sheet_of(Facts(drive_share_front=0.0), lower, upper)
    assert figures["anti_squat"].value == pytest.approx(100.0, abs=1e-6)
    assert figures["instant_centre.x"].value == pytest.approx(1350.0, abs=1e-5)
    assert figures["instant_centre.z"].value == pytest.approx(350.0, abs=1e-5)


def test_parallel_links_have_an_anti_figure_and_no_instant_centre():
    # Closed form: parallel at 5 deg up to the frame, tan 5 deg x 2700/700 = 33.74563 %; the centre is at infinity.
    rise = 900.0 * np.tan(np.radians(5.0))
    lower, upper = ((0.0, 330.0), (900.0, 330.0 + rise)), ((0.0, 600.0), (900.0, 600.0 + rise))
    figures = sheet_of(Facts(drive_share_front=0.0), lower, upper)
    assert figures["anti_squat"].value == pytest.approx(33.74563, abs=1e-4)
    assert figures["instant_centre.x"].value is None
    assert figures["instant_centre.x"].reason


def test_anti_dive_of_a_front_axle_by_the_same_balance():
    # Mirrored fore and aft the braked front axle sees the same forces as the driven rear one: share 0.7 of braking.
    mirrored = {name: (-x, y, z) for name, (x, y, z) in shape().items()}
    cg = (("cg_height:estimate", CG_HEIGHT, 1e-3),)
    facts = Facts(brake_share_front=0.7)
    figures = figures_of(mirrored, "three_link_panhard", "front", facts=facts, more=cg).figures
    assert figures["anti_dive"].value == pytest.approx(anti(0.7 * MASS * 6.0, transfer(6.0)), abs=1e-4)
    assert figures["anti_dive"].value == pytest.approx(0.7 * 110.45090, abs=1e-4)


UNSPRUNG, WEIGHED = 260.0, tuple((f"weight:{corner}", MASS / 4.0, 1e-3) for corner in
                                 ("front_left", "front_right", "rear_left", "rear_right"))  # fmt: skip


@pytest.mark.parametrize(("share", "acceleration", "key"), [
    (1.0, 3.0, "anti_squat"), (0.6, 3.0, "anti_squat"), (0.0, 3.0, "anti_squat"),
    (0.35, -6.0, "anti_lift_braking"),
])
def test_the_axles_own_mass_counts_as_in_the_balance_with_its_inertia(share, acceleration, key):
    # The same balance with the axle's own inertia at its centre, 400 mm up: the springs feel what is left of the
    # whole vehicle's load transfer.
    facts = Facts(drive_share_front=1.0 - share, brake_share_front=1.0 - share, unsprung_mass=UNSPRUNG,
                  anti_counts_unsprung=True)
    more = (("cg_height:estimate", CG_HEIGHT, 1e-3), *WEIGHED)
    figure = figures_of(shape(), "three_link_panhard", facts=facts, more=more).figures[key]
    moved = transfer(acceleration)
    spring = balance(share * MASS * acceleration, moved, inertia=UNSPRUNG * acceleration)[2]
    assert figure.value == pytest.approx(100.0 * (1.0 - spring / moved), abs=1e-4)
    assert "own mass" in figure.remark


def test_the_axles_own_mass_stays_out_unless_it_is_asked_for():
    more = (("cg_height:estimate", CG_HEIGHT, 1e-3), *WEIGHED)
    facts = Facts(drive_share_front=0.0, unsprung_mass=UNSPRUNG)
    found = figures_of(shape(), "three_link_panhard", facts=facts, more=more)
    assert found.figures["anti_squat"].value == pytest.approx(110.45090, abs=1e-4)
    assert found.figures["anti_squat"].remark == ""


@pytest.mark.parametrize(("mass", "more", "needs", "said"), [
    (None, WEIGHED, ("unsprung_mass",), None), (UNSPRUNG, (), ("weight:front", "weight:rear"), None),
    (5000.0, WEIGHED, (), "heavier"),
])
def test_what_the_axles_own_mass_lacks_is_said(mass, more, needs, said):
    facts = Facts(drive_share_front=0.0, unsprung_mass=mass, anti_counts_unsprung=True)
    cg = ("cg_height:estimate", CG_HEIGHT, 1e-3)
    figure = figures_of(shape(), "three_link_panhard", facts=facts, more=(cg, *more)).figures["anti_squat"]
    assert figure.value is None and figure.needs == needs
    assert said is None or said in figure.reason
