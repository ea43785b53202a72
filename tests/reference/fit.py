"""The vehicle that fits all readings best, by scipy.optimize.least_squares and small real moves; no shortcut taken.

Typical places and typical scalars are the program's own choice, so they come in as arguments.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from tests.reference.readings import CORNERS, link_ends, links_of, predicted, scalars_touched, touched, usual_sd

STAGES = ("plan", "mock_up", "tacked", "welded", *(f"setting_{number}" for number in range(1, 100)))
WHEELS = ("wheel_left.centre", "wheel_right.centre", "other_left.centre", "other_right.centre")
GROUPS = {
    "kingpins": ("kingpin_left.top", "kingpin_left.bottom", "kingpin_right.top", "kingpin_right.bottom"),
    "tie_rod": ("tie_rod.left", "tie_rod.right"),
    "drag_link": ("drag_link.frame", "drag_link.axle"),
    "driveshaft": ("driveshaft.frame", "driveshaft.axle"),
}
SCALAR_SPREAD = {
    "tyre.loaded_radius": 300.0, "pinion": 30.0, "gearbox_output": 30.0, "travel.bump": 300.0, "travel.droop": 300.0,
    "cg.z": 300.0, "tyre.free_diameter": 300.0, **{f"load.{corner}": 1000.0 for corner in CORNERS},
}  # fmt: skip


@dataclass(frozen=True)
class Used:
    """One take that enters the fit."""

    name: str
    value: float
    sd: float
    key: str


def takes(vehicle: dict, stage: str | None = None) -> tuple[str, list[Used]]:
    """The stage looked at and the takes that count there, by the rules of stages, states and withdrawals."""
    withdrawn = {entry["of"] for entry in vehicle["entries"] if entry["type"] == "withdraw"}
    live = [
        entry
        for entry in vehicle["entries"]
        if entry["type"] == "reading" and entry["id"] not in withdrawn and entry.get("state", "ride") == "ride"
    ]
    if stage is None:
        seen = {entry["stage"] for entry in live}
        stage = max(seen - {"plan"}, key=STAGES.index, default="plan")
    reach = ("plan",) if stage == "plan" else STAGES[1 : STAGES.index(stage) + 1]
    latest: dict[str, str] = {}
    for entry in live:
        name = one_name(entry["reading"], latest)
        if entry["stage"] in reach and STAGES.index(entry["stage"]) >= STAGES.index(latest.get(name, "plan")):
            latest[name] = entry["stage"]
    fresh = {point for name, at in latest.items() if at == stage for point in touched(name)}
    tape_class = vehicle.get("facts", {}).get("tape_class", "II")
    used: list[Used] = []
    counts: dict[str, int] = {}
    for entry in live:
        name = one_name(entry["reading"], latest)
        if latest.get(name) != entry["stage"]:
            continue
        sd = entry["sd"] if entry.get("sd") is not None else usual_sd(name, entry["value"], tape_class)
        if latest[name] != stage and fresh & set(touched(name)):
            may_move = (5.0, 50.0) if stage.startswith("setting") else (0.4, 4.0)
            sd = math.hypot(sd, may_move[0 if name.split(":")[0] in ("incline", "caster") else 1])
        counts[name] = counts.get(name, 0) + 1
        used.append(Used(name, entry["value"], sd, name if counts[name] == 1 else f"{name}#{counts[name]}"))
    return stage, used


def one_name(name: str, met: dict) -> str:
    """P~Q and Q~P are one reading where the order does not matter; the one met first names it."""
    kind, subject = name.split(":", 1)
    if kind not in ("span", "across", "floor_span"):
        return name
    first, second = subject.split("~")
    turned = f"{kind}:{second}~{first}"
    return turned if turned in met else name


def points_in(vehicle: dict, used: list[Used]) -> list[str]:
    links = links_of(vehicle["layout"])
    always = [joint for link in links for joint in (link_ends(link)[0], *link_ends(link)[1])]
    names = [*always, *WHEELS]
    reached = {point for take in used for point in touched(take.name)}
    for group in GROUPS.values():
        names += [*group] if reached & set(group) else []
    return names + sorted(point for point in reached if point.startswith(("keep_clear.", "mark.")))


def scalars_in(used: list[Used]) -> list[str]:
    reached = {scalar for take in used for scalar in scalars_touched(take.name)}
    if any(scalar.startswith("load.") for scalar in reached):
        reached |= {f"load.{corner}" for corner in CORNERS}
    always = ["floor.pitch", "floor.bank", "tyre.loaded_radius"]
    return always + sorted(reached - set(always))


def twin(name: str) -> str | None:
    if "left" not in name or name.startswith(("mark.", "keep_clear.")):
        return None
    return name.replace("left", "right")


class Reference:
    """The fit of one vehicle: `value` (u,), `covariance` (u, u), residuals and their tests; points in the floor frame.

    Unknowns are mm, degree, kg, in the order of `unknowns`: ("upper.frame", 0..2) or ("floor.pitch", None).
    """

    def __init__(self, vehicle, places, scalars, cross_line=0.0, stage=None):
        self.vehicle, self.worked_axle, self.layout = vehicle, vehicle["worked_axle"], vehicle["layout"]
        self.stage, self.used = takes(vehicle, stage)
        self.points, self.scalars = points_in(vehicle, self.used), scalars_in(self.used)
        self.unknowns = [(point, axis) for point in self.points for axis in range(3)]
        self.unknowns += [(scalar, None) for scalar in self.scalars]
        self.slot = {unknown: number for number, unknown in enumerate(self.unknowns)}
        moved = {name: np.add(place, (cross_line, 0.0, 0.0)) for name, place in places.items()}
        self.typical = np.array(
            [moved[name][axis] if axis is not None else scalars.get(name, 0.0) for name, axis in self.unknowns]
        )
        self._assume()
        self._solve()

    # -- rows ------------------------------------------------------------------------------------------------------
    def _assume(self) -> None:
        rows, targets, spreads, weak = [], [], [], []

        def row(parts, target, spread, is_weak):
            line = np.zeros(len(self.unknowns))
            for unknown, factor in parts:
                line[self.slot[unknown]] += factor
            rows.append(line)
            targets.append(target)
            spreads.append(spread)
            weak.append(is_weak)

        for point, axis in itertools.product(self.points, range(3)):
            row([((point, axis), 1.0)], self.typical[self.slot[point, axis]], 300.0, True)
            if twin(point) in self.points:
                sign = 1.0 if axis == 1 else -1.0
                row([((point, axis), 1.0), ((twin(point), axis), sign)], 0.0, 40.0, True)
            if point.startswith("driveshaft.") and axis == 1:
                row([((point, axis), 1.0)], 0.0, 150.0, True)
        for wheel in WHEELS:
            row([((wheel, 2), 1.0), (("tyre.loaded_radius", None), -1.0)], 0.0, 5.0, False)
        for scalar in self.scalars:
            if scalar in ("floor.pitch", "floor.bank"):
                row([((scalar, None), 1.0)], 0.0, 0.6, False)
            else:
                row([((scalar, None), 1.0)], self.typical[self.slot[scalar, None]], SCALAR_SPREAD[scalar], True)
        self.assumed, self.assumed_target = np.array(rows), np.array(targets)
        self.assumed_sd, self.assumed_weak = np.array(spreads), np.array(weak)

    def split(self, unknown: np.ndarray) -> tuple[dict, dict]:
        places = {name: unknown[3 * number : 3 * number + 3] for number, name in enumerate(self.points)}
        return places, dict(zip(self.scalars, unknown[3 * len(self.points) :], strict=True))

    def shown(self, unknown: np.ndarray) -> np.ndarray:
        places, scalars = self.split(unknown)
        return np.array([predicted(take.name, places, scalars, self.worked_axle) for take in self.used])

    def misses(self, unknown: np.ndarray) -> np.ndarray:
        read = (self.shown(unknown) - self.read) / self.sd
        return np.concatenate([read, (self.assumed @ unknown - self.assumed_target) / self.assumed_sd])

    def changes(self, unknown: np.ndarray, spreads: np.ndarray | None = None) -> np.ndarray:
        """The whitened design matrix by central differences, moving only what a reading touches."""
        lines = np.zeros((len(self.used), len(unknown)))
        for number, take in enumerate(self.used):
            reached = [(point, axis) for point in set(touched(take.name)) for axis in range(3)]
            reached += [(scalar, None) for scalar in self.scalars if scalar not in ("tyre.loaded_radius",)]
            for column in (self.slot[unknown_] for unknown_ in reached):
                step = 1e-3
                ahead, behind = unknown.copy(), unknown.copy()
                ahead[column] += step
                behind[column] -= step
                there = predicted(take.name, *self.split(ahead), self.worked_axle)
                here = predicted(take.name, *self.split(behind), self.worked_axle)
                lines[number, column] = (there - here) / (2.0 * step * take.sd)
        spreads = self.assumed_sd if spreads is None else spreads
        return np.vstack([lines, self.assumed / spreads[:, None]])

    # -- solution --------------------------------------------------------------------------------------------------
    def _solve(self) -> None:
        self.read = np.array([take.value for take in self.used])
        self.sd = np.array([take.sd for take in self.used])
        answer = least_squares(
            self.misses, self.typical, self.changes, method="trf", xtol=1e-15, ftol=1e-15, gtol=1e-12, max_nfev=200
        )
        self.value = answer.x
        design = self.changes(self.value)
        self.covariance = np.linalg.inv(design.T @ design)
        weaker = np.where(self.assumed_weak, 10.0, 1.0) * self.assumed_sd
        loose = self.changes(self.value, weaker)
        self.weak_covariance = np.linalg.inv(loose.T @ loose)
        self.residual = self.shown(self.value) - self.read
        leverage = np.einsum("ij,jk,ik->i", design, self.covariance, design)
        self.redundancy = 1.0 - leverage[: len(self.used)]
        self.redundancy_of_assumptions = 1.0 - leverage[len(self.used) :]
        self.w = self.residual / (self.sd * np.sqrt(self.redundancy))

    def variance_factor(self) -> float:
        return float(np.sum((self.residual / self.sd) ** 2) / np.sum(self.redundancy))

    # -- vehicle frame ---------------------------------------------------------------------------------------------
    def to_vehicle(self, unknown: np.ndarray) -> dict[str, np.ndarray]:
        """Points with x = 0 at the worked axle's centre."""
        places, _ = self.split(unknown)
        origin = np.array([0.5 * (places["wheel_left.centre"][0] + places["wheel_right.centre"][0]), 0.0, 0.0])
        return {name: place - origin for name, place in places.items()}

    def point_covariance(self, name: str, covariance: np.ndarray | None = None) -> np.ndarray:
        """(3, 3) mm2 in the vehicle frame: the doubt of the origin is in it."""
        lines = np.zeros((3, len(self.value)))
        for axis in range(3):
            lines[axis, self.slot[name, axis]] += 1.0
        for wheel in WHEELS[:2]:
            lines[0, self.slot[wheel, 0]] -= 0.5
        return lines @ (self.covariance if covariance is None else covariance) @ lines.T

    def known(self, name: str) -> bool:
        """Ten times weaker assumptions less than double the sd in every direction."""
        here, loose = self.point_covariance(name), self.point_covariance(name, self.weak_covariance)
        lower = np.linalg.cholesky(here + 1e-12 * np.eye(3))
        ratio = np.linalg.solve(lower, np.linalg.solve(lower, loose).T)
        return bool(np.max(np.linalg.eigvalsh(0.5 * (ratio + ratio.T))) < 4.0)
