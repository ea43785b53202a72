"""The same sweep as somebody writes it who asks scipy.optimize.root at every step: the rival of `motion_speed`.

Lean on purpose: nothing is solved twice, and every step starts from its neighbour.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from geometry import motion

TIGHT = 1e-12
BESIDE_MM = 0.01
"""The velocity of a pose is told from the two poses so far below and above it."""
DEGREE = 180.0 / np.pi


class StepByStep:
    """The closure for scipy: x, y and a rotation vector at each step, lengths kept and contacts level."""

    def __init__(self, rig: motion.Rig) -> None:
        self.centre, self.span = rig.centre[0].real, rig.contact_span[0].real
        self.frame, self.axle, self.length = rig.frame[0].real, rig.axle[0].real, rig.length[0].real

    def misses(self, pose: np.ndarray, travel: float) -> np.ndarray:
        turn = Rotation.from_rotvec(pose[2:]).as_matrix()
        place = self.centre + np.array([pose[0], pose[1], travel])
        off = place + self.axle @ turn.T - self.frame
        level = (turn @ self.span)[2] - self.span[2]
        return np.append(np.sqrt((off * off).sum(axis=1)) - self.length, level)

    def solved(self, travel: float, start: np.ndarray) -> np.ndarray:
        return root(self.misses, start, (travel,), tol=TIGHT).x

    def sweep(self, travels: np.ndarray, warm: bool) -> np.ndarray:
        """Poses (T, 5). warm: each step starts from its neighbour nearer to ride height, else from ride height."""
        found = np.zeros((travels.size, 5))
        for step, before in outward(travels):
            found[step] = self.solved(travels[step], found[before] if warm else np.zeros(5))
        return found


def outward(travels: np.ndarray) -> list[tuple[int, int]]:
    """Each step with the one before it on the way from ride height: there and up, then down."""
    ride = int(np.abs(travels).argmin())
    up, down = range(ride + 1, travels.size), range(ride - 1, -1, -1)
    return [(ride, ride), *((step, step - 1) for step in up), *((step, step + 1) for step in down)]


def crossed(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Vector product of single vectors, at which numpy's own is slow."""
    (ax, ay, az), (bx, by, bz) = a.tolist(), b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


