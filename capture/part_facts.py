"""What the file says of the parts themselves, tubes, threads, joints and the driveshaft, as the figures want it."""

from __future__ import annotations

from typing import Any

from geometry.figures.parts import BodyFact, JointFact, LoadFact, ThreadFact, TubeFact

from capture.vehicle_facts import Body, Facts, Joint, Thread, Tube


def parts_of(facts: Facts) -> dict[str, Any]:
    """The figures' facts about parts, by name."""
    return {
        "driveshaft_joints": facts.driveshaft_joints,
        "driveshaft_phase": facts.driveshaft_phase or 0.0,
        "slip_travel": facts.slip_travel,
        "tyre_diameter": facts.tyre_diameter,
        "tyre_width": facts.tyre_width,
        "steer_lock": facts.steer_lock,
        "anti_counts_unsprung": bool(facts.anti_counts_unsprung),
        "loads": LoadFact() if facts.loads is None else LoadFact(**facts.loads.model_dump()),
        "bodies": {name: _body(body) for name, body in facts.bodies.items()},
        "tubes": {part: _tube(tube) for part, tube in facts.tubes.items()},
        "threads": {
            part: {end: _thread(thread) for end, thread in ends.items()} for part, ends in facts.threads.items()
        },
        "joints": {part: {end: _joint(joint) for end, joint in ends.items()} for part, ends in facts.joints.items()},
    }


def _tube(tube: Tube) -> TubeFact:
    return TubeFact(tube.outside_diameter, tube.wall, tube.yield_stress, tube.joint_offset or 0.0,
                    tube.section_modulus, tube.section_area)


def _body(body: Body) -> BodyFact:
    return BodyFact(body.start, body.end, body.diameter, body.width, body.height, body.across or "middle",
                    body.upright or "middle")


def _thread(thread: Thread) -> ThreadFact:
    return ThreadFact(thread.pitch, thread.diameter, thread.yield_stress, thread.insert)


def _joint(joint: Joint) -> JointFact:
    return JointFact(joint.rated, None if joint.bolt is None else (joint.bolt[0], joint.bolt[1], joint.bolt[2]))
