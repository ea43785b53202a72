"""What figures mean, and why one cannot be had."""

from __future__ import annotations

COMMON_PRACTICE = "common practice, no source"
NEARLY_PARALLEL = "The links run nearly parallel in side view: the point the axle turns about is more than 50 m away."
COUNTS_OWN_MASS = "Counts the axle’s own mass too, as asked."
AXLE_TOO_HEAVY = "The axle’s own mass is stated heavier than the vehicle was weighed: look at both again."
BRAKING_PULLS_DOWN = "Under braking the links pull the nose down further instead of holding it up."
BRAKING_HOLDS_TOO_MUCH = "Under braking the links hold up more than the nose wants to sink: it may rise and hop."
BRAKING_HELPS_TAIL = "Under braking the links help the tail to rise."
POWER_HELPS_NOSE = "Under power the links help the nose to rise."
POWER_PULLS_TAIL = "Under power the links pull the tail down further."
POWER_LIFTS_TAIL = "Under power the links lift the tail: grip comes quickly, and it may hop."
SIDE_VIEW_ALONE = "What the links' side view alone gives, as if this axle did all the braking or driving."
TURNS_ABOUT = "The point the axle turns about at this moment, seen from the side."
WEIGHTS_ARE_NOTHING = "The wheel weights add up to nothing: weigh again."
SHAFT_IN_ONE_PLACE = "The driveshaft's two joints are in one place: look at their readings again."
JOINT_FOLDED = "A joint of the driveshaft is folded square: look at its points and at the shafts' angles."
NEARLY_STRAIGHT = "Nearly straight: a joint that never bends wears its needles in one place."
BENDS_AT_RIDE_HEIGHT = "How far the shaft bends in this joint at ride height."
PINION_RUNS_AHEAD = "In every turn the pinion runs ahead and falls behind by this much in all; it is felt as a shudder."
PARALLEL = "Pinion and gearbox output are parallel within the spread: two single joints even each other out."
POINTS_AT_THE_JOINT = "The pinion points at the gearbox joint within the spread."
TOO_LITTLE_TRAVEL = "The slip joint has too little travel: the shaft pulls apart at droop or bottoms at bump."
TRAVEL_LEFT = "The slip joint's travel less what the axle's travel needs."
NONE_OF_THESE = "The links do not reach any of these positions."
NO_PANHARD = "This layout has no panhard bar: the drag link's own ends are what would have to move."
NO_DRAG_LINK = "A rear axle has no drag link: nothing steers its wheels by themselves but the axle's own turn."
TOO_LITTLE_REACH = "The links or the drag link do not reach 75 mm (3 in) of travel: bump steer cannot be flattened yet."
LEAVE_IT = "The wheels hardly turn by themselves as it is: leave the bar where it is."
LIES_FURTHER = " The best place lies further than was tried."
LEAN_HAS_NO_SPREAD = "The joint stands where its lean has no spread: look at its points again."
WHOLE_TURN = " (the whole turn from ride height, as its bolt's direction is not stated)"
LENGTH_IS = "Joint centre to joint centre, the length the saw starts from."
LIES_LEVEL = "It lies about level."
STANDS_HIGHER = "Its frame end stands higher than its axle end."
STANDS_LOWER = "Its frame end stands lower."
SWUNG = "How far it is swung from straight ahead, seen from above."
UPPERS_BELOW = "The uppers stand below the lowers here: look at the names of the points."
SMALLER_IS_HARDER = "The smaller this is, the harder the joints are loaded and the more a small slip matters."
CANNOT_HOLD = "The links and springs cannot hold the axle: look for two links in one line."
OPPOSITE_SIDES = "Drag link and panhard bar have their frame ends on opposite sides: they cannot match."
NEXT_TO_NOTHING = "It carries next to nothing in this case."
YIELDS_AT_BOLTS = "it yields at its axle bolts"
FREE_TO_MOVE = (
    "The links leave the axle free to move another way: look for two links in one line, points that coincide, or"
    " nothing that holds the axle across."
)
CG_BELOW_FLOOR = "The centre of gravity comes out at the floor: look at its height again."
LEANS_ABOUT = "The body leans about a line this high above the floor at this axle."
STAYS_SQUARE = "The axle stays about square as the body leans."
OVERSTEER = "The axle steers the vehicle further into the bend as the body leans: oversteer."
UNDERSTEER = "The axle steers the vehicle a little out of the bend as the body leans: understeer."
LEANS_FORWARD = "The steering axis leans forward: the wheels will not find straight ahead by themselves."
LEANS_A_LITTLE = "The steering axis leans rearward only a little: it may wander."
LEANS_ENOUGH = "The steering axis leans rearward enough to find its own way straight."
LINKS_DO_NOT_REACH = "The links do not reach 75 mm (3 in) of travel."
DRAG_LINK_DOES_NOT_REACH = "The drag link does not reach 75 mm (3 in) of travel."
LOOKED_AS_FAR = "The links bind before the stops: it was looked at only as far as they reach."
WHEELBASE_IS = "Wheel centre to wheel centre along the floor, mean of both sides."
WEIGHT_ACTS = "Where the weight acts along the vehicle, from the wheels' weights."
WEIGHT_ACTS_ASIDE = "Where the weight acts across the vehicle, from the wheels' own weights."
WEIGHT_IN_THE_MIDDLE = "Across the vehicle the weight acts in its middle, as far as the scales tell."
LIFTED_TOO_FAR = (
    "No vehicle of this wheelbase can be raised so far at one end: read again how far its wheels were raised."
)
CG_HEIGHT_IS = "How high the weight acts. Every anti figure hangs on it."
SIZING_AID = (
    "A sizing aid, never a rating: a straight new tube and steady loads, without welds, knocks from rocks or years of "
    "use. Have a qualified person settle the size of a link that lives depend on."
)
YIELD_SOURCE = (
    "ASTM A513 type 5 (1020, drawn over a mandrel) as restated in public: 379 N/mm2 (55 ksi, stress relieved) in one, "
    "414 (60 ksi) in another, 483 (70 ksi) often quoted from memory. They disagree: ask the seller."
)
MOST_IT_BENDS = "The most it bends from droop to bump and with one wheel up."
SLIP_NEEDED = "How far the slip joint moves from droop to bump and with one wheel up."
MOVED_UPRIGHT = "Moved straight up or down"
STEERING_AXIS_LEANS = "Seen from the front the steering axis leans in at the top; it lifts the nose as you steer."
SCRUB = "How far the tyre's middle stands outside the steering axis on the floor."
TRAIL = "How far the tyre follows behind the steering axis on the floor."
USUAL_AT_THE_REAR = "usual at the rear"
USUAL_FRAME_END_UP = "usual, frame end up"
NEARER_TO_NOUGHT = "The nearer to nought, the less the wheels turn by themselves over a bump."
HOW_MUCH_LONGER = "How much longer the drag link is than the panhard bar."
HOW_FAR_APART = "How far the two point apart, seen from above."


