"""Tubes cut and lengths set: sums by hand, directions by the screw, refusals in one sentence."""

from dataclasses import replace

import pytest

from geometry.cutting import BadCut, End, Turned, cut, rounded, set_now, turn_joint, turn_tube, within
from geometry.threads import Thread, unified

COARSE = unified(1.25, 12)
FRAME = End("frame end", standing=58.0, thread=COARSE, thread_length=70.0, jam_nut=14.0, lip=5.0)
AXLE = End("axle end", standing=41.0)
RIGHT, LEFT = Thread(19.05, 1.5875), Thread(19.05, 1.5875, left=True)


def test_a_cut_length_by_hand():
    # By hand: range 70 - 31.75 - 14 = 24.25; showing 14 + 12.125; off 58 + 26.125 + 5 + 41 = 130.125; 905 - that.
    made = cut(905.0, 1.2, FRAME, AXLE)
    assert made.length == pytest.approx(774.875, abs=1e-9)
    assert made.each_way == pytest.approx(12.125, abs=1e-9)
    assert sum(taken for _, taken in made.parts) == pytest.approx(905.0 - made.length, abs=1e-9)
    assert made.within_reach and made.cut_long == 0.0


def test_two_threaded_ends_share_the_adjustment():
    both = cut(905.0, 1.2, FRAME, replace(FRAME, words="axle end"))
    assert both.each_way == pytest.approx(24.25, abs=1e-9)
    assert both.length == pytest.approx(905.0 - 2 * 89.125, abs=1e-9)


def test_a_give_or_take_beyond_the_adjustment_is_flagged():
    made = cut(905.0, 7.0, FRAME, AXLE)
    # By hand: two sds are 14.0, the adjustment is 12.125 each way.
    assert not made.within_reach and made.cut_long == pytest.approx(1.875, abs=1e-9)
    assert not cut(905.0, 0.1, AXLE, AXLE).within_reach  # nothing to adjust at all


@pytest.mark.parametrize(
    ("length", "frame", "said"),
    [
        (100.0, FRAME, "so no tube is left"),
        (float("nan"), FRAME, "there is no length of the link"),
        (9000.0, FRAME, "9000 mm is no length of a link"),
        (905.0, replace(FRAME, thread_length=40.0), "is too short for a jam nut of 14 mm and 32 mm left in"),
        (905.0, replace(FRAME, standing=-2.0), "a standing length of -2 mm cannot be"),
    ],
)
def test_parts_that_make_no_link_are_refused_in_one_sentence(length, frame, said):
    with pytest.raises(BadCut) as refused:
        cut(length, 1.0, frame, AXLE)
    assert said in str(refused.value) and "\n" not in str(refused.value)


def test_turning_the_tube_moves_both_ends():
    # By hand: 6.35 longer at 3.175 a turn is 2 turns; each end comes out 2 x 1.5875 = 3.175.
    set_to = turn_tube(900.0, 906.35, Turned("frame end", RIGHT, 30.0), Turned("axle end", LEFT, 24.0))
    assert (set_to.turns, set_to.whole, set_to.flats) == (2.0, 2, 0)
    assert set_to.reached == pytest.approx(906.35) and set_to.off == pytest.approx(0.0, abs=1e-9)
    assert [end.engaged for end in set_to.ends] == pytest.approx([26.825, 20.825])
    assert set_to.enough


@pytest.mark.parametrize(
    ("frame", "axle", "longer", "direction"),
    [
        # A right-hand nut turned clockwise runs on to its bolt, seen from the head of the nut; the tube is such a nut
        # seen from its far side, so seen from the bolt's end it runs off.
        (RIGHT, LEFT, 4.0, "clockwise"),
        (RIGHT, LEFT, -4.0, "counter-clockwise"),
        (LEFT, RIGHT, 4.0, "counter-clockwise"),
        (LEFT, RIGHT, -4.0, "clockwise"),
    ],
)
def test_the_direction_follows_the_hand(frame, axle, longer, direction):
    ends = Turned("frame end", frame, 40.0), Turned("axle end", axle, 40.0)
    assert turn_tube(900.0, 900.0 + longer, *ends).direction == direction


