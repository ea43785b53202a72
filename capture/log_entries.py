"""The entries of the log, one model a type: strict, nothing unknown, kept as they came.

Readings and what takes them back, notes, photos, and what was decided: moves on paper, rows of holes, aims, and the
closing of a stage. A plan of moves is no reading and never meets one: nothing here but `reading` entries reaches the
fit.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, model_validator

from capture.stages import a_measured_stage, a_stage, is_setting

LARGEST_VALUE = 1e6
"""Of a stored value in its file unit. Values outside a kind's physical range are kept: kept is kept."""
LARGEST_SIDE = 4096
"""Pixels of a stored photo, along or up."""
MOST_MOVES = 100
MOST_HOLES = 100
MOST_WANTS = 10
MOST_PLACES = 20

Stage = Annotated[str, AfterValidator(a_stage)]
MeasuredStage = Annotated[str, AfterValidator(a_measured_stage)]
_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?Z")


def _a_time(text: str) -> str:
    try:
        if not _TIME.fullmatch(text):
            raise ValueError
        datetime.fromisoformat(text)
    except ValueError:
        raise ValueError("must be a time like 2026-05-02T09:14:07Z") from None
    return text


def not_blank(text: str) -> str:
    if not text.strip():
        raise ValueError("must not be blank")
    return text


Number = Annotated[float, Field(ge=-LARGEST_VALUE, le=LARGEST_VALUE, allow_inf_nan=False)]
Positive = Annotated[float, Field(gt=0, le=LARGEST_VALUE, allow_inf_nan=False)]
Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{8,64}$")]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
"""SHA-256."""
Time = Annotated[str, AfterValidator(_a_time)]
Line = Annotated[str, Field(max_length=200)]
Text = Annotated[str, Field(max_length=10_000)]


