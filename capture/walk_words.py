"""Why each reading of the walk is taken, and what to do before a station."""

from __future__ import annotations

WHY_WHEEL_HEIGHT = "Every wheel of the worked axle stands on it: the axle's own height."
WHY_WHEEL_ALONG = "Left and right together place the axle and show if it is square."
WHY_WHEEL_ACROSS = "Left and right together place the axle across the frame."
WHY_CASTER = "The caster everything else turns about."
WHY_WHEELBASE = "The anti figures are stated over the wheelbase."
WHY_OTHER_ALONG = "It guards the wheelbase."
WHY_OTHER_ACROSS = "Both axles in one line?"
WHY_OTHER_HEIGHT = "The other axle's loaded radius."
WHY_TYRE = "The tyre's own size, for clearance."
WHY_TYRE_AGAIN = "It guards the tyre's diameter."
WHY_PINION = "The pinion's angle, and half of each shaft joint's."
WHY_OUTPUT = "The other half of the shaft joints' angles."
WHY_AXLE_LOADS = "Both axle loads place the centre of gravity fore and aft."
WHY_CG_HEIGHT = "Every anti figure goes by one over this height. A guess will do."
WHY_TOTAL = "It guards both axle loads."
WHY_CORNERS = "Corner by corner: springs and cross weight."
WHY_TRAVEL = "Without it the curves run 100 mm each way, needed or not."
WHY_OWN = "A link must not touch it."
WHY_OTHERS = "You added this one."
WHY_CHECK = "What an instrument shows too much, it shows every time: read once, it is taken off everything."
WHY_SLOPE = "A plumb line and an angle gauge go by gravity, the tape goes by the floor. This ties them together."
WHY_MARKS = "The same mark is read once more at the end: it shows whether the vehicle moved in between."
WHY_MARKS_AGAIN = "Compared with the first time it shows whether the vehicle moved while you measured."
WHY_HEIGHT = "Heights decide the side view: an inch here moves the anti figure by 15 points or more."
WHY_INCLINE = "It guards the two heights: an inch too many in one hardly shows in the length, but it tilts the link."
WHY_MIDDLE = "It guards the two heights where no angle gauge will lie."
WHY_FORE_AFT = "It places the joint along the vehicle; the link's length checks it later."
WHY_LATERAL = "It places the joint across the vehicle; the distance to its twin checks it later."
WHY_ACROSS = "It guards the two sideways readings: the centreline is not in it."
WHY_DIAGONAL = "It guards against a chalk line that is not square."
WHY_SPAN = "It guards the fore-aft readings of both ends."
WHY_ARM_BOLTS = "A small base for a large angle: a millimetre here is a quarter of a degree of caster."
WHY_DRAG_LINK = "How the road wheels steer by themselves over bumps hangs on both ends of this link."
WHY_STEER = "It tightens the steering figures."
WHY_SHAFT = "The shaft's angles and its change of length over travel."
FLOOR_FIRST = (
    "Chalk the centreline of the vehicle on the floor and a cross line square to it, anywhere handy. Settle the "
    "vehicle: roll it a turn of the tyre and back."
)
UNDER_FIRST = "Stands under the frame, wheels chocked, a hard shake before you go beneath. Never under a jack alone."
WHEELS_STRAIGHT = "Wheels straight ahead, and the steering wheel tied so that it stays there."
TRAVEL_FIRST = "Two jacks work together, slowly. Hands clear of link ends; support before touching."

IN_SHORT = {
    FLOOR_FIRST: "First chalk the centreline and a cross line square to it: see more.",
    UNDER_FIRST: "First stands, chocks and a hard shake: never under a jack alone.",
    WHEELS_STRAIGHT: "First set the wheels straight ahead and tie the steering wheel.",
    TRAVEL_FIRST: "Two jacks together, slowly; hands clear of link ends: see more.",
}
"""The same in two lines under the first question of a station, while nothing is read there."""


def axle_end_first(front: bool) -> str:
    return WHEELS_STRAIGHT if front else ""
