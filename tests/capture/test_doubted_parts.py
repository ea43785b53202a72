"""What rests on a doubt besides the figures, against the same vehicle's file without that reading."""

from __future__ import annotations

import json

from capture import doubted_parts, places, report
from capture.vehicle_file import read_vehicle_file
from geometry.figures import joints, loads
from tests.demo.make_demo_vehicles import SLIP

ORCHARD = next(path for path in places.demo_vehicles() if path.stem == "orchard_truck")


def built(without: str = "") -> report.Report:
    raw = json.loads(ORCHARD.read_text(encoding="utf-8"))
    raw["entries"] = [entry for entry in raw["entries"] if entry.get("reading") != without]
    return report.build(read_vehicle_file(json.dumps(raw).encode(), "truck.json"))


def test_what_leaves_its_spread_without_the_reading_in_doubt_is_in_doubt_and_nothing_else():
    now, rest = built(), built(without=SLIP)
    assert [key.partition("#")[0] for doubt in now.doubts for key in doubt.readings] == [SLIP]

    def left(value: float, sd: float, other: float) -> bool:
        return abs(value - other) > max(sd, 1e-9)  # what is nought by its kind differs by rounding

    swings = {(one.link, one.end): one for one in joints.joint_swings(rest.fit, rest.facts)}
    assert doubted_parts.joints_in_doubt(now) == {
        (one.link, one.end) for one in joints.joint_swings(now.fit, now.facts)
        if left(one.most, one.sd, swings[one.link, one.end].most)}
    forces = {(one.link, one.case): one for one in loads.link_loads(rest.fit, rest.facts)}
    assert doubted_parts.loads_in_doubt(now) == {
        (one.link, one.case) for one in loads.link_loads(now.fit, now.facts)
        if left(one.force, one.sd, forces[one.link, one.case].force)}
    gaps = {(one.one, one.other): one for one in rest.gaps.rows}
    assert doubted_parts.gaps_in_doubt(now) == {
        (one.one, one.other) for one in now.gaps.rows if left(one.least, one.sd, gaps[one.one, one.other].least)}
    assert {"anti_geometric", "instant_centre.x"} <= doubted_parts.columns(now)[0]
    for mine, there, found in zip((now.sheet.sweep, now.articulation), (rest.sheet.sweep, rest.articulation),
                                  doubted_parts.columns(now), strict=True):
        for key, column in mine.columns.items():
            steps = zip(column.values, column.sd, there.columns[key].values, strict=True)
            moved = any(left(value, sd, other) for value, sd, other in steps if value is not None)
            assert (key in found) is moved, key


def test_where_nothing_is_in_doubt_no_part_is():
    settled = built(without=SLIP)
    assert settled.doubts == () and settled.without is None
    assert doubted_parts.columns(settled) == (frozenset(), frozenset())
    for part in (doubted_parts.joints_in_doubt, doubted_parts.loads_in_doubt, doubted_parts.gaps_in_doubt):
        assert part(settled) == frozenset()
