"""How much a straight link bears before it buckles or its thread gives: a sizing aid, never a rating.

Formulas: section of a round tube; Euler's load for a slender column and Johnson's parabola for a stocky one, meeting at
half the yield stress (Shigley, Mechanical Engineering Design, 4-12 and 4-13, from memory); the secant formula where the
load stands off the tube's axis; bending and thrust together in a bar held at one end; tensile stress area of a unified
thread (ASME B1.1, from memory). Lengths mm, forces N, stresses N/mm2 (MPa). Both ends of a link are taken as pinned,
which rod ends are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from geometry.complex_step import Complex, absolute

STEEL_MODULUS = 205_000.0
"""N/mm2, usual for structural steel; common practice, no source."""
BISECTIONS = 80


@dataclass(frozen=True)
class Tube:
    """A round tube: outside diameter and wall, mm. A wall of half the diameter is a solid bar."""

    outside: float
    wall: float

    def __post_init__(self) -> None:
        if not (self.outside > 0 and 0 < self.wall <= 0.5 * self.outside):
            raise ValueError(f"a tube of {self.outside} mm has no wall of {self.wall} mm")

    @property
    def inside(self) -> float:
        """Bore, mm."""
        return self.outside - 2.0 * self.wall

    @property
    def area(self) -> float:
        """mm2."""
        return math.pi / 4.0 * (self.outside**2 - self.inside**2)

    @property
    def second_moment(self) -> float:
        """Of area, mm4."""
        return math.pi / 64.0 * (self.outside**4 - self.inside**4)

    @property
    def modulus(self) -> float:
        """Section modulus, second moment over half the diameter, mm3."""
        return self.second_moment / (0.5 * self.outside)

    @property
    def gyration(self) -> float:
        """Radius of gyration, mm."""
        return math.sqrt(self.outside**2 + self.inside**2) / 4.0


def slenderness(tube: Tube, length: float) -> float:
    """Length over radius of gyration."""
    return length / tube.gyration


def transition(yield_stress: float, modulus: float = STEEL_MODULUS) -> float:
    """The slenderness where Euler and Johnson meet, at half the yield stress."""
    return math.sqrt(2.0 * math.pi**2 * modulus / yield_stress)


def euler(tube: Tube, length: float, modulus: float = STEEL_MODULUS) -> float:
    """Buckling load of a slender pinned column, N."""
    return math.pi**2 * modulus * tube.second_moment / length**2


def johnson(tube: Tube, length: float, yield_stress: float, modulus: float = STEEL_MODULUS) -> float:
    """Buckling load of a stocky pinned column, N."""
    fall = (yield_stress * slenderness(tube, length) / (2.0 * math.pi)) ** 2 / modulus
    return tube.area * (yield_stress - fall)


def buckling(tube: Tube, length: float, yield_stress: float, modulus: float = STEEL_MODULUS) -> tuple[float, str]:
    """The load at which a straight pinned link buckles, N, and which formula governs."""
    if slenderness(tube, length) > transition(yield_stress, modulus):
        return euler(tube, length, modulus), "Euler"
    return johnson(tube, length, yield_stress, modulus), "Johnson"


def off_axis(
    tube: Tube, length: float, offset: float, yield_stress: float, modulus: float = STEEL_MODULUS
) -> float:
    """The load at which the tube first yields when its ends stand `offset` mm off its axis, N: the secant formula.

    Never above the straight link's buckling load.
    """
    straight, _ = buckling(tube, length, yield_stress, modulus)
    if offset == 0:
        return straight
    most = euler(tube, length, modulus)
    factor = abs(offset) * 0.5 * tube.outside / tube.gyration**2
    low, high = 0.0, most * (1.0 - 1e-12)
    for _ in range(BISECTIONS):
        load = 0.5 * (low + high)
        bow = 1.0 / math.cos(0.5 * math.pi * math.sqrt(load / most))
        stress = load / tube.area * (1.0 + factor * bow)
        low, high = (load, high) if stress < yield_stress else (low, load)
    return min(straight, low)


def bent(stress: Complex, bending: Complex, critical: Complex, yield_stress: float) -> Complex:
    """How many times the load a bar that is pressed and bent at once bears before its worst fibre yields.

    stress: load over area, pressed +, pulled -; bending: moment over section modulus, both of the load as it is, N/mm2.
    critical: how much of its Euler load the load is; a pressed bar's bending grows by 1 / (1 - that), a pulled one's is
    left as it is. k |stress| + k bending / (1 - k critical) = yield, solved for k: beam-columns, the usual first
    approximation (Timoshenko, Theory of Elastic Stability, from memory).
    """
    stress, critical = absolute(stress), np.where(critical.real > 0, critical, 0.0 * critical)
    whole = stress + bending + yield_stress * critical
    root = np.sqrt(whole**2 - 4.0 * stress * critical * yield_stress)
    return np.asarray(2.0 * yield_stress / (whole + root))


def thread_area(diameter: float, pitch: float) -> float:
    """Tensile stress area of a unified or metric 60 degree thread, mm2: pi/4 (D - 0.9743 P)^2, D and P in mm."""
    return math.pi / 4.0 * (diameter - 0.9743 * pitch) ** 2
