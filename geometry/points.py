"""The points of a vehicle: names, bodies, twins, words, and where each usually is.

Fixed points come from the layout (its links), the four wheels, and for a front axle the steering; the driveshaft's
two joints besides. `keep_clear.NAME` and `mark.NAME` are the person's own. Derived points (`LINK.middle`,
`axle.centre`) are weighted means of fixed ones and exist for readings only.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from geometry import point_words, refusal_words
from geometry.errors import BadName, did_you_mean
from geometry.layouts import Place, layout_named, towards_middle

USUAL_WHEELBASE = 2700.0
USUAL_TYRE_DIAMETER = 840.0
LOADED_SHARE = 0.475
"""Loaded radius over free diameter: a tyre stands at about 95 % of its free radius, common practice, no source."""

ALWAYS = ("links", "wheels")
"""The groups that are in every fit; the others enter once a reading touches them."""
LOADS = ("load.front_left", "load.front_right", "load.rear_left", "load.rear_right")
LIFTS = tuple(f"lift.{end}{step}" for end in ("rear", "front") for step in ("", "_2", "_3"))
"""How far the wheels of one end were raised, up to three times, to find the height of the centre of gravity."""
OFFSETS = ("tape.offset", "gauge.offset", "level.offset")
"""By how much everything read with an instrument is off, once a check of it was read: mm, radian, mm."""
SCALARS = (
    "floor.pitch",
    "floor.bank",
    "tyre.loaded_radius",
    "pinion",
    "gearbox_output",
    "tyre.free_diameter",
    "travel.bump",
    "travel.droop",
    "cg.z",
    *LOADS,
    *LIFTS,
    *OFFSETS,
)
ALWAYS_SCALARS = SCALARS[:3]
OWN = ("keep_clear", "mark")
"""First words of the points a person names; the second word is the person's."""
OWN_NAME = re.compile(r"[\w-]{1,40}\Z")


@dataclass(frozen=True)
class Point:
    """One joint centre or other fixed point.

    body: which body it moves with, "frame", "axle", "other" (the other axle) or "steering" (a knuckle, which turns).
    group: the points that enter a fit together. side: +1 left, -1 right, 0 neither. twin: its mirror point, or None.
    words: "left lower link, frame bolt", no article. phrase: "the left lower link's frame bolt", for sentences.
    feature: what is there to measure to: "bolt", "wheel", "kingpin", "ball", "joint", "mark", "keep_clear",
    "middle" (of a link's tube) or "axle" (the axle's centre).
    """

    name: str
    body: str
    group: str
    side: int
    twin: str | None
    words: str
    phrase: str
    feature: str


def side_of(name: str) -> int:
    """+1 for a left point, -1 for a right one, 0 for neither, by the words of its name."""
    words = re.split(r"[._-]", name)
    return ("left" in words) - ("right" in words)


def _twin(name: str) -> str | None:
    side = side_of(name)
    if side == 0:
        return None
    return name.replace("left", "right") if side > 0 else name.replace("right", "left")


def _point(name: str, body: str, group: str, words: str, phrase: str, feature: str) -> Point:
    return Point(name, body, group, side_of(name), _twin(name), words, phrase, feature)


_ENDS = {
    "frame": "frame bolt",
    "axle": "axle bolt",
    "axle_front": "front axle bolt",
    "axle_rear": "rear axle bolt",
}


def _link_points(layout: str) -> list[Point]:
    points = []
    for link in layout_named(layout).links:
        for name in (link.frame, *link.axle):
            end = name.partition(".")[2]
            body = "frame" if name == link.frame else "axle"
            bolt = _ENDS[end]
            points.append(_point(name, body, "links", f"{link.words}, {bolt}", f"the {link.words}'s {bolt}", "bolt"))
    return points


