"""Four links, triangulated: the uppers come together at the axle and hold it sideways."""

from __future__ import annotations

from geometry.layouts.layout import LOWERS, UPPERS, Layout, Place, mirrored, usual_lowers


def places(inward: int) -> dict[str, Place]:
    """The uppers spread from the differential to the frame rails."""
    uppers = {"upper_left.frame": (inward * 790.0, 430.0, 600.0), "upper_left.axle": (inward * 60.0, 140.0, 570.0)}
    return usual_lowers(inward) | mirrored(uppers)


LAYOUT = Layout("four_link", "four links, triangulated", (*LOWERS, *UPPERS), places)
