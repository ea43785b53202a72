"""Rows of holes: every combination as `what_if` has it alone, sorted by what is wanted, crossed out with a reason."""

import gc

import numpy as np
import pytest

from geometry.errors import BadName
from geometry.figures import Facts, travel
from geometry.figures.ride import Ride
from geometry.figures.taken import take
from geometry.fit import Fit, Observation, Setup, fit
from geometry.holes import BadRow, Limits, Row, Want, row, table
from geometry.moves import Plan, distances
from geometry.what_if import Measured, what_if
from tests.reference.made import made

FACTS = Facts(brake_share_front=0.63, drive_share_front=0.4)
UPPER = row("upper.frame", 3, 25.4, (0.0, 0.0, 1.0), used=1)
PANHARD = row("panhard.frame", 4, 20.0, (0.0, 0.0, -2.0), used=0)


def fitted(layout: str = "three_link_panhard", worked_axle: str = "front") -> Fit:
    taken = [entry for entry in made(layout, worked_axle, 11)["entries"] if entry["type"] == "reading"]
    once = {entry["reading"]: entry for entry in taken if "state" not in entry}
    return fit(
        Setup(layout, worked_axle), [Observation(name, entry["value"], name) for name, entry in once.items()]
    )


@pytest.fixture(scope="module")
def truck() -> Fit:
    return fitted()


def test_a_row_counts_from_the_hole_in_use():
    # By hand: three holes an inch apart upward, the middle one in use; four downward, the first in use.
    assert UPPER.places == ((0.0, 0.0, -25.4), (0.0, 0.0, 0.0), (0.0, 0.0, 25.4))
    assert PANHARD.places == ((0.0, 0.0, 0.0), (0.0, 0.0, -20.0), (0.0, 0.0, -40.0), (0.0, 0.0, -60.0))


@pytest.mark.parametrize("keep", [False, True])
@pytest.mark.parametrize("layout", ["three_link_panhard", "radius_arms_panhard"])
def test_every_combination_has_the_figures_it_has_alone(layout, keep):
    whole = fitted(layout)
    name = "upper.frame" if layout == "three_link_panhard" else "arm_left.frame"
    rows = [Row(name, UPPER.places, 1), PANHARD]
    measured = Measured(whole, FACTS)
    found = table(whole, FACTS, rows, Want("anti_geometric", 40.0), keep_lengths=keep)
    assert len(found) == 12
    for one in found[::4]:
        alone = what_if(measured, Plan(one.moves, keep)).figures
        for key, figure in alone.items():
            expected = None if figure.value is None else pytest.approx(figure.value, rel=1e-6, abs=1e-6)
            assert one.figures[key] == expected, key


def test_the_nearest_to_the_target_stands_on_top(truck):
    found = table(truck, FACTS, [UPPER, PANHARD], Want("anti_dive", 35.0))
    offs = [one.off for one in found if not one.crossed_out]
    assert offs == sorted(offs) and found[0].off == abs(found[0].figures["anti_dive"] - 35.0)


def test_least_bump_steer_stands_on_top(truck):
    found = table(truck, FACTS, [PANHARD], Want("bump_steer_75"))
    sizes = [abs(one.figures["bump_steer_75"]) for one in found if not one.crossed_out]
    assert sizes == sorted(sizes) and len(sizes) > 1


def test_the_hole_in_use_has_the_figures_as_measured(truck):
    found = table(truck, FACTS, [UPPER, PANHARD], Want("caster", 5.0))
    (here,) = [one for one in found if one.holes == (1, 0)]
    measured = Measured(truck, FACTS).figures
    for key, value in here.figures.items():
        assert value == (None if measured[key].value is None else pytest.approx(measured[key].value, abs=1e-9)), key


def test_what_a_link_cannot_be_made_to_is_crossed_out(truck):
    lengths = Measured(truck, FACTS).figures
    now = lengths["link_length.panhard"].value
    inboard = row("panhard.frame", 3, 20.0, (0.0, -1.0, 0.0))
    found = table(truck, FACTS, [inboard], Want("caster"), Limits(lengths={"panhard": (now - 0.5, now + 0.5)}))
    for one in found:
        over = abs(one.figures["link_length.panhard"] - now) > 0.5
        assert bool(one.crossed_out) == over
        if over:
            assert one.crossed_out[0].startswith("The panhard bar would have to be ")
    assert found[0].holes == (0,) and len({bool(one.crossed_out) for one in found}) == 2


def test_what_touches_something_is_crossed_out(truck):
    sump = truck.placed()["keep_clear.sump"]
    frame = truck.placed()["upper.frame"]
    onto = (sump.x - frame.x, sump.y - frame.y, sump.z - frame.z)
    found = table(truck, FACTS, [Row("upper.frame", ((0.0, 0.0, 0.0), onto))], Want("caster"))
    assert found[0].holes == (0,) and not found[0].crossed_out
    assert any(said.startswith("The upper link comes too near to the sump ") for said in found[1].crossed_out)


