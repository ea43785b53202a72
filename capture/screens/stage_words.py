"""What a stage's walk shows and what it does not, in sentences."""

from __future__ import annotations

from geometry.proof import MOVE_MM

from capture.lengths import say_length
from capture.proving import Proving
from capture.screens.words import counted

TIMES = {2: "twice", 4: "four times"}


def both(mm: float, unit: str) -> str:
    """A move in the person's unit, in inches with its millimetres too: "3/16 in (5 mm)"."""
    said = say_length(mm, unit)
    return said if unit == "mm" else f"{said} ({say_length(mm)})"


def shown_said(found: Proving, unit: str) -> str:
    """"25 readings, about 40 minutes: a move of 5 mm (3/16 in) at any bolt would show." """
    takes = sum(step.takes for step in found.proof.steps)
    minutes = round(found.proof.minutes)
    return (f"{counted(takes, 'reading')}, about {counted(minutes, 'minute')}: a move of {both(found.move, unit)} at "
            "any bolt, any way, would show.")


def finer_said(found: Proving, unit: str) -> str:
    """Why a smaller move does not show, and what would help; nothing where 2 mm does."""
    if found.enough:
        return ""
    least = found.rungs[0].move
    said = [f"A move of {both(MOVE_MM, unit)} is below what tape and gauge show: {both(least, unit)} is the "
            "smallest, however often you read."]
    if found.finer:
        help_ = " and ".join(f"{TIMES[times]} as fine {both(move, unit)}" for times, move in found.finer)
        said.append(f"Finer reading at both stages would help: {help_}. A steel rule against a punch mark, a water "
                    "level, an angle gauge read to a tenth; say so at the reading, under more.")
    return " ".join(said)
