"""How far a slip carries into a figure, held to refits with the slip in them; which spreads are too wide to cut by."""

from dataclasses import replace

import pytest

from geometry.figures import Facts, Figure, catalogue, sheet
from geometry.fit import fit
from geometry.reach import LENGTH_SPREAD, carried, moved_by, slopes, too_wide
from tests.geometry.vehicles import READINGS, SETUP, clean, fitted, with_slip

FACTS = Facts(brake_share_front=0.6)
KINDS = catalogue("three_link_panhard", "front")
SOME = ("link_length.upper", "link_incline.lower_left", "roll_centre_height", "separation_at_axle")


SLIPPED = ("height:upper.frame", "span:panhard.axle~panhard.frame", "incline:upper.axle~upper.frame")


@pytest.mark.parametrize("name", SLIPPED)
@pytest.mark.parametrize("key", SOME)
def test_a_figure_goes_as_far_as_a_refit_with_the_slip_says(name: str, key: str) -> None:
    seen, step = clean(3), 0.05
    before = fitted(seen)
    after = fitted([replace(one, value=one.value + step) if one.name == name else one for one in seen])
    number = [one.name for one in seen].index(name)
    now = sheet(before, FACTS).figures[key]
    moved = (sheet(after, FACTS).figures[key].value - now.value) / step
    said = float(moved_by(before, slopes(before, FACTS, {key: KINDS[key]})[key])[number])
    # A first-order answer: within 2 %, or within 2 % of the figure's spread for one spread of the reading.
    assert said == pytest.approx(moved, rel=0.02, abs=0.02 * now.sd / float(before.sd[number]))


def test_a_height_that_nothing_checks_stands_in_the_way_of_what_it_decides() -> None:
    names = tuple(name for name in READINGS if "middle" not in name and not name.startswith("incline"))
    found = carried(fitted(clean(3, names)), FACTS, KINDS)
    assert {"height:upper.frame", "height:upper.axle"} <= {one.key for one in found["link_incline.upper"]}
    largest = found["link_incline.upper"][0]
    # Source: by hand, an inch over a link of some 640 mm is some 2.3 degrees, less what the length's own tie takes up.
    assert largest.slip == 25.4 and largest.move == pytest.approx(2.2, abs=0.4)
    moves = [one.move for one in found["link_incline.upper"]]
    assert moves == sorted(moves, reverse=True)


def test_with_its_incline_read_nothing_unseen_moves_the_link() -> None:
    assert carried(fitted(clean(3)), FACTS, KINDS)["link_incline.upper"] == ()


def test_without_readings_nothing_is_said() -> None:
    assert carried(fit(SETUP, []), FACTS, KINDS) == {}


def test_a_slip_in_the_reading_itself_moves_it_no_further_than_the_slip() -> None:
    seen = fitted(with_slip(clean(3), "span:panhard.axle~panhard.frame", 5.0))
    key = "link_length.panhard"
    per_mm = moved_by(seen, slopes(seen, FACTS, {key: KINDS[key]})[key])
    number = [one.name for one in seen.observations].index("span:panhard.axle~panhard.frame")
    assert 0.3 < per_mm[number] < 1.0


def test_a_spread_is_too_wide_by_the_adjusters_or_by_the_usual_band() -> None:
    length, caster = KINDS["link_length.upper"], KINDS["caster"]
    assert too_wide(Figure(length.key, "mm", 640.0, LENGTH_SPREAD / 2 + 0.01), length)
    assert not too_wide(Figure(length.key, "mm", 640.0, LENGTH_SPREAD / 2 - 0.01), length)
    width = caster.band.high - caster.band.low
    assert too_wide(Figure(caster.key, "deg", 5.0, 0.26 * width), caster)
    assert not too_wide(Figure(caster.key, "deg", 5.0, 0.24 * width), caster)
    assert not too_wide(Figure(caster.key, "deg", None, None), caster)
