"""Why a reading is asked for once more at a later stage."""

from __future__ import annotations

WHETHER_IT_MOVED = "Read again, it shows whether this moved."
TWO_SEE_MORE = "Once more: two readings together see a smaller move."


def why(take: int) -> str:
    """Said with a reading of the walk of a later stage, at its first take and at a further one."""
    return WHETHER_IT_MOVED if take == 1 else TWO_SEE_MORE
