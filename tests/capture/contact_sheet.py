"""Writes one page with every drawing there is, to look at: python -m tests.capture.contact_sheet FOLDER

FOLDER/drawings.html is a page of its own; with --pictures it is also photographed, light and dark (needs a browser).
"""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from capture.drawings import board, construction, curve, lens, plan, rule, scenes, shape, thumbnail, walktape
from capture.drawings.vehicle import Vehicle, in_doubt, vehicle_of
from geometry.fit import Observation, Setup, fit
from geometry.layouts import LAYOUTS

from .drawn_vehicles import every_step, made_up

AXLES = ("front", "rear")
STYLES = Path(__file__).parents[2] / "static" / "plumbtack.css"
OWN_STYLES = """
body{max-width:none;display:block;padding:8px;font-size:12px}
.all{display:grid;grid-template-columns:repeat(4,362px);gap:8px;margin-bottom:16px}
figure{position:relative;border:1px solid var(--hair);overflow:hidden}figcaption{font-size:11px;color:var(--quiet)}
.b{grid-column:1/5;width:902px}.s svg{width:112px;height:auto}.k svg{width:100px}.t svg{width:48px}
.lens{position:static!important}.d.walktape.wide,.phone{display:block!important}
"""
TYPED = "19 1/8"


def fitted(layout: str, axle: str, readings: int) -> Vehicle:
    """A real fit on the typical places' own values: as many heights, plumb marks and widths as asked."""
    ends = [end for link in LAYOUTS[layout].links for end in (link.frame, *link.axle)]
    ends += ["wheel_left.centre", "wheel_right.centre", "other_left.centre", "other_right.centre"]
    setup = Setup(layout, axle, 2704.0, 876.0)
    names = [f"{kind}:{end}" for end in ends for kind in ("height", "fore_aft", "lateral")][:readings]
    nothing = fit(setup, [])
    values, _ = nothing.predict(names)
    seen = [Observation(name, float(value), name) for name, value in zip(names, values, strict=True)]
    return vehicle_of(fit(setup, seen), unit="in")


def walk(title: str, vehicle: Vehicle, layout: str, axle: str) -> str:
    drawn = scenes.walk_drawings(vehicle, every_step(layout, axle))
    figures = []
    for reading, figure in drawn.figure.items():
        filled = re.sub(r"(<text[^>]*data-typed[^>]*>)", rf"\g<1>{TYPED}", str(figure))
        figures.append(f"<figure><figcaption>{reading} {drawn.scenes[reading]}</figcaption>{filled}"
                       f"<div class=k>{drawn.key[reading]}</div></figure>")
    return f"<h2>{title}</h2>{drawn.defs}<div class=all>{''.join(figures)}</div>"


def shapes() -> Iterator[tuple[str, str]]:
    doubted = in_doubt(made_up(), ["panhard.axle", "upper.frame"])
    for view in ("side", "top", "front"):
        yield f"doubted {view}", shape.shape_view(doubted, view, "lower_left.frame")
    for layout in LAYOUTS:
        for axle in ("front", "rear"):
            for readings in (0, 11, 100):
                vehicle = fitted(layout, axle, readings)
                for view in ("side", "top", "front"):
                    yield f"{layout} {axle} {readings} {view}", shape.shape_view(vehicle, view)


def behaviour() -> Iterator[tuple[str, str]]:
    travel = [float(t) for t in range(-100, 101, 10)]
    falling = [61 - t * 0.08 for t in travel]
    even = [4.0] * len(travel)
    yield "rule", rule.rule(61, 8, (20, 60), "%", "usual on the road")
    yield "rule far out", rule.rule(7.3, 0.5, (-8, 0), "%")
    yield "rule wide spread", rule.rule(40, 300, (0, 30), "%", "usual on the trail")
    yield "rule no band", rule.rule(23.44, 0.125, None, "in")
    yield "rule small", rule.rule(0.11, 0.2, (-0.25, 0.25), "°")
    yield "rule from nought", rule.rule(1.97, 0.1, (0, 2), "°", "usual up to 2")
    yield "curve", curve.curve(travel, falling, even, unit="%", display_unit="in", band=(20, 60),
                               band_words="usual on the road", said="61 % ± 8", title="Anti-dive")
    gap: list[float | None] = [None if t < -60 else 5.9 + math.sin(t / 60) for t in travel]
    yield "curve with a gap", curve.curve(travel, gap, [0.2] * len(travel), unit="°", band=(4, 8), said="5.9° ± 0.4°")
    yield "curve without values", curve.curve(travel, [None] * len(travel), [None] * len(travel), unit="°")
    small = [t * t / 9000 for t in travel]
    yield "curve no band", curve.curve(travel, small, [abs(t) / 900 for t in travel], unit="mm", said="0 mm")
    yield "spark", curve.spark(travel, falling, even)
    for front in (True, False):
        vehicle = made_up("three_link_panhard" if front else "four_link", "front" if front else "rear")
        sign = -1 if front else 1
        yield "instant centre", construction.side_construction(
            vehicle, (sign * 2404.0, 680.0), (150.0, 30.0), distance_label="95 ± 6 in", cg=(sign * 1230.0, 880.0),
            cg_label="centre of gravity, ± 4 in", percent=67.0)
        yield "instant centre near the cg", construction.side_construction(
            vehicle, (sign * 1250.0, 800.0), (90.0, 30.0), distance_label="49 ± 4 in", cg=(sign * 1290.0, 700.0))
        yield "instant centre far", construction.side_construction(vehicle, (sign * 9000.0, 900.0), (3000.0, 300.0))
        yield "roll centre", construction.roll_construction(vehicle, 580.0, 40.0, "23 7/16 in")


