"""How each link stands at a pose, and how far it has turned from ride height: all links at once."""

from __future__ import annotations

import numpy as np

from geometry.closure import turned
from geometry.complex_step import Complex, between
from geometry.figures.ride import Ride
from geometry.motion import Pose

DEGREE = 180.0 / np.pi
ENDS = ("frame", "axle")


def place_in(ride: Ride, name: str) -> int:
    """Which link of the layout one is."""
    return [link.name for link in ride.layout.links].index(name)


def along_links(ride: Ride, pose: Pose) -> Complex:
    """From each link's axle end to its frame end, (P, T, n, 3) mm, in the layout's order.

    A radius arm is rigid with the axle and turns with it.
    """
    rig = ride.rig
    way = rig.frame - rig.centre[:, None]
    along = way[:, None] - pose.shift[:, :, None] - turned(pose.turn, rig.axle)
    if not rig.held.shape[1]:
        return along
    arms = [link.role == "arm" for link in ride.layout.links]
    every = np.empty((*along.shape[:2], len(arms), 3), along.dtype)
    every[:, :, np.logical_not(arms)] = along
    stiff = [ride.link(link.name) for link in ride.layout.links if link.role == "arm"]
    every[:, :, arms] = turned(pose.turn, np.stack(stiff, axis=1))
    return every


def link_turns(ride: Ride, pose: Pose) -> Complex:
    """How far each link has turned from ride height against the frame and against the axle, (P, T, 2, n) deg."""
    rest = np.stack([ride.link(link.name) for link in ride.layout.links], axis=1)
    now = ride.once(along_links, pose)
    both = np.stack([now, now @ pose.turn], axis=2)
    return np.asarray(DEGREE * between(rest[:, None, None], both))
