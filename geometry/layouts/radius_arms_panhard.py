"""Two radius arms and a panhard bar: each arm holds the axle with two bolts, one ahead of the other."""

from __future__ import annotations

from geometry.layouts.layout import PANHARD, Layout, Place, arm, mirrored, usual_panhard

ARMS = (arm("arm_left", "left radius arm"), arm("arm_right", "right radius arm"))


def places(inward: int) -> dict[str, Place]:
    """The axle bolts stand either side of the tube; front and rear are the vehicle's, whichever axle it is."""
    arms = {
        "arm_left.frame": (inward * 980.0, 400.0, 470.0),
        "arm_left.axle_front": (90.0, 430.0, 380.0),
        "arm_left.axle_rear": (-90.0, 430.0, 380.0),
    }
    return mirrored(arms) | usual_panhard(inward)


LAYOUT = Layout("radius_arms_panhard", "radius arms and a panhard bar", (*ARMS, PANHARD), places)
