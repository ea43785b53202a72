"""The drawings of the walk: few scenes drawn once, and for each reading a scene with its own dimension lit.

A scene is a view with a window. Every reading says which windows would do (everything it needs inside, the asked
dimension at least a third of the height or width); readings share a window wherever one does for several.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from . import drawn_words
from .lit import Lit, Reach, Step, spots_of
from .marks import SHAPES, lights, side_view
from .parts import near_side, quiet_vehicle, rail_line, rails, shown, tyres
from .projection import FRONT, LEFT, REAR, RIGHT, TOP_LEFT, TOP_RIGHT, Box, View, Window, fitted
from .svg import circle, drawing, element, join, line
from .vehicle import Vehicle

WIDTH, HEIGHT = 360.0, 163.0
THIRD = 1 / 3
LARGEST = 0.5
"""px a mm: closer than this the neighbourhood that tells where one is would be lost."""
SIDES, ABOVE, BELOW = 16.0, 16.0, 16.0
KEY_WIDTH, KEY_HEIGHT = 100.0, 44.0


@dataclass(frozen=True)
class WalkDrawings:
    """defs: once in the page, before the figures. figure, key: one drawing for each reading's name.

    scenes: the name of the scene each reading is drawn on. Each figure has one empty `<text data-typed>` for the value.
    """

    defs: Markup
    figure: dict[str, Markup]
    key: dict[str, Markup]
    scenes: dict[str, str]


@dataclass(frozen=True)
class Wish:
    """What a reading asks of its window: a view, a box on the paper and the least scale that fills a third."""

    step: Step
    view: View
    box: Box
    least: float
    most: float
    floor: bool


def end_view(vehicle: Vehicle) -> View:
    """A front axle is looked at from the front, a rear one from behind."""
    return FRONT if vehicle.worked_axle == "front" else REAR


def walk_drawings(vehicle: Vehicle, steps: Iterable[Step]) -> WalkDrawings:
    """The drawings of all steps. Steps whose points are not known at all get the whole vehicle, nothing lit."""
    steps = list(steps)
    wishes = [wish_of(vehicle, step) for step in steps]
    windows = shared_windows(vehicle, wishes)
    names: dict[Window, str] = {}
    for wish in wishes:
        names.setdefault(windows[wish.step.reading], f"scene-{len(names) + 1}")
    keys: dict[str, Window] = {}
    figure, key, scenes = {}, {}, {}
    for wish in wishes:
        window = windows[wish.step.reading]
        scenes[wish.step.reading] = names[window]
        figure[wish.step.reading] = step_drawing(vehicle, wish.step, window, names[window])
        key_name = f"key-{wish.view.key}"
        if key_name not in keys:
            keys[key_name] = key_window(vehicle, wish.view)
        key[wish.step.reading] = key_drawing(vehicle, wish.step, keys[key_name], key_name)
    groups = [scene(vehicle, window, name) for window, name in names.items()]
    groups += [element("g", key_base(vehicle, window), id=name, class_="d") for name, window in keys.items()]
    defs = element("svg", element("defs", *groups), class_="defs", width="0", height="0", aria_hidden="true",
                   focusable="false")
    return WalkDrawings(defs, figure, key, scenes)


def step_drawing(vehicle: Vehicle, step: Step, window: Window, name: str) -> Markup:
    """One reading's figure: glow, the shared scene, the lit dimension."""
    lit = drawn(vehicle, step, window)
    label = f"{window.view.words[0].upper()}{window.view.words[1:]}, to scale. Lit: {step.words}"
    return drawing(window.width, window.height, lit.under, element("use", href=f"#{name}"), lit.over, label=label)


def drawn(vehicle: Vehicle, step: Step, window: Window) -> Lit:
    shape = lights(step) if known(vehicle, step) else SHAPES["none"]
    return shape.draw(vehicle.within(window.view.plane), step, window)


def known(vehicle: Vehicle, step: Step) -> bool:
    """Whether the drawing has a place for each point the reading speaks of."""
    return len(spots_of(vehicle, step)) == len(step.points)


def scene(vehicle: Vehicle, window: Window, name: str) -> Markup:
    """The vehicle in quiet lines, used by many figures; the class on the group lets the styles reach into a use."""
    return element("g", quiet_vehicle(vehicle, window), id=name, class_="d")


# ---- choosing views and windows ----