def _wheel_points(worked_axle: str) -> list[Point]:
    other = "rear" if worked_axle == "front" else "front"
    points = []
    for stem, body, axle in (("wheel", "axle", worked_axle), ("other", "other", other)):
        for side in ("left", "right"):
            words = f"{side} {axle} wheel"
            points.append(_point(f"{stem}_{side}.centre", body, "wheels", f"{words}, centre", f"the {words}", "wheel"))
    return points


def _steering_points() -> list[Point]:
    points = []
    for side in ("left", "right"):
        for end in ("top", "bottom"):
            words, phrase = f"{side} kingpin, {end}", point_words.kingpin(end, side)
            points.append(_point(f"kingpin_{side}.{end}", "axle", "kingpins", words, phrase, "kingpin"))
    for side in ("left", "right"):
        words, phrase = f"tie rod, {side} ball", point_words.tie_rod_ball(side)
        points.append(_point(f"tie_rod.{side}", "steering", "tie_rod", words, phrase, "ball"))
    ends = (("frame", "frame", point_words.BALL_AT_THE_BOX), ("axle", "steering", point_words.BALL_AT_THE_KNUCKLE))
    for end, body, words in ends:
        phrase = f"the drag link's {words}"
        points.append(_point(f"drag_link.{end}", body, "drag_link", f"drag link, {words}", phrase, "ball"))
    return points


def _driveline_points() -> list[Point]:
    return [
        _point(f"driveshaft.{end}", end, "driveshaft", f"driveshaft, {words}", f"the driveshaft's {words}", "joint")
        for end, words in (("frame", "gearbox joint"), ("axle", "pinion joint"))
    ]


@cache
def _fixed(layout: str, worked_axle: str) -> Mapping[str, Point]:
    towards_middle(worked_axle)
    points = _link_points(layout) + _wheel_points(worked_axle)
    if worked_axle == "front":
        points += _steering_points()
    points += _driveline_points()
    return {point.name: point for point in points}


def points_of(layout: str, worked_axle: str) -> dict[str, Point]:
    """The fixed points of that layout on that axle, by name, in the order the fit keeps them.

    Errors: BadLayout.
    """
    return dict(_fixed(layout, worked_axle))


def own_point(name: str) -> Point | None:
    """The person's own `keep_clear.NAME` or `mark.NAME` as a point on the frame; None when it is not such a name."""
    stem, _, rest = name.partition(".")
    if stem not in OWN or not OWN_NAME.match(rest):
        return None
    said = rest.replace("_", " ").replace("-", " ").strip() or rest
    words = f"{said}, keep clear" if stem == "keep_clear" else f"frame mark {said}"
    phrase = f"the {said}" if stem == "keep_clear" else f"the frame mark {said}"
    return Point(name, "frame", name, side_of(rest), _twin(name), words, phrase, stem)


@cache
def _derived(layout: str, worked_axle: str) -> Mapping[str, tuple[Point, Mapping[str, float]]]:
    """Every derived point with what it is the mean of."""
    found: dict[str, tuple[Point, Mapping[str, float]]] = {}
    for link in layout_named(layout).links:
        name = f"{link.name}.middle"
        share = 0.5 / len(link.axle)
        point = _point(name, "links", "links", f"{link.words}, middle", point_words.middle_of(link.words), "middle")
        found[name] = point, {link.frame: 0.5, **dict.fromkeys(link.axle, share)}
    words, phrase = f"{worked_axle} axle, centre", f"the {worked_axle} axle's centre"
    centre = Point("axle.centre", "axle", "wheels", 0, None, words, phrase, "axle")
    found["axle.centre"] = centre, {"wheel_left.centre": 0.5, "wheel_right.centre": 0.5}
    return found


@lru_cache(maxsize=4096)
def point_named(name: str, layout: str, worked_axle: str) -> Point:
    """The point of that name, fixed, derived or the person's own. Errors: BadName, BadLayout."""
    fixed, derived = _fixed(layout, worked_axle), _derived(layout, worked_axle)
    if name in fixed:
        return fixed[name]
    if name in derived:
        return derived[name][0]
    own = own_point(name)
    if own is None:
        raise BadName(_no_such_point(name, worked_axle, [*fixed, *derived]))
    return own


