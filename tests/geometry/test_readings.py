"""Kinds of reading: names, predictions by hand, partials by small moves, spreads, words."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from geometry.errors import BadLayout, BadName
from geometry.frame import Array
from geometry.layouts import LAYOUTS
from geometry.network import Equations
from geometry.points import SCALARS
from geometry.readings import ALL, KINDS, describe, parse_name, possible
from geometry.slips import CATALOGUE

ANGLES = ("floor.pitch", "floor.bank", "pinion", "gearbox_output")
FRONT = ("three_link_panhard", "front")
EVERY = [(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")]


def shown(name: str, places: dict[str, tuple[float, float, float]], layout=FRONT, **scalars: float) -> float:
    """What one reading shows on given places (mm) and scalars (mm, degree, kg), file unit."""
    reading = parse_name(name, *layout)
    slots, state = {}, []
    for point, place in places.items():
        slots[point] = len(state)
        state += place
    for scalar in SCALARS:
        value = scalars.get(scalar.replace(".", "_"), 0.0)
        slots[scalar] = len(state)
        state.append(math.radians(value) if scalar in ANGLES else value)
    values, _ = Equations([reading], slots, len(state))(np.array(state))
    return float(values[0]) * reading.kind.in_file_unit


NOT_ON_SCREENS = re.compile(r"[{}]|  |\b(error|invalid|wrong|outlier|safe|exact)\b")
BOX = {"upper.axle": (0.0, 0.0, 0.0), "upper.frame": (300.0, 400.0, 1200.0)}


def test_the_kinds_have_the_units_and_spreads_of_the_contract() -> None:
    # Source: the contract's table of kinds; those of a raised end and of the instruments themselves are ours.
    assert {kind.name: (kind.unit, kind.usual_sd) for kind in ALL if kind.name != "weight"} == {
        "height": ("mm", 2.0),
        "fore_aft": ("mm", 2.5),
        "lateral": ("mm", 2.5),
        "across": ("mm", 2.5),
        "span": ("mm", 1.5),
        "floor_span": ("mm", 2.5),
        "rise": ("mm", 2.0),
        "incline": ("deg", 0.2),
        "floor_slope": ("deg", 0.1),
        "wheelbase": ("mm", 3.0),
        "caster": ("deg", 0.3),
        "diameter": ("mm", 4.0),
        "circumference": ("mm", 4.0),
        "travel": ("mm", 5.0),
        "cg_height": ("mm", 50.0),
        "lifted_rise": ("mm", 3.0),
        "lifted_weight": ("kg", 1.0),
        "gauge_check": ("deg", 0.15),
        "tape_check": ("mm", 0.7),
        "level_check": ("mm", 2.0),
    }
    assert KINDS["weight"].unit == "kg"


def test_a_box_s_diagonal_of_300_400_1200_is_1300() -> None:
    # Source: by hand, 3 x 3 + 4 x 4 + 12 x 12 = 13 x 13; its floor diagonal 3 4 5.
    assert shown("span:upper.axle~upper.frame", BOX) == pytest.approx(1300.0, abs=1e-9)
    assert shown("floor_span:upper.axle~upper.frame", BOX) == pytest.approx(500.0, abs=1e-9)
    assert shown("across:upper.axle~upper.frame", BOX) == pytest.approx(400.0, abs=1e-9)
    assert shown("rise:upper.axle~upper.frame", BOX) == pytest.approx(1200.0, abs=1e-9)
    assert shown("rise:upper.frame~upper.axle", BOX) == pytest.approx(-1200.0, abs=1e-9)
    assert shown("height:upper.middle", BOX) == pytest.approx(600.0, abs=1e-9)
    # Source: by hand, atan(12 / 5).
    assert shown("incline:upper.axle~upper.frame", BOX) == pytest.approx(67.380135, abs=1e-6)


def test_a_floor_that_climbs_to_the_front_throws_a_plumb_mark_rearward() -> None:
    # Source: by hand, 1000 mm up times tan 1 degree = 17.455 mm.
    places = {"upper.axle": (100.0, 50.0, 1000.0), "upper.frame": (0.0, 0.0, 0.0)}
    assert shown("fore_aft:upper.axle", places, floor_pitch=1.0) == pytest.approx(100.0 - 17.4551, abs=1e-3)
    assert shown("lateral:upper.axle", places, floor_bank=1.0) == pytest.approx(50.0 - 17.4551, abs=1e-3)
    marks = math.hypot(100.0 - 17.4551, 50.0)
    assert shown("floor_span:upper.frame~upper.axle", places, floor_pitch=1.0) == pytest.approx(marks, abs=1e-3)


def test_a_level_line_on_a_floor_that_climbs_reads_the_climb() -> None:
    places = {"upper.axle": (0.0, 0.0, 500.0), "upper.frame": (800.0, 0.0, 500.0)}
    assert shown("incline:upper.axle~upper.frame", places, floor_pitch=0.6) == pytest.approx(0.6, abs=1e-9)
    assert shown("incline:upper.frame~upper.axle", places, floor_pitch=0.6) == pytest.approx(-0.6, abs=1e-9)
    assert shown("incline:upper.axle~upper.frame", places, floor_bank=0.6) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("axle", "pinion", "gearbox"), [("front", 3.0, 5.0), ("rear", 5.0, 3.0)])
def test_a_climbing_floor_lowers_a_joint_end_that_points_rearward(axle: str, pinion: float, gearbox: float) -> None:
    # Source: by hand; axis 4 degrees to the floor, floor climbing 1 degree to the front.
    layout = ("four_link", axle)
    assert shown("incline:pinion", {}, layout, pinion=4.0, floor_pitch=1.0) == pytest.approx(pinion, abs=1e-9)
    assert shown("incline:gearbox_output", {}, layout, gearbox_output=4.0, floor_pitch=1.0) == pytest.approx(gearbox)


def test_a_kingpin_leaning_rearward_at_its_top_has_caster() -> None:
    # Source: by hand, 200 tan 6 degrees = 21.021 mm over 200 mm of height.
    places = {"kingpin_left.top": (-21.0208, 650.0, 500.0), "kingpin_left.bottom": (0.0, 680.0, 300.0)}
    assert shown("caster:left", places) == pytest.approx(6.0, abs=1e-4)
    assert shown("caster:left", places, floor_pitch=1.0) == pytest.approx(7.0, abs=1e-4)


def test_a_wheelbase_is_the_level_distance_of_its_hubs_not_its_part_along() -> None:
    places = {"wheel_right.centre": (0.0, -700.0, 400.0), "other_right.centre": (-2400.0, 0.0, 380.0)}
    # Source: by hand, 7 24 25.
    assert shown("wheelbase:right", places) == pytest.approx(2500.0, abs=1e-9)


def test_tyre_weight_travel_slope_and_guess_read_their_unknowns_straight() -> None:
    assert shown("diameter:tyre", {}, tyre_free_diameter=800.0) == 800.0
    assert shown("circumference:tyre", {}, tyre_free_diameter=800.0) == pytest.approx(2513.274, abs=1e-3)
    loads = {"load_front_left": 1.0, "load_front_right": 20.0, "load_rear_left": 300.0, "load_rear_right": 4000.0}
    wanted = {"front_left": 1, "rear_right": 4000, "front": 21, "rear": 4300, "total": 4321}
    assert {name: shown(f"weight:{name}", {}, **loads) for name in wanted} == pytest.approx(wanted)
    assert shown("travel:droop", {}, travel_droop=90.0, travel_bump=70.0) == 90.0
    assert shown("cg_height:estimate", {}, cg_z=700.0) == 700.0
    assert shown("floor_slope:fore_aft", {}, floor_pitch=0.4, floor_bank=0.2) == pytest.approx(0.4)
    assert shown("floor_slope:across", {}, floor_pitch=0.4, floor_bank=0.2) == pytest.approx(0.2)


def everything(layout: str, axle: str) -> tuple[Equations, dict[str, int], int]:
    """Every possible reading of a layout, and height, plumb and span of derived and own points besides."""
    own = ["height:keep_clear.sump", "fore_aft:axle.centre", "lateral:axle.centre", "rise:mark.a~axle.centre"]
    links = LAYOUTS[layout].links
    own += [f"span:{links[0].name}.middle~keep_clear.sump", f"incline:axle.centre~{links[1].name}.middle"]
    own += [f"floor_span:{links[0].name}.middle~{links[1].name}.middle", f"across:axle.centre~{links[0].frame}"]
    readings = [parse_name(name, layout, axle) for name in (*possible(layout, axle), *own)]
    slots: dict[str, int] = {}
    size = 0
    for name in dict.fromkeys(name for reading in readings for name in reading.touches):
        slots[name] = size
        size += 1 if name in SCALARS else 3
    return Equations(readings, slots, size), slots, size


@pytest.mark.parametrize(("layout", "axle"), EVERY)
def test_partials_agree_with_small_real_moves_on_a_sloped_floor(layout: str, axle: str) -> None:
    equations, slots, size = everything(layout, axle)
    random = np.random.default_rng(20260502)
    tilts = [slots[name] for name in ("floor.pitch", "floor.bank", "pinion", "gearbox_output")]
    for _ in range(3):
        state = random.uniform(-900.0, 900.0, size)
        state[tilts] = random.uniform(-0.15, 0.15, 4)
        _, partials = equations(state)
        steps = np.full(size, 1e-3)
        steps[tilts] = 1e-6
        for column, step in enumerate(steps):
            move = np.zeros(size)
            move[column] = step
            slope = (equations(state + move)[0] - equations(state - move)[0]) / (2.0 * step)
            np.testing.assert_allclose(partials[:, column], slope, rtol=2e-5, atol=2e-6 * max(1.0, 1e-3 / step))


@pytest.mark.parametrize(("layout", "axle"), EVERY)
def test_points_that_all_lie_in_one_spot_give_finite_readings_and_partials(layout: str, axle: str) -> None:
    equations, _, size = everything(layout, axle)
    for state in (np.zeros(size), np.full(size, 1e-12), np.full(size, 0.5)):
        values, partials = equations(state)
        assert np.isfinite(values).all()
        assert np.isfinite(partials).all()


def test_a_link_that_stands_upright_has_an_incline_of_90_and_no_nan() -> None:
    places = {"upper.axle": (0.0, 0.0, 0.0), "upper.frame": (0.0, 0.0, 700.0)}
    assert shown("incline:upper.axle~upper.frame", places) == pytest.approx(90.0, abs=1e-6)


@pytest.mark.parametrize(
    ("name", "value", "tape_class", "sd"),
    [
        # Source: by hand from 2014/32/EU annex X (MI-008): I 0.1 + 0.1 a metre begun, II 0.3 + 0.2, III 0.6 + 0.4.
        ("height", 600.0, "II", math.hypot(2.0, 0.5 / math.sqrt(3.0))),
        ("height", 1000.0, "II", math.hypot(2.0, 0.5 / math.sqrt(3.0))),
        ("height", 1000.1, "II", math.hypot(2.0, 0.7 / math.sqrt(3.0))),
        ("fore_aft", -1000.1, "II", math.hypot(2.5, 0.7 / math.sqrt(3.0))),
        ("wheelbase", 2700.0, "II", math.hypot(3.0, 0.9 / math.sqrt(3.0))),
        ("wheelbase", 2700.0, "I", math.hypot(3.0, 0.4 / math.sqrt(3.0))),
        ("span", 900.0, "III", math.hypot(1.5, 1.0 / math.sqrt(3.0))),
        ("lateral", 0.0, "II", math.hypot(2.5, 0.3 / math.sqrt(3.0))),
        ("rise", 900.0, "III", 2.0),
        ("travel", 100.0, "III", 5.0),
        ("incline", 45.0, "III", 0.2),
        ("weight", 500.0, "II", 5.0),
        ("weight", 40.0, "II", 1.0),
    ],
)
def test_the_spread_of_a_reading_combines_hand_and_tape(name: str, value: float, tape_class: str, sd: float) -> None:
    assert KINDS[name].sd(value, tape_class) == pytest.approx(sd, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        (
            "height:lower_lfet.frame",
            ": there is no point lower_lfet.frame in this layout; did you mean lower_left.frame?",
        ),
        ("hieght:lower_left.frame", "there is no kind of reading hieght; did you mean height?"),
        ("lower_left.frame", "a reading's name is kind:subject"),
        ("", "a reading's name is kind:subject"),
        ("height:", "no point"),
        ("span:lower_left.frame", "write two with ~ between"),
        ("span:lower_left.frame~lower_left.frame", "write two different points"),
        ("span:lower_left.frame~lower_left.frane", "did you mean lower_left.frame?"),
        ("height:lower_left.frame~lower_left.axle", "no point"),
        ("wheelbase:middle", "there is no wheelbase of middle; write one of left, right."),
        ("wheelbase:lfet", "did you mean left?"),
        ("incline:pinoin", "did you mean pinion?"),
        ("incline:upper.frame", "write P~Q, pinion or gearbox_output."),
        ("weight:front_lef", "did you mean front_left?"),
        ("travel:sideways", "write one of bump, droop."),
        ("cg_height:guess", "write one of estimate."),
        ("HEIGHT:lower_left.frame", "there is no kind of reading HEIGHT"),
    ],
)
def test_a_name_that_is_not_a_reading_is_refused_with_what_would_be_right(name: str, says: str) -> None:
    with pytest.raises(BadName) as refusal:
        parse_name(name, *FRONT)
    assert says in str(refusal.value)
    assert str(refusal.value).startswith(name)


def test_caster_is_refused_on_a_rear_axle() -> None:
    with pytest.raises(BadName, match="caster:left: caster belongs to a front axle"):
        parse_name("caster:left", "four_link", "rear")


def test_a_reading_on_no_layout_is_refused() -> None:
    with pytest.raises(BadLayout):
        parse_name("height:lower_left.frame", "five_link", "front")


def test_lengths_between_two_points_are_the_same_both_ways_round_and_a_rise_is_not() -> None:
    for kind in ("span", "across", "floor_span", "rise", "incline"):
        there = parse_name(f"{kind}:upper.axle~upper.frame", *FRONT).canonical
        back = parse_name(f"{kind}:upper.frame~upper.axle", *FRONT).canonical
        assert (there == back) is (kind in ("span", "across", "floor_span"))
    with pytest.raises(BadName):
        parse_name("span:upper.frame~upper.frame", *FRONT)


def test_a_reading_knows_what_it_hangs_on() -> None:
    assert parse_name("height:upper.middle", *FRONT).touches == ("upper.frame", "upper.axle")
    assert parse_name("fore_aft:upper.frame", *FRONT).touches == ("upper.frame", "floor.pitch")
    assert parse_name("incline:pinion", *FRONT).touches == ("pinion", "floor.pitch", "floor.bank")
    assert parse_name("caster:right", *FRONT).points == ("kingpin_right.top", "kingpin_right.bottom")
    assert len(parse_name("weight:front", *FRONT).touches) == 4


@pytest.mark.parametrize(("layout", "axle"), EVERY)
def test_every_possible_reading_has_its_words_view_and_drawing(layout: str, axle: str) -> None:
    names = possible(layout, axle)
    assert len(set(names)) == len(names)
    front_only = {"caster"} if axle == "rear" else set()
    assert {name.partition(":")[0] for name in names} == {kind.name for kind in ALL} - front_only
    titles: set[str] = set()
    for name in names:
        reading = parse_name(name, layout, axle)
        words = describe(reading)
        texts = [words.title, words.short, *words.do_this, *words.mistakes, *([words.care] if words.care else [])]
        assert not any(NOT_ON_SCREENS.search(text) for text in texts), texts
        assert words.view in ("side", "top", "front", "none")
        assert len(words.do_this) >= 2 and len(words.mistakes) >= 2
        assert all(text.endswith(".") for text in (*words.do_this, *words.mistakes))
        assert bool(words.marks) or reading.kind.shape == "none" or not reading.points
        drawn = {point for mark in words.marks for point in mark.points}
        assert drawn <= {*reading.points, "driveshaft.axle", "driveshaft.frame"}
        titles.add(words.title)
    assert len(titles) == len(names)


def test_the_walk_s_first_sentence_for_a_height_is_plain() -> None:
    words = describe(parse_name("height:lower_left.frame", *FRONT))
    assert words.title == "Floor to the centre of the left lower link's frame bolt"
    assert words.do_this == ("Stand the rule on the floor in the square.", "Read at the centre of the bolt.")
    assert "half the tube" in describe(parse_name("height:lower_left.middle", *FRONT)).do_this[1]


@pytest.mark.parametrize("kind", ALL, ids=lambda kind: kind.name)
def test_a_kind_is_complete(kind) -> None:
    assert kind.slips
    assert set(kind.slips) <= set(CATALOGUE)
    assert kind.low < kind.high
    assert (kind.low < 0.0) is kind.signed
    assert kind.effort > 0.0 and kind.noun and kind.title and kind.do_this and len(kind.mistakes) >= 2
    assert kind.marks


def test_a_front_three_link_offers_every_height_link_length_incline_and_middle() -> None:
    names = possible(*FRONT)
    for link in ("lower_left", "lower_right", "upper", "panhard"):
        for name in (f"height:{link}.middle", f"span:{link}.axle~{link}.frame", f"incline:{link}.axle~{link}.frame"):
            assert name in names
    assert "across:lower_left.frame~lower_right.frame" in names
    assert "caster:left" in names and "caster:left" not in possible("four_link", "rear")
    assert "incline:pinion" in names


def test_one_array_of_many_readings_gives_what_each_gives_alone() -> None:
    equations, slots, size = everything(*FRONT)
    state: Array = np.random.default_rng(3).uniform(-500.0, 500.0, size)
    state[slots["floor.pitch"]] = 0.01
    state[slots["floor.bank"]] = -0.01
    together, _ = equations(state)
    for row, name in enumerate(possible(*FRONT)):
        alone, _ = Equations([parse_name(name, *FRONT)], slots, size)(state)
        assert alone[0] == pytest.approx(together[row], abs=1e-9)
