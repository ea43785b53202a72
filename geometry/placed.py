"""Points in the vehicle frame, with the doubt of that frame's origin, and whether they are known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.frame import Array

ORIGIN = ("wheel_left.centre", "wheel_right.centre")
"""The points whose middle is the worked axle's centre, where the vehicle frame has x = 0."""
KNOWN_GROWTH = 2.0
"""A point is known when its sd grows by less than this in every direction as the weak assumptions are weakened."""
PLANES = {"side": (0, 2), "top": (0, 1), "end": (1, 2)}
"""What each way of looking at the vehicle shows of a place: which two of x, y, z."""


@dataclass(frozen=True)
class Placed:
    """A point in the vehicle frame, mm, with the doubt of the frame's origin.

    sd (3,); cov 3 x 3, mm2; known: False when it stands on an assumption alone in some direction; takes: how many
    readings touch it. seen: those of PLANES in which it stands on no assumption alone; all of them when known.
    """

    name: str
    x: float
    y: float
    z: float
    sd: tuple[float, float, float]
    cov: tuple[tuple[float, float, float], ...]
    known: bool
    takes: int
    seen: frozenset[str] = frozenset()


def origin_of(slots: Mapping[str, int], estimate: Array) -> float:
    """x of the worked axle's centre in the floor frame, mm."""
    return float(np.mean([estimate[slots[name]] for name in ORIGIN]))


def place_points(
    names: Sequence[str],
    slots: Mapping[str, int],
    estimate: Array,
    covariance: Array,
    weak_covariance: Array,
    takes: Mapping[str, int],
) -> dict[str, Placed]:
    """Each named point in the vehicle frame. estimate (u,), both covariances (u, u): floor frame, mm; takes by name."""
    columns = np.array([slots[name] for name in names], dtype=np.intp)[:, None] + np.arange(3)
    centres = [slots[name] for name in ORIGIN]
    places = estimate[columns]
    places[:, 0] -= origin_of(slots, estimate)
    spread = _blocks(covariance, columns, centres)
    weak = _blocks(weak_covariance, columns, centres)
    known = _growth(spread, weak) < KNOWN_GROWTH**2
    seen = _seen(spread, weak)
    return {
        name: _placed(name, places[i], spread[i], bool(known[i]), takes.get(name, 0), seen[i])
        for i, name in enumerate(names)
    }


def _seen(spread: Array, weak: Array) -> list[frozenset[str]]:
    """For each point the planes in which no direction grows so far that it is a guess, (p,)."""
    found: list[list[str]] = [[] for _ in spread]
    for plane, axes in PLANES.items():
        picked = np.ix_(range(len(spread)), axes, axes)
        for at in np.flatnonzero(_growth(spread[picked], weak[picked]) < KNOWN_GROWTH**2):
            found[at].append(plane)
    return [frozenset(planes) for planes in found]


def _blocks(covariance: Array, columns: NDArray[np.intp], centres: list[int]) -> Array:
    """Each point's 3 x 3 covariance in the vehicle frame, (p, 3, 3): x less the mean of the two centres' x."""
    shares = np.zeros((len(covariance), 1))
    shares[centres] = 0.5
    with_origin = (covariance @ shares)[:, 0]
    origin = float(shares[:, 0] @ with_origin)
    blocks: Array = covariance[columns[:, :, None], columns[:, None, :]]
    cross = with_origin[columns]
    blocks[:, 0, :] -= cross
    blocks[:, :, 0] -= cross
    blocks[:, 0, 0] += origin
    return blocks


def _growth(spread: Array, weak: Array) -> Array:
    """The largest growth of variance in any direction, (p,): the greatest generalised eigenvalue of weak to spread."""
    root = np.linalg.inv(np.linalg.cholesky(spread))
    values = np.linalg.eigvalsh(root @ weak @ root.transpose(0, 2, 1))
    return np.asarray(values[:, -1], dtype=np.float64)


def _placed(name: str, place: Array, spread: Array, known: bool, takes: int, seen: frozenset[str]) -> Placed:
    x, y, z = place.tolist()
    first, second, third = np.sqrt(np.diag(spread)).tolist()
    rows = tuple((row[0], row[1], row[2]) for row in spread.tolist())
    return Placed(name, x, y, z, (first, second, third), rows, known, takes, seen)