class EveryColumn(StepByStep):
    """Every column of a front three-link at each step: the same poses, two more beside each for its velocity, and the
    knuckles' turns by two more equations. places: vehicle frame, mm; side: whose knuckle the drag link turns."""

    def __init__(self, rig: motion.Rig, places: dict[str, np.ndarray], scalars: dict[str, float], side: str) -> None:
        super().__init__(rig)
        self.contact, self.joints = rig.contact[0].real, rig.frame[0].real - self.centre
        self.side, self.other = side, "left" if side == "right" else "right"
        centre = np.array([0.0, self.centre[1], self.centre[2]])
        at = {name: place - centre for name, place in places.items()}
        self.at, self.links = at, self.joints - self.axle
        self.bottom = {s: at[f"kingpin_{s}.bottom"] for s in ("left", "right")}
        self.pins = {s: at[f"kingpin_{s}.top"] - self.bottom[s] for s in ("left", "right")}
        self.axis = {s: pin / np.sqrt(pin @ pin) for s, pin in self.pins.items()}
        self.drag = self._apart(at["drag_link.axle"], at["drag_link.frame"])
        self.rod = self._apart(at["tie_rod.left"], at["tie_rod.right"])
        self.shaft = self._apart(at["driveshaft.frame"], at["driveshaft.axle"])
        pinion, output = np.radians([scalars["pinion"], scalars["gearbox_output"]])
        self.pinion = np.array([-np.cos(pinion), 0.0, np.sin(pinion)])
        self.output = np.array([np.cos(output), 0.0, np.sin(output)])
        sides = (places[f"wheel_{s}.centre"] - places[f"other_{s}.centre"] for s in ("left", "right"))
        self.base = np.mean([np.hypot(along[0], along[1]) for along in sides])
        self.high = scalars["cg.z"]
        self.caster = self._caster(np.eye(3))

    def table(self, travels: np.ndarray) -> dict[str, np.ndarray]:
        """Every column by its name, (T,)."""
        poses, turns, rows = np.zeros((travels.size, 5)), np.zeros((travels.size, 2)), [{}] * travels.size
        for step, before in outward(travels):
            poses[step] = self.solved(travels[step], poses[before])
            rows[step], turns[step] = self._row(travels[step], poses[step], turns[before])
        return {name: np.array([row[name] for row in rows]) for name in rows[0]}

    def _row(self, travel: float, pose: np.ndarray, start: np.ndarray) -> tuple[dict[str, float], np.ndarray]:
        turn, shift = Rotation.from_rotvec(pose[2:]).as_matrix(), np.array([pose[0], pose[1], travel])
        below, above = (self.solved(travel + by, pose) for by in (-BESIDE_MM, BESIDE_MM))
        spin = (Rotation.from_rotvec(above[2:]) * Rotation.from_rotvec(below[2:]).inv()).as_rotvec() / (2 * BESIDE_MM)
        speed = np.append((above[:2] - below[:2]) / (2 * BESIDE_MM), 1.0)
        contact = speed + crossed(spin, turn @ self.contact)
        first, second = self._knuckles(turn, shift, start)
        toe = second - first if self.side == "left" else first - second
        joint = turn @ self.at["driveshaft.axle"] + shift
        shaft = self.at["driveshaft.frame"] - joint
        now = self.joints - shift - self.axle @ turn.T
        row = {
            "caster_change": self._caster(turn) - self.caster,
            "pinion_change": DEGREE * (np.arcsin((turn @ self.pinion)[2]) - np.arcsin(self.pinion[2])),
            "lateral_shift": shift[1],
            "fore_aft_shift": shift[0],
            "yaw": DEGREE * np.arctan2(turn[1, 0], turn[0, 0]),
            "steer": DEGREE * first,
            "toe_in": DEGREE * toe,
            "instant_centre.x": shift[0] + 1.0 / spin[1],
            "instant_centre.z": self.centre[2] + travel - speed[0] / spin[1],
            "anti_geometric": 100.0 * contact[0] / contact[2] * self.base / self.high,
            "driveshaft_length_change": np.sqrt(shaft @ shaft) - self.shaft,
            "driveshaft_angle.frame": self._between(-shaft, self.output),
            "driveshaft_angle.axle": self._between(shaft, turn @ self.pinion),
        }
        for name, was, is_now in zip(("lower_left", "lower_right", "upper", "panhard"), self.links, now, strict=True):
            row[f"joint.{name}.frame"] = self._between(was, is_now)
            row[f"joint.{name}.axle"] = self._between(was, turn.T @ is_now)
        return row, np.array([first, second])

    def _knuckles(self, turn: np.ndarray, shift: np.ndarray, start: np.ndarray) -> tuple[float, float]:
        """Turns of the steered knuckle and of the other, radian: drag link and tie rod keep their lengths."""
        box = turn.T @ (self.at["drag_link.frame"] - shift)
        ball, rod, end = self.at["drag_link.axle"], self.at[f"tie_rod.{self.side}"], self.at[f"tie_rod.{self.other}"]
        first = root(lambda a: self._apart(self._swung(self.side, ball, a[0]), box) - self.drag, start[:1], tol=TIGHT).x
        held = self._swung(self.side, rod, first[0])
        other = root(lambda a: self._apart(self._swung(self.other, end, a[0]), held) - self.rod, start[1:], tol=TIGHT).x
        return float(first[0]), float(other[0])

    def _swung(self, side: str, place: np.ndarray, by: float) -> np.ndarray:
        axis, arm = self.axis[side], place - self.bottom[side]
        along = (arm @ axis) * axis
        return self.bottom[side] + along + np.cos(by) * (arm - along) + np.sin(by) * crossed(axis, arm)

    def _caster(self, turn: np.ndarray) -> float:
        pins = (turn @ pin for pin in self.pins.values())
        return DEGREE * float(np.mean([np.arctan2(-pin[0], pin[2]) for pin in pins]))

    @staticmethod
    def _apart(one: np.ndarray, other: np.ndarray) -> float:
        off = one - other
        return float(np.sqrt(off @ off))

    @staticmethod
    def _between(one: np.ndarray, other: np.ndarray) -> float:
        across = crossed(one, other)
        return DEGREE * float(np.arctan2(np.sqrt(across @ across), one @ other))
