"""The stages of a vehicle, in their order: planned, mocked up, tacked, welded, and then as many settings as wanted.

A setting is what is changed on the finished vehicle: other tyres, another ride height, a link turned. It has a name of
its own, in the log.
"""

from __future__ import annotations

from capture import log_words

PLAN, MOCK_UP, TACKED, WELDED = "plan", "mock_up", "tacked", "welded"
BUILD = (PLAN, MOCK_UP, TACKED, WELDED)
SETTINGS = tuple(f"setting_{number}" for number in range(1, 100))
STAGES = BUILD + SETTINGS
MEASURED = STAGES[1:]
"""All but the plan, which holds wishes."""
FIRST_STAGE = MOCK_UP
"""The stage of a vehicle without readings: where measuring begins."""
THERE_ARE = f"{', '.join(BUILD)} and then {SETTINGS[0]} to {SETTINGS[-1]}"
"""The stages as a refusal names them."""

_PLACES = {stage: place for place, stage in enumerate(STAGES)}


class NoReadings(ValueError):
    """A stage at which there is nothing to show; one plain sentence."""


def place(stage: str) -> int:
    """Where a stage stands in the order. KeyError where there is no such stage."""
    return _PLACES[stage]


def is_stage(word: object) -> bool:
    return isinstance(word, str) and word in _PLACES


def is_setting(stage: str) -> bool:
    return stage in SETTINGS


def up_to(stage: str) -> tuple[str, ...]:
    """The measured stages from the first to this one."""
    return STAGES[1 : place(stage) + 1]


def before(stage: str) -> str:
    """The stage just before. Raises ValueError for the first."""
    if place(stage) == 0:
        raise ValueError(f"no stage comes before {stage}")
    return STAGES[place(stage) - 1]


def a_stage(word: str) -> str:
    """The word itself where it is a stage; raises ValueError that says which there are."""
    if word not in _PLACES:
        raise ValueError(log_words.must_be_a_stage(BUILD, SETTINGS))
    return word


def a_measured_stage(word: str) -> str:
    """The same for a stage that is measured: any but the plan."""
    if word not in _PLACES or word == PLAN:
        raise ValueError(log_words.must_be_a_stage([key for key in BUILD if key != PLAN], SETTINGS))
    return word


def said(stage: str) -> str:
    """A stage as people say it: "mock-up", "setting 2"."""
    return stage.replace("_", " ") if is_setting(stage) else stage.replace("_", "-")


def typed(text: str) -> str:
    """A stage as typed: "mock-up" is "mock_up"."""
    return text.strip().lower().replace("-", "_").replace(" ", "_")
