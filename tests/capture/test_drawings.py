"""The drawings: to scale, escaped, each dimension large enough and inside its window, nothing a page must forbid."""

from __future__ import annotations

import gzip
import math
import re
import xml.etree.ElementTree as ElementTree
from itertools import pairwise

import pytest

from capture.drawings.board import shape_board
from capture.drawings.construction import roll_construction, side_construction
from capture.drawings.curve import curve
from capture.drawings.keep_off import drawn_bars
from capture.drawings.labels import overlap, rectangle_of
from capture.drawings.lens import lens
from capture.drawings.lit import Step
from capture.drawings.marks import SHAPES, lights
from capture.drawings.plan import PlanStation, seated, stations_plan
from capture.drawings.projection import FRONT, LEFT, PLAN, RIGHT, TOP_LEFT, Box, ellipse_axes, fitted
from capture.drawings.rule import rule, rule_ends
from capture.drawings.scenes import LARGEST, shared_windows, walk_drawings, wish_of
from capture.drawings.shape import shape_view, shape_window
from capture.drawings.svg import element, number, text
from capture.drawings.thumbnail import empty_vehicle, thumbnail
from capture.drawings.vehicle import in_doubt, vehicle_of
from capture.drawings.walktape import Tick, walk_tape
from geometry.fit import Observation, Setup, fit
from geometry.layouts import LAYOUTS
from geometry.readings import ALL as KINDS

from .drawn_vehicles import every_step, made_up

Band = tuple[float, float] | None
VEHICLES = [(layout, axle) for layout in LAYOUTS for axle in ("front", "rear")]


def parsed(markup: str) -> ElementTree.Element:
    """The drawing as XML; bare attributes get a value first."""
    return ElementTree.fromstring(str(markup).replace(" data-typed", ' data-typed=""'))


def test_numbers_are_tenths_of_a_pixel_and_never_minus_zero():
    assert [number(v) for v in (1.0, -0.04, 12.345, -3.25)] == ["1", "0", "12.3", "-3.2"]


def test_text_and_attributes_are_escaped():
    drawn = text("tq", (0, 0), '<b>"&')
    assert str(drawn) == '<text class="tq" x="0" y="0">&lt;b&gt;&#34;&amp;</text>'
    assert '"' not in str(element("path", d='" onload="x')).split('d="')[1][:-3]


def test_a_fraction_is_set_raised_and_lowered_and_still_reads_as_typed():
    drawn = str(text("tl", (0, 0), "106 1/2 ± 1/8"))
    assert drawn.count('font-size="72%"') == 4
    assert re.sub(r"<[^>]*>|​", "", drawn) == "1061/2 ± 1/8"


def test_the_left_side_view_has_the_front_at_left_and_up_is_up():
    window = fitted(LEFT, Box(-1000, 1000, 0, 900), 360, 163)
    ahead, behind, high = window.at((500, 0, 0)), window.at((-500, 0, 0)), window.at((500, 0, 500))
    assert ahead[0] < behind[0] and high[1] < ahead[1]
    assert RIGHT.paper((500, 0, 0))[0] > RIGHT.paper((-500, 0, 0))[0]
    assert FRONT.paper((0, 500, 0))[0] > 0, "seen from the front, the vehicle's left is at the right"
    assert TOP_LEFT.paper((0, 500, 0))[1] < 0, "from above with the front at left, the left side is below"


def test_one_scale_holds_in_both_directions():
    window = fitted(LEFT, Box(-1000, 1000, 0, 900), 360, 163)
    origin, along, high = (window.at(place) for place in ((0, 0, 0), (-300, 0, 0), (0, 0, 300)))
    assert along[0] - origin[0] == pytest.approx(origin[1] - high[1])


def test_a_covariance_turned_by_30_degrees_draws_an_ellipse_turned_by_30_degrees():
    # Source: by hand, axes 5 and 2 mm turned by 30 degrees: xx = 25 cos² + 4 sin², xy = 21 sin cos.
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    assert ellipse_axes(25 * c * c + 4 * s * s, 21 * s * c, 25 * s * s + 4 * c * c) == pytest.approx((5, 2, 30))


@pytest.mark.parametrize(("layout", "axle"), VEHICLES)
def test_every_reading_has_a_drawing_with_one_place_for_the_typed_value(layout: str, axle: str):
    drawings = walk_drawings(made_up(layout, axle), every_step(layout, axle))
    scenes = {group.get("id") for group in parsed(drawings.defs).iter("g")}
    for reading, figure in drawings.figure.items():
        drawn = parsed(figure)
        assert len([t for t in drawn.iter("text") if "data-typed" in t.attrib]) == 1, reading
        assert {use.get("href", "").removeprefix("#") for use in drawn.iter("use")} <= scenes
        assert drawn.get("aria-label") and parsed(drawings.key[reading]).get("viewBox") == "0 0 100 44"


