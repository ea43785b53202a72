"""What the sheet says to whoever drives, inspects or works on the vehicle next, and what it is not."""

from __future__ import annotations

from capture import caution_words, cautions
from capture.cautions import Caution
from capture.stages import WELDED, is_setting

DECIDES = caution_words.LAST_WORD


def groups(stage: str) -> tuple[Caution, ...]:
    """Those of the stage shown, and those of the road ahead of it."""
    here = cautions.at(stage)
    return here if is_setting(stage) else (*here, *(each for each in cautions.at(WELDED) if each not in here))
