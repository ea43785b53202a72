"""What the person states about the parts themselves: tubes, threads, joints. Nothing of it is measured on the floor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class TubeFact:
    """A link's tube, mm; yield_stress N/mm2 as its seller states it.

    joint_offset: how far the line between its joint centres runs beside the tube's own axis, mm. section_modulus mm3
    and section_area mm2: of a radius arm that is no round tube, both or neither; its outside diameter is then its least
    width.
    """

    outside_diameter: float
    wall: float | None = None
    yield_stress: float | None = None
    joint_offset: float = 0.0
    section_modulus: float | None = None
    section_area: float | None = None


@dataclass(frozen=True)
class ThreadFact:
    """A link end's thread, mm. yield_stress of the threaded part, N/mm2; the tube's where not stated.

    insert: outside of the insert it turns in, where that was stated.
    """

    pitch: float
    diameter: float | None = None
    yield_stress: float | None = None
    insert: float | None = None


@dataclass(frozen=True)
class JointFact:
    """A link end's joint. rated: how far it may lean either way, deg. bolt: along its bolt at ride height, x y z."""

    rated: float | None = None
    bolt: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class BodyFact:
    """A straight body on the frame between two measured points of it: a rail, a crossmember, an exhaust pipe.

    start, end: names of points that stand still, `mark.NAME`, `keep_clear.NAME` or a frame bolt. diameter: of a round
    one; else width across the vehicle and height, mm. across, upright: where on the section the points lie.
    """

    start: str
    end: str
    diameter: float | None = None
    width: float | None = None
    height: float | None = None
    across: Literal["middle", "outside", "inside"] = "middle"
    upright: Literal["middle", "underside", "top"] = "middle"


@dataclass(frozen=True)
class LoadFact:
    """What the load cases count with, as far as the person says so. None: the usual is assumed.

    grip: of the tyres ahead and back, as a share of the weight on them. side_grip: sideways, the cornering in g.
    drive_torque: the most at both wheels of this axle together, N m. step, bump: multiples of what a wheel carries
    standing. spring_across: share of half the track at which the springs stand; spring_ahead: mm ahead of the axle.
    """

    grip: float | None = None
    side_grip: float | None = None
    drive_torque: float | None = None
    step: float | None = None
    bump: float | None = None
    spring_across: float | None = None
    spring_ahead: float | None = None
