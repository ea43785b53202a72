"""Two fits compared: what they share counts once; and the walk that proves a stage."""

import json
from dataclasses import replace

import numpy as np
import pytest
import scipy.stats

from capture import report
from capture.vehicle_file import read_vehicle_file
from geometry.compare import (
    LEAST_MM,
    NOT_READ,
    NOT_SEEN,
    SURE,
    WITHIN,
    NotComparable,
    between,
    by_name,
    closeness,
    compare,
)
from geometry.errors import BadName
from geometry.figures import Facts
from geometry.fit import Fit, Observation, Setup, fit
from geometry.proof import MAY_MOVE_MM, brackets, readings_that_prove, shortest_walks
from tests.reference.made import made

SETUP = Setup("four_link", "rear", 2760.0, 868.0)


def seen(stage_number: int = 1, moved: float = 0.0) -> list[Observation]:
    taken = [entry for entry in made("four_link", "rear", 14)["entries"] if entry["type"] == "reading"]
    once = {entry["reading"]: entry for entry in taken if "state" not in entry}
    return [
        Observation(name, entry["value"] + (moved if name == "lateral:upper_left.frame" else 0.0), name,
                    id=f"{stage_number}-{name}")
        for name, entry in once.items()
    ]  # fmt: skip


@pytest.fixture(scope="module")
def before() -> Fit:
    return fit(SETUP, seen())


def test_a_fit_compared_with_itself_has_not_changed_and_knows_it_exactly(before):
    found = compare(before, before, Facts())
    assert np.abs(between(before, before) - before.covariance).max() < 1e-9 * before.covariance.max()
    for point in found.points:
        assert point.by == (0.0, 0.0, 0.0) and point.sd == pytest.approx((LEAST_MM,) * 3, rel=1e-3)
    assert all(figure.by == 0.0 and figure.category != SURE for figure in found.figures)


def test_everything_read_anew_shares_only_the_assumptions(before):
    after = fit(SETUP, seen(2))
    found = by_name(compare(before, after, Facts()).points)
    own = before.placed()
    for name in brackets(before):
        assert found[name].sd == pytest.approx(np.multiply(own[name].sd, 2**0.5).tolist(), rel=0.02), name


def test_a_point_no_new_reading_touches_is_not_called_unmoved(before):
    again = [replace(one, carried=True) for one in seen()]
    again[0] = replace(again[0], carried=False, id="new-one")
    found = by_name(compare(before, fit(SETUP, again), Facts()).points)
    touched = {again[0].name.partition(":")[2]}
    for name, change in found.items():
        assert (change.category == NOT_READ) == (name not in touched and change.category != NOT_SEEN), name


def test_a_point_that_stands_on_a_guess_is_not_seen():
    few = [one for one in seen() if one.name in ("height:upper_left.frame", "height:upper_right.frame")]
    later = [replace(one, id=f"later-{one.name}") for one in few]
    found = by_name(compare(fit(SETUP, few), fit(SETUP, later), Facts()).points)
    assert found["upper_left.frame"].category == NOT_SEEN


def test_carried_readings_that_may_have_moved_share_only_their_own_scatter(before):
    loose = [replace(one, added_sd=4.0, carried=True) for one in seen()]
    tight = [replace(one, carried=True) for one in seen()]
    wide, narrow = (np.abs(np.diag(between(before, fit(SETUP, side)))) for side in (loose, tight))
    assert (wide < narrow * 1.001).all()
    assert by_name(compare(before, fit(SETUP, loose), Facts()).points)["upper_left.frame"].sd[1] > 2.0


def test_other_vehicles_are_not_compared(before):
    with pytest.raises(NotComparable, match="another layout or worked axle"):
        compare(before, fit(Setup("four_link", "front"), []), Facts())


def test_a_move_beyond_the_tape_is_sure_and_its_figures_follow(before):
    readings = [
        replace(one, value=one.value + 30.0) if one.name == "height:upper_left.frame" else one for one in seen(2)
    ]
    keep = {"height:upper_left.frame", "fore_aft:upper_left.frame", "lateral:upper_left.frame"}
    others = [one for one in readings if "upper_left.frame" not in one.name or one.name in keep]
    others = [one for one in others if "upper_left.middle" not in one.name]
    found = compare(before, fit(SETUP, others), Facts())
    assert by_name(found.points)["upper_left.frame"].category == SURE
    assert {figure.key for figure in found.figures if figure.category == SURE} >= {"link_incline.upper_left"}


# The walk that proves.


def test_the_walk_brings_every_bracket_down_to_what_was_asked(before):
    proof = readings_that_prove(before, move=8.0)
    assert proof.enough and set(proof.smallest) == set(brackets(before))
    assert max(max(sizes) for sizes in proof.smallest.values()) <= 8.0
    assert proof.minutes == pytest.approx(sum(step.minutes for step in proof.steps))


def test_a_smaller_move_takes_a_longer_walk(before):
    assert readings_that_prove(before, move=6.5).minutes > readings_that_prove(before, move=9.0).minutes


