"""What is known of a vehicle besides its readings: shares, tyres, tubes, threads, joints. Strict, nothing unknown."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from capture.log_entries import Line, Part, Positive, Share

LINK_LIKE = ("drag_link", "tie_rod", "driveshaft")
"""Besides the links, what has a tube or threads of its own."""
ThreadEnd = Literal["frame", "axle", "axle_front", "axle_rear", "left", "right"]
"""A tie rod has a left and a right end."""
PartHeight = Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
"""mm; 0 where the part is not there."""


class Tube(Part):
    """A link's tube, mm; yield_stress N/mm2 as its seller states it.

    joint_offset: how far the line between its joint centres runs beside the tube's own axis. section_modulus mm3 and
    section_area mm2: of a radius arm that is no round tube, at its nearer axle bolt; its outside diameter is then its
    least width.
    """

    outside_diameter: Positive
    wall: Positive | None = None
    yield_stress: Positive | None = None
    joint_offset: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)] | None = None
    section_modulus: Positive | None = None
    section_area: Positive | None = None


class Thread(Part):
    """A link end's thread: pitch mm, hand; outside diameter mm, and the yield stress of its steel, N/mm2.

    For cutting, mm: length of the thread on the shank, height of its jam nut, lip of the insert it turns in.
    insert: outside diameter of that insert, where the thread is not cut in the tube itself.
    """

    pitch: Positive
    hand: Literal["right", "left"]
    diameter: Positive | None = None
    yield_stress: Positive | None = None
    length: Positive | None = None
    jam_nut: PartHeight | None = None
    lip: PartHeight | None = None
    insert: Positive | None = None


class Joint(Part):
    """A link end's joint: how far it may lean either way, deg; along its bolt at ride height, vehicle frame, x y z.

    standing: from its centre to where its thread begins, or to the tube where nothing turns, mm. made: what it is, in
    the person's words.
    """

    standing: Positive | None = None
    made: Line | None = None
    rated: Annotated[float, Field(gt=0, le=90, allow_inf_nan=False)] | None = None
    bolt: Annotated[list[Annotated[float, Field(ge=-1e6, le=1e6)]], Field(min_length=3, max_length=3)] | None = None


class Body(Part):
    """A straight body on the frame between two points of it, mm: a rail, a crossmember, an exhaust.

    start, end: `mark.NAME`, `keep_clear.NAME` or a frame bolt. diameter: of a round one; else width across the vehicle
    and height. across, upright: where on its section the points lie.
    """

    start: Line
    end: Line
    diameter: Positive | None = None
    width: Positive | None = None
    height: Positive | None = None
    across: Literal["middle", "outside", "inside"] | None = None
    upright: Literal["middle", "underside", "top"] | None = None


Factor = Annotated[float, Field(gt=0, le=20, allow_inf_nan=False)]
BodyName = Annotated[str, Field(pattern=r"^[\w-]{1,40}$")]


class Loads(Part):
    """What the load cases count with; what is not said is assumed.

    grip: of the tyres ahead and back, share of the weight on them. side_grip: cornering, g. drive_torque: the most at
    both wheels of this axle together, N m. step: one wheel against a step, bump: landing on both, multiples of what a
    wheel carries standing. spring_across: share of half the track at which springs stand; spring_ahead: mm.
    """

    grip: Factor | None = None
    side_grip: Factor | None = None
    drive_torque: Positive | None = None
    step: Factor | None = None
    bump: Factor | None = None
    spring_across: Annotated[float, Field(gt=0, le=2, allow_inf_nan=False)] | None = None
    spring_ahead: Annotated[float, Field(ge=-2000, le=2000, allow_inf_nan=False)] | None = None


class Facts(Part):
    """What is known of the vehicle besides readings. Shares 0 to 1 of the front axle, unsprung_mass kg, lengths mm.

    rough_wheelbase, tyre_diameter: first guesses that scale the typical places; tyre_size: as written on its side.
    driveshaft_joints: at its gearbox end; driveshaft_phase: of the yoke at the pinion against the other, deg, +
    clockwise seen from the pinion; slip_travel: how far its slip joint moves in all. steer_lock: of a wheel, each way,
    deg. anti_counts_unsprung: whether the anti figures count the axle's own mass. bodies: on the frame, by name. loads:
    what the load cases count with.
    """

    rough_wheelbase: Annotated[float, Field(ge=500, le=20_000, allow_inf_nan=False)] | None = None
    tyre_diameter: Annotated[float, Field(ge=200, le=4_000, allow_inf_nan=False)] | None = None
    tyre_size: Line | None = None
    brake_share_front: Share | None = None
    drive_share_front: Share | None = None
    unsprung_mass: Positive | None = None
    anti_counts_unsprung: bool | None = None
    driveshaft_joints: Literal["single", "double"] | None = None
    driveshaft_phase: Annotated[float, Field(ge=-180, le=180, allow_inf_nan=False)] | None = None
    slip_travel: Positive | None = None
    tyre_width: Annotated[float, Field(ge=50, le=2_000, allow_inf_nan=False)] | None = None
    steer_lock: Annotated[float, Field(ge=0, le=70, allow_inf_nan=False)] | None = None
    tape_class: Literal["I", "II", "III"] = "II"
    tubes: dict[str, Tube] = Field(default_factory=dict)
    threads: dict[str, dict[ThreadEnd, Thread]] = Field(default_factory=dict)
    joints: dict[str, dict[Literal["frame", "axle", "left", "right"], Joint]] = Field(default_factory=dict)
    bodies: dict[BodyName, Body] = Field(default_factory=dict)
    loads: Loads | None = None