def _no_such_point(name: str, worked_axle: str, known: list[str]) -> str:
    stem = name.partition(".")[0]
    if stem in OWN:
        return refusal_words.no_own_name(name, stem)
    if worked_axle == "rear" and name in {point.name for point in _steering_points()}:
        return refusal_words.steering_on_a_rear_axle(name)
    near = did_you_mean(name, known)
    return refusal_words.no_such_point(name, near or "; its points are " + ", ".join(known) + ".")


@lru_cache(maxsize=4096)
def _combination(name: str, layout: str, worked_axle: str) -> Mapping[str, float]:
    point_named(name, layout, worked_axle)
    derived = _derived(layout, worked_axle)
    return derived[name][1] if name in derived else {name: 1.0}


def combination(name: str, layout: str, worked_axle: str) -> dict[str, float]:
    """What a point is the weighted mean of: fixed or own points and their shares, which sum to 1.

    "lower_left.middle" gives its two joint centres at a half each; a fixed or own point gives itself.
    Errors: BadName, BadLayout.
    """
    return dict(_combination(name, layout, worked_axle))


def _common_places(inward: int) -> dict[str, Place]:
    """Wheels, steering and driveline for a wheelbase of 2700 and a tyre of 840; common practice, no source."""
    radius = LOADED_SHARE * USUAL_TYRE_DIAMETER
    places: dict[str, Place] = {"driveshaft.axle": (inward * 220.0, 0.0, radius + 20.0)}
    places["driveshaft.frame"] = (inward * 1250.0, 0.0, 560.0)
    places["drag_link.frame"], places["drag_link.axle"] = (150.0, 430.0, 620.0), (130.0, -600.0, radius + 130.0)
    for side, y in (("left", 1.0), ("right", -1.0)):
        places[f"wheel_{side}.centre"] = (0.0, y * 780.0, radius)
        places[f"other_{side}.centre"] = (inward * USUAL_WHEELBASE, y * 780.0, radius)
        places[f"kingpin_{side}.top"] = (-12.0, y * 650.0, radius + 110.0)
        places[f"kingpin_{side}.bottom"] = (12.0, y * 680.0, radius - 100.0)
        places[f"tie_rod.{side}"] = (-140.0, y * 630.0, radius - 10.0)
    return places


def typical_places(layout: str, worked_axle: str, wheelbase: float, tyre_diameter: float) -> dict[str, Place]:
    """Where each fixed point usually is, mm, vehicle frame; lengthwise by the wheelbase, heights by the tyre.

    Errors: BadLayout. Source: common practice; weak enough in the fit not to matter where there are readings.
    """
    inward = towards_middle(worked_axle)
    places = _common_places(inward) | layout_named(layout).places(inward)
    along, high = wheelbase / USUAL_WHEELBASE, tyre_diameter / USUAL_TYRE_DIAMETER
    return {
        name: (places[name][0] * along, places[name][1], places[name][2] * high)
        for name in _fixed(layout, worked_axle)
    }


def own_place(name: str, worked_axle: str, wheelbase: float, tyre_diameter: float) -> Place:
    """Where a person's own point is taken to be before it is read, mm, vehicle frame: by the words in its name.

    "front" and "rear" put it near that axle, "left" and "right" on that rail; otherwise beside the worked axle.
    """
    words = set(re.split(r"[._-]", name.lower()))
    inward = towards_middle(worked_axle)
    axle_x = {worked_axle: 0.0, ("rear" if worked_axle == "front" else "front"): inward * wheelbase}
    x = axle_x[worked_axle] + inward * 300.0
    for axle in ("front", "rear"):
        if axle in words and not {"front", "rear"} <= words:
            x = axle_x[axle]
    return x, 430.0 * side_of(name.lower()), 0.7 * tyre_diameter
