"""Every field of the facts' form, in the order a person meets them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from geometry.figures.hulls import words_of
from geometry.figures.loads import Assumed
from geometry.layouts import LAYOUTS
from geometry.points import own_point

from capture.screens import words
from capture.screens.facts_values import YES, Field
from capture.vehicle_file import VehicleFile
from capture.walk import FRAME_MARKS

RAILS = ("left_rail", "right_rail")
ANOTHER = "another"
"""Stands for the name of a body that has none yet."""
BODY_NAME = "body_name"
USUAL = Assumed()
TILT = "+ its left end up if it lies across, its front end up if along, its top ahead if upright. 0 when straight."
TURN = "+ its left end ahead if it lies across, its front end to the left if along, its top to the left if upright."


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
        Field("brake_share_front", "Front share of braking, %", "share", 0, 1, words.ABOUT_BRAKES),
        Field("drive_share_front", "Front share of driving, %", "share", 0, 1, words.ABOUT_DRIVE),
        Field("unsprung_mass", "Unsprung mass of this axle", "mass", 10, 3000, words.ABOUT_UNSPRUNG),
        Field("anti_counts_unsprung", "Anti figures count that mass too", "flag", choices=YES,
              about="Usually they leave it out. The axle’s own inertia then counts along the path of its centre.")))
    yield Group("shaft", "Driveshaft", (
        Field("driveshaft_joints", "Joint at the gearbox end", "choice", choices=(
            ("", "not said"), ("single", "single joint"), ("double", "double joint"))),
        Field("driveshaft_phase", "Yokes out of line by", "angle", -180, 180,
              "0 when the shaft’s two yokes stand in line."),
        Field("slip_travel", "Travel of the slip joint", "length", 1, 1000, "From pushed home to pulled apart.")))
    lock = Field("steer_lock", "Steering lock of a wheel", "angle", 0, 70, "Each way; 30 is common.")
    yield Group("tyres", "Tyres", (
        Field("tyre_width", "Width of a tyre", "length", 50, 2000, "At its widest, standing."),
        *((lock,) if front else ())))
    yield Group("loads", "What the load cases count with", tuple(load_fields()), folded=True,
                chapter="loads")
    points = tuple(point_choices(vehicle))
    others = [name for name in vehicle.facts.bodies if name not in RAILS]
    for name in (*RAILS, *others):
        title = words.sentence_start(words_of(name))
        yield Group(f"body-{name}", title, tuple(body_fields(name, points)), folded=True, chapter="bodies")
    yield Group(f"body-{ANOTHER}", "Another body on the frame", (
        Field(BODY_NAME, "What it is", "text", about="Your words: “exhaust”, “crossmember”."),
        *body_fields(ANOTHER, points)), folded=True, chapter="bodies")
    parts = [(link.name, link.words, ("frame", "axle") if link.role != "arm" else ("frame",), link.role == "arm")
             for link in LAYOUTS[vehicle.layout].links]
    rods = [("drag_link", "drag link", (), False), ("tie_rod", "tie rod", (), False)] if front else []
    for name, said, ends, arm in [*parts, *rods, ("driveshaft", "driveshaft", (), False)]:
        yield Group(f"part-{name}", words.sentence_start(said), tuple(part_fields(name, ends, arm)), folded=True)


def load_fields() -> Iterator[Field]:
    """What a person may state of the load cases; each says what is assumed instead."""
    yield Field("loads.grip", "Grip ahead and back", "factor", 0.1, 2, assumed(USUAL.grip, "of the weight on a tyre."))
    yield Field("loads.side_grip", "Cornering, g", "factor", 0.1, 2, assumed(USUAL.side_grip, "of the weight, aside."))
    yield Field("loads.drive_torque", "Most torque at this axle’s wheels", "torque", 50, 100_000,
                "Engine torque times all gears, both wheels together. Assumed: until the tyres slip.")
    yield Field("loads.step", "One wheel against a step, times", "factor", 0.5, 10,
                assumed(USUAL.step, "times its load, back and up."))
    yield Field("loads.bump", "Landing on both wheels, g", "factor", 1, 10, assumed(USUAL.bump, "times their load."))
    yield Field("loads.spring_across", "Springs stand out, %", "share", 0.1, 1,
                assumed(100 * USUAL.spring_across, "% of the way from the middle to a wheel."))
    yield Field("loads.spring_ahead", "Springs ahead of the axle by", "length", -500, 500,
                "Assumed: over the axle. − behind.")


def assumed(value: float, of: str) -> str:
    return f"Assumed while nothing is said: {value:g} {of}"


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
    yield Field(f"{key}.start", "From", "choice", choices=points, about="Marks and points you read on it: height, "
                "fore-aft and lateral of each.")
    yield Field(f"{key}.end", "To", "choice", choices=points)
    yield Field(f"{key}.width", "Width, across", "length", 1, 1000)
    yield Field(f"{key}.height", "Height", "length", 1, 1000)
    yield Field(f"{key}.across", "The points lie, across", "choice", choices=(
        ("", "in its middle"), ("outside", "on its outer face"), ("inside", "on its inner face")))
    yield Field(f"{key}.upright", "The points lie, up and down", "choice", choices=(
        ("", "in its middle"), ("underside", "at its underside"), ("top", "on its top")))
    yield Field(f"{key}.diameter", "Or its diameter, if round", "length", 1, 1000)


def part_fields(name: str, ends: tuple[str, ...], arm: bool) -> Iterator[Field]:
    """A link's tube, then its joint and thread at each end; of a rod the tube alone."""
    tube = f"tubes.{name}"
    yield Field(f"{tube}.outside_diameter", "Tube, outside", "length", 5, 300,
                "Its least width where it is no round tube." if arm else "")
    yield Field(f"{tube}.wall", "Tube, wall", "length", 0.5, 150, "As thick as half the outside means solid.")
    if arm:
        yield Field(f"{tube}.section_modulus", "Or its section modulus", "modulus", 1, 1e7,
                    "Of an arm that is no round tube, at its nearer axle bolt.")
        yield Field(f"{tube}.section_area", "and its section’s area", "area", 1, 1e6)
    if ends:
        yield Field(f"{tube}.yield_stress", "Tube, yield", "stress", 50, 3000,
                    "As its seller states it, in N/mm² or ksi, such as 379 or 55 ksi.")
    if ends and not arm:
        yield Field(f"{tube}.joint_offset", "Joints beside the tube’s line by", "length", 0, 500,
                    "0 for a straight link with its joints in line.")
    for end in ends:
        yield from end_fields(name, end)


