"""The centre of gravity and the weights."""

from __future__ import annotations

import math
from collections.abc import Iterator

from geometry.rules.rule import CLEAR, SOME, Broken, Look, Rule, passed

TIPPIEST = 0.6
"""Half the track over the height of the centre of gravity: below this a vehicle hardly stands; common practice."""
USUAL_TRACK = 1560.0
LEAST_SHARE = 0.2
"""One axle of a standing vehicle carries at least this share of its weight; common practice."""


def cg_below_axle(look: Look) -> Iterator[Broken]:
    """A vehicle's centre of gravity lies above its axles; said as soon as it is likelier below than above."""
    if "cg.z" not in look.fit.slot or not look.firm({("tyre.loaded_radius", 0): 1.0}):
        return
    (cg, give), (axle, axle_sd) = _cg(look), look.mixed({("tyre.loaded_radius", 0): 1.0})
    sd = math.hypot(give, axle_sd)
    if cg < axle:
        facts = {"cg": cg, "cg_sd": give, "axle": axle, "difference": cg - axle, "sd": sd}
        yield Broken("cg_below_axle", look.touching("cg.z"), passed(axle, cg, sd), facts)


def _cg(look: Look) -> tuple[float, float]:
    """Height of the centre of gravity and its sd: as read where it was, so that a usual height does not pull it."""
    return look.read("cg_height:estimate") or look.mixed({("cg.z", 0): 1.0})


def cg_above_roof(look: Look) -> Iterator[Broken]:
    """No vehicle stands with its centre of gravity that high over its track."""
    if "cg.z" not in look.fit.slot:
        return
    apart = {("wheel_left.centre", 1): 1.0, ("wheel_right.centre", 1): -1.0}
    track = look.mixed(apart)[0] if look.firm(apart) else USUAL_TRACK
    highest = abs(track) / (2.0 * TIPPIEST)
    height, sd = _cg(look)
    if passed(height, highest, sd) > SOME:
        facts = {"cg": height, "highest": highest, "sd": sd}
        yield Broken("cg_above_roof", look.touching("cg.z"), passed(height, highest, sd), facts)


def cg_outside(look: Look) -> Iterator[Broken]:
    """The weights put the centre of gravity near or beyond one axle."""
    if "load.front_left" not in look.fit.slot:
        return
    front = {("load.front_left", 0): 1.0, ("load.front_right", 0): 1.0}
    rear = {("load.rear_left", 0): 1.0, ("load.rear_right", 0): 1.0}
    (at_front, front_sd), (at_rear, rear_sd) = look.mixed(front), look.mixed(rear)
    total = at_front + at_rear
    if max(front_sd, rear_sd) > 0.2 * abs(total):
        return
    for axle, load in (("front", at_front), ("rear", at_rear)):
        sd = math.hypot(front_sd, rear_sd)
        beyond = passed(LEAST_SHARE * total, load, sd)
        if beyond > SOME:
            facts = {"load": load, "total": total, "sd": sd}
            yield Broken("cg_outside", look.touching(*(f"load.{a}_{s}" for a in ("front", "rear")
                                                       for s in ("left", "right"))), beyond, facts, axle)


SUMS = (
    ("front", ("front_left", "front_right")),
    ("rear", ("rear_left", "rear_right")),
    ("total", ("front", "rear")),
    ("total", ("front_left", "front_right", "rear_left", "rear_right")),
)


def weights_add_up(look: Look) -> Iterator[Broken]:
    """What each wheel carries, what each axle carries, and the whole."""
    for whole, parts in SUMS:
        names = tuple(f"weight:{name}" for name in (whole, *parts))
        read = [look.read(name) for name in names]
        if any(one is None for one in read):
            continue
        values = [one for one in read if one is not None]
        added = sum(value for value, _ in values[1:])
        sd = math.hypot(*(sd for _, sd in values))
        beyond = abs(values[0][0] - added) / sd
        if beyond > CLEAR:
            facts = {"whole": values[0][0], "added": added, "difference": values[0][0] - added, "sd": sd}
            yield Broken("weights_add_up", look.keys(*names), beyond, facts, whole)


RULES = (
    Rule("cg_below_axle", "the centre of gravity lies above the axle centres", cg_below_axle),
    Rule("cg_above_roof", "the centre of gravity is not higher than a vehicle of that track can stand", cg_above_roof),
    Rule("cg_outside", "both axles carry a fair share of the weight", cg_outside),
    Rule("weights_add_up", "wheels add up to axles, axles to the whole", weights_add_up),
)
