"""Does a value that is being typed go with what is known already? The innovation test, before anything is recorded."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.evidence import CRITICAL
from geometry.fit import Fit
from geometry.frame import Array
from geometry.likely import Likely, worth_naming
from geometry.readings import parse_name
from geometry.slips import explain
from geometry.undoing import Typed

TOO_VAGUE = {"mm": 100.0, "deg": 20.0, "kg": 400.0}
"""An expectation with a larger sd than this, file unit, says nothing worth a remark."""
LEANS = 2.0
"""An expectation leans on assumptions when its sd grows by this factor as the weak ones are weakened tenfold."""
FAR_WHEN_LEANING = 5.0
"""How many sds such an expectation must be missed by: this vehicle may only be less alike left and right than most."""
RESTS_SHARE = 0.1
"""A reading is said to carry an expectation when it holds at least this share of its variance."""
MOST_RESTS = 3


@dataclass(frozen=True)
class Expectation:
    """What the readings so far say a reading should show. value, sd: file unit, one sd of that alone.

    leans: it stands on assumptions more than on readings. rests_on: names of the readings that hold it, most first;
    earlier takes of the reading itself among them.
    """

    value: float
    sd: float
    leans: bool
    rests_on: tuple[str, ...]


@dataclass(frozen=True)
class Remark:
    """A typed value that is far from what is expected; file unit (mm, deg, kg).

    expected, sd: what the readings so far say, one sd of that. spread: one sd of the difference, the new reading's own
    scatter in it. difference: typed less expected. likely: the slip that explains it best, if one does; also: all of
    them, likeliest first. rests_on, leans: see `Expectation`.
    """

    name: str
    unit: str
    typed: float
    expected: float
    sd: float
    spread: float
    difference: float
    likely: Likely | None
    also: tuple[Likely, ...]
    rests_on: tuple[str, ...]
    leans: bool


def expect(fitted: Fit, name: str) -> Expectation:
    """What is expected of a reading, entered or not. Errors: BadName."""
    values, sds = fitted.predict([name])
    value, variance = float(values[0]), float(sds[0]) ** 2
    row = fitted.partials([name])[0]
    strong, weak = float(row @ fitted.covariance @ row), float(row @ fitted.weak_covariance @ row)
    outside = variance - strong
    leans = outside > 0.5 * variance or weak > LEANS**2 * strong
    return Expectation(value, math.sqrt(variance), leans, _rests_on(fitted, row, variance))


@dataclass(frozen=True)
class Bounds:
    """How far a reading may be from what is expected before it deserves a remark. value, sd: as in `Expectation`.

    limit: the greatest distance without a remark, for a reading of the expected value; None when there is too little to
    go by. own_sd: the reading's own scatter in it. All in the file unit.
    """

    value: float
    sd: float
    own_sd: float
    limit: float | None


def bounds(fitted: Fit, names: Sequence[str]) -> tuple[Bounds, ...]:
    """The bounds of many readings at once, for whoever has to judge with no connection. Errors: BadName."""
    values, sds = fitted.predict(names)
    rows = fitted.partials(names)
    strong = np.einsum("ij,jk,ik->i", rows, fitted.covariance, rows)
    weak = np.einsum("ij,jk,ik->i", rows, fitted.weak_covariance, rows)
    leans = (sds**2 - strong > 0.5 * sds**2) | (weak > LEANS**2 * strong)
    found = []
    for name, value, sd, lean in zip(names, values.tolist(), sds.tolist(), leans.tolist(), strict=True):
        kind = parse_name(name, fitted.setup.layout, fitted.setup.worked_axle).kind
        own_sd = kind.sd(value, fitted.setup.tape_class)
        far = (FAR_WHEN_LEANING if lean else CRITICAL) * math.hypot(sd, own_sd)
        found.append(Bounds(value, sd, own_sd, far if sd <= TOO_VAGUE[kind.unit] else None))
    return tuple(found)


def _rests_on(fitted: Fit, row: Array, variance: float) -> tuple[str, ...]:
    """The readings that hold most of the variance of what `row` (u,) predicts: each adds (its row C row')^2."""
    n = len(fitted.observations)
    if variance <= 0.0 or not n:
        return ()
    share = (fitted.design_matrix[:n] @ fitted.covariance @ row) ** 2 / variance
    order = [int(number) for number in np.argsort(-share, kind="stable") if share[number] >= RESTS_SHARE]
    return tuple(dict.fromkeys(fitted.observations[number].name for number in order))[:MOST_RESTS]


def remark(
    fitted: Fit, name: str, value: float, unit: str = "", text: str = "", sd: float | None = None
) -> Remark | None:
    """What there is to say about `value` (file unit) typed for `name`; None when it goes with the rest.

    fitted: the fit before this value; takes of the same reading in it are part of what is expected. unit, text: as
    typed, where known. sd: of this reading alone, file unit, in place of the usual one. An expectation that stands on a
    typical place alone is too vague to speak; one that stands on left and right being alike speaks only when it is
    missed by far. The physical range is the caller's to look at.
    Errors: BadName.
    """
    reading = parse_name(name, fitted.setup.layout, fitted.setup.worked_axle)
    kind, known = reading.kind, expect(fitted, name)
    if known.sd > TOO_VAGUE[kind.unit]:
        return None
    spread = math.hypot(known.sd, kind.sd(value, fitted.setup.tape_class) if sd is None else sd)
    if abs(value - known.value) <= (FAR_WHEN_LEANING if known.leans else CRITICAL) * spread:
        return None
    explanations, _ = explain(Typed(value, kind.unit, unit, text), kind.slips, known.value, spread)
    side = kind.side(reading.subject, reading.setting)  # a left bolt read left was not read right by mistake
    also = worth_naming((one for one in explanations if one.value * side >= 0.0), kind.low, kind.high)
    return Remark(
        name=name,
        unit=kind.unit,
        typed=value,
        expected=known.value,
        sd=known.sd,
        spread=spread,
        difference=value - known.value,
        likely=also[0] if also else None,
        also=also,
        rests_on=known.rests_on,
        leans=known.leans,
    )