class Part(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class Logged(Part):
    """What every entry has: its id (made by the phone), and when it was made."""

    id: Id
    at: Time


class Reading(Logged):
    """One take of one reading. value: file unit (mm, deg, kg); text and unit: as typed, kept for ever.

    state: the posture it was taken in, ride height where left out. sd: one standard deviation, file unit, in place of
    the kind's own. kept: recorded although a remark advised to look again.
    """

    stage: Stage
    type: Literal["reading"]
    reading: Line
    value: Number
    text: Line = ""
    unit: Line = ""
    note: Text = ""
    state: Line = "ride"
    sd: Positive | None = None
    kept: bool = False


class Withdraw(Logged):
    """Takes an entry back: `of` is its id. Both stay in the log."""

    stage: Stage | None = None
    type: Literal["withdraw"]
    of: Id
    note: Text = ""


class SetAside(Logged):
    """Leaves a reading out of the fit for now: `of` is its id."""

    stage: Stage | None = None
    type: Literal["set_aside"]
    of: Id
    note: Text = ""


class SetLength(Part):
    """What a link or rod was set to by turning, joint to joint, mm, and the thread that then shows at its ends."""

    link: Line
    length: Positive
    showing: dict[Literal["frame", "axle", "left", "right"], Annotated[float, Field(ge=0, le=1_000)]]


class Note(Logged):
    """A remark of the person's, about one reading where it is named. link_set: where it is of a length just set."""

    stage: Stage | None = None
    type: Literal["note"]
    note: Text = ""
    reading: Line | None = None
    link_set: SetLength | None = None


class Photo(Logged):
    """A photo of a reading, of a point, or of the vehicle where neither is named.

    sha256: of the picture, 64 hexadecimal digits; so the log's fingerprint covers it, and a picture that is not the one
    of this entry is told. width, height: pixels. The picture itself is kept beside the log, under this entry's id.
    """

    stage: Stage
    type: Literal["photo"]
    sha256: Digest
    width: Annotated[int, Field(ge=1, le=LARGEST_SIDE)]
    height: Annotated[int, Field(ge=1, le=LARGEST_SIDE)]
    reading: Line | None = None
    point: Line | None = None
    note: Text = ""

    @model_validator(mode="after")
    def _of_one_thing(self) -> Photo:
        if self.reading is not None and self.point is not None:
            raise ValueError("a photo is of a reading or of a point, not of both")
        return self


class KeptSizes(Part):
    """Sizes of a tube or of a thread as they were stated when a doubt about them was kept, mm; null: not stated."""

    outside_diameter: Positive | None = None
    wall: Positive | None = None
    diameter: Positive | None = None
    pitch: Positive | None = None
    insert: Positive | None = None


class Keep(Logged):
    """Settles a doubt: the readings `of` (their ids) stand as they were read, and `note` says why.

    doubt: the reason it was raised for; beyond: by how many of its spreads it stood out then, without sign. Both say
    what he saw when he kept it, so that the doubt comes back when later readings make another one of it.
    facts: of a doubt about stated parts, which has no reading: each place it hangs on ("tubes.upper",
    "threads.upper.frame") with its sizes as they stood. It holds until one of them is changed, see `kept_parts`.
    """

    stage: Stage | None = None
    type: Literal["keep"]
    of: Annotated[list[Id], Field(max_length=1000)] = []
    facts: Annotated[dict[Line, KeptSizes], Field(max_length=MOST_PLACES)] = {}
    doubt: Line
    beyond: Annotated[float, Field(ge=0, le=LARGEST_VALUE, allow_inf_nan=False)]
    note: Text = ""

    @model_validator(mode="after")
    def _of_one_thing(self) -> Keep:
        if not self.of and not self.facts:
            raise ValueError("a keep names the readings it keeps in of, or the stated parts in facts; this one neither")
        if self.of and self.facts:
            raise ValueError("a keep is of readings or of stated parts, not of both")
        return self


Offset = Annotated[float, Field(ge=-20_000, le=20_000, allow_inf_nan=False)]
"""mm."""
Place = Annotated[list[Offset], Field(min_length=3, max_length=3)]
Name = Annotated[str, Field(max_length=200), AfterValidator(not_blank)]


class PointTo(Part):
    """A point put at x, y, z of the vehicle frame, mm; null leaves that coordinate."""

    move: Literal["point_to"]
    point: Line
    to: Annotated[list[Offset | None], Field(min_length=3, max_length=3)]


class PointBy(Part):
    """A point moved by x, y, z, mm."""

    move: Literal["point_by"]
    point: Line
    by: Place


class LinkTo(Part):
    """A link made so long, mm."""

    move: Literal["link_to"]
    link: Line
    length: Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)]


class LinkBy(Part):
    """A link made longer by so many mm."""

    move: Literal["link_by"]
    link: Line
    by: Offset


class TyreTo(Part):
    """Tyres of this free diameter, mm."""

    move: Literal["tyre_to"]
    diameter: Annotated[float, Field(ge=200, le=4_000, allow_inf_nan=False)]


class RideBy(Part):
    """The frame raised over the worked axle and over the other one, mm."""

    move: Literal["ride_by"]
    worked: Offset
    other: Offset = 0.0


class CgTo(Part):
    """The centre of gravity at this height and this far ahead of the worked axle, mm; null leaves it."""

    move: Literal["cg_to"]
    height: Offset | None = None
    along: Offset | None = None


MoveEntry = Annotated[
    PointTo | PointBy | LinkTo | LinkBy | TyreTo | RideBy | CgTo, Field(discriminator="move")
]
MOVES = ("point_to", "point_by", "link_to", "link_by", "tyre_to", "ride_by", "cg_to")


class MovePlan(Logged):
    """A named plan of moves on the vehicle as measured; a later one of the same name takes its place.

    stage: the stage it was made at. keep_lengths: links keep their lengths when a bolt moves, and the axle follows.
    """

    stage: Stage | None = None
    type: Literal["move_plan"]
    name: Name
    moves: Annotated[list[MoveEntry], Field(max_length=MOST_MOVES)]
    keep_lengths: bool = False
    note: Text = ""


