"""The axle's motion from its links, by closing them with scipy; speeds by small real moves. Lengths mm, angles degree.

The frame stands still, the axle moves as a rigid body: a shift of its centre and a turn (rotation vector) about it.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.optimize import brentq, least_squares, root
from scipy.spatial.transform import Rotation

from tests.reference.readings import link_ends, links_of

SMALL = 0.25
"""The small real move, mm, that speeds are taken from."""


class Axle:
    """A worked axle at ride height. `places` in the vehicle frame."""

    def __init__(self, places: dict[str, np.ndarray], layout: str):
        self.places, self.layout = places, layout
        left, right = places["wheel_left.centre"], places["wheel_right.centre"]
        self.centre = 0.5 * (left + right)
        ground = np.array([1.0, 1.0, 0.0])
        self.contacts = (left * ground, right * ground)
        self.links, self.held = [], []
        for link in links_of(layout):
            frame, joints = link_ends(link)
            if len(joints) == 2:
                self.held.append(places[frame])
            else:
                self.links.append((places[frame], places[joints[0]]))
        self.lengths = [np.linalg.norm(frame - joint) for frame, joint in self.links]
        self._met: dict[tuple[float, float], np.ndarray] = {}

    def carried(self, place: np.ndarray, pose: np.ndarray) -> np.ndarray:
        """Where a point of the axle stands in a pose (shift xyz, rotation vector xyz)."""
        return self.centre + pose[:3] + Rotation.from_rotvec(pose[3:]).apply(place - self.centre)

    def misses(self, pose: np.ndarray) -> np.ndarray:
        """Change of every link's length; of a held radius arm end, its miss as a vector."""
        turn = Rotation.from_rotvec(pose[3:]).as_matrix()
        moved = [self.centre + pose[:3] + turn @ (joint - self.centre) for _, joint in self.links]
        changes = [
            math.dist(place, frame) - length
            for place, (frame, _), length in zip(moved, self.links, self.lengths, strict=True)
        ]
        held = [self.centre + pose[:3] + turn @ (end - self.centre) - end for end in self.held]
        return np.concatenate([changes, *held])

    def lift(self, pose: np.ndarray) -> float:
        """How much more the left contact point has risen than the right one."""
        across = self.contacts[0] - self.contacts[1]
        return float(Rotation.from_rotvec(pose[3:]).apply(across)[2] - across[2])

    def pose(self, travel: float, lift: float = 0.0) -> np.ndarray | None:
        """The axle `travel` higher at its centre, its left contact `lift` higher than its right one; None: it binds."""
        key = (round(travel, 9), round(lift, 9))
        if key not in self._met:
            self._met[key] = self._close(travel, lift)
        return self._met[key]

    def _close(self, travel: float, lift: float) -> np.ndarray | None:
        if len(self.links) == 4 and not self.held:
            scale = 1000.0

            def open_by(free):
                pose = np.concatenate([free[:3], free[3:] / scale])
                return np.concatenate([self.misses(pose), [pose[2] - travel, self.lift(pose) - lift]])

            answer = root(open_by, [0.0, 0.0, travel, scale * lift / 1600.0, 0.0, 0.0], method="hybr", tol=1e-13)
            if np.max(np.abs(answer.fun)) > 1e-8:
                return None
            return np.concatenate([answer.x[:3], answer.x[3:] / scale])
        return self._compromise(travel, lift)

    def _compromise(self, travel: float, lift: float) -> np.ndarray:
        """Least sum of squared changes with travel and lift kept: roll is worked out from the other two turns."""

        def whole(free):
            pose = np.array([free[0], free[1], travel, 0.0, free[2] / 1e3, free[3] / 1e3])
            track = self.contacts[0][1] - self.contacts[1][1]
            for _ in range(30):
                off = self.lift(pose) - lift
                pose[3] -= off / track
                if abs(off) < 1e-12:
                    break
            return pose

        answer = least_squares(
            lambda free: self.misses(whole(free)), np.zeros(4), jac="3-point", method="lm", xtol=1e-15, ftol=1e-15,
            gtol=1e-15,
        )  # fmt: skip
        return whole(answer.x)

    # -- speeds ----------------------------------------------------------------------------------------------------
    def _speed(self, ahead: np.ndarray, behind: np.ndarray, step: float) -> tuple[np.ndarray, np.ndarray]:
        turn = Rotation.from_rotvec(ahead[3:]) * Rotation.from_rotvec(behind[3:]).inv()
        return (ahead[:3] - behind[:3]) / (2.0 * step), turn.as_rotvec() / (2.0 * step)

    def heave(self, travel: float = 0.0) -> tuple[np.ndarray, np.ndarray] | None:
        """Velocity of the centre and spin (radian) per mm that both contact points rise."""
        ahead, behind = self.pose(travel + SMALL), self.pose(travel - SMALL)
        return None if ahead is None or behind is None else self._speed(ahead, behind, SMALL)

    def roll(self) -> tuple[np.ndarray, np.ndarray]:
        """Velocity of the centre and spin per mm that the left contact point rises more than the right one."""
        return self._speed(self.pose(0.0, SMALL), self.pose(0.0, -SMALL), SMALL)

    # -- read off --------------------------------------------------------------------------------------------------
    def contact_slope(self, travel: float = 0.0) -> float | None:
        """dx/dz of the mean contact point, carried with the axle, in heave."""
        speed = self.heave(travel)
        if speed is None:
            return None
        arm = Rotation.from_rotvec(self.pose(travel)[3:]).apply(0.5 * sum(self.contacts) - self.centre)
        velocity = speed[0] + np.cross(speed[1], arm)
        return velocity[0] / velocity[2]

    def instant_centre(self, travel: float = 0.0) -> tuple[float, float] | None:
        """x, z of the point without side-view speed in heave, in the lengthwise plane through the axle's centre."""
        speed = self.heave(travel)
        if speed is None:
            return None
        velocity, spin = speed
        x, z = velocity[2], -velocity[0]
        if math.hypot(x, z) >= 50_000.0 * abs(spin[1]):
            return None
        here = self.centre + self.pose(travel)[:3]
        return here[0] + x / spin[1], here[2] + z / spin[1]

    def roll_figures(self) -> tuple[float, float, float]:
        """Roll centre height mm, incline of the roll axis deg, roll steer deg/deg."""
        velocity, spin = self.roll()
        slope = spin[2] / spin[0]
        return self.centre[2] + velocity[1] / spin[0], math.degrees(math.atan(slope)), -slope

    def turned(self, travel: float, lift: float = 0.0) -> Rotation:
        return Rotation.from_rotvec(self.pose(travel, lift)[3:])

    def binding(self, travel: float, lift: float = 0.0) -> float:
        """The greatest change of a link's length, or miss of a held arm end, mm."""
        missed = self.misses(self.pose(travel, lift))
        count = len(self.links)
        return max([*np.abs(missed[:count]), *(np.linalg.norm(each) for each in missed[count:].reshape(-1, 3))])

    def _kingpin(self, side: str) -> tuple[np.ndarray, np.ndarray]:
        return self.places[f"kingpin_{side}.bottom"], self.places[f"kingpin_{side}.top"]

    def _swung(self, side: str, place: np.ndarray, turn: float) -> np.ndarray:
        """A point of a knuckle, turned about its kingpin, + left, radian."""
        bottom, top = self._kingpin(side)
        along = (top - bottom) / np.linalg.norm(top - bottom)
        return bottom + Rotation.from_rotvec(turn * along).apply(place - bottom)

    def _steered(self) -> str:
        end = self.places["drag_link.axle"]
        return min(("left", "right"), key=lambda side: _off_axis(end, *self._kingpin(side)))

    def steer(self, travel: float, lift: float = 0.0) -> float:
        """Turn of the knuckle about its kingpin, + left, deg, that keeps the drag link's length."""
        end, box = self.places["drag_link.axle"], self.places["drag_link.frame"]
        side, length, pose = self._steered(), np.linalg.norm(end - box), self.pose(travel, lift)

        def stretch(turn):
            return np.linalg.norm(self.carried(self._swung(side, end, turn), pose) - box) - length

        return math.degrees(brentq(stretch, -0.35, 0.35, xtol=1e-14, rtol=1e-14))

    def toe_in(self, travel: float, lift: float = 0.0) -> float:
        """Change of total toe, + in, deg: the right knuckle's turn less the left one's, with the tie rod's length."""
        balls = {side: self.places[f"tie_rod.{side}"] for side in ("left", "right")}
        length = np.linalg.norm(balls["left"] - balls["right"])
        side = self._steered()
        other = "right" if side == "left" else "left"
        first = math.radians(self.steer(travel, lift))
        moved = self._swung(side, balls[side], first)

        def stretch(turn):
            return np.linalg.norm(self._swung(other, balls[other], turn) - moved) - length

        turns = {side: first, other: brentq(stretch, -0.35, 0.35, xtol=1e-14, rtol=1e-14)}
        return math.degrees(turns["right"] - turns["left"])


def _off_axis(place: np.ndarray, bottom: np.ndarray, top: np.ndarray) -> float:
    along = (top - bottom) / np.linalg.norm(top - bottom)
    return float(np.linalg.norm(np.cross(place - bottom, along)))


def angle_between(first: np.ndarray, second: np.ndarray) -> float:
    """Degrees, accurate near 0."""
    return math.degrees(math.atan2(np.linalg.norm(np.cross(first, second)), first @ second))
