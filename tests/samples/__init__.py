"""Kept store files, one of every layout there has been, each with the vehicle files that must come out of it.

`python -m tests.samples` adds the sample of the newest layout. Those that are there are never written again: a sample
is only worth something as the program of its time left it.
"""

from __future__ import annotations

from pathlib import Path

FOLDER = Path(__file__).parent


def sample(layout: int) -> Path:
    """The store file of this layout; its vehicle files stand beside it, one JSON object a vehicle id."""
    return FOLDER / f"store_{layout:04d}.sqlite"
