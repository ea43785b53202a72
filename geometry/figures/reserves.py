"""What each link bears over what it carries in each stated case: buckling when pushed, its thread's root when pulled,
and for a radius arm, which is bolted to the axle twice, bending and thrust together at its nearer axle bolt.

A reserve is a ratio: 3 means that the case could be three times as hard before the link buckles, or before the thread
yields. No yield stress is built in, because published figures for the common drawn tube disagree; the person states
what the seller states. A sizing aid, never a rating.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geometry.columns import STEEL_MODULUS, Tube, bent, buckling, off_axis, thread_area
from geometry.complex_step import STEP, Complex, norm
from geometry.figures import Spread, figure_words
from geometry.figures.base import Facts
from geometry.figures.loads import CASES, Assumed, Case, arm_bending, balanced, taken, wait_for_weights
from geometry.figures.ride import Ride
from geometry.figures.spread import covariance
from geometry.fit import Fit
from geometry.frame import Array
from geometry.layouts import Link

LOWEST_YIELD = 379.0
"""N/mm2, 55 ksi: the lowest published minimum for ASTM A513 type 5 tube of 1020 steel, drawn over a mandrel."""
STATED = "as stated"
NEXT_TO_NOTHING = 1.0
"""N: a link that carries less has no ratio worth a number."""
SMALL_MOVE = 0.01


@dataclass(frozen=True)
class Reserve:
    """One link in one case. force: what it carries, N, + tension, with one sd. bears: what it could, N; by: how it
    would give ("Euler", "Johnson", "offset joints", "bending", "thread at the frame", "thread at the axle").

    reserve: bears over force, with one sd; None where it cannot be said, and the sentence says why and what to state.
    yield_stress N/mm2 and where it comes from. asks: the fact that is to be stated first, as
    "tubes.lower_left.yield_stress"; empty where none is missing. leans: the reserve stands on a guess in place of a
    reading.
    """

    link: str
    case: str
    case_words: str
    force: float
    force_sd: float
    bears: float | None
    by: str | None
    reserve: float | None
    sd: float | None
    yield_stress: float | None
    yield_source: str | None
    sentence: str
    asks: str = ""
    leans: bool = False


@dataclass(frozen=True)
class ReserveTable:
    """Every link in every case, the least reserve first, those without a number last; what the cases take for granted,
    the caution that belongs beside any of it, and the yield stress that is offered where none is stated."""

    rows: tuple[Reserve, ...]
    assumed: Assumed
    caution: str = figure_words.SIZING_AID
    offered_yield: float = LOWEST_YIELD
    offered_source: str = figure_words.YIELD_SOURCE


@dataclass(frozen=True)
class _Bearing:
    """What a link bears as a function of its length, or why that cannot be said."""

    at: Callable[[float], tuple[float, str]] | None
    yield_stress: float | None = None
    why: str = ""
    asks: str = ""


def reserves(fit: Fit, facts: Facts, assumed: Assumed | None = None) -> ReserveTable:
    """The table of one vehicle, counted with what is stated, or with `assumed`.

    NotYet names the weights and the height the loads wait for.
    """
    ride, counted = Ride(fit, facts), assumed if assumed is not None else taken(facts)
    wait_for_weights(ride)
    rows = [row for case in CASES for row in _of_case(ride, case, counted)]
    return ReserveTable(tuple(sorted(rows, key=_order)), counted)


def _order(row: Reserve) -> tuple[bool, float]:
    return row.reserve is None, row.reserve if row.reserve is not None else -abs(row.force)


def _of_case(ride: Ride, case: Case, assumed: Assumed) -> list[Reserve]:
    held = balanced(ride, case.pushes(ride, assumed), assumed)
    links = {link.name: link for link in ride.layout.links}
    return [
        _arm_row(ride, case, links[name], np.asarray(force), held.feet[name]) if name in held.feet
        else _row(ride, case, links[name], np.asarray(force))
        for name, force in held.forces.items()
    ]


def _row(ride: Ride, case: Case, link: Link, force: Complex) -> Reserve:
    carried, slope = float(force.real[0]), force.imag / STEP
    force_sd = _sd(ride, slope)
    length = norm(ride.link(link.name))
    bearing = _bearing(ride, link, pulled=carried > 0.0)
    head = link.name, case.key, case.words, carried, force_sd
    if abs(carried) < NEXT_TO_NOTHING:
        return Reserve(*head, None, None, None, None, None, None, figure_words.NEXT_TO_NOTHING)
    if bearing.at is None:
        return Reserve(*head, None, None, None, None, bearing.yield_stress, None, bearing.why, bearing.asks)
    at = float(length.real[0])
    bears, by = bearing.at(at)
    per_mm = (bearing.at(at + SMALL_MOVE)[0] - bearing.at(at - SMALL_MOVE)[0]) / (2.0 * SMALL_MOVE)
    ratio = bears / abs(carried)
    gradient = per_mm * length.imag / STEP / abs(carried) - ratio * slope / carried
    sd, leans = _sd(ride, gradient), _leans(ride, gradient)
    sentence = _says(link, case, ratio, sd, by)
    return Reserve(*head, bears, by, ratio, sd, bearing.yield_stress, STATED, sentence, leans=leans)


def _arm_row(ride: Ride, case: Case, link: Link, force: Complex, foot: Complex) -> Reserve:
    """A radius arm: how many times the case it bears before it yields at its nearer axle bolt."""
    carried, force_sd = float(force.real[0]), _sd(ride, force.imag / STEP)
    head = link.name, case.key, case.words, carried, force_sd
    section = arm_section(ride.facts, link)
    if isinstance(section, str):
        return Reserve(*head, None, None, None, None, None, None, section, _arm_asks(ride.facts, link))
    thrust, moment, length = arm_bending(ride, link, foot)
    if float(norm(foot)[0].real) < NEXT_TO_NOTHING or not float(length[0].real) > 0.0:
        return Reserve(*head, None, None, None, None, None, None, figure_words.NEXT_TO_NOTHING)
    critical = -thrust * (2.0 * length) ** 2 / (np.pi**2 * STEEL_MODULUS * section.second_moment)
    times = bent(thrust / section.area, moment / section.modulus, critical, section.yield_stress)
    ratio, sd = float(times.real[0]), _sd(ride, times.imag / STEP)
    sentence, leans = _says(link, case, ratio, sd, "bending"), _leans(ride, times.imag / STEP)
    bears = ratio * abs(carried)
    return Reserve(*head, bears, "bending", ratio, sd, section.yield_stress, STATED, sentence, leans=leans)


@dataclass(frozen=True)
class ArmSection:
    """A radius arm's section at its axle bolts: mm2, mm3, mm4, N/mm2."""

    area: float
    modulus: float
    second_moment: float
    yield_stress: float


