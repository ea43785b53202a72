"""Where a figure comes from, drawn: the instant centre from the links' lines, the roll centre above the floor."""

from __future__ import annotations

from markupsafe import Markup

from . import drawn_words, parts
from .labels import Lettering
from .lit import on_floor
from .lit_wholes import cg_mark
from .projection import LEFT, Box, Window, fitted
from .scenes import end_view, whole_box
from .shape import ellipse, grid
from .svg import Pixel, arrow_head, circle, drawing, join, line, path, text
from .svg import number as px
from .vehicle import Bar, Spot, Vehicle

WIDTH, HEIGHT = 360.0, 186.0
FARTHEST = 1.35
"""Wheelbases: an instant centre further from the axle is not framed; its lines leave the drawing with an arrow."""
RODS = ("panhard", "drag_link", "tie_rod", "driveshaft")


def side_construction(vehicle: Vehicle, instant_centre: tuple[float, float],
                      spread: tuple[float, float] = (0.0, 0.0), *, distance_label: str = "",
                      cg: tuple[float, float] | None = None, cg_label: str = "centre of gravity",
                      percent: float | None = None) -> Markup:
    """The side view from the left with the links' lines produced to the instant centre, 360 x 186.

    instant_centre, cg: (x, z), mm, vehicle frame. spread: two sd of the instant centre's x and z, mm, drawn at true
    size. distance_label: its distance from the axle with ±, lettered on the dimension. percent: the anti figure the lit
    line stands for; the line of 100 %, steeper in proportion, is drawn beside it. None leaves it out.
    """
    hub = vehicle.spot("wheel_left.centre") or Spot("wheel_left.centre", 0.0, 0.0, vehicle.loaded_radius)
    x, z = instant_centre
    near = abs(x - hub.x) <= FARTHEST * vehicle.wheelbase and -300.0 < z < 2.4 * vehicle.tyre_diameter
    box = whole_box(vehicle, LEFT)
    if near:
        right, up = LEFT.paper((x, 0.0, z))
        box = box.joined(Box(right - 60, right + 60, min(up, box.low), up + 60))
    window = fitted(LEFT, box, WIDTH, HEIGHT, 8, 8, 34, 44)
    centre = window.at((x, 0.0, z))
    contact = window.at(on_floor(hub.place))
    lettering = Lettering(WIDTH, HEIGHT)
    pieces = [grid(window, vehicle.unit), parts.floor(window), parts.rails(vehicle, window),
              parts.tyres(vehicle, window), parts.axles(vehicle, window)]
    pieces += _produced(vehicle, window, centre)
    if near:
        wide, high = (two_sd * window.scale for two_sd in spread)
        pieces.insert(4, ellipse("ell", centre, max(wide, 2.0), max(high, 1.2), 0))
    if percent is not None and percent > 0 and z > 0 and abs(x - hub.x) > 1:
        pieces.append(_full_line(vehicle, window, contact, z / abs(x - hub.x) * 100.0 / percent, lettering))
    pieces.append(line("lit", contact, beyond(contact, centre, window, 1.14)))
    pieces.append(circle("litf", contact, 3.5))
    if cg is not None:
        mark = window.at((cg[0], 0.0, cg[1]))
        lettering.taken.append((mark[0] - 9, mark[1] - 9, mark[0] + 9, mark[1] + 9))
    named = _centre(window, centre, lettering) if near else _far(window, contact, centre, lettering)
    if cg is not None:
        pieces.append(_gravity(window, cg, cg_label, lettering))
    pieces.append(named)
    if near and distance_label:
        pieces.append(_distance(window, contact[0], centre, distance_label))
    label = drawn_words.INSTANT_CENTRE
    return drawing(WIDTH, HEIGHT, *pieces, label=label)


def _side_bars(vehicle: Vehicle, window: Window) -> list[Bar]:
    return [bar for bar in vehicle.bars
            if bar.name not in RODS and vehicle.entered(bar) and parts.shown(bar, window)]


def _produced(vehicle: Vehicle, window: Window, centre: Pixel) -> list[Markup]:
    """The links in ink and, dashed, their lines on to the instant centre."""
    pieces = []
    for bar in _side_bars(vehicle, window):
        frame = window.at(vehicle.spots_of(bar)[0].place)
        pieces.append(line("ghost", frame, beyond(frame, centre, window)))
    pieces += [parts.bar_shape(bar, vehicle, window, "own") for bar in _side_bars(vehicle, window)]
    return pieces


def beyond(start: Pixel, through: Pixel, window: Window, share: float = 1.0) -> Pixel:
    """A point on the line from `start` to `through`, `share` of the way, cut where it leaves the drawing."""
    dx, dy = (through[0] - start[0]) * share, (through[1] - start[1]) * share
    cut = 1.0
    for at, change, far in ((start[0], dx, window.width), (start[1], dy, window.height)):
        if change > 0:
            cut = min(cut, (far - 2 - at) / change)
        elif change < 0:
            cut = min(cut, (2 - at) / change)
    return start[0] + dx * max(cut, 0.0), start[1] + dy * max(cut, 0.0)


