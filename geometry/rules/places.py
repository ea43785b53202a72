"""Where joints can be at all, and how long a part can be between them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from geometry.layouts import layout_named
from geometry.rules.rule import CLEAR, SOME, Broken, Look, Rule, passed

TYRE_HALF_WIDTH = 100.0
"""mm: within this of the wheel's mid-plane a joint would be inside the tyre; half of a narrow tyre, common practice."""
LEAST_SQUASH, MOST_SQUASH = 1.0, 0.82
"""A loaded radius over the free one: never more than 1; below 0.82 the tyre is flat. Usual 0.94 to 0.97."""


def upper_above_lower(look: Look) -> Iterator[Broken]:
    """At the axle the upper links hold above the lower ones."""
    links = layout_named(look.fit.setup.layout).links
    upper = [link.axle[0] for link in links if link.role == "upper"]
    lower = [link.axle[0] for link in links if link.role == "lower"]
    if not upper or not lower:
        return
    shares = {(point, 2): 1.0 / len(lower) for point in lower} | {(point, 2): -1.0 / len(upper) for point in upper}
    if not look.firm(shares):
        return
    below, sd = look.mixed(shares)
    if passed(below, 0.0, sd) > SOME:
        names = [f"height:{point}" for point in (*upper, *lower)]
        facts = {"difference": -below, "sd": sd}
        yield Broken("upper_below_lower", look.keys(*names), passed(below, 0.0, sd), facts, points=(*upper, *lower))


def above_floor(look: Look) -> Iterator[Broken]:
    """No joint is under the floor."""
    for name in look.placed:
        height, sd = look.mixed({(name, 2): 1.0})
        if look.firm({(name, 2): 1.0}) and passed(0.0, height, sd) > SOME:
            facts = {"height": height, "sd": sd}
            yield Broken("joint_in_floor", look.touching(name), passed(0.0, height, sd), facts, points=(name,))


def outside_tyres(look: Look) -> Iterator[Broken]:
    """No link's joint is inside a tyre."""
    links = layout_named(look.fit.setup.layout).links
    radius = look.fit.tyre_radius
    for name in (point for link in links for point in (link.frame, *link.axle)):
        for wheel in ("wheel_left.centre", "wheel_right.centre"):
            if not look.known(name, wheel):
                continue
            point, centre = look.placed[name], look.placed[wheel]
            inside = radius - math.hypot(point.x - centre.x, point.z - centre.z)
            within = TYRE_HALF_WIDTH - abs(point.y - centre.y)
            sd = max(*point.sd, *centre.sd)
            beyond = min(passed(inside, 0.0, sd), passed(within, 0.0, sd))
            if beyond > SOME:
                facts = {"from_wheel": point.y - centre.y, "inside": inside, "sd": sd}
                keys = look.keys(f"lateral:{name}") or look.touching(name)
                yield Broken("joint_in_tyre", keys, beyond, facts, points=(name, wheel))


def links_long_enough(look: Look) -> Iterator[Broken]:
    """A link or rod is at least as long as its ends lie apart in height, sideways or lengthwise."""
    yield from _long_enough(look, "link_too_short", lambda subject: not subject.startswith("driveshaft"))


def driveshaft_long_enough(look: Look) -> Iterator[Broken]:
    """So is the driveshaft."""
    yield from _long_enough(look, "driveshaft_too_short", lambda subject: subject.startswith("driveshaft"))


def _long_enough(look: Look, rule: str, wanted: Callable[[str], bool]) -> Iterator[Broken]:
    for seen in dict.fromkeys(look.fit.readings):
        if seen.kind.name != "span" or not wanted(seen.subject):
            continue
        length = look.read(seen.text)
        for kind in ("height", "lateral", "fore_aft"):
            names = tuple(f"{kind}:{point}" for point in seen.points)
            one, other = (look.read(name) for name in names)
            if length is None or one is None or other is None:
                continue
            apart, sd = abs(one[0] - other[0]), math.hypot(length[1], one[1], other[1])
            beyond = passed(apart, length[0], sd)
            if beyond > CLEAR:
                facts = {"length": length[0], "apart": apart, "difference": length[0] - apart, "sd": sd}
                yield Broken(rule, look.keys(seen.text, *names), beyond, facts, kind, seen.points)


def tyre_squash(look: Look) -> Iterator[Broken]:
    """A loaded tyre stands a little lower than half its free diameter."""
    if "tyre.free_diameter" not in look.fit.slot:
        return
    keys = (*look.touching("tyre.free_diameter"), *look.keys("height:wheel_left.centre", "height:wheel_right.centre"))
    if len(keys) == len(look.touching("tyre.free_diameter")):
        return
    for share, sign in ((LEAST_SQUASH, 1.0), (MOST_SQUASH, -1.0)):
        off, sd = look.mixed({("tyre.loaded_radius", 0): sign, ("tyre.free_diameter", 0): -sign * share / 2.0})
        if passed(off, 0.0, sd) > CLEAR:
            diameter = look.mixed({("tyre.free_diameter", 0): 1.0})[0]
            facts = {"radius": look.fit.tyre_radius, "diameter": diameter, "difference": sign * off, "sd": sd}
            about = "too high" if sign > 0 else "too low"
            yield Broken("tyre_squash", keys, passed(off, 0.0, sd), facts, about)


RULES = (
    Rule("upper_below_lower", "upper links hold above the lower ones at the axle", upper_above_lower),
    Rule("joint_in_floor", "no joint is under the floor", above_floor),
    Rule("joint_in_tyre", "no link's joint is inside a tyre", outside_tyres),
    Rule("link_too_short", "a link is as long as its ends lie apart", links_long_enough),
    Rule("driveshaft_too_short", "the driveshaft is as long as its joints lie apart", driveshaft_long_enough),
    Rule("tyre_squash", "a loaded tyre stands a little lower than half its diameter", tyre_squash),
)
