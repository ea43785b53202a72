"""What the links were set to by turning, out of the log."""

from __future__ import annotations

from capture import plans
from capture.log_entries import Note
from capture.stages import place
from capture.vehicle_file import VehicleFile


def lengths_set(vehicle: VehicleFile, stage: str) -> dict[str, Note]:
    """By link: the note of its length as last set at this stage or before, and not withdrawn."""
    notes = [note for note in plans.standing(vehicle, Note) if note.link_set is not None]
    return {note.link_set.link: note for note in notes
            if note.link_set is not None and (note.stage is None or place(note.stage) <= place(stage))}
