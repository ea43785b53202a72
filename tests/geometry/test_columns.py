"""Tubes and columns among themselves; published examples stand in tests/outside."""

import math

import pytest

from geometry.columns import Tube, buckling, euler, johnson, off_axis, transition

TUBE = Tube(50.8, 6.35)


def test_both_formulas_meet_at_half_the_yield_stress():
    length = transition(380.0) * TUBE.gyration
    assert euler(TUBE, length) == pytest.approx(johnson(TUBE, length, 380.0), rel=1e-12)
    assert euler(TUBE, length) / TUBE.area == pytest.approx(190.0, rel=1e-12)


def test_the_formula_that_governs_is_named():
    assert buckling(TUBE, 900.0, 380.0)[1] == "Johnson"
    assert buckling(Tube(30.0, 3.0), 1400.0, 380.0)[1] == "Euler"


def test_an_offset_end_bears_less_and_a_small_one_hardly_less():
    straight, _ = buckling(TUBE, 900.0, 380.0)
    loads = [off_axis(TUBE, 900.0, offset, 380.0) for offset in (0.0, 1.0, 10.0, 40.0)]
    assert loads[0] == straight
    assert loads == sorted(loads, reverse=True)
    assert loads[3] < 0.5 * straight


def test_the_secant_load_yields_the_outer_fibre():
    load, offset = off_axis(TUBE, 900.0, 10.0, 380.0), 10.0
    bow = offset / math.cos(math.pi / 2 * math.sqrt(load / euler(TUBE, 900.0)))
    stress = load / TUBE.area + load * bow * 25.4 / TUBE.second_moment
    assert stress == pytest.approx(380.0, rel=1e-9)


def test_a_solid_bar_is_a_tube_whose_wall_is_half_its_diameter():
    assert Tube(20.0, 10.0).area == pytest.approx(math.pi * 100.0)


@pytest.mark.parametrize(("outside", "wall"), [(0.0, 1.0), (20.0, 0.0), (20.0, 11.0), (-5.0, 1.0)])
def test_a_tube_that_cannot_be_is_refused(outside, wall):
    with pytest.raises(ValueError, match="no wall"):
        Tube(outside, wall)