def end_fields(name: str, end: str) -> Iterator[Field]:
    joint, thread = f"joints.{name}.{end}", f"threads.{name}.{end}"
    yield Field(f"{joint}.rated", f"Joint at the {end}, leans up to", "angle", 0.1, 90,
                "Each way, as its maker states it.")
    yield Field(f"{joint}.bolt", f"Bolt at the {end} lies", "choice", choices=(
        ("", "not said"), ("across", "across the vehicle"), ("along", "along it"), ("upright", "upright")))
    yield Field(f"{joint}.bolt_tilt", f"Bolt at the {end}, tilted by", "angle", -60, 60, TILT)
    yield Field(f"{joint}.bolt_turn", f"Bolt at the {end}, turned by", "angle", -60, 60, TURN)
    yield Field(f"{thread}.pitch", f"Thread at the {end}, pitch", "pitch", 0.2, 10, "In mm, or such as 12 per inch.")
    yield Field(f"{thread}.hand", f"Thread at the {end}, hand", "choice", choices=(
        ("", "not said"), ("right", "right-hand"), ("left", "left-hand")))
    yield Field(f"{thread}.diameter", f"Thread at the {end}, outside", "length", 2, 100)
    yield Field(f"{thread}.insert", f"Insert at the {end}, outside", "length", 3, 150,
                "Of the threaded insert that is welded in; leave it out where the tube itself is threaded.")
    yield Field(f"{thread}.yield_stress", f"Thread at the {end}, yield", "stress", 50, 3000)
