"""Paper: the room a sheet has on A4 and on US letter, the scales people know, and lengths drawn true on it."""

from __future__ import annotations

from collections.abc import Sequence

from capture.sheet import sheet_words

UNIT = 4.0
"""Drawing units a mm of paper: lettering and line widths then have the numbers they have on a screen."""
MARGIN = 12.0
"""mm, on all sides: what common printers need, and a little more."""
WIDTH = 182.0
"""mm of room across: an A4 page is 210 wide, a letter page 216, and 2 mm are left."""
HEIGHT = 252.0
"""mm of room down: an A4 page is 297 high, a letter page 279, and 3 mm are left."""
SCALES = (5.0, 7.5, 10.0, 12.5, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 75.0, 100.0, 150.0, 200.0, 500.0)
BAR = 50.0
"""mm: the bar by which one checks that the printer has kept the size."""


def scale_for(lengths: Sequence[float], room: float) -> float:
    """The largest drawing that keeps these lengths (mm of the vehicle, side by side) in the room (mm of paper)."""
    return next((scale for scale in SCALES if sum(lengths) / scale <= room), SCALES[-1])


def said(scale: float) -> str:
    """"1:20"."""
    return f"1:{scale:g}"


def bar_said(scale: float) -> str:
    return sheet_words.bar_is(BAR, BAR * scale)
