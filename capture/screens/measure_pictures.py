"""The drawings of the measuring page: every step's for the phone, and the bench's boards for those asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from capture.drawings.marks import step_of
from capture.drawings.measure_board import measure_boards
from capture.drawings.scenes import walk_drawings
from capture.screens import pictures
from capture.screens.walking import Walking
from capture.walk import Step


@dataclass(frozen=True)
class Drawn:
    """defs: once in the page. figure, key: by a reading's name. board: by a step's key, where it was asked for."""

    defs: Markup
    figure: dict[str, Markup]
    key: dict[str, Markup]
    board: dict[str, Markup]


def drawn(round_: Walking, on_bench: Sequence[Step]) -> Drawn:
    """on_bench: the steps whose boards are wanted too."""
    layout, axle = round_.vehicle.layout, round_.vehicle.worked_axle
    vehicle = pictures.vehicle(round_.report)
    readings = dict.fromkeys(step.reading for step in round_.walk.steps)
    steps = {reading: step_of(reading, layout, axle) for reading in readings}
    phone = walk_drawings(vehicle, steps.values())
    bench = measure_boards(vehicle, [steps[name] for name in dict.fromkeys(step.reading for step in on_bench)])
    board = {step.key: bench.figure[step.reading] for step in on_bench}
    return Drawn(phone.defs + bench.defs, phone.figure, phone.key, board)
