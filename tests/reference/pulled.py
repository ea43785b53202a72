"""Made vehicles read at two stages, one bolt pulled away in between; by scatter of usual size or of our choice."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.reference.made import crooked, possible, unit_of
from tests.reference.readings import predicted, usual_sd

MOVED = "lower_right.frame"
SCALARS = {"floor.pitch": 0.3, "floor.bank": -0.2, "pinion": 4.5, "gearbox_output": -3.2, "cg.z": 755.0,
           "travel.bump": 86.0, "travel.droop": 104.0, "tyre.free_diameter": 868.0}  # fmt: skip


def two_stages(
    seed: int,
    by: Sequence[float] | np.ndarray,
    sd: float | None = None,
    moved: str = MOVED,
    worked_axle: str = "rear",
    later: str = "tacked",
) -> dict:
    """A three-link axle read at mock-up, and its bolts again once `moved` is pulled away by `by`, mm.

    sd: stated with every length and a tenth of it, in degrees, with every angle, and the scatter too; else the usual.
    """
    scatter = np.random.default_rng(seed)
    places = crooked("three_link_panhard", worked_axle, scatter)
    pulled = places | {moved: places[moved] + np.asarray(by)}
    names = [name for name in possible("three_link_panhard", places) if not name.startswith("weight")]
    entries = []
    for stage, there in (("mock_up", places), (later, pulled)):
        for name in names:
            bolts = any(word in name for word in (".frame", "wheel", "lower", "upper", "panhard"))
            if stage == later and not bolts:
                continue
            value = predicted(name, there, SCALARS, worked_axle)
            own = usual_sd(name, value) if sd is None else sd if unit_of(name) == "mm" else sd / 10.0
            value += scatter.normal(0.0, own)
            entries.append(
                {"id": f"pulled-{len(entries):05d}", "at": "2026-03-01T10:00:00Z", "stage": stage, "type": "reading",
                 "reading": name, "value": round(value, 3), "text": f"{value:.3f}", "unit": unit_of(name)}
                | ({} if sd is None else {"sd": round(own, 4)})
            )  # fmt: skip
    head = {"format": "plumbtack vehicle", "version": 1, "name": "pulled", "worked_axle": worked_axle}
    return head | {"layout": "three_link_panhard", "facts": {"brake_share_front": 0.6}, "entries": entries}
