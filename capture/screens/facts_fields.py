"""Every field of the facts' form, in the order a person meets them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from geometry.figures.hulls import words_of
from geometry.figures.loads import Assumed
from geometry.layouts import LAYOUTS
from geometry.points import own_point

from capture.screens import facts_words, words
from capture.screens.facts_values import YES, Field
from capture.vehicle_file import VehicleFile
from capture.walk import FRAME_MARKS

RAILS = ("left_rail", "right_rail")
ANOTHER = "another"
"""Stands for the name of a body that has none yet."""
BODY_NAME = "body_name"
USUAL = Assumed()
UNSPRUNG = Field("unsprung_mass", facts_words.UNSPRUNG, "mass", 10, 3000, words.ABOUT_UNSPRUNG)


@dataclass(frozen=True)
class Group:
    """Fields that belong together. folded: opened on tap; said: what of them is known already; chapter: of folded ones,
    the part of the page they stand in ("loads", "bodies" or "tubes")."""

    key: str
    title: str
    fields: tuple[Field, ...]
    folded: bool = False
    said: str = ""
    chapter: str = "tubes"


def all_groups(vehicle: VehicleFile) -> Iterator[Group]:
    front = vehicle.worked_axle == "front"
    yield Group("weight", "Braking, driving, weight", (
        Field("brake_share_front", facts_words.SHARE_OF_BRAKING, "share", 0, 1, words.ABOUT_BRAKES),
        Field("drive_share_front", facts_words.SHARE_OF_DRIVING, "share", 0, 1, words.ABOUT_DRIVE),
        UNSPRUNG,
        Field("anti_counts_unsprung", facts_words.COUNT_IT_TOO, "flag", choices=YES,
              about=facts_words.USUALLY_LEFT_OUT)))
    yield Group("shaft", "Driveshaft", (
        Field("driveshaft_joints", facts_words.JOINT_AT_GEARBOX, "choice", choices=(
            ("", "not said"), ("single", "single joint"), ("double", "double joint"))),
        Field("driveshaft_phase", facts_words.YOKES, "angle", -180, 180,
              facts_words.YOKES_IN_LINE),
        Field("slip_travel", facts_words.SLIP_TRAVEL, "length", 1, 1000, facts_words.PUSHED_TO_PULLED)))
    lock = Field("steer_lock", facts_words.LOCK, "angle", 0, 70, facts_words.LOCK_IS_COMMON)
    yield Group("tyres", "Tyres", (
        Field("tyre_width", facts_words.TYRE_WIDTH, "length", 50, 2000, facts_words.TYRE_STANDING),
        *((lock,) if front else ())))
    yield Group("loads", facts_words.LOAD_CASES, tuple(load_fields()), folded=True,
                chapter="loads")
    points = tuple(point_choices(vehicle))
    others = [name for name in vehicle.facts.bodies if name not in RAILS]
    for name in (*RAILS, *others):
        title = words.sentence_start(words_of(name))
        yield Group(f"body-{name}", title, tuple(body_fields(name, points)), folded=True, chapter="bodies")
    yield Group(f"body-{ANOTHER}", facts_words.ANOTHER_BODY, (
        Field(BODY_NAME, "What it is", "text", about=facts_words.YOUR_WORDS),
        *body_fields(ANOTHER, points)), folded=True, chapter="bodies")
    parts = [(link.name, link.words, ("frame", "axle") if link.role != "arm" else ("frame",), link.role == "arm")
             for link in LAYOUTS[vehicle.layout].links]
    rods = [("drag_link", "drag link", (), False), ("tie_rod", "tie rod", (), False)] if front else []
    for name, said, ends, arm in [*parts, *rods, ("driveshaft", "driveshaft", (), False)]:
        yield Group(f"part-{name}", words.sentence_start(said), tuple(part_fields(name, ends, arm)), folded=True)


def load_fields() -> Iterator[Field]:
    """What a person may state of the load cases; each says what is assumed instead."""
    yield Field("loads.grip", facts_words.GRIP_ALONG, "factor", 0.1, 2, assumed(USUAL.grip, facts_words.OF_THE_WEIGHT))
    yield Field("loads.side_grip", "Cornering, g", "factor", 0.1, 2,
                assumed(USUAL.side_grip, facts_words.OF_THE_WEIGHT_ASIDE))
    yield Field("loads.drive_torque", facts_words.MOST_TORQUE, "torque", 50, 100_000,
                facts_words.TORQUE_IS)
    yield Field("loads.step", facts_words.STEP, "factor", 0.5, 10,
                assumed(USUAL.step, facts_words.STEP_IS))
    yield Field("loads.bump", facts_words.LANDING, "factor", 1, 10, assumed(USUAL.bump, facts_words.LANDING_IS))
    yield Field("loads.spring_across", "Springs stand out, %", "share", 0.1, 1,
                assumed(100 * USUAL.spring_across, facts_words.SPRINGS_ACROSS))
    yield Field("loads.spring_ahead", facts_words.SPRINGS_AHEAD, "length", -500, 500,
                facts_words.SPRINGS_AHEAD_IS)


def assumed(value: float, of: str) -> str:
    return facts_words.assumed(value, of)


def point_choices(vehicle: VehicleFile) -> Iterator[tuple[str, str]]:
    """The points a body can run between: the usual marks, the person's own, and those already chosen."""
    yield "", "not said"
    read = (part for entry in vehicle.entries for part in own_points_of(getattr(entry, "reading", None)))
    kept = (name for body in vehicle.facts.bodies.values() for name in (body.start, body.end))
    for name in dict.fromkeys((*(f"mark.{mark}" for mark in FRAME_MARKS), *read, *kept)):
        found = own_point(name)
        yield name, found.words.removesuffix(", keep clear") if found else name


