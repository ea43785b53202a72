"""The layouts, one module each. A new one is its module and one line in `ALL`."""

from __future__ import annotations

from geometry import refusal_words
from geometry.errors import BadLayout, did_you_mean
from geometry.layouts import four_link, four_link_panhard, radius_arms_panhard, three_link_panhard
from geometry.layouts.layout import Layout, Link, Place

ALL: tuple[Layout, ...] = (
    three_link_panhard.LAYOUT,
    four_link.LAYOUT,
    four_link_panhard.LAYOUT,
    radius_arms_panhard.LAYOUT,
)
LAYOUTS: dict[str, Layout] = {layout.name: layout for layout in ALL}
WORKED_AXLES = ("front", "rear")

__all__ = ["ALL", "LAYOUTS", "WORKED_AXLES", "Layout", "Link", "Place", "layout_named", "towards_middle"]


def layout_named(name: str) -> Layout:
    """The layout of that name. BadLayout with the right names where there is none."""
    if name not in LAYOUTS:
        near = did_you_mean(name, LAYOUTS)
        raise BadLayout(refusal_words.no_such_layout(name, ", ".join(LAYOUTS), near))
    return LAYOUTS[name]


def towards_middle(worked_axle: str) -> int:
    """-1 for a front axle, whose links run rearward; +1 for a rear one."""
    if worked_axle not in WORKED_AXLES:
        raise BadLayout(refusal_words.no_such_axle(worked_axle))
    return -1 if worked_axle == "front" else 1
