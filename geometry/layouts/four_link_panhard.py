"""Four links and a panhard bar: lowers and uppers nearly along the vehicle, a bar across."""

from __future__ import annotations

from geometry.layouts.layout import LOWERS, PANHARD, UPPERS, Layout, Place, mirrored, usual_lowers, usual_panhard


def places(inward: int) -> dict[str, Place]:
    """The uppers run inside the lowers, nearly along the vehicle."""
    uppers = {"upper_left.frame": (inward * 790.0, 370.0, 600.0), "upper_left.axle": (inward * 50.0, 350.0, 560.0)}
    return usual_lowers(inward) | mirrored(uppers) | usual_panhard(inward)


LAYOUT = Layout("four_link_panhard", "four links and a panhard bar", (*LOWERS, *UPPERS, PANHARD), places)
