"""The slips a phone can tell by itself while a value is typed: those that one sum undoes, handed over with the page."""

from __future__ import annotations

from typing import Any

from geometry.readings.kind import Kind
from geometry.slips import CATALOGUE, USUAL_SIZE, no_row, simple

ROWS = simple(CATALOGUE)


def table() -> dict[str, Any]:
    """All rows, and how large a mistake usually is that none of them explains."""
    return {
        "rows": [
            {"name": row.slip.name, "how": row.slip.how, "inch": row.slip.inch, "metric": row.slip.metric,
             **({"off_metric": True} if row.slip.off_metric else {}),
             **({"factor": row.factor} if row.factor is not None else {"shift": row.shift, "long": row.too_long})}
            for row in ROWS
        ],
        "usual": USUAL_SIZE,
    }


def numbers(kind: Kind) -> list[int]:
    """Which rows of the table fit a kind of reading."""
    return [number for number, row in enumerate(ROWS) if row.slip.name in kind.slips]


def elsewhere(kind: Kind) -> list[float]:
    """How common a mistake is that no row explains, typed in inches, metric, and in inches with a fraction."""
    rows = [CATALOGUE[name] for name in kind.slips]
    columns = ((row.inch for row in rows), (row.metric for row in rows),
               (row.inch for row in rows if not row.off_metric))
    return [round(no_row(column), 3) for column in columns]
