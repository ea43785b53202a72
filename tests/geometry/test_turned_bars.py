"""A bar across that is mounted the other way round than is usual, and a side that was mixed up."""

from __future__ import annotations

import numpy as np
import pytest

from geometry import scale
from geometry.doubt import judge
from geometry.fit import Observation, Setup, fit
from tests.geometry.vehicles import clean

MIRRORED_BAR = (
    ("height:panhard.frame", 537.8, None),
    ("height:panhard.frame", 537.2, None),
    ("fore_aft:panhard.frame", 862.6, None),
    ("fore_aft:panhard.frame", 862.6, 1.539),
    ("fore_aft:panhard.frame", 859.1, None),
    ("lateral:panhard.frame", -456.7, None),
    ("height:panhard.axle", 521.9, None),
    ("height:panhard.axle", 520.9, None),
    ("fore_aft:panhard.axle", 855.4, 0.77),
    ("lateral:panhard.axle", 455.7, None),
    ("span:panhard.frame~panhard.axle", 915.0, None),
    ("incline:panhard.axle~panhard.frame", 1.11, 0.12),
    ("height:panhard.middle", 529.0, None),
    ("height:panhard.middle", 527.1, None),
)
"""A bar with its frame end on the right; every reading within its give or take of one made vehicle."""
SETUP = Setup("three_link_panhard", "rear", 2662.0, 857.0)
FRAME, AXLE = "lateral:drag_link.frame", "lateral:drag_link.axle"


def _mirrored() -> list[Observation]:
    return [Observation(name, value, f"{name}#{n}", sd=sd) for n, (name, value, sd) in enumerate(MIRRORED_BAR)]


def test_a_bar_mounted_the_other_way_round_goes_where_it_was_read() -> None:
    fitted = fit(SETUP, _mirrored())
    assert np.abs(fitted.residual / fitted.sd).max() < 3.0
    assert fitted.placed()["panhard.frame"].y == pytest.approx(-456.7, abs=5.0)


def test_from_the_usual_side_that_bar_would_not_be_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """So the check above can fail: this bar is one of the few that the search cannot turn round by itself."""
    monkeypatch.setattr(scale, "CROSSED", np.inf)
    fitted = fit(SETUP, _mirrored())
    assert np.abs(fitted.residual / fitted.sd).max() > 100.0


def test_a_link_across_read_at_one_end_only_has_its_other_end_on_the_other_side() -> None:
    """968 mm long and 557.8 mm left at the axle: the frame end is 410 mm right, not 1526 mm left."""
    seen = {
        "height:drag_link.frame": 599.2,
        "fore_aft:drag_link.frame": 1309.4,
        "height:drag_link.axle": 548.6,
        "fore_aft:drag_link.axle": 1296.7,
        "lateral:drag_link.axle": 557.8,
        "span:drag_link.frame~drag_link.axle": 968.0,
    }
    setup = Setup("four_link_panhard", "front", 2700.0, 840.0)
    fitted = fit(setup, [Observation(name, value, name) for name, value in seen.items()])
    sides, _ = fitted.predict([FRAME, AXLE])
    assert sides == pytest.approx([-408.8, 557.8], abs=5.0)


def test_a_bar_the_other_way_round_read_at_one_end_only_goes_across_too() -> None:
    """890 mm long and 424 mm right at the frame: the axle end is 466 mm left, not 1314 mm right and beyond the tyre."""
    seen = {
        "height:panhard.frame": 559.4,
        "fore_aft:panhard.frame": 505.8,
        "lateral:panhard.frame": -424.3,
        "height:panhard.axle": 524.7,
        "fore_aft:panhard.axle": 496.0,
        "span:panhard.frame~panhard.axle": 891.4,
    }
    setup = Setup("four_link_panhard", "front", 2652.0, 838.0)
    fitted = fit(setup, [Observation(name, value, name) for name, value in seen.items()])
    assert fitted.predict(["lateral:panhard.axle"])[0] == pytest.approx([466.0], abs=5.0)


@pytest.mark.parametrize("value", [-60.0, 430.0])
def test_an_end_near_the_centreline_or_on_its_usual_side_leaves_the_bar_where_it_usually_is(value: float) -> None:
    name = "lateral:panhard.frame"
    assert fit(SETUP, [Observation(name, value, name)]).scale.turned == frozenset()


def test_two_ends_read_on_one_side_leave_the_bar_where_it_usually_is() -> None:
    """One of the sides was mixed up, and the usual place knows which."""
    seen = [Observation(name, -430.0, name) for name in ("lateral:panhard.frame", "lateral:panhard.axle")]
    assert fit(SETUP, seen).scale.turned == frozenset()


@pytest.mark.parametrize("name", ["lateral:panhard.axle", "lateral:panhard.frame"])
@pytest.mark.parametrize("seed", range(3))
def test_a_side_mixed_up_at_one_end_of_the_bar_is_named(name: str, seed: int) -> None:
    """It bends the fit so far that lengths and fore and aft seem as far off; each is left out in turn to see."""
    seen = [Observation(o.name, -o.value if o.name == name else o.value, o.key) for o in clean(seed)]
    first = judge(fit(Setup("three_link_panhard", "front", 2700.0, 840.0), seen))[0]
    assert first.readings == (name,)
    assert first.likely is not None and first.likely.mistake == "wrong side"
