"""Which way a joint's bolt lies, said as a person finds it with an angle gauge and a look from above.

A bolt lies across the vehicle, along it or upright, and leans from that by two angles, deg. Across: `tilt` its left end
up, `turn` its left end ahead. Along: `tilt` its front end up, `turn` its front end to the left. Upright: `tilt` its top
ahead in side view, `turn` its top to the left in end view.
"""

from __future__ import annotations

import math

WAYS = ("across", "along", "upright")
Direction = tuple[float, float, float]


def direction(way: str, tilt: float = 0.0, turn: float = 0.0) -> Direction:
    """The unit vector along a bolt, vehicle frame. ValueError for an unknown way."""
    up, round_ = math.radians(tilt), math.radians(turn)
    if way == "across":
        return math.cos(up) * math.sin(round_), math.cos(up) * math.cos(round_), math.sin(up)
    if way == "along":
        return math.cos(up) * math.cos(round_), math.cos(up) * math.sin(round_), math.sin(up)
    if way != "upright":
        raise ValueError(f"a bolt lies {', '.join(WAYS)}, not {way}")
    ahead, left = math.tan(up), math.tan(round_)
    length = math.sqrt(ahead**2 + left**2 + 1.0)
    return ahead / length, left / length, 1.0 / length


def said(bolt: Direction) -> tuple[str, float, float] | None:
    """Way, tilt and turn of a direction of any length; the way is that of its largest part. None for no direction."""
    x, y, z = bolt
    if not max(abs(x), abs(y), abs(z)) > 0.0:
        return None
    way = max(WAYS, key=lambda each: abs({"across": y, "along": x, "upright": z}[each]))
    main = {"across": y, "along": x, "upright": z}[way]
    x, y, z = (math.copysign(1.0, main) * part for part in (x, y, z))
    if way == "across":
        return way, math.degrees(math.atan2(z, math.hypot(x, y))), math.degrees(math.atan2(x, y))
    if way == "along":
        return way, math.degrees(math.atan2(z, math.hypot(x, y))), math.degrees(math.atan2(y, x))
    return way, math.degrees(math.atan2(x, z)), math.degrees(math.atan2(y, z))
