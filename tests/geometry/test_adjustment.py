"""The adjustment's own promises: shapes, refusals, redundancy, damping, unknowns of unlike size."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.adjustment import MOST_STEPS, NON_CENTRALITY, adjust, cofactor, non_centrality
from geometry.errors import Underdetermined
from geometry.frame import Array

AT = np.array([0.0, 1.0, 2.0, 3.0])
READ = np.array([1.0, 3.0, 4.0, 8.0])


def line(x: Array) -> tuple[Array, Array]:
    return x[0] + x[1] * AT, np.stack((np.ones_like(AT), AT), axis=1)


def test_a_line_through_four_heights_is_the_one_worked_by_hand() -> None:
    # Source: by hand. Means 1.5 and 4; slope 11 / 5 = 2.2, start 0.7; residuals -0.3 -0.1 1.1 -0.7; sum of squares 1.8.
    found = adjust(line, np.array([50.0, -9.0]), READ, np.ones(4))
    np.testing.assert_allclose(found.estimate, [0.7, 2.2], atol=1e-12)
    np.testing.assert_allclose(found.residual, [-0.3, -0.1, 1.1, -0.7], atol=1e-12)
    np.testing.assert_allclose(found.covariance, [[0.7, -0.3], [-0.3, 0.2]], atol=1e-12)
    np.testing.assert_allclose(found.redundancy, [0.3, 0.7, 0.7, 0.3], atol=1e-12)
    assert found.chi2 == pytest.approx(1.8, abs=1e-12)
    assert found.variance_factor == pytest.approx(0.9, abs=1e-12)
    assert found.degrees_of_freedom == 2
    assert found.w[0] == pytest.approx(-0.3 / math.sqrt(0.3), abs=1e-12)
    assert found.smallest_findable[1] == pytest.approx(4.1321 / math.sqrt(0.7), abs=1e-3)


def test_the_covariance_is_a_priori_and_grows_with_the_square_of_the_sds() -> None:
    once, twice = (adjust(line, np.zeros(2), READ, np.full(4, sd)) for sd in (1.0, 2.0))
    np.testing.assert_allclose(twice.covariance, 4.0 * once.covariance, rtol=1e-12)
    np.testing.assert_allclose(twice.redundancy, once.redundancy, rtol=1e-12)


def test_the_smallest_findable_mistake_uses_baarda_s_non_centrality() -> None:
    # Source: Baarda 1968, two-sided alpha and power, recomputed with scipy.stats.
    assert pytest.approx(4.1321, abs=2e-4) == NON_CENTRALITY
    assert non_centrality(0.05, 0.80) == pytest.approx(2.8016, abs=2e-4)
    assert non_centrality(0.001, 0.50) == pytest.approx(3.2905, abs=2e-4)


def test_a_row_that_nothing_checks_has_w_0_and_nothing_findable() -> None:
    def model(x: Array) -> tuple[Array, Array]:
        return np.array([x[0], x[1], x[1]]), np.array([[1.0, 0.0], [0.0, 1.0], [0.0, 1.0]])

    found = adjust(model, np.zeros(2), np.array([5.0, 1.0, 2.0]), np.ones(3))
    assert found.residual[0] == pytest.approx(0.0, abs=1e-12)
    assert found.w[0] == 0.0
    assert math.isnan(found.smallest_findable[0])
    assert found.redundancy[1] == pytest.approx(0.5)


def test_as_many_rows_as_unknowns_leave_no_variance_factor() -> None:
    found = adjust(lambda x: (x, np.eye(2)), np.zeros(2), np.array([3.0, 4.0]), np.ones(2))
    assert found.degrees_of_freedom == 0
    assert found.variance_factor is None
    np.testing.assert_allclose(found.estimate, [3.0, 4.0])


def test_too_few_rows_are_refused_in_words() -> None:
    with pytest.raises(Underdetermined, match="1 readings cannot fix 2 unknowns"):
        adjust(lambda x: (x[:1], np.array([[1.0, 0.0]])), np.zeros(2), np.zeros(1), np.ones(1))


def test_rows_that_see_only_a_sum_are_refused_in_words() -> None:
    rows = np.ones((3, 2))
    with pytest.raises(Underdetermined, match="do not fix unknown"):
        adjust(lambda x: (rows @ x, rows), np.zeros(2), np.ones(3), np.ones(3))


def test_an_unknown_that_no_row_touches_is_refused() -> None:
    with pytest.raises(Underdetermined):
        cofactor(np.array([[1.0, 0.0], [1.0, 0.0]]))


@pytest.mark.parametrize(
    ("read", "sd"),
    [([1.0, 2.0], [1.0]), ([np.nan, 1.0], [1.0, 1.0]), ([1.0, 1.0], [1.0, 0.0]), ([1.0, 1.0], [1.0, -1.0])],
)
def test_shapes_and_numbers_that_cannot_be_used_are_our_own_slip(read: list[float], sd: list[float]) -> None:
    with pytest.raises(ValueError, match="expected"):
        adjust(lambda x: (x, np.eye(2)), np.zeros(2), np.array(read), np.array(sd))


def test_a_start_from_which_a_full_step_overshoots_still_arrives() -> None:
    # atan(x) = 0: Newton's step from 3 goes to -9.5 and on outward; damping must bring it home.
    def model(x: Array) -> tuple[Array, Array]:
        return np.arctan(x), np.diag(1.0 / (1.0 + x**2))

    found = adjust(model, np.array([3.0]), np.zeros(1), np.ones(1))
    assert found.converged
    assert found.estimate[0] == pytest.approx(0.0, abs=1e-8)


def test_a_step_never_goes_outside_what_is_allowed() -> None:
    seen: list[float] = []

    def root(x: Array) -> tuple[Array, Array]:
        seen.append(float(x[0]))
        return np.sqrt(x), np.diag(0.5 / np.sqrt(x))

    found = adjust(root, np.array([100.0]), np.array([1.0]), np.ones(1), inside=lambda x: bool((x > 0.0).all()))
    assert min(seen) > 0.0
    assert found.estimate[0] == pytest.approx(1.0, abs=1e-8)


def test_unknowns_of_very_unlike_size_are_both_found() -> None:
    # Source: made case; 1e6 and 1e-6 multiply to 1 and their parts are read apart.
    def model(x: Array) -> tuple[Array, Array]:
        return np.array([x[0] * x[1], x[0] / 1e6]), np.array([[x[1], x[0]], [1e-6, 0.0]])

    found = adjust(model, np.array([4e5, 4e-6]), np.array([1.0, 1.0]), np.array([1e-3, 1e-3]))
    np.testing.assert_allclose(found.estimate, [1e6, 1e-6], rtol=1e-9)


def test_a_model_with_no_answer_ends_without_raising_and_no_worse_than_it_began() -> None:
    def flat(x: Array) -> tuple[Array, Array]:
        return np.append(np.exp(-x), 1e-6 * x), np.vstack((np.diag(-np.exp(-x)), 1e-6 * np.eye(1)))

    found = adjust(flat, np.array([0.0]), np.array([-1.0, 0.0]), np.ones(2))
    assert found.steps <= MOST_STEPS
    assert found.chi2 <= 4.0
    assert np.isfinite(found.estimate).all()


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.integers(1, 8), st.integers(0, 8))
def test_redundancy_sums_to_rows_less_unknowns_on_any_network(seed: int, unknowns: int, spare: int) -> None:
    random = np.random.default_rng(seed)
    design = random.normal(size=(unknowns + spare, unknowns)) * 10.0 ** random.uniform(-4, 4, unknowns)
    rows = len(design)
    sd = random.uniform(0.1, 9.0, rows)
    found = adjust(lambda x: (design @ x, design), np.zeros(unknowns), random.normal(size=rows), sd)
    assert found.redundancy.sum() == pytest.approx(spare, abs=1e-8)
    assert (found.redundancy >= 0.0).all() and (found.redundancy <= 1.0).all()
    slope = found.design_matrix.T @ (found.residual / sd)
    assert np.abs(slope).max() < 1e-6 * np.abs(found.design_matrix).max()


def test_leaving_a_row_out_lowers_the_sum_of_squares_by_its_w_squared() -> None:
    # Source: Baarda 1968; exact for a linear model.
    whole = adjust(line, np.zeros(2), READ, np.ones(4))
    for row in range(4):
        keep = np.arange(4) != row
        rest = adjust(lambda x, keep=keep: tuple(part[keep] for part in line(x)), np.zeros(2), READ[keep], np.ones(3))
        assert whole.chi2 - rest.chi2 == pytest.approx(whole.w[row] ** 2, abs=1e-10)
