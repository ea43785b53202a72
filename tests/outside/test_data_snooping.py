"""Finding a mistake by the test values of residuals, against published numbers and reference packages.

Sources: Baarda, A testing procedure for use in geodetic networks (1968), critical value and non-centrality, also
computed with scipy; Ghilani, Adjustment Computations, 5th ed., Ex. 12.6, inputs as in GNU Gama's test collection,
answers of gama-local 2.33 and statsmodels; a made three-dimensional network whose answers gama-local 2.33 and scipy
agree on; statsmodels' leverage and studentised residuals on its own data sets.
"""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats
from statsmodels.stats.outliers_influence import OLSInfluence

from geometry.evidence import (
    CRITICAL,
    LEVEL,
    POWER,
    Evidence,
    critical,
    evidence_of,
    noncentrality,
    shared_level,
    unit,
)


def linear_evidence(design: np.ndarray, read: np.ndarray, sd: np.ndarray) -> Evidence:
    """Least squares of a linear model by numpy's own solver, as evidence."""
    whitened = design / sd[:, None]
    solution = np.linalg.lstsq(whitened, read / sd, rcond=None)[0]
    return evidence_of(whitened, read / sd - whitened @ solution)


# -- the published values of the test ---------------------------------------------------------------

BAARDA = [
    # level, critical value, smallest findable mistake in sds at power 0.80, 0.90, 0.95
    (0.001, 3.2905, 4.1321, 4.5721, 4.9354),
    (0.0027, 3.0000, 3.8416, 4.2815, 4.6448),
    (0.01, 2.5758, 3.4175, 3.8574, 4.2207),
    (0.05, 1.9600, 2.8016, 3.2415, 3.6048),
]


@pytest.mark.parametrize(("level", "k", "at_80", "at_90", "at_95"), BAARDA)
def test_critical_value_and_noncentrality_are_those_of_baarda(
    level: float, k: float, at_80: float, at_90: float, at_95: float
) -> None:
    assert critical(level) == pytest.approx(k, abs=2e-4)
    for power, size in ((0.80, at_80), (0.90, at_90), (0.95, at_95)):
        assert noncentrality(level, power) == pytest.approx(size, abs=2e-4)


def test_a_mistake_of_413_sds_is_found_four_times_in_five_by_the_noncentral_distribution() -> None:
    # scipy's noncentral chi-square knows both tails; ours adds two normal quantiles.
    size = noncentrality(LEVEL, POWER)
    assert stats.ncx2.sf(CRITICAL**2, 1, size**2) == pytest.approx(0.80, abs=1e-6)
    assert stats.norm.isf(0.0005) == pytest.approx(CRITICAL, abs=1e-9)
    assert size == pytest.approx(4.13, abs=0.005)


@pytest.mark.parametrize(
    ("tests", "level", "k"), [(10, 0.0051162, 2.7996), (20, 0.0025614, 3.0160), (50, 0.0010253, 3.2835)]
)
def test_five_percent_shared_over_many_tests(tests: int, level: float, k: float) -> None:
    # Values: scipy.stats, 1 - 0.95^(1/n).
    assert shared_level(0.05, tests) == pytest.approx(level, abs=1e-7)
    assert critical(shared_level(0.05, tests)) == pytest.approx(k, abs=1e-4)


# -- a levelling network ----------------------------------------------------------------------------

# Lines A-B, B-C, C-D, D-A, B-D, A-C of Ghilani Ex. 12.6; A is fixed at 437.596 m, unknown B, C, D; mm.
LEVELLING = np.array([[1, 0, 0], [-1, 1, 0], [0, -1, 1], [0, 0, -1], [-1, 0, 1], [0, 1, 0]], dtype=float)
LINES_READ = np.array([10509.0, 5360.0, -8523.0, -7348.0, -3167.0, 15881.0])
LINES_SD = np.array([6.0, 4.0, 5.0, 3.0, 4.0, 12.0])


def test_a_levelling_networks_redundancy_and_test_values_are_gamas() -> None:
    found = linear_evidence(LEVELLING, LINES_READ, LINES_SD)
    expected_r = [0.654869, 0.329448, 0.509175, 0.187705, 0.432621, 0.886182]
    expected_w = [0.7644, -0.1063, -0.5220, 0.3037, 0.7197, -0.7553]
    assert found.redundancy == pytest.approx(expected_r, abs=1e-5)
    # The published residual is adjusted less observed; the excess is read less predicted.
    assert -found.test_values == pytest.approx(expected_w, abs=1e-4)


def test_a_blunder_of_100_mm_in_one_levelling_line_is_found_with_its_size_and_its_sign() -> None:
    for line in range(6):
        read = LINES_READ.copy()
        read[line] += 100.0
        found = linear_evidence(LEVELLING, read, LINES_SD)
        assert int(np.argmax(np.abs(found.test_values))) == line
        amount, sd = found.amounts(unit(6, line)[:, None] / LINES_SD[:, None])
        assert abs(amount[0] - 100.0) < 4.0 * sd[0]


