"""What everything would be under the likeliest correction of the doubts: nothing is changed, only worked out beside."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from geometry.doubt import Doubt
from geometry.fit import OUT_OF_THE_FIT, Fit, fit


def likeliest(fitted: Fit, doubts: Iterable[Doubt]) -> Fit:
    """The fit with each doubt settled as it most likely will be.

    A reading with a likely slip stands with the value that would have stood there; one without counts for nothing. Of a
    tie the first is settled so, of a shared mistake all members are left out, and a rule alone leaves out its first;
    one about stated facts moves no reading.
    """
    values: dict[str, float] = {}
    out: set[str] = set()
    for doubt in doubts:
        if doubt.shared is not None:
            out.update(doubt.readings)
        elif doubt.likely is not None:
            values[doubt.readings[0]] = doubt.likely.value
        elif doubt.readings:
            out.add(doubt.readings[0])
    if not values and not out:
        return fitted
    settled = [
        replace(
            seen,
            value=values.get(seen.key, seen.value),
            added_sd=OUT_OF_THE_FIT if seen.key in out else seen.added_sd,
        )
        if seen.key in values or seen.key in out
        else seen
        for seen in fitted.observations
    ]
    return fit(fitted.setup, settled)
