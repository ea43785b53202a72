"""What rests on the readings in doubt besides the figures: columns over the travel, joints, loads and gaps.

Each is worked out once more without those readings; what leaves its own spread then, or is known no more, is in doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable

from geometry.figures import Column, Facts, SweepTable, joints, loads
from geometry.figures.base import NotYet

from capture.report import Report, facts_of
from capture.worked import Worked

Known = dict[Hashable, tuple[float, float]]
"""What is known: a value and one sd of it."""


def columns(report: Report) -> tuple[frozenset[str], frozenset[str]]:
    """The columns in doubt: over travel, and with one wheel up and the other down."""
    without = report.without
    if without is None:
        return frozenset(), frozenset()
    over, crossed = zip(_tables(report.worked, report.facts), _tables(without, report.facts), strict=True)
    return _columns(*over), _columns(*crossed)


def _tables(worked: Worked, facts: Facts) -> tuple[tuple[SweepTable, ...], tuple[SweepTable, ...]]:
    over, crossed = worked.standing(facts)
    return (worked.sheet(facts).sweep, over), (worked.articulation(facts), crossed)


def _columns(now: tuple[SweepTable, ...], without: tuple[SweepTable, ...]) -> frozenset[str]:
    return frozenset(
        key for one, other in zip(now, without, strict=True) for key, column in one.columns.items()
        if not column.leans and _left(_steps(one, column), _steps(other, other.columns[key]))
    )  # fmt: skip


def _steps(table: SweepTable, column: Column) -> Known:
    return {way: (value, sd or 0.0) for way, value, sd in zip(table.travel, column.values, column.sd, strict=True)
            if value is not None and not column.leans}  # fmt: skip


def joints_in_doubt(report: Report) -> frozenset[Hashable]:
    """(link, end) of the joints."""
    return _found(report, lambda worked: {
        (one.link, one.end): (one.most, one.sd) for one in joints.joint_swings(worked.fit, facts_of(report.vehicle))
        if one.most is not None and one.sd is not None and not one.leans})


def loads_in_doubt(report: Report) -> frozenset[Hashable]:
    """(link, case) of the loads."""
    return _found(report, lambda worked: {
        (one.link, one.case): (one.force, one.sd)
        for one in loads.link_loads(worked.fit, facts_of(report.vehicle))})


def gaps_in_doubt(report: Report) -> frozenset[Hashable]:
    """(one, other) of the pairs of parts."""
    return _found(report, lambda worked: {
        (one.one, one.other): (one.least, one.sd) for one in worked.gaps(report.facts).rows if not one.leans})


def _found(report: Report, known: Callable[[Worked], Known]) -> frozenset[Hashable]:
    if report.without is None:
        return frozenset()
    now = known(report.worked)
    try:
        return _left(now, known(report.without))
    except NotYet:
        return frozenset(now)


def _left(now: Known, without: Known) -> frozenset[Hashable]:
    """What has left its own spread, or is known no more."""
    return frozenset(key for key, (value, sd) in now.items()
                     if key not in without or abs(without[key][0] - value) > max(sd, 1e-9))
