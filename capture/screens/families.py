"""The families of figures: what each is about, which view tells it, and which curves belong to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from capture.screens.room import room_address
from capture.screens.travelled import CROSSED, HEAVE

Curve = tuple[str, str, str]
"""The way, the column on it, and the title."""


@dataclass(frozen=True)
class Family:
    """key: in addresses. groups: the catalogue's families in it. view: of the moving drawing, None without one."""

    key: str
    title: str
    sentence: str
    groups: tuple[str, ...] = ()
    view: str | None = None
    curves: tuple[Curve, ...] = ()


FAMILIES = (
    Family("anti", "Braking and driving",
           "Seen from the side the axle turns about the instant centre. The steeper the line from the tyre to it, the "
           "more the links themselves hold the body up under braking or power.", ("anti",), "side",
           ((HEAVE, "anti_geometric", "Anti figure before any share"),
            (HEAVE, "instant_centre.x", "Instant centre, ahead of the axle"))),
    Family("roll", "Roll",
           "In a bend the body leans about the roll centre. The links may also turn the axle as it leans.", ("roll",),
           "end",
           ((HEAVE, "roll_centre", "Roll centre over travel"),
            (CROSSED, "yaw", "Axle turns left, one wheel up"),
            (CROSSED, "lateral_shift", "Axle moves left, one wheel up"),
            (HEAVE, "lateral_shift", "Axle moves left over travel"))),
    Family("steering", "Steering",
           "How the wheels find straight ahead, and how far they turn by themselves over a bump.", ("steering",), "top",
           ((HEAVE, "heading.left", "Left wheel turns left over travel"),
            (HEAVE, "heading.right", "Right wheel turns left over travel"),
            (HEAVE, "toe_in", "Toe-in change over travel"),
            (HEAVE, "caster.left", "Caster, left, over travel"), (HEAVE, "caster.right", "Caster, right, over travel"),
            (CROSSED, "heading.left", "Left wheel turns left, one wheel up"),
            (CROSSED, "heading.right", "Right wheel turns left, one wheel up"))),
    Family("driveline", "Driveline",
           "Whether the driveshaft turns evenly, how far its joints bend, and whether it can lengthen as it must.",
           ("driveline",), "side",
           ((HEAVE, "pinion_angle", "Pinion over travel"),
            (HEAVE, "driveshaft_angle.frame", "Joint at the gearbox over travel"),
            (HEAVE, "driveshaft_angle.axle", "Joint at the pinion over travel"),
            (HEAVE, "driveshaft_length_change", "Driveshaft longer over travel"),
            (CROSSED, "driveshaft_angle.axle", "Joint at the pinion, one wheel up"))),
    Family("joints", "Joints",
           "How far each joint of the links leans over the whole travel, against what it is rated for.", (), "end"),
    Family("clearance", "Clearance", "What comes nearest to what as the axle moves and the wheels steer.", (), "top"),
    Family("loads", "Loads", "What each link carries when the vehicle is worked hard."),
    Family("balance", "Centre of gravity",
           "Where the weight acts. Every anti figure and every load hangs on its height.", ("balance",)),
    Family("links", "Links", "How long the links are, and how they lie at ride height.", ("links",), "side",
           ((HEAVE, "fore_aft_shift", "Axle moves ahead over travel"),
            (HEAVE, "binding", "What the bushings must swallow over travel"),
            (CROSSED, "binding", "What the bushings must swallow, one wheel up"))),
)
BY_KEY = {family.key: family for family in FAMILIES}
OF_GROUP = {group: family for family in FAMILIES for group in family.groups}


@dataclass(frozen=True)
class FamilyLink:
    key: str
    title: str
    sentence: str
    href: str


def address(vehicle_id: str, key: str) -> str:
    return f"{room_address(vehicle_id, 'behaviour')}/family/{key}"


def link(vehicle_id: str, group: str) -> FamilyLink:
    """The family a figure of this group belongs to."""
    return as_link(vehicle_id, OF_GROUP.get(group, BY_KEY["links"]))


def as_link(vehicle_id: str, family: Family) -> FamilyLink:
    return FamilyLink(family.key, family.title, family.sentence, address(vehicle_id, family.key))


def of_vehicle(worked_axle: str) -> Iterable[Family]:
    """The families a vehicle has: a rear axle does not steer."""
    return (family for family in FAMILIES if worked_axle == "front" or family.key != "steering")
