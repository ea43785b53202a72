"""Names of readings and facts turned into words and addresses."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.errors import GeometryError
from geometry.points import point_named
from geometry.readings import parse_name
from geometry.readings.kind import Setting, Words

from capture.screens.room import measure_address, room_address
from capture.vehicle_file import VehicleFile

FACTS = {  # what a figure may wait for besides readings
    "brake_share_front": ("the front axle’s share of braking", "Say the share of braking"),
    "drive_share_front": ("the front axle’s share of driving", "Say the share of driving"),
    "unsprung_mass": ("the unsprung mass", "Say the unsprung mass"),
    "driveshaft_joints": ("whether the gearbox end has a single or a double joint", "Say which joint it has"),
    "slip_travel": ("how far the slip joint moves in all", "Say the slip joint’s travel"),
}


@dataclass(frozen=True)
class Need:
    """What is waited for: its words in a sentence, the words on a key, and where to give it."""

    name: str
    words: str
    deed: str
    href: str


def reading_words(vehicle: VehicleFile, name: str) -> Words | None:
    """The wording of a reading; None for a name this layout does not know."""
    name = name.partition("#")[0]
    try:
        named = parse_name(name, vehicle.layout, vehicle.worked_axle)
        return named.kind.describe(named.subject, Setting(vehicle.layout, vehicle.worked_axle))
    except GeometryError:
        return None


def short_words(vehicle: VehicleFile, name: str) -> str:
    """A reading in a list: "height, left lower link, frame bolt"."""
    words = reading_words(vehicle, name)
    return words.short if words else name


def file_unit(vehicle: VehicleFile, name: str) -> str:
    """"mm", "deg" or "kg"; "mm" for a name nobody knows."""
    try:
        return str(parse_name(name.partition("#")[0], vehicle.layout, vehicle.worked_axle).kind.unit)
    except GeometryError:
        return "mm"


def side_of(vehicle: VehicleFile, name: str, value: float) -> str:
    """On which side a length lies that may lie on either, "behind the cross line"; "" for every other reading."""
    words = reading_words(vehicle, name)
    if words is None or words.sides is None or file_unit(vehicle, name) != "mm" or not value:
        return ""
    return words.sides[0 if value > 0 else 1]


def need(vehicle_id: str, vehicle: VehicleFile, name: str) -> Need:
    """A reading or a fact a figure waits for."""
    if name in FACTS:
        words, deed = FACTS[name]
        return Need(name, words, deed, f"{room_address(vehicle_id, 'facts')}#{name}")
    said = short_words(vehicle, name)
    return Need(name, said, f"Take: {said}", measure_address(vehicle_id, name))


def point_words(vehicle: VehicleFile, name: str) -> str:
    """A point in a list: "left lower link, frame bolt"."""
    try:
        return point_named(name, vehicle.layout, vehicle.worked_axle).words
    except GeometryError:
        return name


def words_at_point(vehicle: VehicleFile, name: str, point: str) -> str:
    """A reading on the card of one of its points: "height", "incline of the link"."""
    try:
        reading = parse_name(name, vehicle.layout, vehicle.worked_axle)
    except GeometryError:
        return name
    others = [other for other in reading.points if other != point]
    noun = reading.kind.noun
    if not others:
        return noun if reading.points else short_words(vehicle, name)
    if len(reading.points) == 1:
        return f"{noun}, {point_words(vehicle, others[0])}"
    if all(other.partition(".")[0] == point.partition(".")[0] for other in others):
        return f"{noun} of the link"
    return f"{noun} to " + " and ".join(point_words(vehicle, other) for other in others)
