"""The whole chain from the file's text to the report's text, beside one bare start of Python; and its cost by size."""

from __future__ import annotations

import json

from capture import report
from capture.log import observations
from capture.report import setup_of
from capture.vehicle_file import read_vehicle_file
from geometry import doubt, figures
from geometry.fit import fit
from tests.benchmarks.clock import bare_python, in_turn, said
from tests.benchmarks.vehicles import measured

READINGS, STEPS, ROUNDS = 60, 41, 15
SIZES = (50, 100, 200, 400, 800)


def whole(text: bytes) -> str:
    """Log -> fit -> doubts and figures with their spreads -> report, as text."""
    return json.dumps(report.build(read_vehicle_file(text, "timed")).as_json())


def run() -> None:
    text = json.dumps(measured(READINGS)).encode()
    steps = len(json.loads(whole(text))["sweep"])
    if steps != STEPS:
        raise SystemExit(f"the sweep has {steps} steps, not {STEPS}")
    vehicle = read_vehicle_file(text, "timed")
    built = report.build(vehicle)
    parts = {
        "file to log": lambda: observations(read_vehicle_file(text, "timed")),
        "fit": lambda: fit(setup_of(vehicle), observations(vehicle).observations),
        "doubts": lambda: doubt.judge(built.fit),
        "figures and sweep with spreads": lambda: figures.sheet(built.fit, report.facts_of(vehicle)),
    }
    everything, start, *each = in_turn((lambda: whole(text), bare_python, *parts.values()), ROUNDS)
    print(f"\nWhole chain, {READINGS} readings, {STEPS} steps of travel")
    print(f"  file to report {said(everything)}   one bare Python start {said(start)}   share {everything / start:.2f}")
    for name, taken in zip(parts, each, strict=True):
        print(f"    {name:32s}{said(taken)}")


def by_size() -> None:
    print("\nCost by number of readings (the same points, read again and again)")
    texts = [json.dumps(measured(count)).encode() for count in SIZES]
    vehicles = [read_vehicle_file(text, "timed") for text in texts]
    fits = tuple(lambda vehicle=vehicle: report.build(vehicle).fit for vehicle in vehicles)
    chains = tuple(lambda text=text: whole(text) for text in texts)
    taken = in_turn((*fits, *chains), 5)
    longest = max(taken)
    for number, count in enumerate(SIZES):
        refit, everything = taken[number], taken[number + len(SIZES)]
        bar = "#" * max(1, round(40 * everything / longest))
        print(f"  {count:4d} readings   fit {said(refit)}   file to report {said(everything)}   {bar}")
