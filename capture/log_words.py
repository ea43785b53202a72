"""What is said of stages: what may follow what, and what is closed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

FINGERPRINT_DIFFERS = "fingerprint is not that of the entries before it: one of them is not as it was"


def not_begun(stage: str) -> str:
    return f"{stage} is not begun yet; begin it first, with its name"


def closed_already(stage: str) -> str:
    return f"the record of {stage} is closed and stays as it is; enter this at a later stage"


def begun_already(said: str, stage: str) -> str:
    return f"{said} is begun already, and {stage} comes before it"


def stage_skipped(stage: str, missing: str) -> str:
    return f"{stage} comes after {missing}; begin that first"


def closed_since(stage: str, when: datetime) -> str:
    return (
        f"The record of {stage} is closed since {when.day} {when:%b %Y} and stays as it is; what is read now belongs "
        "to a later stage."
    )


def nothing_read(stage: str, with_some: Sequence[str]) -> str:
    """with_some: the stages that have readings, as they are said."""
    if not with_some:
        where = "no stage has any"
    elif len(with_some) == 1:
        where = f"only {with_some[0]} has some"
    else:
        where = f"{', '.join(with_some[:-1])} and {with_some[-1]} have some"
    return f"there are no readings at {stage}; {where}."


def must_be_a_stage(build: Sequence[str], settings: Sequence[str]) -> str:
    return f"must be {', '.join(build)} or {settings[0]} to {settings[-1]}"