@pytest.mark.parametrize(("layout", "axle"), VEHICLES)
@pytest.mark.parametrize("measured", [True, False])
def test_the_asked_dimension_is_inside_its_window_and_fills_a_third(layout: str, axle: str, measured: bool):
    vehicle = made_up(layout, axle, measured)
    wishes = [wish_of(vehicle, step) for step in every_step(layout, axle)]
    windows = shared_windows(vehicle, wishes)
    small = []
    for wish in wishes:
        window = windows[wish.step.reading]
        reach = lights(wish.step).reach(vehicle, wish.step)
        for place in reach.needs:
            x, y = window.at(place)
            assert 0 <= x <= window.width and 0 <= y <= window.height, wish.step.reading
        if reach.asked and wish.step.shape in ("height", "span", "lateral", "across", "floor_span"):
            (x0, y0), (x1, y1) = map(window.at, reach.asked)
            if max(abs(x1 - x0) / window.width, abs(y1 - y0) / window.height) < 0.32 and window.scale < 0.98 * LARGEST:
                small.append(wish.step.reading)
    assert small == []


def test_a_whole_walk_weighs_less_than_60_kilobytes_on_the_wire():
    drawings = walk_drawings(made_up(), every_step())
    whole = drawings.defs + "".join(drawings.figure.values()) + "".join(drawings.key.values())
    assert len(drawings.figure) > 100
    assert len(gzip.compress(whole.encode())) < 60_000


def test_the_same_vehicle_draws_the_same_bytes():
    one, two = (walk_drawings(made_up(), every_step()) for _ in range(2))
    assert one.defs == two.defs and one.figure == two.figure


def test_no_drawing_carries_inline_style_or_script():
    drawings = walk_drawings(made_up(), every_step())
    for drawn in (drawings.defs, *drawings.figure.values(), shape_view(made_up(), "side")):
        assert not re.search(r"\sstyle=|\son\w+=|<script|javascript:", drawn)


def test_a_reading_of_a_point_nobody_knows_still_gets_the_whole_vehicle():
    step = Step("height:trailer.hitch", "height", "side", ("trailer.hitch",), "height of a hitch")
    assert "data-typed" in walk_drawings(made_up(), [step]).figure[step.reading]


def test_shape_links_every_point_by_name_and_says_how_it_is_known():
    vehicle = in_doubt(made_up(), ["panhard.axle"])
    drawn = parsed(shape_view(vehicle, "top", "lower_left.frame", lambda name: f"?point={name}"))
    links = {link.get("href"): link for link in drawn.iter("a")}
    assert {"?point=lower_left.frame", "?point=lower_right.frame", "?point=upper.axle"} <= set(links)
    assert links["?point=lower_left.frame"].get("aria-current") == "true"
    assert links["?point=panhard.axle"].get("aria-label") == "Panhard bar, axle bolt, in doubt"
    assert links["?point=driveshaft.frame"].get("aria-label", "").endswith("guessed")
    assert all(float(link.find("circle").get("r")) >= 12 for link in links.values())  # type: ignore[union-attr, arg-type]


def test_a_measured_spread_is_drawn_ten_times_larger_at_two_sd():
    # Source: made_up's sd in x is 3 mm and in z 2 mm: 2 x 10 x 3 mm wide of centre, 2 x 10 x 2 mm high.
    vehicle = made_up()
    scale = shape_window(vehicle, LEFT, 236).scale
    link = next(a for a in parsed(shape_view(vehicle, "side")).iter("a") if a.get("href") == "#lower_left-frame")
    ellipse = link.find("ellipse")
    assert ellipse is not None
    drawn = float(ellipse.get("rx", "0")), float(ellipse.get("ry", "0"))
    assert drawn == pytest.approx((max(60 * scale, 4.6), max(40 * scale, 4.6)), abs=0.06)


@pytest.mark.parametrize("view", ["side", "top", "front"])
@pytest.mark.parametrize(("layout", "axle"), VEHICLES)
def test_every_point_of_the_shape_lies_inside_its_view(view: str, layout: str, axle: str):
    drawn = parsed(shape_view(made_up(layout, axle), view))
    width, height = (float(v) for v in drawn.get("viewBox", "").split()[2:])
    for link in drawn.iter("a"):
        hit = link.find("circle")
        assert hit is not None
        assert 4 <= float(hit.get("cx", "-1")) <= width - 4 and 4 <= float(hit.get("cy", "-1")) <= height - 4