class Holes(Logged):
    """The row of holes at one bracket end; a later one of the same point takes its place.

    places: of each hole from the one in use, x, y, z of the vehicle frame, mm; used: which is in use, counted from 0.
    """

    stage: Stage | None = None
    type: Literal["holes"]
    point: Line
    places: Annotated[list[Place], Field(min_length=1, max_length=MOST_HOLES)]
    used: Annotated[int, Field(ge=0, lt=MOST_HOLES)] = 0
    note: Text = ""

    @model_validator(mode="after")
    def _used_is_there(self) -> Holes:
        if self.used >= len(self.places):
            raise ValueError(f"used names hole {self.used + 1} of a row of {len(self.places)}")
        if any(self.places[self.used]):
            raise ValueError("places are counted from the hole in use, so that one must be at 0, 0, 0")
        return self


def _box(low: list[float], high: list[float]) -> None:
    for axis, least, most in zip("xyz", low, high, strict=True):
        if least > most:
            raise ValueError(f"low is above high along {axis}: {least:g} and {most:g}")


class Wanted(Part):
    """A figure wanted from low to high, in its unit; null leaves that side open."""

    figure: Line
    low: Offset | None = None
    high: Offset | None = None

    @model_validator(mode="after")
    def _a_band(self) -> Wanted:
        if self.low is None and self.high is None:
            raise ValueError("neither low nor high is stated")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"low is above high: {self.low:g} and {self.high:g}")
        return self


class Room(Part):
    """The box a point may move in: its lowest and highest x, y, z of the vehicle frame, mm."""

    point: Line
    low: Place
    high: Place

    @model_validator(mode="after")
    def _a_box(self) -> Room:
        _box(self.low, self.high)
        return self


class KeepOut(Part):
    """A box that no moved point and no link of one may enter, mm. name: what is there."""

    name: Name
    low: Place
    high: Place

    @model_validator(mode="after")
    def _a_box(self) -> KeepOut:
        _box(self.low, self.high)
        return self


class Aims(Logged):
    """What is wanted of the axle, where points may move for it, and where not; a later one takes its place."""

    stage: Stage | None = None
    type: Literal["aims"]
    wants: Annotated[list[Wanted], Field(max_length=MOST_WANTS)] = []
    rooms: Annotated[list[Room], Field(max_length=MOST_WANTS)] = []
    keep_outs: Annotated[list[KeepOut], Field(max_length=MOST_WANTS)] = []
    note: Text = ""


class Begin(Logged):
    """Begins a stage: what is read from now on belongs to it. A later one of the same stage gives it another name.

    name: of a setting, such as "summer tyres, 2 in lower"; the stages of the build need none. move: the walk chosen for
    it is to show a move of so many mm at every bolt.
    """

    stage: MeasuredStage
    type: Literal["begin"]
    name: Name | None = None
    move: Annotated[float, Field(gt=0, le=1_000, allow_inf_nan=False)] | None = None
    note: Text = ""

    @model_validator(mode="after")
    def _a_setting_has_a_name(self) -> Begin:
        if is_setting(self.stage) and self.name is None:
            raise ValueError(f"{self.stage} needs a name, such as summer tyres")
        return self


class Close(Logged):
    """Closes the record of a stage and of those before it: its readings can neither be added to nor taken back.

    fingerprint: SHA-256 of the log before this entry, 64 hexadecimal digits.
    """

    stage: MeasuredStage
    type: Literal["close"]
    fingerprint: Digest
    note: Text = ""


Entry = Annotated[
    Reading | Withdraw | SetAside | Note | Photo | Keep | MovePlan | Holes | Aims | Begin | Close,
    Field(discriminator="type"),
]
TYPES = ("reading", "withdraw", "note", "photo", "set_aside", "keep", "move_plan", "holes", "aims", "begin", "close")
