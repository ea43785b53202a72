"""Links that run the other way along the vehicle than is usual, with the axle behind them or ahead of them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from geometry import mounted
from geometry.doubt import judge
from geometry.fit import Fit, Observation, Setup, fit
from geometry.layouts import LAYOUTS
from geometry.points import typical_places

SIZES = (2700.0, 840.0)
CROSS_LINE = 700.0
"""mm that the chalked line lies ahead of where typical places have it."""
Places = dict[str, np.ndarray]


def _places(layout: str, axle: str, seed: int, turned: bool = True) -> Places:
    """Joint and wheel centres near the usual ones, floor frame; turned: the links' frame ends beyond the axle."""
    scatter = np.random.default_rng(seed)
    usual = {name: np.array(place) for name, place in typical_places(layout, axle, *SIZES).items()}
    links = LAYOUTS[layout].links
    names = [name for link in links for name in (link.frame, *link.axle)]
    found = {name: usual[name] + scatter.normal(0.0, 30.0, 3) for name in names}
    found |= {name: place for name, place in usual.items() if name.startswith(("wheel", "other"))}
    if turned:
        for link in links:
            if link.role != "panhard":
                foot = np.mean([found[name][0] for name in link.axle])
                found[link.frame][0] = 2.0 * foot - found[link.frame][0]
    return {name: place - [CROSS_LINE, 0.0, 0.0] for name, place in found.items()}


def _readings(layout: str, places: Places, seed: int, keep: Callable[[str], bool] = lambda name: True) -> dict:
    """What a level floor shows of them, each within a millimetre or two."""
    scatter = np.random.default_rng(seed)
    kinds = (("fore_aft", 0), ("lateral", 1), ("height", 2))
    seen = {f"{kind}:{name}": place[axis] for name, place in places.items() for kind, axis in kinds}
    for link in LAYOUTS[layout].links:
        for end in link.axle:
            seen[f"span:{end}~{link.frame}"] = np.linalg.norm(places[end] - places[link.frame])
    for left in places:
        right = left.replace("_left.", "_right.")
        if right != left and right in places:
            seen[f"across:{left}~{right}"] = abs(places[left][1] - places[right][1])
    return {name: float(value + scatter.normal(0.0, 1.5)) for name, value in seen.items() if keep(name)}


def _fitted(layout: str, axle: str, seen: dict) -> Fit:
    return fit(Setup(layout, axle, *SIZES), [Observation(name, value, name) for name, value in seen.items()])


def _off(fitted: Fit, places: Places) -> float:
    """The most any point is away from where it truly is, mm."""
    at = {name: fitted.estimate[fitted.slot[name] : fitted.slot[name] + 3] for name in places}
    return max(float(np.abs(at[name] - place).max()) for name, place in places.items())


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_links_that_run_the_other_way_go_where_they_were_read(layout: str, axle: str) -> None:
    for seed in range(15):
        places = _places(layout, axle, seed)
        fitted = _fitted(layout, axle, _readings(layout, places, seed))
        assert np.abs(fitted.residual / fitted.sd).max() < 3.0
        assert _off(fitted, places) < 15.0


def test_from_the_usual_side_such_links_would_not_all_be_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """So the check above can fail: at the wrong end of a span, left and right may pass each other on the way."""
    monkeypatch.setattr(mounted, "TELLS", (np.inf, np.inf))
    worst = 0.0
    for seed in range(15):
        places = _places("four_link", "front", seed)
        worst = max(worst, _off(_fitted("four_link", "front", _readings("four_link", places, seed)), places))
    assert worst > 50.0


def _outward(fitted: Fit) -> set[str]:
    return {link.name for link in fitted.scale.outward}


def test_a_link_not_read_yet_goes_the_way_of_its_twin_or_of_all_the_others() -> None:
    places = _places("three_link_panhard", "rear", 1)
    only = ("fore_aft:wheel_left.centre", "fore_aft:lower_left.frame")
    seen = _readings("three_link_panhard", places, 1, lambda name: name in only)
    fitted = _fitted("three_link_panhard", "rear", seen)
    assert _outward(fitted) == {"lower_left", "lower_right", "upper"}
    assert fitted.placed()["upper.frame"].x < fitted.placed()["upper.axle"].x - 300.0


def test_an_upper_that_runs_the_other_way_alone_leaves_the_lowers_where_they_are() -> None:
    places = _places("three_link_panhard", "front", 2, turned=False)
    places["upper.frame"][0] = 2.0 * places["upper.axle"][0] - places["upper.frame"][0]
    fitted = _fitted("three_link_panhard", "front", _readings("three_link_panhard", places, 2))
    assert _outward(fitted) == {"upper"} and _off(fitted, places) < 15.0


def test_without_anything_of_the_axle_frame_bolts_tell_where_the_cross_line_is_and_not_which_way_they_run() -> None:
    places = _places("four_link", "front", 3)
    seen = _readings("four_link", places, 3, lambda name: name.startswith("fore_aft:lower") and name.endswith("frame"))
    assert len(seen) == 2 and _outward(_fitted("four_link", "front", seen)) == set()


def test_a_sign_mixed_up_at_one_of_two_twins_is_named_and_turns_neither() -> None:
    places = _places("four_link", "rear", 4, turned=False)
    under_the_axle = np.array([CROSS_LINE, 0.0, 0.0])
    places = {name: place + under_the_axle for name, place in places.items()}
    seen = _readings("four_link", places, 4)
    seen["fore_aft:lower_left.frame"] *= -1.0
    fitted = _fitted("four_link", "rear", seen)
    assert _outward(fitted) == set()
    first = judge(fitted)[0]
    assert "fore_aft:lower_left.frame" in first.readings
    assert first.likely is not None and first.likely.value == pytest.approx(-seen["fore_aft:lower_left.frame"])