def braking_carries(share: str) -> str:
    return f"Under hard braking the links carry about {share} of the nose's wish to dive."


def braking_holds_tail(share: str) -> str:
    return f"Under braking the links hold down about {share} of the tail's wish to rise."


def power_holds_nose(share: str) -> str:
    return f"Under power the links hold down about {share} of the nose's wish to rise."


def power_carries(share: str) -> str:
    return f"Under power the links carry about {share} of the tail's wish to sink."


def pinion_points(way: str) -> str:
    return f"The pinion's nose points {way} against the floor."


def nose_points(way: str) -> str:
    return f"The pinion's nose points {way} than parallel to the gearbox output."


def points_beside(way: str) -> str:
    return f"The pinion points {way} the gearbox joint."


def gains_little(way: str) -> str:
    return f"{way}, the panhard bar's frame end gains little: its length or the drag link's is what does not match."


def leaves(way: str, after: float, before: float, edge: str) -> str:
    return f"{way}, the panhard bar's frame end leaves {after:.2f} of {before:.2f} degrees of bump steer.{edge}"


def body_in_one_place(words: str) -> str:
    return f"The {words}'s two points are in one place: look at their readings, or choose another point."


def state_how_thick(words: str) -> str:
    return f"State how thick the {words} is, or its width and height, to see what comes near it."


