"""The kinds of reading, one module each. A new one is its module and one line in `ALL`.

A reading's name is `kind:subject`, "height:lower_left.frame", "span:lower_left.axle~lower_left.frame", "weight:front".
"""

from __future__ import annotations

from geometry.readings.across import Across
from geometry.readings.caster import Caster
from geometry.readings.cg_height import CgHeight
from geometry.readings.checks import GaugeCheck, LevelCheck, TapeCheck
from geometry.readings.floor_slope import FloorSlope
from geometry.readings.floor_span import FloorSpan
from geometry.readings.fore_aft import ForeAft
from geometry.readings.height import Height
from geometry.readings.incline import Incline
from geometry.readings.kind import Kind, Mark, Setting, Terms, Wording, Words
from geometry.readings.lateral import Lateral
from geometry.readings.lifted import LiftedRise, LiftedWeight
from geometry.readings.names import ReadingName, split
from geometry.readings.rise import Rise
from geometry.readings.span import Span
from geometry.readings.travel import Travel
from geometry.readings.tyre import Circumference, Diameter
from geometry.readings.weight import Weight
from geometry.readings.wheelbase import Wheelbase

ALL: tuple[Kind, ...] = (
    Height(),
    ForeAft(),
    Lateral(),
    Across(),
    Span(),
    FloorSpan(),
    Rise(),
    Incline(),
    FloorSlope(),
    Wheelbase(),
    Caster(),
    Diameter(),
    Circumference(),
    Weight(),
    Travel(),
    CgHeight(),
    LiftedRise(),
    LiftedWeight(),
    GaugeCheck(),
    TapeCheck(),
    LevelCheck(),
)
KINDS: dict[str, Kind] = {kind.name: kind for kind in ALL}

__all__ = [
    "ALL",
    "KINDS",
    "Kind",
    "Mark",
    "ReadingName",
    "Setting",
    "Terms",
    "Wording",
    "Words",
    "describe",
    "parse_name",
    "possible",
]


def parse_name(text: str, layout: str, worked_axle: str) -> ReadingName:
    """What a reading's name means on that layout. Errors: BadName, one sentence with the part that is unknown and what
    would be right; BadLayout."""
    return split(text, layout, worked_axle, KINDS)


def describe(name: ReadingName) -> Words:
    """Its title, what to do, what goes wrong, its view and its drawing's marks, with the points filled in."""
    return name.kind.describe(name.subject, name.setting)


def possible(layout: str, worked_axle: str) -> tuple[str, ...]:
    """Every reading that makes sense on that layout, kind by kind. Errors: BadLayout."""
    setting = Setting(layout, worked_axle)
    return tuple(f"{kind.name}:{subject}" for kind in ALL for subject in kind.possible(setting))
