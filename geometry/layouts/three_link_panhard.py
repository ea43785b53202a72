"""Three links and a panhard bar: two lowers, one upper beside the differential, a bar across."""

from __future__ import annotations

from geometry.layouts.layout import LOWERS, PANHARD, Layout, Place, link, usual_lowers, usual_panhard

UPPER = link("upper", "upper link", "upper")


def places(inward: int) -> dict[str, Place]:
    """The upper is shorter than the lowers and stands a hand above them."""
    upper = {"upper.frame": (inward * 780.0, 100.0, 590.0), "upper.axle": (inward * 40.0, 120.0, 560.0)}
    return usual_lowers(inward) | upper | usual_panhard(inward)


LAYOUT = Layout("three_link_panhard", "three links and a panhard bar", (*LOWERS, UPPER, PANHARD), places)