def own_points_of(reading: str | None) -> Iterable[str]:
    names = (reading or "").partition(":")[2].split("~")
    return [name for name in names if name.startswith(("mark.", "keep_clear."))]


def body_fields(name: str, points: tuple[tuple[str, str], ...]) -> Iterator[Field]:
    """A straight body on the frame: between which points, how thick, and where on it the points lie."""
    key = f"bodies.{name}"
    yield Field(f"{key}.start", "From", "choice", choices=points, about=facts_words.POINTS_ON_IT)
    yield Field(f"{key}.end", "To", "choice", choices=points)
    yield Field(f"{key}.width", "Width, across", "length", 1, 1000)
    yield Field(f"{key}.height", "Height", "length", 1, 1000)
    yield Field(f"{key}.across", facts_words.POINTS_ACROSS, "choice", choices=(
        ("", "in its middle"), ("outside", facts_words.OUTER_FACE), ("inside", facts_words.INNER_FACE)))
    yield Field(f"{key}.upright", facts_words.POINTS_UP, "choice", choices=(
        ("", "in its middle"), ("underside", "at its underside"), ("top", "on its top")))
    yield Field(f"{key}.diameter", facts_words.DIAMETER_IF_ROUND, "length", 1, 1000)


def part_fields(name: str, ends: tuple[str, ...], arm: bool) -> Iterator[Field]:
    """A link's tube, then its joint and thread at each end; of a rod the tube alone."""
    tube = f"tubes.{name}"
    yield Field(f"{tube}.outside_diameter", "Tube, outside", "length", 5, 300,
                facts_words.LEAST_WIDTH if arm else "")
    yield Field(f"{tube}.wall", "Tube, wall", "length", 0.5, 150, facts_words.SOLID)
    if arm:
        yield Field(f"{tube}.section_modulus", facts_words.OR_MODULUS, "modulus", 1, 1e7,
                    facts_words.OF_AN_ARM)
        yield Field(f"{tube}.section_area", facts_words.AND_AREA, "area", 1, 1e6)
    if ends:
        yield Field(f"{tube}.yield_stress", "Tube, yield", "stress", 50, 3000,
                    facts_words.AS_ITS_SELLER_STATES)
    if ends and not arm:
        yield Field(f"{tube}.joint_offset", facts_words.JOINTS_BESIDE, "length", 0, 500,
                    facts_words.JOINTS_IN_LINE)
    for end in ends:
        yield from end_fields(name, end)


def end_fields(name: str, end: str) -> Iterator[Field]:
    joint, thread = f"joints.{name}.{end}", f"threads.{name}.{end}"
    yield Field(f"{joint}.rated", facts_words.joint_leans(end), "angle", 0.1, 90,
                facts_words.AS_ITS_MAKER_STATES)
    yield Field(f"{joint}.bolt", facts_words.bolt_lies(end), "choice", choices=(
        ("", "not said"), ("across", "across the vehicle"), ("along", "along it"), ("upright", "upright")))
    yield Field(f"{joint}.bolt_tilt", facts_words.bolt_tilted(end), "angle", -60, 60, facts_words.TILTED)
    yield Field(f"{joint}.bolt_turn", facts_words.bolt_turned(end), "angle", -60, 60, facts_words.TURNED)
    yield Field(f"{thread}.pitch", facts_words.thread_pitch(end), "pitch", 0.2, 10, facts_words.PITCH_IS)
    yield Field(f"{thread}.hand", facts_words.thread_hand(end), "choice", choices=(
        ("", "not said"), ("right", "right-hand"), ("left", "left-hand")))
    yield Field(f"{thread}.diameter", facts_words.thread_outside(end), "length", 2, 100)
    yield Field(f"{thread}.insert", facts_words.insert_outside(end), "length", 3, 150,
                facts_words.INSERT_IS)
    yield Field(f"{thread}.yield_stress", facts_words.thread_yield(end), "stress", 50, 3000)