@pytest.mark.parametrize(
    ("thread", "longer", "direction"),
    [(RIGHT, 3.0, "counter-clockwise"), (RIGHT, -3.0, "clockwise"), (LEFT, 3.0, "clockwise")],
)
def test_a_joint_alone_unscrews_to_get_longer(thread, longer, direction):
    assert turn_joint(900.0, 900.0 + longer, Turned("frame end", thread, 40.0)).direction == direction


def test_too_little_thread_left_is_said():
    set_to = turn_joint(900.0, 912.7, Turned("frame end", RIGHT, 30.0))
    # By hand: 12.7 out of 30 leaves 17.3, less than the 19.05 of the diameter.
    assert set_to.ends[0].engaged == pytest.approx(17.3) and not set_to.enough
    assert turn_joint(900.0, 887.3, Turned("frame end", RIGHT, 30.0)).enough


def test_six_flats_make_a_turn_and_half_turns_stay_half():
    ends = Turned("frame end", RIGHT, 40.0), Turned("axle end", LEFT, 40.0)
    # By hand: 1.0 mm at 3.175 a turn is 0.315 turns, 1.89 flats: two flats, 1.0583 mm.
    set_to = turn_tube(900.0, 901.0, *ends)
    assert (set_to.whole, set_to.flats) == (0, 2) and set_to.off == pytest.approx(0.058333, abs=1e-6)
    assert turn_joint(900.0, 901.0, ends[0]).turns == 0.5
    assert turn_joint(900.0, 900.3, ends[0], half_turns=False).turns == pytest.approx(1 / 6)
    nothing = turn_tube(900.0, 900.0, *ends)
    assert (nothing.turns, nothing.direction, nothing.off) == (0.0, "", 0.0)


def test_a_tube_with_one_hand_at_both_ends_is_not_turned():
    ends = Turned("frame end", RIGHT, 40.0), Turned("axle end", RIGHT, 40.0)
    with pytest.raises(BadCut, match="same hand"):
        turn_tube(900.0, 905.0, *ends)


@pytest.mark.parametrize(
    ("length", "spread", "unit", "about"),
    [
        (774.9, 3.0, "mm", 775.0), (774.9, 6.0, "mm", 770.0), (774.9, 40.0, "mm", 750.0), (774.9, 900.0, "mm", 800.0),
        (774.7, 7.0, "in", 30.5 * 25.4), (774.7, 20.0, "in", 31 * 25.4),
    ],
)  # fmt: skip
def test_a_length_is_said_no_finer_than_its_give_or_take(length, spread, unit, about):
    assert rounded(length, spread, unit) == pytest.approx(about, abs=1e-9)


def test_the_thread_that_shows_says_how_much_is_left_in():
    # By hand: 70 of thread, 30 showing: 40 in; with the nut's 14 against the shoulder 56 are in at the most.
    now = set_now(FRAME, 30.0)
    assert (now.engaged, now.most) == (40.0, 56.0)
    with pytest.raises(BadCut, match="8 mm of thread cannot show"):
        set_now(FRAME, 8.0)
    with pytest.raises(BadCut, match="cannot show"):
        set_now(FRAME, 70.0)
    with pytest.raises(BadCut, match="nothing turns there"):
        set_now(AXLE, 10.0)


def test_a_joint_is_not_turned_in_further_than_its_nut_lets_it():
    # By hand: 16 mm shorter in half turns of 1.058 are 7.5 turns, 15.875 in: 55.875 of 56 fit, one half turn more not.
    assert turn_joint(900.0, 884.0, set_now(FRAME, 30.0)).enough
    shorter = turn_joint(900.0, 883.0, set_now(FRAME, 30.0))
    assert [(end.enough, end.fits) for end in shorter.ends] == [(True, False)] and not shorter.enough


def test_how_far_turning_reaches_at_all():
    # By hand: frame 40 in, least 31.75, most 56, pitch 25.4/12: out 3.897 turns, in 7.559. Axle 35 in: out 1.535.
    frame = set_now(FRAME, 30.0)
    axle = set_now(replace(FRAME, words="axle end", thread=Thread(COARSE.diameter, COARSE.pitch, True)), 35.0)
    assert within(900.0, [frame]) == pytest.approx((884.0, 908.25))
    # Both ends move: the axle end gives out first, 3.25 each; in, the frame end stops it first, 16 each.
    assert within(900.0, [frame, axle]) == pytest.approx((868.0, 906.5))