def with_a_pipe(whole: Fit, place: np.ndarray) -> Fit:
    """The same vehicle with something to keep clear of at a place of the floor frame, measured."""
    x, y, z = place.tolist()
    plumbed = {"fore_aft": x - z * np.tan(whole.pitch), "lateral": y - z * np.tan(whole.bank), "height": z}
    names = {f"{kind}:keep_clear.pipe": value for kind, value in plumbed.items()}
    pipe = [Observation(name, value, name, sd=0.1) for name, value in names.items()]
    return fit(whole.setup, [*whole.observations, *pipe])


def swept(whole: Fit, link: str, crossed: bool) -> np.ndarray:
    """A link's two ends at every step, (T, 2, 3), floor frame."""
    ride = Ride(whole, FACTS)
    at = take(ride, *travel.crossed(ride))[0] if crossed else take(ride, travel.steps(ride))[0]
    arm = (ride.axle_end(link) - ride.centre)[0].real
    moved = (ride.centre[0] + at.pose.shift[0]).real + np.einsum("tij,j->ti", at.pose.turn[0].real, arm)
    still = np.broadcast_to(ride.point(f"{link}.frame")[0].real, moved.shape)
    return np.stack([moved, still], axis=1)


def test_what_is_touched_half_way_only_is_crossed_out(truck):
    path = swept(truck, "upper", crossed=False)
    steps = travel.steps(Ride(truck, FACTS))
    half = int(np.abs(steps - 50.0).argmin())
    pipe = path[half, 0]
    at_stops = distances(pipe, path[[0, -1, int(np.abs(steps).argmin())], 0], path[[0, -1, 0], 1])
    assert at_stops.min() > 15.0
    only = [Row("upper.frame", ((0.0, 0.0, 0.0),))]
    (found,) = table(with_a_pipe(truck, pipe), FACTS, only, Want("caster"), Limits(clear=12.0))
    assert "The upper link comes too near to the pipe in bump." in found.crossed_out


def test_what_is_touched_with_one_wheel_up_only_is_crossed_out(truck):
    heave, crossed = (swept(truck, "upper", way) for way in (False, True))
    off = distances(crossed[:, None, 0], heave[None, :, 0], heave[None, :, 1]).min(axis=1)
    worst = int(off.argmax())
    assert off[worst] > 7.0
    only = [Row("upper.frame", ((0.0, 0.0, 0.0),))]
    (found,) = table(with_a_pipe(truck, crossed[worst, 0]), FACTS, only, Want("caster"), Limits(clear=5.0))
    assert any(said.startswith("The upper link comes too near to the pipe with the ") for said in found.crossed_out)


def test_a_hole_out_of_reach_is_crossed_out_and_has_no_figures(truck):
    far = Row("lower_left.frame", ((0.0, 0.0, 0.0), (-700.0, 0.0, 0.0)))
    found = table(truck, FACTS, [far], Want("caster"), keep_lengths=True)
    assert found[1].crossed_out == ("The links do not reach: the axle cannot stand on its wheels.",)
    assert set(found[1].figures.values()) == {None} and found[1].off is None


def test_links_that_bind_before_the_end_of_the_travel_are_crossed_out(truck):
    short = Row("panhard.frame", ((0.0, 0.0, 0.0), (0.0, -800.0, -10.0)))
    found = table(truck, FACTS, [short], Want("caster"))
    assert "The links bind before the end of the travel." in found[-1].crossed_out


@pytest.mark.parametrize(
    ("rows", "want", "said"),
    [
        ([], Want("caster"), "there is no row of holes yet"),
        ([Row("upper.frame", ())], Want("caster"), "a row of 0 holes has no hole to use"),
        ([UPPER, UPPER], Want("caster"), "there are two rows of holes for this point"),
        ([UPPER], Want("castor"), "this vehicle has no such figure to sort by"),
        ([Row("upper.frame", UPPER.places * 40), Row("panhard.frame", UPPER.places * 10)], Want("caster"), "the most"),
    ],
)
def test_rows_that_make_no_table_are_refused_in_one_sentence(truck, rows, want, said):
    with pytest.raises(BadRow) as refused:
        table(truck, FACTS, rows, want)
    assert said in str(refused.value) and "\n" not in str(refused.value)


def test_a_row_of_no_holes_or_no_direction_is_refused():
    for arguments, said in (
        (("upper.frame", 0, 25.4, (0, 0, 1)), "a row of 0 holes has no hole"),
        (("upper.frame", 3, -1.0, (0, 0, 1)), "a spacing above zero"),
        (("upper.frame", 3, 25.4, (0, 0, 0)), "a spacing above zero and a direction"),
        (("upper.frame", 3, 25.4, (0, 0, 1), 3), "hole 4 is not in a row of 3"),
    ):
        with pytest.raises(BadRow, match=said):
            row(*arguments)


def test_a_point_that_is_not_there_is_refused(truck):
    with pytest.raises(BadName):
        table(truck, FACTS, [Row("upper_left.frame", ((0.0, 0.0, 0.0),))], Want("caster"))


def test_nothing_of_a_table_is_kept_once_it_is_answered(truck):
    def held() -> int:
        gc.collect()
        return sum(isinstance(one, Ride) for one in gc.get_objects())

    before = held()
    table(truck, FACTS, [UPPER, PANHARD], Want("anti_dive", 35.0))
    assert held() == before
