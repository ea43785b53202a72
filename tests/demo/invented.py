"""The true shapes of the three invented demo vehicles. Nobody ever built or measured one.

Places in the vehicle frame (x = 0 at the worked axle's centre), mm; angles degree; masses kg.
"""

from __future__ import annotations

import numpy as np


def _pair(name: str, end: str, x: float, y: float, z: float) -> dict[str, tuple[float, float, float]]:
    return {f"{name}_left{end}": (x, y, z), f"{name}_right{end}": (x, -y, z)}


ORCHARD_PLACES = {
    **_pair("wheel", ".centre", 0.0, 795.0, 418.0),
    **_pair("other", ".centre", -2640.0, 800.0, 419.0),
    **_pair("lower", ".axle", -60.0, 470.0, 355.0),
    **_pair("lower", ".frame", -905.0, 385.0, 450.0),
    "upper.axle": (20.0, -165.0, 585.0),
    "upper.frame": (-700.0, -190.0, 612.0),
    "panhard.axle": (105.0, -480.0, 522.0),
    "panhard.frame": (105.0, 455.0, 549.0),
    "drag_link.frame": (190.0, 425.0, 575.0),
    "drag_link.axle": (165.0, -530.0, 547.0),
    **_pair("kingpin", ".top", -8.8, 688.0, 500.0),
    **_pair("kingpin", ".bottom", 8.0, 712.0, 340.0),
    "tie_rod.left": (150.0, 615.0, 392.0),
    "tie_rod.right": (150.0, -615.0, 392.0),
    "driveshaft.axle": (-285.0, 105.0, 455.0),
    "driveshaft.frame": (-1050.0, 135.0, 585.0),
    "mark.left_rail": (-480.0, 395.0, 690.0),
    "keep_clear.sump": (-120.0, -40.0, 690.0),
}
ORCHARD_SCALARS = {
    "floor.pitch": 0.35, "floor.bank": -0.2, "pinion": 8.0, "gearbox_output": -2.5, "tyre.free_diameter": 874.0,
    "travel.bump": 110.0, "travel.droop": 130.0, "cg.z": 780.0, "load.front_left": 560.0, "load.front_right": 548.0,
    "load.rear_left": 470.0, "load.rear_right": 462.0,
}  # fmt: skip
ORCHARD_CROSS_LINE = 1105.0
"""How far ahead of the chalked cross line the front axle's centre stands."""

CREEK_PLACES = {
    **_pair("wheel", ".centre", 0.0, 760.0, 402.0),
    **_pair("other", ".centre", -2465.0, 765.0, 402.0),
    **_pair("lower", ".axle", -40.0, 450.0, 342.0),
    **_pair("lower", ".frame", -860.0, 370.0, 415.0),
    "upper.axle": (25.0, 160.0, 560.0),
    "upper.frame": (-655.0, 185.0, 572.0),
    "panhard.axle": (110.0, -455.0, 500.0),
    "panhard.frame": (110.0, 430.0, 524.0),
}
CREEK_SCALARS = {"floor.pitch": 0.0, "floor.bank": 0.0, "cg.z": 740.0}
CREEK_CROSS_LINE = 980.0

QUARRY_PLACES = {
    **_pair("wheel", ".centre", 0.0, 790.0, 405.0),
    **_pair("other", ".centre", 2850.0, 785.0, 404.0),
    **_pair("lower", ".axle", 10.0, 520.0, 345.0),
    **_pair("lower", ".frame", 950.0, 395.0, 396.0),
    **_pair("upper", ".axle", 45.0, 115.0, 584.0),
    **_pair("upper", ".frame", 770.0, 430.0, 566.0),
    "driveshaft.axle": (245.0, 20.0, 441.0),
    "driveshaft.frame": (1390.0, 15.0, 547.0),
    "keep_clear.exhaust": (620.0, -300.0, 640.0),
    "keep_clear.fuel_tank": (-260.0, 180.0, 655.0),
    "mark.right_rail": (520.0, -445.0, 705.0),
}
QUARRY_SCALARS = {
    "floor.pitch": -0.25, "floor.bank": 0.3, "pinion": 3.0, "gearbox_output": -4.0, "tyre.free_diameter": 846.0,
    "travel.bump": 100.0, "travel.droop": 140.0, "cg.z": 720.0, "load.front_left": 598.0, "load.front_right": 604.0,
    "load.rear_left": 512.0, "load.rear_right": 505.0,
}  # fmt: skip
QUARRY_CROSS_LINE = -120.0


def in_floor_frame(places: dict[str, tuple[float, float, float]], cross_line: float) -> dict[str, np.ndarray]:
    """The same places measured from the chalked cross line."""
    return {name: np.array([x + cross_line, y, z]) for name, (x, y, z) in places.items()}
