"""What a figure is: a name, a unit, a function of the ride-height state, and its words for a person."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from geometry.complex_step import Complex
from geometry.figures.figure_words import COMMON_PRACTICE
from geometry.figures.parts import BodyFact, JointFact, LoadFact, ThreadFact, TubeFact

if TYPE_CHECKING:
    from geometry.figures.ride import Ride



class NotYet(Exception):
    """A figure cannot be had: the readings or facts it waits for, or one sentence why."""

    def __init__(self, needs: tuple[str, ...] = (), reason: str | None = None) -> None:
        super().__init__(reason or ", ".join(needs))
        self.needs = needs
        self.reason = reason


@dataclass(frozen=True)
class Facts:
    """What is known of the vehicle without being measured. Shares 0 .. 1, mass kg, lengths mm, angles deg.

    driveshaft_joints: at the gearbox end, the pinion's being a single one. driveshaft_phase: how far the yoke at the
    pinion's end of its shaft is turned against the other, + clockwise seen from the pinion. slip_travel: how far its
    slip joint moves in all. tyre_diameter: as stated, in case it was not read. steer_lock: of a wheel, each way. tubes
    by part; threads and joints by part and end; bodies on the frame by name. loads: what the load cases count with.
    anti_counts_unsprung: whether the anti figures count the axle's own mass.
    """

    brake_share_front: float | None = None
    drive_share_front: float | None = None
    unsprung_mass: float | None = None
    driveshaft_joints: Literal["single", "double"] | None = None
    driveshaft_phase: float = 0.0
    slip_travel: float | None = None
    tyre_diameter: float | None = None
    tyre_width: float | None = None
    steer_lock: float | None = None
    tubes: Mapping[str, TubeFact] = field(default_factory=dict)
    threads: Mapping[str, Mapping[str, ThreadFact]] = field(default_factory=dict)
    joints: Mapping[str, Mapping[str, JointFact]] = field(default_factory=dict)
    bodies: Mapping[str, BodyFact] = field(default_factory=dict)
    loads: LoadFact = field(default_factory=LoadFact)
    anti_counts_unsprung: bool = False


@dataclass(frozen=True)
class Band:
    """What people usually build, in the figure's unit; None leaves that side open. Never a rating."""

    low: float | None
    high: float | None
    words: str
    source: str = COMMON_PRACTICE
    other_view: str | None = None


@dataclass(frozen=True)
class FigureKind:
    """One figure: `of` gives it for P nudged geometries, (P,) in `unit`; `meaning` says it in one sentence.

    remark: what is said beside it of how it was counted for this vehicle, empty for nothing.
    """

    key: str
    unit: str
    family: str
    title: str
    of: Callable[[Ride], Complex]
    meaning: Callable[[float, float], str]
    band: Band | None = None
    headline: bool = False
    remark: Callable[[Ride], str] | None = None


@dataclass(frozen=True)
class Figure:
    """A figure's value with one standard deviation, or why there is none. `leans`: it stands on an assumption.

    interval: where the spread is lopsided, the middle 95.45 % of drawn vehicles; the sd stays the first-order one.
    remark: how it was counted, where that is not as usual.
    """

    key: str
    unit: str
    value: float | None
    sd: float | None
    needs: tuple[str, ...] = ()
    leans: bool = False
    convention: bool = False
    reason: str | None = None
    interval: tuple[float, float] | None = None
    remark: str = ""


@dataclass(frozen=True)
class Column:
    """One quantity over the travel: values and sds (T,), None where it cannot be had; `reason` where it never can.
    unsigned: it has no sign, so that no spread of it reaches below nought."""

    unit: str
    title: str
    values: tuple[float | None, ...]
    sd: tuple[float | None, ...]
    needs: tuple[str, ...] = ()
    leans: bool = False
    reason: str | None = None
    unsigned: bool = False


@dataclass(frozen=True)
class SweepTable:
    """The axle taken through its travel, mm at its centre, bump +. binds: travels the links do not reach, and why."""

    travel: tuple[float, ...]
    columns: dict[str, Column]
    binds: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True)
class Sheet:
    """Every figure of a fitted vehicle."""

    figures: dict[str, Figure]
    sweep: SweepTable


def side(front: bool, at_front: str, at_rear: str) -> str:
    """The word that belongs to the worked axle."""
    return at_front if front else at_rear
