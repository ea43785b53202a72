"""The stages of one vehicle as its log has them: which have begun, what each is called, which are closed.

A stage has begun by an entry that says so or by its first reading. Closing names the log before it by a fingerprint.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from capture import log_words, stages
from capture.fingerprint import fingerprint
from capture.log_entries import Begin, Close, Reading, Withdraw
from capture.stage_checks import closed_by
from capture.vehicle_file import VehicleFile


@dataclass(frozen=True)
class Closing:
    """One closing. place: of its entry in the log, from 1; found: the fingerprint of the entries before it, as worked
    out now."""

    entry: Close
    place: int
    found: str

    @property
    def holds(self) -> bool:
        """Every entry before it is as it was."""
        return self.found == self.entry.fingerprint


def names(vehicle: VehicleFile) -> dict[str, str]:
    """What the stages that have a name of their own are called, the latest naming that still stands."""
    gone = _withdrawn(vehicle)
    named = (entry for entry in vehicle.of_kind(Begin) if entry.id not in gone)
    return {entry.stage: entry.name for entry in named if entry.name}


def said(vehicle: VehicleFile, stage: str | None) -> str:
    """A stage of this vehicle as people say it: "tacked", "setting 1 (summer tyres)"; nothing for none."""
    if not stage:
        return ""
    name = names(vehicle).get(stage)
    return f"{stages.said(stage)} ({name})" if name else stages.said(stage)


def begun(vehicle: VehicleFile) -> tuple[str, ...]:
    """The measured stages that have begun, by an entry or by a reading that counts, in their order."""
    gone = _withdrawn(vehicle)
    found = {entry.stage for entry in vehicle.of_kind(Begin, Reading) if entry.id not in gone}
    return tuple(stage for stage in stages.MEASURED if stage in found)


def current(vehicle: VehicleFile) -> str:
    """The stage that is being measured: the latest begun, or the first."""
    return (begun(vehicle) or (stages.FIRST_STAGE,))[-1]


def measured(vehicle: VehicleFile) -> tuple[str, ...]:
    """The stages that have a reading of their own that was not taken back, the plan left out, in their order."""
    gone = _withdrawn(vehicle)
    found = {entry.stage for entry in vehicle.of_kind(Reading) if entry.id not in gone}
    return tuple(stage for stage in stages.MEASURED if stage in found)


def following(vehicle: VehicleFile) -> tuple[str, ...]:
    """The stages that could be begun now: the rest of the build, or the next setting once it is welded. None while
    nothing is read at the latest."""
    now = current(vehicle)
    if now not in measured(vehicle):
        return ()
    at = stages.place(now)
    rest = stages.BUILD[at + 1 :]
    return rest or stages.STAGES[at + 1 : at + 2]


def closed(vehicle: VehicleFile) -> frozenset[str]:
    """The stages whose record is closed."""
    return closed_by(vehicle.of_kind(Close))


def closings(vehicle: VehicleFile) -> tuple[Closing, ...]:
    """Every closing in the order of the log, with the fingerprint of what stands before it now."""
    found = []
    for place, entry in enumerate(vehicle.entries, start=1):
        if isinstance(entry, Close):
            found.append(Closing(entry, place, fingerprint(vehicle.entries[: place - 1])))
    return tuple(found)


def closing_of(vehicle: VehicleFile, stage: str) -> Closing | None:
    """The closing that shut this stage, the first that reached it; None while it is open."""
    reach = stages.place(stage)
    reached = (one for one in closings(vehicle) if stages.place(one.entry.stage) >= reach)
    return next(reached, None) if stage != stages.PLAN else None


def closed_sentence(vehicle: VehicleFile, stage: str) -> str:
    """That the record of this stage is closed, since when, and what to do; nothing while it is open."""
    closing = closing_of(vehicle, stage)
    if closing is None:
        return ""
    there = datetime.fromisoformat(closing.entry.at.replace("Z", "+00:00")).astimezone()
    return log_words.closed_since(said(vehicle, stage), there)


def _withdrawn(vehicle: VehicleFile) -> set[str]:
    """Ids of entries taken back; a taking back that was taken back itself counts no more."""
    gone: set[str] = set()
    for entry in reversed(vehicle.of_kind(Withdraw)):
        if entry.id not in gone:
            gone.add(entry.of)
    return gone
