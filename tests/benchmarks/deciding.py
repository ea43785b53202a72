"""How long deciding takes: a plan of moves, its sweep, a table of 3 x 4 holes, an aim, two stages compared."""

from __future__ import annotations

import json

from capture import report
from capture.vehicle_file import read_vehicle_file
from geometry.aims import Room, Want, aim
from geometry.compare import compare
from geometry.holes import Want as Nearest
from geometry.holes import row, table
from geometry.moves import LinkBy, Plan, PointBy
from geometry.what_if import Measured, what_if
from tests.benchmarks.clock import in_turn, said
from tests.reference.made import made

ROUNDS = 7


def run() -> None:
    """Prints medians; the targets are 50 ms for all figures of a plan and 200 ms for the table."""
    vehicle = read_vehicle_file(json.dumps(made("three_link_panhard", "front", 11, 1.0, True)).encode(), "timed")
    before, after = (report.build(vehicle, stage).fit for stage in ("mock_up", "tacked"))
    facts = report.facts_of(vehicle)
    measured = Measured(before, facts)
    measured.figures, measured.columns  # noqa: B018  worked out once a vehicle
    plan = Plan((LinkBy("lower_left", 5.0), PointBy("panhard.frame", z=20.0)))
    rows = [row("upper.frame", 3, 25.4, (0, 0, 1)), row("panhard.frame", 4, 20.0, (0, 0, 1))]
    here = before.placed()["upper.frame"]
    room = Room("upper.frame", (here.x, here.y, here.z - 60.0), (here.x, here.y, here.z + 60.0))
    now = measured.figures["anti_dive"].value or 0.0

    def figures() -> object:
        outcome = what_if(measured, plan)
        return outcome.figures, outcome.differences

    works = {
        "a plan: all figures with spreads and differences": figures,
        "a plan: the sweep and its differences": lambda: what_if(measured, plan).sweep_differences,
        "a table of 3 x 4 holes": lambda: table(before, facts, rows, Nearest("anti_dive", now + 5.0)),
        "an aim on one bolt": lambda: aim(measured, [Want("anti_dive", now + 3.0, now + 5.0)], [room]),
        "two stages compared": lambda: compare(before, after, facts),
    }
    for words, seconds in zip(works, in_turn(tuple(works.values()), ROUNDS), strict=True):
        print(f"{said(seconds)}  {words}")
