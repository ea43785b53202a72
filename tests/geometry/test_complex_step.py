import numpy as np
import pytest

from geometry.complex_step import STEP, absolute, acos, asin, atan2, between, norm


@pytest.mark.parametrize(
    ("function", "slope", "at"),
    [
        (lambda v: atan2(v, np.array([2.0 + 0j])), lambda v: 2.0 / (4.0 + v * v), 0.7),
        (lambda v: atan2(np.array([-1.5 + 0j]), v), lambda v: 1.5 / (2.25 + v * v), -0.4),
        (asin, lambda v: 1.0 / np.sqrt(1.0 - v * v), -0.6),
        (acos, lambda v: -1.0 / np.sqrt(1.0 - v * v), 0.3),
        (absolute, lambda v: -1.0, -3.0),
    ],
)
def test_the_imaginary_part_is_the_derivative(function, slope, at):
    answer = function(np.array([at + 1j * STEP]))
    assert answer.imag[0] / STEP == pytest.approx(slope(at), rel=1e-14)


def test_a_real_array_stays_real():
    assert atan2(np.array([1.0]), np.array([1.0])).dtype == float
    assert acos(np.array([0.5])).dtype == float


def test_no_angle_at_the_origin_has_no_derivative_and_no_nan():
    answer = atan2(np.array([0.0 + 1j * STEP]), np.array([0.0 + 0j]))
    assert answer[0] == 0


def test_small_angles_between_directions_keep_their_digits():
    tiny = 1e-9
    a, b = np.array([[1.0, 0.0, 0.0]]), np.array([[np.cos(tiny), np.sin(tiny), 0.0]])
    assert between(a, b)[0] == pytest.approx(tiny, rel=1e-6)


def test_length_is_that_of_the_box_diagonal():
    # By hand: 3 x 3 + 4 x 4 + 12 x 12 = 13 x 13.
    assert norm(np.array([[3.0, 4.0, 12.0]]))[0] == 13.0