def candidate_views(vehicle: Vehicle, step: Step) -> list[View]:
    """The views a shape can be seen in; for two points first the one in which they lie furthest apart."""
    shape = lights(step)
    side = side_view(vehicle, step)
    by_word = {"side": side, "front": end_view(vehicle), "top": TOP_RIGHT if side is RIGHT else TOP_LEFT}
    wanted = step.view if step.view in shape.views else shape.views[0]
    if step.shape == "floor_slope" and step.subject == "across":
        return [end_view(vehicle)]
    views = [by_word[wanted], *(by_word[word] for word in shape.views if word != wanted)]
    spots = spots_of(vehicle, step)
    if len(spots) != 2 or len(views) == 1:
        return views[:1]
    def apart(view: View) -> float:
        one, two = view.paper(spots[0].place), view.paper(spots[1].place)
        across = abs(one[0] - two[0])
        return across if step.shape in ("rise", "incline") else math.hypot(across, one[1] - two[1])
    widest = max(map(apart, views))
    return [view for view in views if apart(view) >= 0.8 * widest]


def wish_of(vehicle: Vehicle, step: Step) -> Wish:
    shape = lights(step) if known(vehicle, step) else SHAPES["none"]
    view = candidate_views(vehicle, step)[0]
    reach: Reach = shape.reach(vehicle, step)
    box = Box.around(map(view.paper, reach.needs))
    floor = shape.floor and view.upright
    if floor:
        box = box.joined(Box(box.left, box.right, 0.0, 0.0))
    most = fit_scale([box], floor)
    if shape.whole:
        box = box.joined(whole_box(vehicle, view))
        return Wish(step, view, box, 0.0, fit_scale([box], floor), floor)
    least = 0.0
    if reach.asked is not None:
        one, two = map(view.paper, reach.asked)
        right, up = abs(one[0] - two[0]), abs(one[1] - two[1])
        least = min(THIRD * min(WIDTH / max(right, 1e-6), HEIGHT / max(up, 1e-6)), LARGEST)
    elif not shape.whole:
        least = 0.5 * most if shape.close else 0.0
    return Wish(step, view, box, min(least, most), most, floor)


def fit_scale(boxes: Sequence[Box], floor: bool) -> float:
    box = boxes[0]
    for other in boxes[1:]:
        box = box.joined(other)
    return min((WIDTH - 2 * SIDES) / max(box.width, 1.0), (HEIGHT - ABOVE - BELOW) / max(box.height, 1.0), LARGEST)


def whole_box(vehicle: Vehicle, view: View) -> Box:
    """The whole vehicle on the paper, tyres and rails."""
    half, wide = vehicle.tyre_diameter / 2, vehicle.tyre_diameter * 0.18
    side = near_side(Window(view, 1.0, (0.0, 0.0)))
    hubs = [spot for spot in vehicle.wheels if not (view in (FRONT, REAR) and spot.name.startswith("other"))]
    places = [(spot.x + a * half, spot.y + b * wide, z) for spot in hubs for a in (1, -1) for b in (1, -1)
              for z in (0.0, spot.z + half)]
    if side:
        places += [(rail.x * 0.97, rail.y, rail.z + 110.0) for rail in rail_line(vehicle, side)]
    return Box.around([view.paper(place) for place in places] or [(-1000.0, 0.0), (1000.0, 900.0)])


def axle_box(vehicle: Vehicle, view: View) -> Box:
    """The worked axle with all its links, from floor to rail."""
    half = vehicle.tyre_diameter / 2
    hubs = [spot for spot in vehicle.wheels if spot.name.startswith("wheel")]
    places = [(spot.x + a * half, spot.y, z) for spot in hubs for a in (1, -1) for z in (0.0, spot.z + half)]
    places += [spot.place for bar in vehicle.bars if vehicle.entered(bar) and bar.name != "driveshaft"
               for spot in vehicle.spots_of(bar)]
    return Box.around([view.paper(place) for place in places] or [(-1000.0, 0.0), (1000.0, 900.0)])


def shared_windows(vehicle: Vehicle, wishes: Sequence[Wish]) -> dict[str, Window]:
    """A window for each reading's name: the usual ones first, then shared ones made for what is left."""
    found: dict[str, Window] = {}
    usual: dict[str, list[Window]] = {}
    left: list[Wish] = []
    for wish in wishes:
        key = wish.view.key
        if key not in usual:
            usual[key] = usual_windows(vehicle, wish.view)
        window = next((w for w in usual[key] if serves(w, wish)), None)
        if window is None:
            left.append(wish)
        else:
            found[wish.step.reading] = window
    for cluster in clusters(left):
        window = cluster_window(vehicle, cluster)
        for wish in cluster:
            found[wish.step.reading] = window
    return found


