"""Directions of bolts as said and as vectors."""

import math

import pytest

from geometry.figures.bolts import WAYS, direction, said


def test_straight_bolts_lie_along_an_axis():
    assert direction("across") == pytest.approx((0.0, 1.0, 0.0))
    assert direction("along") == pytest.approx((1.0, 0.0, 0.0))
    assert direction("upright") == pytest.approx((0.0, 0.0, 1.0))


def test_a_tilted_bolt_points_where_its_words_say():
    # By hand: 30 deg has a sine of one half; tan 45 deg is one.
    assert direction("across", 30.0)[2] == pytest.approx(0.5)
    assert direction("across", 0.0, 30.0)[0] == pytest.approx(0.5)
    assert direction("along", 30.0)[2] == pytest.approx(0.5)
    assert direction("along", 0.0, 30.0)[1] == pytest.approx(0.5)
    x, y, z = direction("upright", 45.0, 0.0)
    assert (x / z, y) == pytest.approx((1.0, 0.0))
    assert direction("upright", 0.0, 45.0)[1] > 0


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(("tilt", "turn"), [(0.0, 0.0), (12.5, -7.0), (-30.0, 20.0)])
def test_what_is_said_comes_back_whatever_its_length_and_sign(way, tilt, turn):
    bolt = direction(way, tilt, turn)
    assert math.dist(bolt, (0, 0, 0)) == pytest.approx(1.0)
    for scale in (1.0, 250.0, -3.0):
        found = said(tuple(scale * part for part in bolt))
        assert found[0] == way and found[1:] == pytest.approx((tilt, turn))


def test_no_direction_and_no_such_way():
    assert said((0.0, 0.0, 0.0)) is None
    with pytest.raises(ValueError, match="across, along, upright"):
        direction("sideways")