# -- a tape-and-plumb network in space --

MARKS = {"A": (0.0, 0.0, 0.0), "B": (1500.0, 0.0, 0.0), "C": (0.0, 900.0, 0.0), "D": (1500.0, 900.0, 0.0)}
START = np.array([440.0, 330.0, 580.0, 1300.0, 170.0, 450.0])
TAPED = [(mark, point) for point in (0, 1) for mark in "ABCD"]
SPACE_READ = np.array([765.0, 1257.0, 917.5, 1352.5, 1359.0, 505.0, 1543.0, 890.5, 883.5, 561.5, 430.0])
SPACE_SD = np.array([1.5] * 8 + [1.0, 1.5, 1.5])
NAMES = ("A-U", "B-U", "C-U", "D-U", "A-V", "B-V", "C-V", "D-V", "U-V", "height U", "height V")


def _space(unknowns: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Predicted readings (11,) and their partials (11, 6) of eight slope distances, U-V and two heights."""
    points = unknowns.reshape(2, 3)
    predicted, partials = np.zeros(11), np.zeros((11, 6))
    for row, (mark, point) in enumerate(TAPED):
        arm = points[point] - np.array(MARKS[mark])
        predicted[row] = np.linalg.norm(arm)
        partials[row, 3 * point : 3 * point + 3] = arm / predicted[row]
    arm = points[1] - points[0]
    predicted[8] = np.linalg.norm(arm)
    partials[8] = np.concatenate((-arm, arm)) / predicted[8]
    predicted[9:] = points[:, 2]
    partials[9, 2] = partials[10, 5] = 1.0
    return predicted, partials


def space_evidence(read: np.ndarray, rows: list[int] | None = None) -> tuple[Evidence, np.ndarray]:
    """Gauss-Newton to the end, then the evidence and the unknowns (6,)."""
    kept = list(range(11)) if rows is None else rows
    unknowns = START.copy()
    for _ in range(30):
        predicted, partials = _space(unknowns)
        whitened = partials[kept] / SPACE_SD[kept][:, None]
        unknowns = unknowns + np.linalg.lstsq(whitened, (read - predicted)[kept] / SPACE_SD[kept], rcond=None)[0]
    predicted, partials = _space(unknowns)
    whitened = partials[kept] / SPACE_SD[kept][:, None]
    return evidence_of(whitened, (read - predicted)[kept] / SPACE_SD[kept]), unknowns


def test_a_space_networks_redundancy_test_values_and_smallest_findable_are_gamas() -> None:
    found, _ = space_evidence(SPACE_READ)
    expected_r = [0.37131, 0.60668, 0.34390, 0.48546, 0.53984, 0.49846, 0.59448, 0.19218, 0.28653, 0.55904, 0.52212]
    expected_w = [-0.8865, 1.1131, 0.3865, -0.7929, 0.6036, -0.9145, -0.2901, 0.1492, -0.6367, 0.2341, 0.5014]
    assert found.redundancy == pytest.approx(expected_r, abs=1e-5)
    assert found.test_values == pytest.approx(expected_w, abs=2e-4)
    findable = noncentrality(LEVEL, POWER) * SPACE_SD / np.sqrt(found.redundancy)
    for name, size in (("A-U", 10.1717), ("C-U", 10.5693), ("D-V", 14.1387), ("U-V", 7.7194), ("height U", 8.2897)):
        assert findable[NAMES.index(name)] == pytest.approx(size, abs=2e-3)


SPOILED = SPACE_READ + np.array([0.0, 12.7, 0, 0, 0, 0, 0, 0, 0, 0, 0])


def test_half_an_inch_planted_in_one_distance_is_the_largest_test_value() -> None:
    # gama-local 2.33 and scipy agree on all of these.
    found, unknowns = space_evidence(SPOILED)
    expected = [2.2744, 7.7121, 3.1463, 2.9669, 2.4664, 2.3253, 1.4654, 0.5498, 4.3873, 1.8945, 0.1220]
    assert np.abs(found.test_values) == pytest.approx(expected, abs=2e-4)
    assert float(found.excess @ found.excess) == pytest.approx(60.56157, abs=1e-4)
    assert unknowns[:3] == pytest.approx([416.35780, 312.03838, 563.62850], abs=1e-4)
    amount, _ = found.amounts(unit(11, 1)[:, None] / SPACE_SD[:, None])
    assert amount[0] == pytest.approx(14.84, abs=0.01)


def test_allowing_for_the_planted_mistake_leaves_what_a_fit_without_that_reading_leaves() -> None:
    # Two routes: the update, and Gauss-Newton again without the reading. Equal to first order in 15 mm of 1 m.
    updated = space_evidence(SPOILED)[0].allowing_for(unit(11, 1))
    without, _ = space_evidence(SPOILED, [0, 2, 3, 4, 5, 6, 7, 8, 9, 10])
    others = [0, 2, 3, 4, 5, 6, 7, 8, 9, 10]
    assert updated.redundancy[1] == pytest.approx(0.0, abs=1e-9)
    assert updated.redundancy[others] == pytest.approx(without.redundancy, abs=5e-3)
    assert updated.test_values[others] == pytest.approx(without.test_values, abs=0.1)
    assert np.abs(updated.test_values).max() < CRITICAL


# -- what holds on any network ----------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(5))
def test_on_any_network_redundancies_sum_to_the_spare_rows_and_a_drop_is_w_squared(seed: int) -> None:
    # Source: Baarda 1968. Checked by fitting again without the row, with numpy's own solver.
    rng = np.random.default_rng(seed)
    design, read, sd = rng.normal(size=(12, 5)), rng.normal(size=12), rng.uniform(0.5, 3.0, 12)
    found = linear_evidence(design, read, sd)
    assert found.redundancy.sum() == pytest.approx(7.0, abs=1e-9)
    assert ((found.redundancy >= 0.0) & (found.redundancy <= 1.0)).all()
    whole = float(found.excess @ found.excess)
    for row in range(12):
        kept = np.arange(12) != row
        less = linear_evidence(design[kept], read[kept], sd[kept])
        assert whole - float(less.excess @ less.excess) == pytest.approx(found.test_values[row] ** 2, abs=1e-8)
        again = found.allowing_for(unit(12, row))
        assert again.test_values[kept] == pytest.approx(less.test_values, abs=1e-8)


def test_a_pair_drops_the_sum_of_squares_by_what_a_fit_without_both_says() -> None:
    rng = np.random.default_rng(11)
    design, read, sd = rng.normal(size=(9, 4)), rng.normal(size=9), np.ones(9)
    found = linear_evidence(design, read, sd)
    kept = [row for row in range(9) if row not in (2, 6)]
    less = linear_evidence(design[kept], read[kept], sd[kept])
    expected = float(found.excess @ found.excess - less.excess @ less.excess)
    assert found.pair_drops()[2, 6] == pytest.approx(expected, abs=1e-8)


def test_with_one_spare_row_all_test_values_are_alike_and_all_rows_are_tied() -> None:
    # Source: Baarda 1968: with one degree of freedom the program must not point at one measurement.
    found = linear_evidence(np.array([[1.0], [1.0]]), np.array([10.0, 30.0]), np.array([1.0, 2.0]))
    assert np.abs(found.test_values) == pytest.approx(np.full(2, 20.0 / np.sqrt(5.0)), abs=1e-9)
    assert np.abs(found.correlation(0)) == pytest.approx([1.0, 1.0], abs=1e-9)
    assert found.pair_drops() == pytest.approx(np.zeros((2, 2)))


def test_a_row_that_nothing_checks_has_no_test_value_whatever_was_read() -> None:
    design = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    found = linear_evidence(design, np.array([1.0, 2.0, 9999.0]), np.ones(3))
    assert found.redundancy[2] == pytest.approx(0.0, abs=1e-12)
    assert found.test_values[2] == 0.0
    assert found.amounts(unit(3, 2)[:, None])[1][0] == np.inf


# -- a reference package on its own data sets -------------------------------------------------------


@pytest.mark.parametrize("data", [sm.datasets.stackloss, sm.datasets.longley], ids=["stackloss", "longley"])
def test_leverage_and_studentised_residuals_are_those_of_statsmodels(data: object) -> None:
    frame = data.load_pandas()  # type: ignore[attr-defined]
    design = sm.add_constant(frame.exog).to_numpy(dtype=float)
    # Columns to one size: Longley's are of very unlike size and nearly dependent.
    design = design / np.abs(design).max(axis=0)
    read = frame.endog.to_numpy(dtype=float)
    result = sm.OLS(read, design).fit()
    influence = OLSInfluence(result)
    scatter = np.full(len(read), np.sqrt(result.scale))
    found = linear_evidence(design, read, scatter)
    assert 1.0 - found.redundancy == pytest.approx(influence.hat_matrix_diag, abs=1e-7)
    assert found.test_values == pytest.approx(influence.resid_studentized_internal, abs=1e-5)


def test_the_known_odd_days_of_the_stack_loss_data_are_named_first() -> None:
    # Source: statsmodels' stackloss data (Brownlee 1965). Day 21 is the one statsmodels' deleted residuals put first.
    frame = sm.datasets.stackloss.load_pandas()
    design, read = sm.add_constant(frame.exog).to_numpy(dtype=float), frame.endog.to_numpy(dtype=float)
    result = sm.OLS(read, design).fit()
    found = linear_evidence(design, read, np.full(21, np.sqrt(result.scale)))
    external = OLSInfluence(result).resid_studentized_external
    assert int(np.argmax(np.abs(found.test_values))) == int(np.argmax(np.abs(external))) == 20
    less = linear_evidence(np.delete(design, 20, 0), np.delete(read, 20), np.full(20, np.sqrt(result.scale)))
    updated = found.allowing_for(unit(21, 20))
    assert np.delete(updated.test_values, 20) == pytest.approx(less.test_values, abs=1e-8)