def others() -> Iterator[tuple[str, str]]:
    vehicle = made_up()
    states = [walktape.Tick("doubt" if i == 17 else "done" if i < 35 else "now" if i == 35 else "waiting", i % 7 == 0)
              for i in range(64)]
    yield "tape", walktape.walk_tape(states)
    yield "tape, one reading", walktape.walk_tape(states[35:36])
    yield "lens above", lens.lens("20 1/8", "19 1/8", 25.4, 8)
    yield "lens below", lens.lens("486.5", "511.5", -25, 3)
    for layout, axle in (("three_link_panhard", "front"), ("four_link", "rear"), ("radius_arms_panhard", "front")):
        yield "thumbnail", thumbnail.thumbnail(made_up(layout, axle, layout != "radius_arms_panhard"))
        yield "empty", thumbnail.empty_vehicle(made_up(layout, axle, False), "106")
    for axle in ("front", "rear"):
        vehicle = made_up("three_link_panhard", axle)
        yield f"plan {axle}", plan.stations_plan(vehicle, stations(vehicle))


def stations(vehicle: Vehicle) -> list[plan.PlanStation]:
    rows = [("Floor, marks", ("mark.nowhere",), "done"), ("Front left", ("wheel_left.centre",), "done"),
            ("Front right", ("wheel_right.centre",), "done"), ("Rear wheels", ("other_right.centre",), "done"),
            ("Under, left", ("lower_left.frame", "lower_left.axle"), "now"),
            ("Under, middle", ("upper.frame", "upper.axle"), "waiting"),
            ("Under, right", ("lower_right.frame", "lower_right.axle"), "waiting"),
            ("Front of axle", ("panhard.frame", "panhard.axle"), "doubt"),
            ("Driveline", ("driveshaft.frame",), "waiting")]
    return [plan.PlanStation(title, chr(65 + i), title, i % 5, 5, state, "#", plan.place_of(vehicle, points),
                             1 if state == "doubt" else 0) for i, (title, points, state) in enumerate(rows)]


def page() -> str:
    pieces = [walk("Walk, front three-link", made_up(), "three_link_panhard", "front")]
    if "--all" in sys.argv:
        both = [(layout, axle) for layout in LAYOUTS for axle in AXLES]
        pieces += [walk(" ".join(pair), made_up(*pair), *pair) for pair in both]
    pieces.append(sheet("Shape", shapes()))
    vehicle = in_doubt(made_up(), ["panhard.axle"])
    boards = (board.shape_board(vehicle, "lower_left.frame", wheelbase="wheelbase 106 1/2 ± 1/8"),
              board.shape_board(fitted("four_link", "rear", 100)))
    pieces += [f"<figure class=b>{drawn}</figure>" for drawn in boards]
    pieces += [sheet("Behaviour", behaviour()), sheet("The rest", others())]
    styles = STYLES.read_text() + OWN_STYLES
    return f"<!doctype html><meta charset=utf-8><title>Drawings</title><style>{styles}</style><body>{''.join(pieces)}"


def sheet(title: str, items: Iterator[tuple[str, str]]) -> str:
    narrow = {"spark": "s", "thumbnail": "s", "choice": "t", "lens": "s"}
    figures = "".join(f"<figure class={narrow.get(name.split()[0], 'p')}><figcaption>{name}</figcaption>{drawn}"
                      "</figure>" for name, drawn in items)
    return f"<h2>{title}</h2><div class=all>{figures}</div>"


def photograph(folder: Path) -> None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        for theme in ("light", "dark"):
            shot = browser.new_page(viewport={"width": 1500, "height": 900}, color_scheme=theme)
            shot.goto((folder / "drawings.html").as_uri())
            for i, part in enumerate(shot.query_selector_all(".all, .b")):
                part.screenshot(path=folder / f"{theme}-{i}.png")
        browser.close()


if __name__ == "__main__":
    where = Path(sys.argv[1])
    where.mkdir(parents=True, exist_ok=True)
    (where / "drawings.html").write_text(page())
    if "--pictures" in sys.argv:
        photograph(where)