def arm_section(facts: Facts, arm: Link) -> ArmSection | str:
    """The section that bends, or one sentence what to state."""
    fact = facts.tubes.get(arm.name)
    stated = fact is not None and fact.section_modulus is not None and fact.section_area is not None
    if fact is None or not (stated or fact.wall is not None):
        return figure_words.state_the_arm(arm.words)
    if fact.yield_stress is None or not fact.yield_stress > 0.0:
        return _ask_yield(f"the {arm.words}")
    if fact.section_modulus is not None and fact.section_area is not None:
        if not (fact.section_modulus > 0.0 and fact.section_area > 0.0):
            return figure_words.section_above_nothing(arm.words)
        second = fact.section_modulus * 0.5 * fact.outside_diameter
        return ArmSection(fact.section_area, fact.section_modulus, second, fact.yield_stress)
    try:
        tube = Tube(fact.outside_diameter, fact.wall or 0.0)
    except ValueError:
        return figure_words.no_such_wall(arm.words)
    return ArmSection(tube.area, tube.modulus, tube.second_moment, fact.yield_stress)


def _arm_asks(facts: Facts, arm: Link) -> str:
    """The fact an arm without a section waits for."""
    fact = facts.tubes.get(arm.name)
    if fact is None or (fact.wall is None and fact.section_modulus is None):
        return f"tubes.{arm.name}.outside_diameter"
    return f"tubes.{arm.name}.{'yield_stress' if fact.yield_stress is None else 'wall'}"


def _sd(ride: Ride, gradient: Array) -> float:
    return float(np.sqrt(max(float(gradient @ covariance(ride) @ gradient), 0.0)))


def _leans(ride: Ride, gradient: Array) -> bool:
    return bool(Spread(ride).leans(gradient))


def _bearing(ride: Ride, link: Link, pulled: bool) -> _Bearing:
    return _pulled(ride.facts, link) if pulled else _pushed(ride.facts, link)


def _pushed(facts: Facts, link: Link) -> _Bearing:
    fact = facts.tubes.get(link.name)
    if fact is None or fact.wall is None:
        return _Bearing(None, None, figure_words.state_the_tube(link.words), f"tubes.{link.name}.outside_diameter")
    if fact.yield_stress is None:
        return _Bearing(None, None, _ask_yield(f"the {link.words}'s tube"), f"tubes.{link.name}.yield_stress")
    try:
        tube = Tube(fact.outside_diameter, fact.wall)
    except ValueError:
        return _Bearing(None, None, figure_words.no_such_wall(link.words), f"tubes.{link.name}.wall")
    stress, offset = fact.yield_stress, fact.joint_offset
    if not stress > 0.0:
        return _Bearing(None, None, _ask_yield(f"the {link.words}'s tube"), f"tubes.{link.name}.yield_stress")
    if offset == 0.0:
        return _Bearing(lambda length: buckling(tube, length, stress), stress)
    return _Bearing(lambda length: (off_axis(tube, length, offset, stress), "offset joints"), stress)


def _pulled(facts: Facts, link: Link) -> _Bearing:
    """The weaker of both ends' threads."""
    found = []
    tube = facts.tubes.get(link.name)
    for end, thread in facts.threads.get(link.name, {}).items():
        if thread.diameter is None:
            continue
        stress = thread.yield_stress or (tube.yield_stress if tube is not None else None)
        if stress is None or not stress > 0.0:
            asks = f"tubes.{link.name}.yield_stress"
            return _Bearing(None, None, _ask_yield(f"the {link.words}'s threaded ends"), asks)
        if not thread.diameter > 0.9743 * thread.pitch:
            asks = f"threads.{link.name}.{end}.pitch"
            return _Bearing(None, None, figure_words.thread_too_fine(link.words), asks)
        found.append((stress * thread_area(thread.diameter, thread.pitch), f"thread at the {end}", stress))
    if not found:
        return _Bearing(None, None, figure_words.state_the_threads(link.words), f"threads.{link.name}.frame.diameter")
    bears, by, stress = min(found)
    return _Bearing(lambda length: (bears, by), stress)


def _ask_yield(of: str) -> str:
    return figure_words.state_the_yield(of, LOWEST_YIELD)


def _says(link: Link, case: Case, ratio: float, sd: float, by: str) -> str:
    how = f"its {by} yields" if by.startswith("thread") else figure_words.YIELDS_AT_BOLTS if by == "bending" else (
        "it buckles")
    if ratio < 1.0:
        return figure_words.bears_less(link.words, case.words, how)
    return figure_words.bears_more(case.words, link.words, how)
