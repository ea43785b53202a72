"""What links bear over what they carry: ratios by hand, and a sentence wherever there is no number."""

import math

import numpy as np
import pytest

from geometry.figures import Facts
from geometry.figures.base import NotYet
from geometry.figures.figure_words import SIZING_AID
from geometry.figures.loads import CASES, link_loads
from geometry.figures.parts import ThreadFact, TubeFact
from geometry.figures.reserves import LOWEST_YIELD, reserves
from tests.outside.shapes import T1, fitted

CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
WEIGHED = (("cg_height:estimate", 700.0, 0.01), *((f"weight:{corner}", 450.0, 0.01) for corner in CORNERS))
LINKS = ("lower_left", "lower_right", "upper_left", "upper_right")
TUBES = {link: TubeFact(50.8, 6.35, 380.0) for link in LINKS}
THREADS = {link: {"frame": ThreadFact(1.5875, 19.05, 600.0), "axle": ThreadFact(1.5875, 19.05)} for link in LINKS}


def table(facts, more=WEIGHED, spreads=None, places=T1):
    base = fitted(places, "four_link", more=more, spreads=spreads)
    return {(row.link, row.case): row for row in reserves(base, facts).rows}, base


def test_the_force_is_that_of_the_loads_and_every_link_stands_in_every_case():
    found, base = table(Facts(tubes=TUBES, threads=THREADS))
    loads = {(load.link, load.case): load for load in link_loads(base, Facts())}
    assert set(found) == set(loads) and len(found) == 4 * len(CASES)
    for key, row in found.items():
        assert (row.force, row.force_sd) == pytest.approx((loads[key].force, loads[key].sd))
        assert row.sentence.endswith(".")


def test_a_pushed_link_buckles_by_johnson_as_the_handbook_says():
    # Shigley 4-13 for 50.8 x 6.35 of 380 N/mm2 and 205 GPa: A (Sy - (Sy L / (2 pi k))^2 / E), A 886.738, k 15.8750.
    found, _ = table(Facts(tubes=TUBES, threads=THREADS))
    row = found["lower_left", "driving"]
    length = math.dist(T1["lower_left.axle"], T1["lower_left.frame"])
    expected = 886.738 * (380.0 - (380.0 * length / (2.0 * math.pi * 15.875)) ** 2 / 205_000.0)
    assert row.force < 0 and row.by == "Johnson"
    assert row.bears == pytest.approx(expected, rel=1e-5)
    assert row.reserve == pytest.approx(expected / -row.force, rel=1e-5)
    assert (row.yield_stress, row.yield_source) == (380.0, "as stated")


def test_a_slender_link_buckles_by_euler_and_offset_joints_cost():
    slim = Facts(tubes=TUBES | {"lower_left": TubeFact(25.0, 2.0, 380.0)})
    straight = table(slim)[0]["lower_left", "driving"]
    assert straight.by == "Euler"
    beside = Facts(tubes=TUBES | {"lower_left": TubeFact(50.8, 6.35, 380.0, joint_offset=12.0)})
    off = table(beside)[0]["lower_left", "driving"]
    assert off.by == "offset joints" and off.bears < 0.75 * table(Facts(tubes=TUBES))[0]["lower_left", "driving"].bears


def test_a_pulled_link_gives_at_its_weaker_thread():
    # ASME B1.1: 3/4-16 has a tensile stress area of 0.37296 in2 = 240.62 mm2. The axle end has the tube's 380 N/mm2.
    row = table(Facts(tubes=TUBES, threads=THREADS))[0]["lower_left", "braking"]
    assert row.force > 0 and row.by == "thread at the axle"
    assert row.bears == pytest.approx(380.0 * 0.37296 * 645.16, rel=1e-4)
    assert row.reserve == pytest.approx(row.bears / row.force)


def test_the_least_reserve_comes_first_and_the_caution_stands_beside_it():
    base = fitted(T1, "four_link", more=WEIGHED)
    whole = reserves(base, Facts(tubes=TUBES, threads=THREADS))
    ratios = [row.reserve for row in whole.rows if row.reserve is not None]
    assert ratios == sorted(ratios) and len(ratios) >= 16
    assert whole.caution == SIZING_AID and "never a rating" in SIZING_AID
    assert whole.offered_yield == LOWEST_YIELD == pytest.approx(55_000 * 4.4482216 / 645.16, rel=1e-3)
    assert all(number in whole.offered_source for number in ("55 ksi", "60 ksi", "70 ksi", "disagree"))


def test_the_spread_is_that_of_many_drawn_vehicles():
    spreads = {f"{axis}:{name}": 2.0 for name in T1 for axis in ("height", "fore_aft", "lateral")
               if not name.startswith(("wheel", "other"))}  # fmt: skip
    weighed = tuple((name, value, 20.0 if name.startswith("cg") else 4.0) for name, value, _ in WEIGHED)
    facts = Facts(tubes=TUBES, threads=THREADS)
    found, _ = table(facts, weighed, spreads)
    rng = np.random.default_rng(6)
    keys = [("lower_left", "driving"), ("upper_left", "braking"), ("lower_right", "step")]
    drawn = {key: [] for key in keys}
    for _ in range(150):
        places = {name: tuple(np.array(place) + [rng.normal(0.0, spreads.get(f"{axis}:{name}", 0.0))
                                                 for axis in ("fore_aft", "lateral", "height")])
                  for name, place in T1.items()}  # fmt: skip
        more = tuple((name, rng.normal(value, sd), 0.01) for name, value, sd in weighed)
        other, _ = table(facts, more, None, places)
        for key in keys:
            drawn[key].append(other[key].reserve)
    for key in keys:
        assert np.std(drawn[key]) == pytest.approx(found[key].sd, rel=0.2)


@pytest.mark.parametrize(
    ("facts", "case", "says"),
    [
        (Facts(), "driving", "State the left lower link's tube"),
        (Facts(tubes={"lower_left": TubeFact(50.0)}), "driving", "outside diameter and wall"),
        (Facts(tubes={"lower_left": TubeFact(50.0, 6.0)}), "driving", "379 N/mm2 (55 ksi)"),
        (Facts(tubes={"lower_left": TubeFact(50.0, 30.0, 380.0)}), "driving", "cannot have that wall"),
        (Facts(tubes={"lower_left": TubeFact(50.0, 6.0, 0.0)}), "driving", "State the yield stress"),
        (Facts(tubes=TUBES), "braking", "State the left lower link's threads"),
        (Facts(tubes=TUBES, threads={"lower_left": {"axle": ThreadFact(1.5)}}), "braking", "diameter and pitch"),
        (Facts(threads={"lower_left": {"axle": ThreadFact(1.5, 20.0)}}), "braking", "threaded ends"),
        (Facts(tubes=TUBES, threads={"lower_left": {"axle": ThreadFact(30.0, 20.0)}}), "braking", "state both again"),
    ],
)
def test_what_is_not_stated_is_asked_for_and_nothing_is_built_in(facts, case, says):
    row = table(facts)[0]["lower_left", case]
    assert row.reserve is None and row.sd is None and row.bears is None
    assert says in row.sentence


def test_without_weights_the_scales_are_named():
    with pytest.raises(NotYet) as wait:
        table(Facts(tubes=TUBES), more=())
    assert wait.value.needs