def body_moves(words: str) -> str:
    return f"The {words} runs from a point that moves with the axle: choose one on the frame."


def leans_at_the_most(joint: str, basis: str) -> str:
    return f"{joint} leans this far at the most{basis}; state what it is rated for to see the reserve."


def leans_too_far(joint: str, basis: str) -> str:
    return f"{joint} leans further than it is rated for{basis}: it binds and bends its shank."


def near_its_rating(joint: str, basis: str) -> str:
    return f"{joint} comes so near to its rating that the spread does not say whether it binds{basis}."


def within_its_rating(joint: str, basis: str) -> str:
    return f"{joint} stays within its rating{basis}."


def state_the_arm(words: str) -> str:
    return (
        f"State the {words}'s tube, outside diameter and wall, or its section modulus and area, to see what it bears."
    )


def section_above_nothing(words: str) -> str:
    return f"The {words}'s section modulus and area must be above nothing: state both again."


def no_such_wall(words: str) -> str:
    return f"The {words}'s tube cannot have that wall: at most half its width."


def state_the_tube(words: str) -> str:
    return f"State the {words}'s tube, outside diameter and wall, to see what it bears."


def thread_too_fine(words: str) -> str:
    return f"The {words}'s thread is finer than its pitch allows: state both again."


def state_the_threads(words: str) -> str:
    return f"State the {words}'s threads, diameter and pitch, to see what they bear."


def state_the_yield(of: str, lowest: float) -> str:
    return (
        f"State the yield stress of {of} as its seller states it; the lowest published figure for the common drawn "
        f"tube is {lowest:.0f} N/mm2 (55 ksi), and restatements disagree (55, 60, 70 ksi)."
    )


def bears_less(link: str, case: str, how: str) -> str:
    return f"The {link} bears less than {case} puts on it: {how} first."


def bears_more(case: str, link: str, how: str) -> str:
    return f"Under {case} the {link} could carry this many times as much before {how}."


def link_in_one_place(words: str) -> str:
    return f"The {words}'s two ends are in one place: look at their readings again."


def kingpin_not_upright(at: str) -> str:
    return f"The {at} kingpin's top is not above its bottom: look at their readings again."


def line_of_lean(way: str) -> str:
    return f"The axle's line of lean {way} towards the front."


def run_into_each_other(pair: str) -> str:
    return f"{pair} run into each other."


def may_touch(pair: str) -> str:
    return f"{pair} may touch: the spread does not tell."


def stay_apart(pair: str) -> str:
    return f"{pair} stay apart, with less room than people usually leave."


def wheel_above(side: str, height: float) -> str:
    return f"with the {side} wheel {height:.0f} mm above the other"


def links_bind(where: str) -> str:
    return f"The links bind {where}: they do not reach further."


def snaps_over(where: str) -> str:
    return f"The axle snaps over {where}: past there its links settle another way."


def joint_of(link: str, end: str) -> str:
    return f"The {link}'s joint at the {end}"


def joint_turns(link: str, end: str) -> str:
    return f"{link}, joint turns at the {end}"


def axis_leans_more(way: str) -> str:
    return f"In 75 mm (3 in) of bump the steering axis leans {way} this much more."


def bump_steer(felt: bool) -> str:
    said = "You would feel it." if felt else "You would hardly feel it."
    return f"The wheels turn this much by themselves in 75 mm (3 in) of travel. {said}"


def steers_less(left: float, right: float) -> str:
    return (
        f"At ride height the tie rod lets the wheels steer {left:.0f}° left and {right:.0f}° right, measured at the "
        "one the drag link turns; nowhere is looked at further than it lets them."
    )