def test_what_the_walk_promises_is_what_the_readings_then_give(before):
    # Source: the readings of the walk put into one fit with a twin of the bolt, moved, that stands for the later stage.
    proof = readings_that_prove(before, ["lower_left.frame"], move=7.0)
    slots = slice(before.slot["lower_left.frame"], before.slot["lower_left.frame"] + 3)
    prior = np.linalg.inv(before.covariance)
    size = before.unknowns
    normal = np.zeros((size + 3, size + 3))
    normal[:size, :size] = prior
    normal[size:, size:] = np.eye(3) / MAY_MOVE_MM**2
    names = [step.name for step in proof.steps for _ in range(step.takes)]
    fresh = fit(SETUP, [*before.observations, *(Observation(n, float(before.predict([n])[0][0]), n) for n in names)])
    for name, sd in zip(names, fresh.sd[len(before.observations) :], strict=True):
        row = before.partials([name])[0]
        whole = np.concatenate([row, row[slots]]) / sd
        normal += np.outer(whole, whole)
    expected = 2.0 * np.sqrt(np.diag(np.linalg.inv(normal))[size:])
    assert proof.smallest["lower_left.frame"] == pytest.approx(expected.tolist(), rel=1e-6)


def test_dearer_readings_are_avoided(before):
    plain = readings_that_prove(before, move=6.5)
    first = plain.steps[0].name
    dear = readings_that_prove(before, move=6.5, minutes={first: 500.0})
    assert first not in {step.name for step in dear.steps}


def test_what_cannot_be_seen_is_said(before):
    proof = readings_that_prove(before, move=0.5)
    assert not proof.enough and proof.steps


def test_a_point_nobody_read_cannot_be_compared(before):
    with pytest.raises(BadName, match="no reading has touched this point yet"):
        readings_that_prove(before, ["keep_clear.winch"])


def test_the_walk_is_the_same_every_time(before):
    assert readings_that_prove(before) == readings_that_prove(before)


def test_the_same_comparison_through_the_log(before):
    vehicle = read_vehicle_file(json.dumps(made("four_link", "rear", 14, 1.0, True)).encode(), "made")
    sides = [report.build(vehicle, stage).fit for stage in ("mock_up", "tacked")]
    found = compare(*sides, report.facts_of(vehicle))
    assert {change.category for change in found.points} <= {SURE, WITHIN, NOT_SEEN, NOT_READ}
    assert 0.0 < found.point_level < 0.001 and 0.0 < found.figure_level < found.point_level


def test_of_the_usual_moves_each_smaller_one_takes_a_longer_walk_and_all_are_shown(before):
    walks = shortest_walks(before)
    moves = [move for move, _ in walks]
    assert moves == sorted(moves) and len(moves) >= 2
    assert all(max(max(sizes) for sizes in proof.smallest.values()) <= move for move, proof in walks)
    assert walks[0][1].minutes > walks[-1][1].minutes


def test_finer_reading_at_both_stages_shows_smaller_moves(before):
    # Source: by scaling. All spreads four times smaller, and a move four times smaller, is the same problem.
    plain = readings_that_prove(before, move=8.0, may_move=16.0)
    finer = readings_that_prove(before, move=2.0, may_move=4.0, finer=4.0)
    assert finer.steps == plain.steps
    for name, sizes in finer.smallest.items():
        assert sizes == pytest.approx([size / 4.0 for size in plain.smallest[name]], rel=1e-9)
    assert shortest_walks(before, finer=4.0)[0][0] < shortest_walks(before)[0][0]


def test_how_closely_a_move_is_told_and_which_is_called_sure_is_what_the_comparison_then_says(before):
    again = [replace(one, id=f"2-{one.name}", key=f"{one.name}#2") for one in seen()]
    after, bolts = fit(SETUP, again), brackets(before)
    close = closeness(before, after, bolts)
    still = by_name(compare(before, after, Facts()).points)
    assert close.told == pytest.approx(2.0 * max(max(still[name].sd) for name in bolts))
    # In the direction that tells least, a move of that size is called sure more than four times in five, one of a
    # quarter more nearly always and one of two sd nearly never. Source: scipy's chi squared, once in a thousand.
    tested = [name for name in still if still[name].category in (SURE, WITHIN)]
    critical = scipy.stats.chi2.isf(1.0 - (1.0 - 0.001) ** (1.0 / len(tested)), 3)
    spread = {name: np.linalg.inv(np.array(still[name].cov)) for name in bolts}
    name, axis = min(((name, axis) for name in bolts for axis in range(3)), key=lambda at: spread[at[0]][at[1], at[1]])

    def called_sure(move: float) -> float:
        return float(scipy.stats.ncx2.sf(critical, 3, move**2 * spread[name][axis, axis]))

    assert 0.80 < called_sure(close.sure) < 0.90
    assert called_sure(1.25 * close.sure) > 0.95 and called_sure(close.told) < 0.05


def test_without_a_point_there_is_no_walk(before):
    proof = readings_that_prove(before, [])
    assert proof.steps == () and not proof.enough and shortest_walks(before, []) == ()