def test_a_frame_mark_nobody_has_read_yet_is_lit_where_its_name_says_it_is():
    vehicle = made_up()
    spot = vehicle.spot("mark.rear_left")
    assert spot is not None and spot.x == pytest.approx(-2704) and spot.y > 0 and not spot.solid


@pytest.mark.parametrize(
    ("band", "words"), [((-math.inf, 20.0), "up to 20.00 mm"), ((65.0, math.inf), "from 65.00 mm on")])
def test_a_band_open_at_an_end_runs_to_the_end_of_the_rule_and_says_so(band: Band, words: str):
    low, high, _ = rule_ends(30.0, 4.0, band)
    drawn = parsed(rule(30.0, 4.0, band, "mm"))
    shape = next(each for each in drawn.iter("rect") if each.get("class") == "band")
    left, right = float(shape.get("x")), float(shape.get("x")) + float(shape.get("width"))
    end, wanted = (left, 8.0) if band[0] == -math.inf else (right, 328.0)
    assert end == pytest.approx(wanted, abs=0.2)
    assert math.isfinite(low) and math.isfinite(high) and low <= 30.0 <= high
    assert words in drawn.get("aria-label") and "inf" not in drawn.get("aria-label")


def test_the_rule_puts_the_bob_on_its_value_and_the_posts_on_the_band():
    drawn = parsed(rule(60, 8, (20, 60), "%", low=0, high=100))
    posts = [p.get("d", "") for p in drawn.iter("path") if p.get("class") == "sure"]
    bob = next(p.get("d", "") for p in drawn.iter("path") if p.get("class") == "litf")
    # Source: by hand, 320 px for 100 %: 8 + 3.2 x 20 = 72, 8 + 3.2 x 60 = 200.
    assert [post.split()[0] for post in posts] == ["M72", "M200"] and bob.startswith("M200 30")


@pytest.mark.parametrize(("value", "spread", "band"), [
    (-5.1, 0.4, None), (-5.1, 0.4, (-8.0, 2.0)), (4.5, 2.0, None), (1234.5, 0.5, None), (-0.04, 0.01, (-0.08, 0.0)),
    (16.3, 0.7, None), (-1021.0, 12.0, (-1040.0, -1000.0)), (540.0, 330.0, (400.0, 750.0)),
])  # fmt: skip
def test_no_number_of_a_rule_runs_into_the_next_and_some_are_left(value, spread, band):
    texts = [one for one in parsed(rule(value, spread, band)).iter("text") if one.get("class") == "tq"]
    boxes = [rectangle_of(one.text or "", (float(one.get("x")), float(one.get("y"))), one.get("text-anchor"))
             for one in texts]
    assert len(texts) >= 2
    for left, right in pairwise(boxes):
        assert left[2] + 2 <= right[0], [one.text for one in texts]


@pytest.mark.parametrize(("value", "spread", "band"), [
    (61, 8, (20, 60)), (0.11, 0.2, (-0.25, 0.25)), (7.3, 0.5, (-8, 0)), (1.97, 0.1, (0, 2)), (40, 300, (0, 30)),
    (0, 0, None), (23.44, 0.125, None), (-1e6, 3, (-5, 5)),
])
def test_a_rule_holds_its_value_and_has_few_readable_numbers(value: float, spread: float, band: Band):
    low, high, step = rule_ends(value, spread, band)
    assert low <= value <= high and (band is None or (low <= band[0] and band[1] <= high))
    assert 2 <= round((high - low) / step) <= 8
    texts = [t.text or "" for t in parsed(rule(value, spread, band)).iter("text") if t.get("class") == "tq"]
    assert len(texts) == len(set(texts)) and "-" not in "".join(texts)


def test_a_curve_breaks_where_the_links_bind_and_says_so():
    travel = [float(t) for t in range(-100, 101, 10)]
    values: list[float | None] = [None if t < -50 else t / 10 for t in travel]
    drawn = parsed(curve(travel, values, [0.5] * len(travel), unit="°", said="0°"))
    line = next(p.get("d", "") for p in drawn.iter("path") if p.get("class") == "curve")
    assert line.count("L") == 15, "16 steps from -50 to 100"
    assert "links bind" in [t.text for t in drawn.iter("text")]
    assert "beyond that the links bind" in drawn.get("aria-label", "")


