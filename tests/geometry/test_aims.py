"""Aims: places found within the boxes that meet what is wanted, and a plain answer where nothing does."""


import pytest

from geometry import aim_search, aims
from geometry.aim_search import Effort, Search
from geometry.aims import BadAim, KeepOut, Room, Want, aim
from geometry.errors import BadName
from geometry.figures import Facts
from geometry.fit import Observation, Setup, fit
from geometry.moves import Plan, PointTo
from geometry.what_if import Measured, what_if
from tests.reference.made import made

FACTS = Facts(brake_share_front=0.63, drive_share_front=0.4)


@pytest.fixture(scope="module")
def truck() -> Measured:
    taken = [entry for entry in made("three_link_panhard", "front", 11)["entries"] if entry["type"] == "reading"]
    once = {entry["reading"]: entry for entry in taken if "state" not in entry}
    seen = [Observation(name, entry["value"], name) for name, entry in once.items()]
    return Measured(fit(Setup("three_link_panhard", "front"), seen), FACTS)


def room(truck: Measured, point: str, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Room:
    """A box around where the point is measured, so many mm each way; no room leaves a coordinate where it is."""
    here = truck.fit.placed()[point]
    middle = (here.x, here.y, here.z)
    half = (x, y, z)
    return Room(
        point,
        tuple(a - b for a, b in zip(middle, half, strict=True)),
        tuple(a + b for a, b in zip(middle, half, strict=True)),
    )


def value(truck: Measured, key: str) -> float:
    return truck.figures[key].value


def test_an_anti_figure_is_brought_into_its_band_by_the_bolts_that_may_move(truck):
    now = value(truck, "anti_dive")
    wants = [Want("anti_dive", now + 8.0, now + 10.0)]
    rooms = [room(truck, "upper.frame", z=60.0)]
    answer = aim(truck, wants, rooms)
    assert answer.met and answer.wants[0].inside
    # The answer is held to the what-if on the same places, and nothing but z moved.
    alone = what_if(truck, Plan(tuple(PointTo(name, *to) for name, to in answer.places.items())))
    assert now + 8.0 <= alone.figures["anti_dive"].value <= now + 10.0
    assert answer.by["upper.frame"][:2] == pytest.approx((0.0, 0.0), abs=1e-9)
    assert abs(answer.by["upper.frame"][2]) <= 60.0


def test_several_wants_at_once_are_met_inside_the_boxes(truck):
    wants = [
        Want("anti_dive", value(truck, "anti_dive") + 3.0, value(truck, "anti_dive") + 6.0),
        Want("link_incline.panhard", -1.0, 1.0),
        Want("bump_steer_75", -2.0, 2.0),
    ]
    rooms = [room(truck, f"{name}.frame", z=70.0) for name in ("upper", "panhard", "drag_link")]
    answer = aim(truck, wants, rooms)
    assert answer.met and all(one.inside for one in answer.wants)
    for each in rooms:
        corners = zip(each.low, answer.places[each.point], each.high, strict=True)
        assert all(low - 1e-6 <= at <= high + 1e-6 for low, at, high in corners)


def test_what_is_met_already_moves_nothing(truck):
    now = value(truck, "anti_dive")
    answer = aim(truck, [Want("anti_dive", now - 5.0, now + 5.0)], [room(truck, "upper.frame", z=60.0)])
    assert answer.met and answer.by["upper.frame"] == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_what_is_met_at_the_edge_of_its_band_already_moves_nothing(truck):
    now, sd = value(truck, "anti_dive"), truck.figures["anti_dive"].sd
    answer = aim(truck, [Want("anti_dive", now - 0.5 * sd, now + 9.0 * sd)], [room(truck, "upper.frame", z=60.0)])
    assert answer.met and answer.by["upper.frame"] == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    assert answer.wants[0].spare == pytest.approx(0.5, abs=0.01)


def test_an_answer_that_moves_a_bolt_goes_as_far_inside_as_the_readings_ask_for(truck):
    now, sd = value(truck, "anti_dive"), truck.figures["anti_dive"].sd
    rooms = [room(truck, "upper.frame", z=80.0)]
    wide = aim(truck, [Want("anti_dive", now + 2.0 * sd, now + 9.0 * sd)], rooms)
    assert wide.met and wide.wants[0].spare >= 2.0
    narrow = aim(truck, [Want("anti_dive", now + 2.0 * sd, now + 3.0 * sd)], rooms)
    # By hand: four tenths of a band of one sd.
    assert narrow.met and 0.35 < narrow.wants[0].spare < 0.5


def test_an_answer_at_the_wall_of_its_box_stays_where_it_can_be(truck):
    now, sd = value(truck, "anti_dive"), truck.figures["anti_dive"].sd
    slope = what_if(truck, Plan((PointTo("upper.frame", z=truck.fit.placed()["upper.frame"].z + 1.0),)))
    reach = abs(2.2 * sd / slope.differences["anti_dive"].value)
    answer = aim(truck, [Want("anti_dive", now + 2.0 * sd, now + 9.0 * sd)], [room(truck, "upper.frame", z=reach)])
    assert answer.met and 0.0 <= answer.wants[0].spare < 1.0


def test_the_same_aims_have_the_same_answer(truck):
    now = value(truck, "anti_dive")
    arguments = [Want("anti_dive", now + 8.0, None)], [room(truck, "upper.frame", x=20.0, z=60.0)]
    assert aim(truck, *arguments) == aim(truck, *arguments)


def test_an_answer_says_whether_the_readings_settle_it(truck):
    now, sd = value(truck, "anti_dive"), truck.figures["anti_dive"].sd
    narrow = aim(truck, [Want("anti_dive", now - 0.2 * sd, now + 0.2 * sd)], [room(truck, "upper.frame", z=60.0)])
    wide = aim(truck, [Want("anti_dive", now - 6.0 * sd, now + 6.0 * sd)], [room(truck, "upper.frame", z=60.0)])
    # By hand: the edge is 0.2 and 6 sds away.
    assert narrow.wants[0].spare == pytest.approx(0.2, abs=0.01)
    assert wide.wants[0].spare == pytest.approx(6.0, abs=0.2)


def test_how_far_the_answer_hangs_on_the_readings_is_the_figures_spread_over_its_slope(truck):
    now = value(truck, "anti_dive")
    rooms = [room(truck, "upper.frame", z=60.0)]
    answer = aim(truck, [Want("anti_dive", now - 1.0, now + 1.0)], rooms)
    # Source: a real move of 1 mm up tells the slope; one free coordinate, one figure.
    here = truck.fit.placed()["upper.frame"]
    up = what_if(truck, Plan((PointTo("upper.frame", z=here.z + 1.0),))).figures["anti_dive"].value - now
    assert answer.unsettled["upper.frame"][2] == pytest.approx(truck.figures["anti_dive"].sd / abs(up), rel=0.02)


def test_a_bolt_keeps_out_of_what_is_in_its_way(truck):
    now = value(truck, "anti_dive")
    rooms = [room(truck, "upper.frame", z=80.0), room(truck, "lower_left.frame", z=80.0)]
    free = aim(truck, [Want("anti_dive", now + 8.0, now + 10.0)], rooms[:1])
    x, y, z = free.places["upper.frame"]
    sump = KeepOut("sump", (x - 8.0, y - 8.0, z - 4.0), (x + 8.0, y + 8.0, z + 30.0))
    answer = aim(truck, [Want("anti_dive", now + 8.0, now + 10.0)], rooms, [sump])
    assert answer.met and answer.entered == ()
    there = answer.places["upper.frame"]
    assert not all(low < at < high for low, at, high in zip(sump.low, there, sump.high, strict=True))


def test_a_want_that_no_place_meets_is_named(truck):
    answer = aim(truck, [Want("anti_dive", 400.0, None)], [room(truck, "upper.frame", z=20.0)])
    assert not answer.met and answer.out_of_reach == ("anti_dive",) and not answer.wants[0].inside


def test_two_wants_on_one_bolt_fight_and_each_leaving_frees_the_other(truck):
    now, incline = value(truck, "anti_dive"), value(truck, "link_incline.upper")
    up = what_if(truck, Plan((PointTo("upper.frame", z=truck.fit.placed()["upper.frame"].z + 10.0),))).figures
    rises = up["anti_dive"].value > now
    more = (now + 6.0, None) if rises else (None, now - 6.0)
    wants = [Want("anti_dive", *more), Want("link_incline.upper", None, incline - 1.0)]
    answer = aim(truck, wants, [room(truck, "upper.frame", z=90.0)])
    assert not answer.met and answer.out_of_reach == ()
    assert [(fight.first, fight.second, fight.opposed) for fight in answer.fights] == [
        ("anti_dive", "link_incline.upper", True)
    ]
    assert set(answer.frees) == {"anti_dive", "link_incline.upper"}


@pytest.mark.parametrize(
    ("wants", "said"),
    [
        ([], "nothing is wanted yet"),
        ([Want("anti_dive", 60.0, 50.0)], "it cannot be at least 60 and at most 50"),
        ([Want("anti_dive", 60.0), Want("anti_dive", None, 50.0)], "it cannot be at least 60 and at most 50"),
        ([Want("anti_dive")], "neither is stated"),
        ([Want("anti_dive", float("nan"))], "is no value for it"),
        ([Want("anti_squat", 50.0)], "this vehicle has no such figure"),
    ],
)
def test_aims_that_contradict_themselves_are_refused_in_one_sentence(truck, wants, said):
    with pytest.raises(BadAim) as refused:
        aim(truck, wants, [room(truck, "upper.frame", z=20.0)])
    assert said in str(refused.value) and "\n" not in str(refused.value)


def test_an_empty_box_and_a_bolt_without_one_are_refused(truck):
    want = [Want("anti_dive", 50.0)]
    with pytest.raises(BadAim, match="its box is empty along y, 5 to 3"):
        aim(truck, want, [Room("upper.frame", (0.0, 5.0, 0.0), (1.0, 3.0, 1.0))])
    with pytest.raises(BadAim, match="its box is empty along z"):
        aim(truck, want, [room(truck, "upper.frame", z=5.0)], [KeepOut("sump", (0, 0, 9), (1, 1, 8))])
    with pytest.raises(BadAim, match="no bolt may move"):
        aim(truck, want, [])
    with pytest.raises(BadAim, match="two boxes"):
        aim(truck, want, [room(truck, "upper.frame", z=5.0)] * 2)
    with pytest.raises(BadName):
        aim(truck, want, [Room("upper_left.frame", (0.0, 0.0, 0.0), (1.0, 1.0, 1.0))])


def test_a_figure_that_waits_for_readings_cannot_be_aimed_at():
    bare = Measured(fit(Setup("three_link_panhard", "front"), []), Facts())
    with pytest.raises(BadAim, match="it cannot be had yet, it waits for caster:left"):
        aim(bare, [Want("caster", 5.0)], [Room("upper.frame", (0.0, 0.0, 0.0), (1.0, 1.0, 1.0))])


EIGHT = ("anti_dive", "caster", "caster_change_75", "bump_steer_75", "link_incline.panhard", "link_incline.upper",
         "roll_steer", "roll_centre_height")


def contradicting(truck: Measured) -> tuple[list[Want], list[Room]]:
    """Eight narrow wants, three sds above where their figures are, and four bolts that may move a little."""
    wants = []
    for key in EIGHT:
        figure = truck.figures[key]
        far = max(figure.sd, 0.1)
        wants.append(Want(key, figure.value + 3.0 * far, figure.value + 3.2 * far))
    rooms = [room(truck, "upper.frame", 20.0, 20.0, 60.0), room(truck, "lower_left.frame", 20.0, 20.0, 40.0),
             room(truck, "lower_right.frame", 20.0, 20.0, 40.0), room(truck, "panhard.frame", z=40.0)]
    return wants, rooms


def test_aims_that_contradict_each_other_are_looked_for_to_the_end(truck):
    wants, rooms = contradicting(truck)
    answer = aim(truck, wants, rooms)
    assert not answer.met and answer.all_looked_for


def test_what_is_known_of_a_place_looked_at_answers_as_a_search_of_its_own_does(truck):
    wants, rooms = contradicting(truck)
    wants = [*wants[:3], wants[4]]
    rooms = rooms[:2]
    found = aim(truck, wants, rooms)
    alone = [want.figure for want in wants if not aim(truck, [want], rooms).met]
    without = [want.figure for want in wants if aim(truck, [one for one in wants if one is not want], rooms).met]
    assert not found.met and list(found.out_of_reach) == alone and list(found.frees) == without


def test_the_nearest_answer_is_as_near_as_patience_without_end_finds_it(truck, monkeypatch):
    wants, rooms = contradicting(truck)
    soon = Search(truck, wants, rooms).best()[1]
    for name, patient in (("AGREEING", 99), ("ALIKE", 0.0), ("STEPS", 100)):
        monkeypatch.setattr(aim_search, name, patient)
    effort = Effort(1e9)
    late = Search(truck, wants, rooms, effort).best(agreeing=99)[1]
    assert late > 1.0 and soon == pytest.approx(late, rel=1e-3)


def test_with_the_effort_spent_an_answer_says_that_there_may_be_more(truck, monkeypatch):
    wants, rooms = contradicting(truck)
    monkeypatch.setattr(aims, "MOST_LOOKS", 60)
    answer = aim(truck, wants, rooms)
    assert not answer.met and not answer.all_looked_for
    assert set(answer.out_of_reach) <= set(EIGHT)
