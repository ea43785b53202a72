"""How long deciding takes: a plan of moves, its sweep, a step on the phone's page, a table of 3 x 4 holes, an aim, two
stages compared. Every round moves something else, so that nothing is answered from memory."""

from __future__ import annotations

import itertools
import json
import tempfile
from pathlib import Path
from typing import Any

from capture import create_app, report
from capture.settings import Settings
from capture.vehicle_file import read_vehicle_file
from geometry.aims import Room, Want, aim
from geometry.compare import compare
from geometry.holes import Want as Nearest
from geometry.holes import row, table
from geometry.moves import LinkBy, Plan, PointBy
from geometry.what_if import Measured, what_if
from tests.benchmarks.clock import in_turn, said
from tests.geometry.test_aims import contradicting
from tests.reference.made import made

ROUNDS = 7


def run() -> None:
    """Prints medians; the targets are 50 ms for all figures of a plan and 200 ms for the table."""
    whole = made("three_link_panhard", "front", 11, 1.0, True)
    vehicle = read_vehicle_file(json.dumps(whole).encode(), "timed")
    before, after = (report.build(vehicle, stage).fit for stage in ("mock_up", "tacked"))
    facts = report.facts_of(vehicle)
    measured = Measured(before, facts)
    measured.figures, measured.columns  # noqa: B018  worked out once a vehicle
    far = itertools.count(1)

    def plan() -> Plan:
        return Plan((LinkBy("lower_left", 5.0), PointBy("panhard.frame", z=0.1 * next(far))))

    rows = [row("upper.frame", 3, 25.4, (0, 0, 1)), row("panhard.frame", 4, 20.0, (0, 0, 1))]
    here = before.placed()["upper.frame"]
    room = Room("upper.frame", (here.x, here.y, here.z - 60.0), (here.x, here.y, here.z + 60.0))
    now = measured.figures["anti_dive"].value or 0.0

    def figures() -> object:
        outcome = what_if(measured, plan())
        return outcome.figures, outcome.differences

    client, page = _paired(whole)

    def step() -> object:
        answer = client.get(f"{page}/what-if?part=1&act=z%2B&do=by,panhard.frame,0,0,{0.1 * next(far):.1f}")
        assert answer.status_code == 200
        return answer.data

    def holes() -> object:
        return table(before, facts, rows, Nearest("anti_dive", now + 0.01 * next(far)))

    works = {
        "a plan: all figures with spreads and differences": figures,
        "a plan: the sweep and its differences": lambda: what_if(measured, plan()).sweep_differences,
        "a step on the phone: drawing, figures and curve of the page, at the laptop": step,
        "a table of 3 x 4 holes, looked at over the whole travel": holes,
        "an aim on one bolt": lambda: aim(measured, [Want("anti_dive", now + 3.0, now + 5.0)], [room]),
        "aims on four bolts that contradict each other": lambda: aim(measured, *contradicting(measured)),
        "two stages compared": lambda: compare(before, after, facts),
    }
    for words, seconds in zip(works, in_turn(tuple(works.values()), ROUNDS), strict=True):
        print(f"{said(seconds)}  {words}")


def _paired(whole: dict[str, Any]) -> tuple[Any, str]:
    """A client that was let in, and the address of this vehicle."""
    app = create_app(Settings(Path(tempfile.mkdtemp()), allowed_hosts=("localhost",)))
    client = app.test_client()
    client.environ_base["HTTP_ORIGIN"] = "http://localhost"
    client.get("/in", query_string={"key": app.extensions["plumbtack"].pairing.key})
    return client, f"/vehicles/{client.post('/vehicles', json=whole).json['id']}"