def _full_line(vehicle: Vehicle, window: Window, contact: Pixel, slope: float, lettering: Lettering) -> Markup:
    """The line on which an instant centre would make the figure 100 %: rise over run `slope`, inward."""
    inward = -1.0 if vehicle.worked_axle == "front" else 1.0
    run = vehicle.wheelbase
    foot = window.at((inward * run, 0.0, slope * run))
    end = beyond(contact, foot, window)
    toward = 1 if end[0] > contact[0] else -1
    words = lettering.put("tq", "100 %", [((end[0] - toward * 4, end[1] - 5), "end" if toward > 0 else None),
                                        ((end[0] - toward * 30, end[1] + 16), "end" if toward > 0 else None)])
    return join((line("sure dash", contact, end), words))


def _gravity(window: Window, cg: tuple[float, float], label: str, lettering: Lettering) -> Markup:
    at = window.at((cg[0], 0.0, cg[1]))
    x, y = at
    words = lettering.put("t12", label, [((x, y - 14), "middle"), ((x - 4, y - 14), "end"), ((x + 4, y - 14), None),
                                         ((x + 14, y + 4), None), ((x - 14, y + 4), "end"), ((x, y - 28), "middle")])
    return join((line("dim", (at[0], at[1] + 9), (at[0], window.floor)), cg_mark(at), words))


def _centre(window: Window, centre: Pixel, lettering: Lettering) -> Markup:
    x, y = centre
    lettering.taken.append((x - 6, y - 6, x + 6, y + 6))
    places: list[tuple[Pixel, str | None]] = []
    for up in (26, 40, -22, 54):
        for shift, anchor in ((0, "middle"), (8, "end"), (-8, None)):
            places.append(((min(max(x + shift, 4), WIDTH - 4), y - up), anchor))
    words = lettering.put("t12 tb1", "instant centre", places)
    box = lettering.taken[-1]
    lettering.taken.append((x - 2, min(y, box[3]), x + 2, max(y, box[1])))
    tie = line("dim", (x, box[3] + 2), (x, y - 6)) if box[3] < y else line("dim", (x, y + 6), (x, box[1] - 2))
    return join((tie, circle("inkf", centre, 4), words))


def _far(window: Window, contact: Pixel, centre: Pixel, lettering: Lettering) -> Markup:
    """An instant centre off the paper: an arrow where the line leaves, and words."""
    tip = beyond(contact, centre, window)
    right = tip[0] > contact[0]
    words = lettering.put("t12 tb1", drawn_words.TO_THE_INSTANT_CENTRE, [
        ((tip[0] - (10 if right else -10), tip[1] - 12), "end" if right else None),
        ((tip[0] - (10 if right else -10), tip[1] + 20), "end" if right else None)])
    return join((arrow_head("litf", tip, contact), words))


def _distance(window: Window, foot: float, centre: Pixel, label: str) -> Markup:
    """How far the instant centre is from the axle, below the floor."""
    y = window.floor + 30
    one, two = sorted((foot, centre[0]))
    start = max(centre[1] + 16, window.floor + 8)
    marks = f"M{px(foot)} {px(window.floor + 8)}V{px(y + 4)}M{px(centre[0])} {px(start)}V{px(y + 4)}"
    marks += f"M{px(one)} {px(y)}H{px(two)}"
    return join((path("dim", marks), arrow_head("dimf", (one, y), (two, y), 7, 5),
                 arrow_head("dimf", (two, y), (one, y), 7, 5), text("t12", ((one + two) / 2, y - 4), label, "middle")))


def roll_construction(vehicle: Vehicle, height: float, spread: float = 0.0, label: str = "") -> Markup:
    """The end view with the roll centre on the centreline at `height` (mm, give or take `spread`), 360 x 186."""
    view = end_view(vehicle)
    box = whole_box(vehicle, view).joined(Box(-60, 60, min(height, 0.0) - 20, height + 60))
    window = fitted(view, box, WIDTH, HEIGHT, 12, 12, 22, 22)
    at = window.at((0.0, 0.0, height))
    half = spread * window.scale
    posts = f"M{px(at[0] - 4)} {px(at[1] - half)}h8m-4 0v{px(2 * half)}m-4 0h8"
    bracket = path("sure", posts) if half > 3 else Markup()
    out = at[0] + 30
    taken = [(*[v - 6 for v in at], *[v + 6 for v in at])]
    lettering = Lettering(WIDTH, HEIGHT, taken)
    beside = (out + 8, (at[1] + window.floor) / 2 + 5)
    other_side = (at[0] - 16, beside[1])
    words = lettering.put("tl t15", label, [(beside, None), (other_side, "end")], 17) if label else Markup()  # bold
    named = lettering.put("t12 tb1", "roll centre", [((at[0] - 10, at[1] - 10), "end"),
                                                     ((at[0] + 10, at[1] - 10), None)])
    here, there = ("right", "left") if view.right[1] > 0 else ("left", "right")
    pieces = [grid(window, vehicle.unit), parts.body(vehicle, window, "link", parts.floor(window))]
    pieces += [parts.bar_shape(bar, vehicle, window, "own") for bar in vehicle.bars if bar.name == "panhard"]
    pieces += [line("ext", (at[0] + 7, at[1]), (out + 6, at[1])), line("lit", (out, at[1]), (out, window.floor)),
               arrow_head("litf", (out, at[1]), (out, window.floor)),
               arrow_head("litf", (out, window.floor), (out, at[1])), bracket, circle("gr", at, 6),
               circle("lit", at, 6), circle("litf", at, 2.2), words, named,
               text("tq", (8, 14), here), text("tq", (WIDTH - 8, 14), there, "end")]
    return drawing(WIDTH, HEIGHT, *pieces, label=drawn_words.roll_centre(view.words, label).rstrip())
