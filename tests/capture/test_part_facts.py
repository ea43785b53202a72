"""What is stated of tubes, threads, joints and driveshaft reaches the figures, and stays in the file as it was."""

import json

import pytest

from capture import report
from capture.vehicle_file import BadFile, read_vehicle_file, write_vehicle_file
from geometry.figures.parts import BodyFact, JointFact, LoadFact, ThreadFact, TubeFact

STATED = {
    "driveshaft_joints": "double", "driveshaft_phase": 15, "slip_travel": 75.5, "tyre_width": 315, "steer_lock": 32.5,
    "tubes": {"upper": {"outside_diameter": 44.45, "wall": 6.35, "yield_stress": 379, "joint_offset": 3},
              "driveshaft": {"outside_diameter": 76.2}},
    "threads": {"upper": {"axle": {"pitch": 1.5875, "hand": "left", "diameter": 19.05, "yield_stress": 600,
                                   "insert": 31.5}}},
    "joints": {"upper": {"frame": {"rated": 25, "bolt": [0, 1, 0.1]}, "axle": {"rated": 30}}},
    "anti_counts_unsprung": True, "loads": {"grip": 0.9, "drive_torque": 4200},
    "bodies": {"left_rail": {"start": "mark.front_left", "end": "mark.rear_left", "width": 60, "height": 120,
                             "across": "outside", "upright": "underside"},
               "exhaust": {"start": "keep_clear.pipe_front", "end": "keep_clear.pipe_rear", "diameter": 63.5}},
}  # fmt: skip


def a_vehicle(facts):
    head = {"format": "plumbtack vehicle", "version": 1, "name": "Stated", "worked_axle": "front",
            "layout": "three_link_panhard", "facts": facts, "entries": []}  # fmt: skip
    return read_vehicle_file(json.dumps(head), "stated")


def test_what_is_stated_of_parts_reaches_the_figures():
    facts = report.facts_of(a_vehicle(STATED))
    assert (facts.driveshaft_joints, facts.driveshaft_phase, facts.slip_travel) == ("double", 15.0, 75.5)
    assert (facts.tyre_width, facts.steer_lock) == (315.0, 32.5)
    assert facts.tubes["upper"] == TubeFact(44.45, 6.35, 379.0, 3.0)
    assert facts.tubes["driveshaft"] == TubeFact(76.2, None, None, 0.0)
    assert facts.threads == {"upper": {"axle": ThreadFact(1.5875, 19.05, 600.0, 31.5)}}
    assert facts.joints == {"upper": {"frame": JointFact(25.0, (0.0, 1.0, 0.1)), "axle": JointFact(30.0, None)}}


def test_what_is_stated_of_bodies_and_loads_reaches_the_figures():
    facts = report.facts_of(a_vehicle(STATED))
    assert facts.anti_counts_unsprung is True
    assert facts.loads == LoadFact(grip=0.9, drive_torque=4200.0)
    assert facts.bodies == {
        "left_rail": BodyFact("mark.front_left", "mark.rear_left", None, 60.0, 120.0, "outside", "underside"),
        "exhaust": BodyFact("keep_clear.pipe_front", "keep_clear.pipe_rear", 63.5),
    }


@pytest.mark.parametrize(("facts", "place"), [
    ({"bodies": {"left rail": {"start": "mark.a", "end": "mark.b"}}}, "facts.bodies"),
    ({"bodies": {"rail": {"start": "lower_left.nowhere", "end": "mark.b", "diameter": 50}}}, "facts.bodies.rail"),
    ({"bodies": {"rail": {"start": "mark.a", "end": "mark.b", "across": "sideways"}}}, "facts.bodies.rail"),
    ({"loads": {"grip": 0}}, "facts.loads"), ({"loads": {"grap": 1}}, "facts.loads"),
    ({"tubes": {"upper": {"outside_diameter": 50, "section_modulus": -1}}}, "facts.tubes.upper"),
    ({"anti_counts_unsprung": "perhaps"}, "facts"),
])
def test_facts_of_bodies_and_loads_that_make_no_sense_are_refused_with_their_place(facts, place):
    with pytest.raises(BadFile, match=place) as refused:
        a_vehicle(facts)
    assert "stated" in str(refused.value)


def test_nothing_stated_leaves_the_figures_without_facts():
    facts = report.facts_of(a_vehicle({}))
    assert facts.driveshaft_joints is None and facts.slip_travel is None and facts.driveshaft_phase == 0.0
    assert not facts.tubes and not facts.threads and not facts.joints and not facts.bodies
    assert facts.loads == LoadFact() and facts.anti_counts_unsprung is False


def test_stated_parts_are_written_as_they_were_read():
    text = write_vehicle_file(a_vehicle(STATED))
    assert json.loads(text)["facts"] == STATED
    assert write_vehicle_file(read_vehicle_file(text, "again")) == text


def test_a_tube_that_cannot_take_its_joint_is_a_doubt_of_the_report_with_its_facts():
    facts = {"tubes": {"upper": {"outside_diameter": 38.1, "wall": 6.35}},
             "threads": {"upper": {"frame": {"pitch": 1.8143, "hand": "right", "diameter": 25.4}}}}
    made = report.build(a_vehicle(facts))
    (doubt,) = made.as_json()["doubts"]
    assert doubt | {"w": 0} == {"readings": [], "reason": "rule:tube_neither_nor", "w": 0,
                                "facts": ["tubes.upper", "threads.upper.frame"]}
    facts["threads"]["upper"]["frame"]["insert"] = 25.4
    assert report.build(a_vehicle(facts)).doubts == ()
