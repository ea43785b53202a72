"""What a stage's walk shows and what it does not, in sentences."""

from __future__ import annotations

from geometry.proof import MOVE_MM

from capture.lengths import say_length
from capture.proving import Proving, Rung
from capture.screens.words import counted

TIMES = {2: "twice", 4: "four times"}
CHOOSE_ONE_TO_CLOSE = "Choose the stage to close."
SAY_WHAT_IS_DIFFERENT = "Say what is different, such as: summer tyres, 2 in lower."
CHOOSE_ONE_TO_START = "Choose the stage to start."
MOCK_UP_FIRST = "Nothing is measured yet: the mock-up comes first, walk round it."


def both(mm: float, unit: str) -> str:
    """A move in the person's unit, in inches with its millimetres too: "3/16 in (5 mm)"."""
    whole = float(round(mm))
    said = say_length(whole, unit)
    return said if unit == "mm" else f"{said} ({say_length(whole)})"


def shown_said(found: Proving, unit: str) -> str:
    """"25 readings, about 40 minutes: how far any bolt moved is then told ± 5/16 in (8 mm)." """
    takes, rung = sum(step.takes for step in found.proof.steps), found.chosen
    return (f"{counted(takes, 'reading')}, about {counted(round(rung.minutes), 'minute')}: how far any bolt moved, any "
            f"way, is then told ± {both(rung.told, unit)}; a move of {both(rung.sure, unit)} would be called sure.")


def rung_about(rung: Rung, unit: str) -> str:
    return (f"Sure from {both(rung.sure, unit)}; {counted(rung.readings, 'reading')}, about "
            f"{counted(round(rung.minutes), 'minute')}")


def finer_said(found: Proving, unit: str) -> str:
    """Why no move is told more closely, and what would help; nothing where a walk for 2 mm suffices."""
    if found.enough:
        return ""
    least = found.rungs[0]
    said = [f"± {both(MOVE_MM, unit)} is finer than tape and gauge tell, however often you read."]
    if found.finer:
        help_ = " and ".join(f"{TIMES[times]} as fine about ± {both(least.told * move / least.move, unit)}"
                             for times, move in found.finer)
        said.append(f"Finer reading at both stages would help: {help_}. A steel rule against a punch mark, a water "
                    "level, an angle gauge read to a tenth; say so at the reading, under more.")
    return " ".join(said)


def nothing_to_close(stage: str) -> str:
    return f"There are no readings at {stage}: there is nothing to close yet."


def later_has_begun(later: str) -> str:
    return f"{later} has begun: close that, and this with it."


def begun_unread(later: str, stage: str) -> str:
    return (f"{later} has begun, and nothing is read at it yet. Read it first, or take its beginning back in Stages: "
            f"then {stage} can be closed.")


def count_on(carried: str, before: str) -> str:
    return f"{carried} of {before} count on until you read them again."


def on_a_guess(number: int, are: str) -> str:
    return f"{number} {are} on a guess so far and cannot be compared."


def begun_already(stage: str) -> str:
    return f"{stage} has begun already: measure on there."


def nothing_read_yet(now: str) -> str:
    return f"Nothing is read at {now} yet: measure it first, or take its beginning back."


def cannot_follow(stage: str, now: str, next_: str) -> str:
    return f"{stage} cannot follow {now}: next is {next_}."


def name_too_long(number: int, most: int) -> str:
    return f"That name has {number} characters; {most} is the most."
