"""Evidence: what rows say about mistakes, whatever was allowed for before."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.evidence import Evidence, evidence_of, unit

ROWS, UNKNOWNS = 30, 8


@pytest.fixture
def design() -> np.ndarray:
    return np.random.default_rng(11).standard_normal((ROWS, UNKNOWNS))


@pytest.fixture
def evidence(design: np.ndarray) -> Evidence:
    return evidence_of(design, left_over(design, np.random.default_rng(12).standard_normal(ROWS)))


def left_over(design: np.ndarray, read: np.ndarray) -> np.ndarray:
    """Read less predicted, by numpy's own least squares."""
    return read - design @ np.linalg.lstsq(design, read, rcond=None)[0]


def test_what_is_allowed_for_is_as_good_as_an_unknown_of_the_fit(design, evidence):
    mistakes = np.random.default_rng(13).standard_normal((ROWS, 3))
    after = evidence.allowing_for(mistakes[:, 0]).allowing_for(mistakes[:, 1:])
    wider = np.hstack([design, mistakes])
    assert after.excess == pytest.approx(left_over(wider, evidence.excess), abs=1e-12)
    hat = wider @ np.linalg.pinv(wider)
    assert after.redundancy == pytest.approx(1.0 - np.diag(hat), abs=1e-12)
    assert after.information(mistakes) == pytest.approx(np.zeros((3, 3)), abs=1e-12)


def test_a_mistake_allowed_for_twice_or_already_is_allowed_for_once(evidence):
    mistake = np.random.default_rng(14).standard_normal(ROWS)
    once = evidence.allowing_for(mistake)
    for twice in (once.allowing_for(mistake), evidence.allowing_for(np.stack([mistake, 3.0 * mistake], axis=1))):
        assert twice.excess == pytest.approx(once.excess, abs=1e-9)
        assert twice.redundancy == pytest.approx(once.redundancy, abs=1e-9)


def test_of_what_the_unknowns_could_still_take_up_nothing_is_evidence(design, evidence):
    short = evidence.excess + design @ np.full(UNKNOWNS, 50.0)  # a search that ended 50 of each unknown short
    assert evidence_of(design, short).test_values == pytest.approx(evidence.test_values, abs=1e-9)


def test_a_direction_may_stop_at_the_last_row_it_touches(evidence):
    touched = np.random.default_rng(15).standard_normal((ROWS - 12, 4))
    whole = np.vstack([touched, np.zeros((12, 4))])
    for short, long in zip(evidence.amounts(touched), evidence.amounts(whole), strict=True):
        assert short == pytest.approx(long, rel=1e-12)
    assert evidence.information(touched) == pytest.approx(evidence.information(whole), rel=1e-12)
    after = evidence.allowing_for(touched)
    assert after.excess == pytest.approx(evidence.allowing_for(whole).excess, abs=1e-12)


def test_a_corrected_reading_changes_every_excess_as_a_new_fit_would(design, evidence):
    change = 4.0 * unit(ROWS, 5)
    assert evidence.corrected(change).excess == pytest.approx(left_over(design, evidence.excess + change), abs=1e-12)


def test_the_drop_of_a_pair_is_that_of_a_fit_with_both_as_unknowns(design, evidence):
    drops = evidence.pair_drops()
    for one, other in ((0, 7), (3, 21), (28, 29)):
        wider = np.hstack([design, np.stack([unit(ROWS, one), unit(ROWS, other)], axis=1)])
        left = left_over(wider, evidence.excess)
        assert drops[one, other] == pytest.approx(evidence.excess @ evidence.excess - left @ left, rel=1e-9)
    assert np.diag(drops) == pytest.approx(np.zeros(ROWS))


def test_rows_whose_tests_go_together_say_how_closely(design, evidence):
    cofactor = np.eye(ROWS) - design @ np.linalg.pinv(design)
    scale = np.sqrt(np.diag(cofactor))
    assert evidence.correlation(4) == pytest.approx(cofactor[4] / scale / scale[4], abs=1e-12)
