"""Where the weight acts: the centre of gravity from the side with its height and its distance from the axle."""

from __future__ import annotations

from markupsafe import Markup

from . import drawn_words, parts
from .labels import Lettering
from .lit_wholes import cg_mark
from .projection import LEFT, fitted
from .scenes import whole_box
from .shape import ellipse, grid
from .svg import arrow_head, drawing, line
from .vehicle import Vehicle

WIDTH, HEIGHT = 360.0, 196.0


def weight_side(vehicle: Vehicle, height: float | None, along: float | None, spread: tuple[float, float],
                labels: tuple[str, str]) -> Markup:
    """360 x 196. height, along (ahead of the worked axle), spread (two sd of along and height): mm; along None: not
    known, drawn halfway between the axles; height None: the vehicle alone. labels: height and distance in words."""
    between = -0.5 * vehicle.wheelbase if vehicle.worked_axle == "front" else 0.5 * vehicle.wheelbase
    window = fitted(LEFT, whole_box(vehicle, LEFT), WIDTH, HEIGHT, 8, 8, 16, 40)
    pieces = [grid(window, vehicle.unit), parts.floor(window), parts.rails(vehicle, window),
              parts.tyres(vehicle, window), parts.axles(vehicle, window), parts.bars(vehicle, window, "link")]
    if height is None:
        return drawing(WIDTH, HEIGHT, *pieces, label=drawn_words.NO_WEIGHT_YET)
    at = window.at((between if along is None else along, 0.0, height))
    wide, high = (two_sd * window.scale for two_sd in spread)
    pieces.append(ellipse("ell", at, max(wide, 2.0), max(high, 2.0), 0.0))
    pieces += [line("lit", (at[0], window.floor), at), arrow_head("litf", (at[0], window.floor), at), cg_mark(at)]
    lettering = Lettering(WIDTH, HEIGHT, [(at[0] - 10, at[1] - 10, at[0] + 10, at[1] + 10)])
    middle = (at[1] + window.floor) / 2 + 6
    pieces.append(lettering.put("tl t15", labels[0], [((at[0] + 8, middle), None), ((at[0] - 8, middle), "end")], 15))
    if along is not None:
        foot, y = window.at((0.0, 0.0, 0.0))[0], window.floor + 28
        one, two = sorted((foot, at[0]))
        pieces += [line("dim", (foot, window.floor + 8), (foot, y + 4)), line("dim", (at[0], window.floor + 8),
                   (at[0], y + 4)), line("dim", (one, y), (two, y)), arrow_head("dimf", (one, y), (two, y), 7, 5),
                   arrow_head("dimf", (two, y), (one, y), 7, 5)]
        pieces.append(lettering.put("t12", labels[1], [(((one + two) / 2, y - 4), "middle")]))
    return drawing(WIDTH, HEIGHT, *pieces, label=drawn_words.centre_of_gravity(labels[0], labels[1]).rstrip())
