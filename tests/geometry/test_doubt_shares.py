"""The harness that measures doubts runs, and its shares on a few seeded vehicles are near what they should be."""

from collections import Counter

import numpy as np

from tests.benchmarks.doubt_harness import Tally, clean_vehicle, draw, one_slip


def test_of_a_few_planted_slips_nearly_all_are_found_and_clean_vehicles_stay_quiet() -> None:
    # Seeded, so the counts are always the same; the full run of the harness prints the real shares.
    rng = np.random.default_rng(4)
    slips, sound, missed = Tally(), Tally(), Counter[str]()
    for _ in range(14):
        one_slip(rng, slips, missed)
        clean_vehicle(rng, sound, missed)
    assert slips.counts["findable"] >= 6
    assert slips.counts["found"] >= 0.8 * slips.counts["findable"]
    assert slips.counts["first"] >= 0.8 * slips.counts["findable"]
    assert sound.counts["alarmed"] <= 1


def test_a_drawn_vehicle_is_the_same_for_the_same_seed() -> None:
    one, other = (draw(np.random.default_rng(9)) for _ in range(2))
    assert one.clean == other.clean and one.setup == other.setup