def test_a_curve_with_no_value_at_all_is_still_a_drawing():
    drawn = parsed(curve([-10.0, 0.0, 10.0], [None] * 3, [None] * 3, unit="%"))
    assert "no value at any travel" in drawn.get("aria-label", "")


def test_two_sd_are_shown_around_a_curve():
    travel = [-100.0, 0.0, 100.0]
    drawn = parsed(curve(travel, [0.0, 0.0, 0.0], [1.0, 1.0, 1.0], unit="°"))
    band = next(p.get("d", "") for p in drawn.iter("path") if p.get("class") == "spread")
    ticks = {t.text: float(t.get("y", "0")) - 4 for t in drawn.iter("text") if t.get("text-anchor") == "end"}
    assert float(band.split("L")[0].split()[1]) == pytest.approx(ticks["2"], abs=0.11)


def test_the_spread_of_what_has_no_sign_ends_at_nought():
    travel = [-100.0, 0.0, 100.0]
    for least, lowest in ((0.0, "0"), (-math.inf, "−2")):
        drawn = parsed(curve(travel, [3.0, 1.0, 3.0], [1.5, 1.5, 1.5], unit="°", least=least))
        band = next(p.get("d", "") for p in drawn.iter("path") if p.get("class") == "spread")
        ticks = {t.text: float(t.get("y", "0")) - 4 for t in drawn.iter("text")
                 if t.get("text-anchor") == "end" and "bump" not in (t.text or "")}
        assert max(ticks, key=lambda said: ticks[said]) == lowest
        deepest = max(float(pair.split()[1]) for pair in band.rstrip("Z").lstrip("M").split("L"))
        assert deepest == pytest.approx(ticks[lowest], abs=0.11)


def test_the_lines_of_the_links_and_the_lit_line_meet_at_the_instant_centre():
    vehicle = made_up()
    drawn = parsed(side_construction(vehicle, (-2400.0, 680.0), (150, 30), distance_label="94 ± 6 in"))
    centre = next(c for c in drawn.iter("circle") if c.get("class") == "inkf" and c.get("r") == "4")
    x, y = float(centre.get("cx", "0")), float(centre.get("cy", "0"))
    ghosts = [p.get("d", "") for p in drawn.iter("path") if p.get("class") == "ghost"]
    assert sum(d.endswith(f"L{number(x)} {number(y)}") for d in ghosts) == 2


def test_an_instant_centre_far_away_leaves_the_drawing_with_an_arrow_and_words():
    drawn = str(side_construction(made_up(), (-9000.0, 900.0)))
    assert "to the instant centre" in drawn and max(map(float, re.findall(r'class="litf" d="M([\d.]+)', drawn))) <= 360


def station(key: str, place: tuple[float, float, float] | None, state: str = "waiting") -> PlanStation:
    return PlanStation(key, key[:1], f"<{key}>", 1, 5, state, f"/at/{key}", place)


def test_stations_stand_on_their_side_and_never_on_each_other():
    vehicle = made_up()
    many = [station(f"s{i}", (-i * 50.0, side * 500.0, 0.0)) for i in range(5) for side in (1, 0, -1)]
    window = fitted(PLAN, Box(-900, 900, -3200, 500), 360, 398)
    seats = seated(many, window)
    assert {seat.column for seat in seats} == {1, 0, -1}
    for one in seats:
        for other in seats:
            assert one is other or one.column != other.column or abs(one.y - other.y) >= 70
    drawn = parsed(stations_plan(vehicle, [station("under", None, "now"), *many]))
    height = float(drawn.get("viewBox", "").split()[3])
    assert all(float(t.get("y", "0")) <= height - 3 for t in drawn.iter("text"))
    assert drawn.find("a").get("aria-label") == "<under>: 1 of 5, now, you are here"  # type: ignore[union-attr]


def test_the_tape_counts_what_is_taken_and_marks_doubt_by_shape():
    ticks = [Tick("done", True), Tick("doubt"), Tick("now"), Tick("waiting", True)]
    drawn = parsed(walk_tape(ticks))
    assert drawn.get("aria-label") == "2 of 4 readings taken, 1 in doubt"
    assert {p.get("class") for p in drawn.iter("path")} == {"ink", "hairl", "lit", "litf", "doubtf"}


