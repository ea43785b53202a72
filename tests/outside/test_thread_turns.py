"""How far turns go, against published threads.

Source: ASME B1.1 unified threads (turns an inch of the UNF series; they agree with the thread table of a public
general-purpose CAD program, rounded to 0.001 mm); 1-14 UNS from memory. Turns for 10 mm: by division, by hand.
Metric: ISO 261 general plan, coarse and fine pitches (M12x1.75, M16x2, M24x3 coarse; fine 1.5 and 2), from memory; the
thread left in against ISO 898-2, whose regular nuts (style 1) are 0.8 to 0.9 of a diameter high, from memory.
"""

import pytest

from geometry.cutting import End, Turned, turn_joint, turn_tube
from geometry.threads import USUAL, Thread, name_of, stroke

TABLE = [
    ("1/2-20", 1.270000, 2.540000, 7.8740, 3.9370),
    ("5/8-18", 1.411111, 2.822222, 7.0866, 3.5433),
    ("3/4-16", 1.587500, 3.175000, 6.2992, 3.1496),
    ("7/8-14", 1.814286, 3.628571, 5.5118, 2.7559),
    ("1-14", 1.814286, 3.628571, 5.5118, 2.7559),
    ("1-12", 2.116667, 4.233333, 4.7244, 2.3622),
    ("1 1/4-12", 2.116667, 4.233333, 4.7244, 2.3622),
]
ISO_261 = {  # diameter: the pitches of its row, coarse first, mm
    12: (1.75, 1.5, 1.25, 1.0), 16: (2.0, 1.5, 1.0), 18: (2.5, 2.0, 1.5, 1.0), 20: (2.5, 2.0, 1.5, 1.0),
    22: (2.5, 2.0, 1.5, 1.0), 24: (3.0, 2.0, 1.5, 1.0), 30: (3.5, 3.0, 2.0, 1.5, 1.0),
}  # fmt: skip
NUT_HEIGHTS = {12: 10.8, 16: 14.8, 20: 18.0, 24: 21.5, 30: 25.6}
"""ISO 4032, style 1, the greatest height, mm; from memory."""
DIAMETERS = {"1/2-20": 12.7, "5/8-18": 15.875, "3/4-16": 19.05, "7/8-14": 22.225, "1-14": 25.4, "1 1/4-12": 31.75}


def left(thread: Thread) -> Thread:
    return Thread(thread.diameter, thread.pitch, True)


@pytest.mark.parametrize(("name", "a_turn", "both", "one_end", "tube"), TABLE)
def test_a_turn_goes_as_far_as_the_published_pitch(name, a_turn, both, one_end, tube):
    thread = USUAL[name]
    assert thread.pitch == pytest.approx(a_turn, abs=6e-7)
    assert stroke(thread, left(thread)) == pytest.approx(both, abs=6e-7)
    assert 10.0 / stroke(thread, None) == pytest.approx(one_end, abs=6e-5)
    assert 10.0 / stroke(thread, left(thread)) == pytest.approx(tube, abs=6e-5)


def test_every_usual_thread_stands_in_a_published_table():
    inch = [name for name in USUAL if not name.startswith("M")]
    assert inch == [row[0] for row in TABLE]
    metric = [name for name in USUAL if name.startswith("M")]
    assert len(metric) + len(inch) == len(USUAL) and metric
    for name in metric:
        diameter, pitch = (float(part) for part in name.removeprefix("M").split("x"))
        assert (USUAL[name].diameter, USUAL[name].pitch) == (diameter, pitch)
        assert pitch in ISO_261[int(diameter)]
    for name, diameter in DIAMETERS.items():
        assert USUAL[name].diameter == pytest.approx(diameter, abs=1e-9)


@pytest.mark.parametrize(("name", "a_turn", "both", "one_end", "tube"), TABLE)
def test_ten_millimetres_are_set_to_the_nearest_flat(name, a_turn, both, one_end, tube):
    thread = USUAL[name]
    set_to = turn_tube(900.0, 910.0, Turned("frame end", thread, 60.0), Turned("axle end", left(thread), 60.0))
    assert set_to.turns == pytest.approx(tube, abs=1 / 12 + 1e-9)
    assert set_to.whole + set_to.flats / 6 == pytest.approx(set_to.turns)
    assert abs(set_to.off) <= both / 12 + 1e-9
    assert [end.engaged for end in set_to.ends] == pytest.approx([60.0 - set_to.turns * a_turn] * 2)


def test_a_joint_that_ends_in_its_plane_moves_in_half_turns_of_0_794_mm():
    # Source: the same table's note, 3/4-16 in half turns.
    set_to = turn_joint(900.0, 900.8, Turned("frame end", USUAL["3/4-16"], 40.0))
    assert set_to.turns == 0.5
    assert set_to.reached - 900.0 == pytest.approx(0.79375, abs=1e-9)


@pytest.mark.parametrize(("diameter", "height"), NUT_HEIGHTS.items())
def test_one_diameter_left_in_is_at_least_the_height_of_a_standard_nut(diameter, height):
    thread = Thread(float(diameter), ISO_261[diameter][1])
    end = End("frame end", 40.0, thread, 3.0 * diameter)
    assert height <= end.least_engaged <= 1.3 * height


@pytest.mark.parametrize("name", USUAL)
def test_a_size_written_with_fewer_digits_is_still_that_thread(name):
    thread = USUAL[name]
    assert name_of(round(thread.diameter, 2), round(thread.pitch, 2)) == name
    assert name_of(thread.diameter + 0.5, thread.pitch) is None and name_of(None, thread.pitch) is None


def test_metric_18_by_1_5_turned_twice_round_goes_3_mm_at_each_end():
    # Source: ISO 261, M18 fine 1.5; by hand 2 x 1.5 at each end, 6 in all.
    right = USUAL["M18x1.5"]
    set_to = turn_tube(900.0, 906.0, Turned("frame end", right, 30.0), Turned("axle end", left(right), 30.0))
    assert (set_to.whole, set_to.flats, set_to.off) == (2, 0, pytest.approx(0.0, abs=1e-9))
    assert [end.out for end in set_to.ends] == pytest.approx([3.0, 3.0])
