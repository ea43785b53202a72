"""Where bars and the axle's tube lie on the paper: no label is to stand on them."""

from __future__ import annotations

from . import parts
from .labels import Rectangle, along
from .projection import Window
from .vehicle import AXLE_TUBE, Vehicle

HUBS = ("wheel_left.centre", "wheel_right.centre")


def drawn_bars(vehicle: Vehicle, window: Window) -> list[Rectangle]:
    """Every bar that this view shows, and seen from above the axle's tube."""
    lines = [(vehicle.spots_of(bar), bar.diameter) for bar in vehicle.bars
             if vehicle.entered(bar) and parts.shown(bar, window)]
    if not window.view.upright and all(name in vehicle.spots for name in HUBS):
        lines.append((tuple(vehicle.spots[name] for name in HUBS), AXLE_TUBE))
    return [box for spots, thick in lines
            for box in along(window.at(spots[0].place), window.at(spots[-1].place), thick / 2 * window.scale)]