def usual_windows(vehicle: Vehicle, view: View) -> list[Window]:
    """The worked axle with its links, then the whole vehicle."""
    tall = view.upright
    left, right = 14.0, 118.0
    if view in (LEFT, RIGHT, TOP_LEFT, TOP_RIGHT) and not links_run_right(vehicle, view):
        left, right = right, left
    axle = fitted(view, axle_box(vehicle, view), WIDTH, HEIGHT, left, right, 8 if tall else 14, 15 if tall else 14)
    if view in (FRONT, REAR):
        axle = fitted(view, whole_box(vehicle, view), WIDTH, HEIGHT, 8, 8, 8, 15)
    whole = fitted(view, whole_box(vehicle, view), WIDTH, HEIGHT, 12, 12, 8 if tall else 12, 40 if tall else 12)
    return [axle, whole] if view in (LEFT, RIGHT, TOP_LEFT, TOP_RIGHT) else [axle]


def links_run_right(vehicle: Vehicle, view: View) -> bool:
    """Whether the links run to the right of the worked axle in a side or top view; the value then has room there."""
    return (vehicle.worked_axle == "front") == (view in (LEFT, TOP_LEFT))


def serves(window: Window, wish: Wish) -> bool:
    """Whether a reading can be shown in that window: all it needs inside, and large enough."""
    if not 0.98 * wish.least <= window.scale or window.scale > 1.02 * wish.most * 1.35:
        return False
    left, low = window.pixel((wish.box.left, wish.box.low))
    right, high = window.pixel((wish.box.right, wish.box.high))
    below = window.height - (8 if wish.floor else 12)
    return left >= 8 and right <= window.width - 8 and high >= 6 and low <= below


def clusters(wishes: Sequence[Wish]) -> list[list[Wish]]:
    """Readings that can share one window: same view, and a scale exists that serves them all."""
    made: list[list[Wish]] = []
    for wish in sorted(wishes, key=lambda wish: (wish.view.key, wish.floor, wish.least, wish.step.reading)):
        for group in made:
            together = [*group, wish]
            if group[0].view is wish.view and group[0].floor == wish.floor:
                least = max(member.least for member in together)
                if least <= fit_scale([member.box for member in together], wish.floor):
                    group.append(wish)
                    break
        else:
            made.append([wish])
    return made


def cluster_window(vehicle: Vehicle, cluster: Sequence[Wish]) -> Window:
    """The widest window that still shows every dimension of the group large enough; a floor stays at the bottom."""
    box = cluster[0].box
    for wish in cluster[1:]:
        box = box.joined(wish.box)
    view, floor = cluster[0].view, cluster[0].floor
    most = fit_scale([box], floor)
    context = fitted(view, axle_box(vehicle, view), WIDTH, HEIGHT).scale
    scale = min(most, max(context, max(wish.least for wish in cluster)))
    centre_up = (box.low + box.high) / 2
    if floor:
        centre_up = (HEIGHT / 2 - 15) / scale
    elif view.upright:
        centre_up = max(centre_up, (HEIGHT / 2 - 15) / scale)
    return Window(view, scale, ((box.left + box.right) / 2, centre_up), WIDTH, HEIGHT)


# ---- the key view of the title block ----


def key_window(vehicle: Vehicle, view: View) -> Window:
    below = 10.0 if view.upright else 3.0
    return fitted(view, whole_box(vehicle, view), KEY_WIDTH, KEY_HEIGHT, 4, 4, 3, below)


def key_base(vehicle: Vehicle, window: Window) -> Markup:
    """The whole vehicle 100 px wide: floor, tyres, rails and the links as single lines."""
    floor = line("hairl", (2, window.floor), (98, window.floor)) if window.view.upright else Markup()
    sticks = [line("quiet", *(window.at(spot.place) for spot in vehicle.spots_of(bar)))
              for bar in vehicle.bars if vehicle.entered(bar) and shown(bar, window)]
    return join((floor, rails(vehicle, window), tyres(vehicle, window), *sticks))


def key_drawing(vehicle: Vehicle, step: Step, window: Window, name: str) -> Markup:
    """Where on the vehicle this reading is."""
    lit = Markup()
    under = Markup()
    if known(vehicle, step):
        reach = lights(step).reach(vehicle, step)
        ends = [window.at(place) for place in (reach.asked or reach.needs)]
        dots = [window.at(spot.place) for spot in spots_of(vehicle, step)]
        if reach.asked is not None:
            under = line("glow", *ends)
            lit = line("lit", *ends)
        else:
            under = join(circle("glowf", end, 7) for end in ends)
            dots = dots or ends
        lit = join((lit, *(circle("litf", dot, 3) for dot in dots)))
    return drawing(KEY_WIDTH, KEY_HEIGHT, under, element("use", href=f"#{name}"), lit,
                   label=drawn_words.where(step.words))
