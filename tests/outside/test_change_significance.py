"""Whether a change is called sure, against reference statistics packages: scipy.stats and statsmodels."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from capture import report
from capture.vehicle_file import read_vehicle_file
from geometry.compare import (
    NOT_READ,
    NOT_SEEN,
    SURE,
    between,
    chi2_beyond_of_3,
    compare,
    normal_beyond,
)
from geometry.evidence import shared_level
from geometry.fit import Fit, Observation, Setup, fit
from tests.reference.made import made


@pytest.mark.parametrize("value", [0.0, 1e-6, 0.5, 2.366, 7.815, 16.266, 30.0, 80.0])
def test_the_chance_of_a_move_is_that_of_chi_squared_with_three_degrees_of_freedom(value):
    assert chi2_beyond_of_3(value) == pytest.approx(stats.chi2.sf(value, 3), rel=1e-10)


@pytest.mark.parametrize("value", [-4.0, -1.0, 0.0, 0.3, 1.96, 3.29, 6.0])
def test_the_chance_of_a_figures_change_is_two_sided_normal(value):
    assert normal_beyond(value) == pytest.approx(2.0 * stats.norm.sf(abs(value)), rel=1e-10)


@pytest.mark.parametrize("tests", [1, 5, 17, 60])
def test_the_level_shared_over_so_many_tests_is_sidaks(tests):
    # statsmodels corrects p-values; a p at the shared level comes out at the whole level.
    level = shared_level(0.001, tests)
    corrected = sm.stats.multipletests([level] + [0.999] * (tests - 1), alpha=0.001, method="sidak")[1][0]
    assert corrected == pytest.approx(0.001, rel=1e-9)


@pytest.fixture(scope="module")
def stages() -> tuple[Fit, Fit, report.Report]:
    vehicle = read_vehicle_file(json.dumps(made("three_link_panhard", "rear", 12, 1.0, True)).encode(), "made")
    both = [report.build(vehicle, stage) for stage in ("mock_up", "tacked")]
    return both[0].fit, both[1].fit, both[1]


def test_every_points_chance_is_statsmodels_wald_test_of_no_move(stages):
    before, after, made_report = stages
    found = compare(before, after, report.facts_of(made_report.vehicle))
    tested = 0
    for change in found.points:
        cov = np.array(change.cov)
        # A generalised least squares of the three differences on themselves, their covariance known.
        model = sm.GLS(np.array(change.by), np.eye(3), sigma=cov)
        wald = model.fit(cov_type="fixed scale").wald_test(np.eye(3), use_f=False, scalar=True)
        assert wald.df_denom == 3 or wald.distribution == "chi2"
        assert change.chance == pytest.approx(float(wald.pvalue), rel=1e-6), change.name
        if change.category not in (NOT_SEEN, NOT_READ):
            tested += 1
            assert (change.category == SURE) == (float(wald.pvalue) < found.point_level)
    assert tested > 3 and found.point_level == pytest.approx(shared_level(0.001, tested))


def test_the_covariance_between_two_stages_is_that_of_the_readings_they_share():
    # Source: each shared reading moved a little and both vehicles fitted anew; unshared ones do not count.
    setup = Setup("three_link_panhard", "rear", 2760.0, 868.0)
    vehicle = read_vehicle_file(json.dumps(made("three_link_panhard", "rear", 12, 1.0, True)).encode(), "made")
    views = [report.build(vehicle, stage).stage_view for stage in ("mock_up", "tacked")]
    sides = [_with_fixed_sds(setup, view.observations) for view in views]
    whole = [fit(setup, side) for side in sides]
    expected = np.zeros((whole[0].unknowns, whole[1].unknowns))
    where = [{seen.id: number for number, seen in enumerate(side)} for side in sides]
    shared = [each for each in where[0] if each in where[1]]
    assert 20 < len(shared) < len(where[0])
    for each in shared:
        slopes = []
        for side, place, fitted in zip(sides, where, whole, strict=True):
            number = place[each]
            step = 0.01 * float(fitted.sd[number])
            moved = list(side)
            moved[number] = replace(moved[number], value=moved[number].value + step)
            slopes.append((fit(setup, moved).estimate - fitted.estimate) / step)
        own = whole[0].sd[where[0][each]] ** 2 - sides[0][where[0][each]].added_sd ** 2
        expected += np.outer(slopes[0], slopes[1]) * own
    assumed = _of_assumptions(*whole)
    found = between(*whole) - assumed
    scale = np.sqrt(np.outer(np.diag(whole[0].covariance), np.diag(whole[1].covariance)))
    assert np.abs(found - expected).max() < 2e-3 * scale.max()
    assert np.abs((found - expected) / scale).max() < 5e-3


def _with_fixed_sds(setup: Setup, seen: Sequence[Observation]) -> list[Observation]:
    """The same readings with their sds stated, so that these do not change with a value that is moved."""
    own = np.sqrt(fit(setup, seen).sd ** 2 - np.array([each.added_sd for each in seen]) ** 2)
    return [replace(each, sd=float(sd)) for each, sd in zip(seen, own, strict=True)]


def _of_assumptions(before: Fit, after: Fit) -> np.ndarray:
    """What the assumptions, the same in both, put between the two: their rows stand in one order in both."""
    assert [row.about for row in before.assumed] == [row.about for row in after.assumed]
    answers = [side.covariance @ side.design_matrix[len(side.observations) :].T for side in (before, after)]
    return answers[0] @ answers[1].T


def stacked(before: Fit, after: Fit) -> tuple[sm.regression.linear_model.RegressionResults, np.ndarray]:
    """Both stages as one regression in statsmodels, and the covariance of its parameters.

    The parameters are what is unknown at the first stage, then at the second, then three of 0.1 mm that nobody sees.
    Each stage's rows are weighed by themselves, as two separate fits do; how the rows of the two go together is told by
    what a reading is (its id, and what was added to its spread for being carried) and by an assumption's place.
    """
    sides, count = (before, after), before.unknowns
    rows = [len(side.observations) + side.assumptions for side in sides]
    design = np.zeros((sum(rows) + 3, 2 * count + 3))
    design[: rows[0], :count] = before.design_matrix
    design[rows[0] : sum(rows), count : 2 * count] = after.design_matrix
    design[sum(rows) :, 2 * count :] = np.eye(3) / 0.1
    together = np.eye(len(design))
    readings = {seen.id: number for number, seen in enumerate(before.observations)}
    for number, seen in enumerate(after.observations):
        if seen.id in readings:
            own = 1.0 - (seen.added_sd / after.sd[number]) ** 2
            together[readings[seen.id], rows[0] + number] = math.sqrt(own)
    assert [row.about for row in before.assumed] == [row.about for row in after.assumed]
    for number in range(before.assumptions):
        together[len(before.observations) + number, rows[0] + len(after.observations) + number] = 1.0
    together = np.maximum(together, together.T)
    solved = np.concatenate([before.estimate, after.estimate, np.zeros(3)])
    missed = np.concatenate([*(_misses(side) for side in sides), np.zeros(3)])
    result = sm.OLS(design @ solved - missed, design).fit()
    assert result.params == pytest.approx(solved, abs=1e-3)
    answer = result.normalized_cov_params @ design.T
    return result, answer @ together @ answer.T


def _misses(side: Fit) -> np.ndarray:
    """What each row still misses at the fit's solution, in its own sds: readings, then assumptions."""
    assumed = [(sum(factor * side.estimate[column] for column, factor in zip(row.columns, row.factors, strict=True))
                - row.target) / row.sd for row in side.assumed]
    return np.concatenate([side.residual / side.sd, assumed])


def test_every_points_chance_is_statsmodels_contrast_test_on_both_stages_rows_as_one_regression(stages):
    before, after, made_report = stages
    found = compare(before, after, report.facts_of(made_report.vehicle))
    result, cov = stacked(before, after)
    count = before.unknowns
    for change in found.points:
        contrast = np.zeros((3, 2 * count + 3))
        for sign, start, side in ((-1.0, 0, before), (1.0, count, after)):
            for axis in range(3):
                contrast[axis, start + side.slot[change.name] + axis] += sign
            for wheel in ("wheel_left.centre", "wheel_right.centre"):
                contrast[0, start + side.slot[wheel]] -= 0.5 * sign
        contrast[:, 2 * count :] = np.eye(3)
        wald = result.wald_test(contrast, cov_p=cov, use_f=False, scalar=True)
        assert change.chance == pytest.approx(float(wald.pvalue), rel=1e-5, abs=1e-12), change.name
        alone = np.diag(contrast @ cov @ contrast.T)
        assert change.sd == pytest.approx(np.sqrt(alone).tolist(), rel=1e-5), change.name