def test_the_lens_shows_more_above_and_less_below():
    def levels(markup: str) -> tuple[float, float]:
        found = {p.get("class"): p.get("d", "") for p in parsed(markup).iter("path")}
        return tuple(float(found[c].split("L")[0].split()[1]) for c in ("doubt", "bandl"))  # type: ignore[return-value]
    typed, fits = levels(lens("20 1/8", "19 1/8", 25.4, 8))
    assert typed < fits
    typed, fits = levels(lens("18 1/8", "19 1/8", -25.4, 8))
    assert typed > fits


@pytest.mark.parametrize(("layout", "axle"), VEHICLES)
@pytest.mark.parametrize("measured", [True, False])
def test_every_small_and_large_picture_of_every_layout_is_well_formed(layout: str, axle: str, measured: bool):
    vehicle = made_up(layout, axle, measured)
    for drawn in (thumbnail(vehicle), empty_vehicle(vehicle, "106"), shape_board(vehicle, "panhard.axle"),
                  roll_construction(vehicle, 590.0, 20.0, "590 ± 20 mm")):
        assert parsed(drawn).tag == "svg"
        assert "nan" not in drawn and "inf" not in drawn


def test_the_line_of_100_percent_is_steeper_in_proportion():
    drawn = parsed(side_construction(made_up(), (-2400.0, 600.0), percent=50.0))
    def slope(class_: str) -> float:
        d = next(p.get("d", "") for p in drawn.iter("path") if p.get("class") == class_)
        (x0, y0), (x1, y1) = ([float(v) for v in pair.split()] for pair in d.removeprefix("M").split("L"))
        return (y0 - y1) / (x1 - x0)
    assert slope("sure dash") / slope("lit") == pytest.approx(2.0, rel=0.02)


def test_every_kind_of_reading_names_a_shape_the_drawings_know():
    assert [kind.name for kind in KINDS if kind.shape not in SHAPES] == []


def test_a_link_read_in_height_and_along_is_solid_from_the_side_and_guessed_from_above():
    names = ("height", "fore_aft")
    read = {"wheel_left.centre": (420.0, 0.0), "wheel_right.centre": (420.0, 0.0), "upper.axle": (600.0, -60.0),
            "upper.frame": (620.0, -780.0)}
    told = [Observation(f"{kind}:{point}", values[at], f"{kind}:{point}")
            for point, values in read.items() for at, kind in enumerate(names)]
    vehicle = vehicle_of(fit(Setup("three_link_panhard", "front", 2700.0, 880.0), told))
    bar = vehicle.bar("upper")
    assert bar is not None
    drawn = {view: str(shape_view(vehicle, view)) for view in ("side", "top", "front")}
    assert 'aria-label="Upper link, frame bolt, measured"' in drawn["side"]
    assert all('aria-label="Upper link, frame bolt, guessed"' in drawn[view] for view in ("top", "front"))
    assert vehicle.within("side").solid(bar) and not vehicle.within("top").solid(bar) and not vehicle.solid(bar)
    doubted = in_doubt(vehicle, ["upper.frame"])
    assert 'aria-label="Upper link, frame bolt, in doubt"' in str(shape_view(doubted, "side"))
    assert 'aria-label="Upper link, frame bolt, guessed"' in str(shape_view(doubted, "top"))


@pytest.mark.parametrize(("layout", "axle"), VEHICLES)
def test_names_of_chalk_lines_and_links_stand_off_bars_and_tube(layout: str, axle: str):
    vehicle = made_up(layout, axle)
    steps = [step for step in every_step(layout, axle) if step.shape in ("fore_aft", "lateral")]
    windows = shared_windows(vehicle, [wish_of(vehicle, step) for step in steps])
    for step in steps:
        window = windows[step.reading]
        drawn = parsed(f"<g>{lights(step).draw(vehicle, step, window).over}</g>")
        for named in drawn.iter("text"):
            if (words := "".join(named.itertext())) in ("centreline", "cross line"):
                at = float(named.get("x", "")), float(named.get("y", ""))
                box = rectangle_of(words, at, named.get("text-anchor"))
                assert all(overlap(box, bar) < 12 for bar in drawn_bars(vehicle, window)), (step.reading, words)


def test_travel_is_numbered_on_both_sides_of_ride_height_or_on_neither():
    travel = [float(mm) for mm in range(-120, 111, 10)]
    drawn = parsed(curve(travel, [1.0] * len(travel), [0.1] * len(travel), unit="%", display_unit="in"))
    feet = ["".join(words.itertext()) for words in drawn.iter("text")]
    assert "4.7 droop" in " ".join(feet) and feet.count("2.5") != 1
