"""What the page of stated facts calls each part and says under it, and what it answers."""

from __future__ import annotations

TYPE_THE_WIDTH = "Type its width too."
TYPE_THE_HEIGHT = "Type its height too."
NAME_THE_BODY = "Say what it is, in letters: exhaust, crossmember."
NAME_IS_TAKEN = "There is a body of that name already: give this one another."
CHOOSE_THE_POINTS = "Choose the points it runs between."
TYPE_THE_OUTSIDE = "Type the tube’s outside diameter too: without it the rest of the tube says nothing."
WALL_TOO_THICK = "A wall cannot be more than half the outside: look at both again."
BOTH_OR_NEITHER = "State the section modulus and the area, or neither."
TYPE_THE_PITCH = "Type the thread’s pitch too."
CHOOSE_THE_HAND = "Choose the thread’s hand too."
CHOOSE_HOW_IT_LIES = "Choose how the bolt lies before it is tilted or turned."
CHOOSE_ANOTHER_POINT = "Choose another point: it has to run from one to another."
SUCH_AS_A_YIELD = "Type a yield stress such as 379 or 55 ksi."
SUCH_AS_A_TORQUE = "Type a torque such as 2500 N m or 1850 lb ft."
SUCH_AS_A_MODULUS = "Type a section modulus such as 12 cm3 or 0.75 in3."
SUCH_AS_AN_AREA = "Type an area such as 14 cm2 or 2.2 in2."
SUCH_AS_A_SHARE = "Type a share between 0 and 100, such as 62."
SUCH_AS_A_NUMBER = "Type a plain number, such as 0.8."
SUCH_AS_A_PITCH = "Type how many threads an inch has, such as 12 per inch."
TILTED = "+ its left end up if it lies across, its front end up if along, its top ahead if upright. 0 when straight."
TURNED = "+ its left end ahead if it lies across, its front end to the left if along, its top to the left if upright."
SHARE_OF_BRAKING = "Front share of braking, %"
SHARE_OF_DRIVING = "Front share of driving, %"
UNSPRUNG = "Unsprung mass of this axle"
COUNT_IT_TOO = "Anti figures count that mass too"
USUALLY_LEFT_OUT = "Usually they leave it out. The axle’s own inertia then counts along the path of its centre."
JOINT_AT_GEARBOX = "Joint at the gearbox end"
YOKES = "Yokes out of line by"
YOKES_IN_LINE = (
    "0 when the shaft’s two yokes stand in line; + when the one at the pinion is turned clockwise,"
    " seen from the pinion."
)
SLIP_TRAVEL = "Travel of the slip joint"
PUSHED_TO_PULLED = "From pushed home to pulled apart."
LOCK = "Steering lock of a wheel"
LOCK_IS_COMMON = "Each way; 30 is common."
TYRE_WIDTH = "Width of a tyre"
TYRE_STANDING = "At its widest, standing."
LOAD_CASES = "What the load cases count with"
ANOTHER_BODY = "Another body on the frame"
YOUR_WORDS = "Your words: “exhaust”, “crossmember”."
GRIP_ALONG = "Grip ahead and back"
OF_THE_WEIGHT = "of the weight on a tyre."
OF_THE_WEIGHT_ASIDE = "of the weight, aside."
MOST_TORQUE = "Most torque at this axle’s wheels"
TORQUE_IS = "Engine torque times all gears, both wheels together. Assumed: until the tyres slip."
STEP = "One wheel against a step, times"
STEP_IS = "times its load, back and up."
LANDING = "Landing on both wheels, g"
LANDING_IS = "times their load."
SPRINGS_ACROSS = "% of the way from the middle to a wheel."
SPRINGS_AHEAD = "Springs ahead of the axle by"
SPRINGS_AHEAD_IS = "Assumed: over the axle. − behind."
POINTS_ON_IT = "Marks and points you read on it: height, fore-aft and lateral of each."
POINTS_ACROSS = "The points lie, across"
OUTER_FACE = "on its outer face"
INNER_FACE = "on its inner face"
POINTS_UP = "The points lie, up and down"
DIAMETER_IF_ROUND = "Or its diameter, if round"
LEAST_WIDTH = "Its least width where it is no round tube."
SOLID = "As thick as half the outside means solid."
OR_MODULUS = "Or its section modulus"
OF_AN_ARM = "Of an arm that is no round tube, at its nearer axle bolt."
AND_AREA = "and its section’s area"
AS_ITS_SELLER_STATES = "As its seller states it, in N/mm² or ksi, such as 379 or 55 ksi."
JOINTS_BESIDE = "Joints beside the tube’s line by"
JOINTS_IN_LINE = "0 for a straight link with its joints in line."
AS_ITS_MAKER_STATES = "Each way, as its maker states it."
PITCH_IS = "In mm, or such as 12 per inch."
INSERT_IS = "Of the threaded insert that is welded in; leave it out where the tube itself is threaded."
CHOOSE_THE_POINT = "Choose the point it runs "


def too_long(number: int) -> str:
    return f"{number} characters are too many here: type one number."


def out_of_reach(words: str, low: str, high: str) -> str:
    return f"{words}: it should lie between {low} and {high}."


def no_number(text: str, such: str) -> str:
    return f"“{text}” is not a number that can be read: type one such as {such}."


def assumed(value: float, of: str) -> str:
    return f"Assumed while nothing is said: {value:g} {of}"


def joint_leans(end: str) -> str:
    return f"Joint at the {end}, leans up to"


def bolt_lies(end: str) -> str:
    return f"Bolt at the {end} lies"


def bolt_tilted(end: str) -> str:
    return f"Bolt at the {end}, tilted by"


def bolt_turned(end: str) -> str:
    return f"Bolt at the {end}, turned by"


def thread_pitch(end: str) -> str:
    return f"Thread at the {end}, pitch"


def thread_hand(end: str) -> str:
    return f"Thread at the {end}, hand"


def thread_outside(end: str) -> str:
    return f"Thread at the {end}, outside"


def insert_outside(end: str) -> str:
    return f"Insert at the {end}, outside"


def thread_yield(end: str) -> str:
    return f"Thread at the {end}, yield"
