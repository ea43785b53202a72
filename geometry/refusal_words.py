"""Why something asked of the sums cannot be had: what, where, what to do."""

from __future__ import annotations

NOTHING_WANTED = "aims: nothing is wanted yet; name a figure and the band it should lie in."
NO_BOLT_MAY_MOVE = "aims: no bolt may move; name one and the box it may move in."
TWO_VEHICLES = "compare: the two have another layout or worked axle; compare two stages of one vehicle."
SAME_HAND = (
    "tube: both ends have the same hand, so turning the tube screws one in as the other comes out; take one joint off "
    "its bolt and turn that."
)
NO_ROWS = "holes: there is no row of holes yet; enter one for a bracket end first."
DOES_NOT_REACH = "The links do not reach: the axle cannot stand on its wheels."
BINDS_BEFORE_THE_END = "The links bind before the end of the travel."
TYRE_NOT_KNOWN = "tyre: the diameter of the tyres now on is not known; measure it or state their size first."
CG_NOT_ENTERED = "cg: the height of the centre of gravity is not entered yet; enter an estimate first."
CG_BELOW_FLOOR = "cg: the centre of gravity lies above the floor; enter a height above zero."
NOT_WEIGHED = "cg: the wheels have not been weighed; weigh front and rear before moving the weight along."
LIP = "lip of the insert"


def too_few_readings(readings: int, unknowns: int) -> str:
    return f"{readings} readings cannot fix {unknowns} unknowns; take more readings."


def loose_unknown(number: int) -> str:
    return f"the readings do not fix unknown {number}; take one that touches it another way."


def two_boxes(name: str) -> str:
    return f"{name}: it has two boxes to move in; keep one of them."


def no_such_figure(figure: str) -> str:
    return f"{figure}: this vehicle has no such figure; choose one of its figures."


def no_band(figure: str) -> str:
    return f"{figure}: say from where or up to where it should lie; neither is stated."


def no_value_of_figure(figure: str, edge: object) -> str:
    return f"{figure}: {edge} is no value for it; enter the band again."


def figure_waits(figure: str, needs: str) -> str:
    return f"{figure}: it cannot be had yet, it waits for {needs}."


def band_turned_round(figure: str, low: float, high: float) -> str:
    return f"{figure}: it cannot be at least {low:g} and at most {high:g}; change one of the two."


def empty_box(name: str, axis: str, least: float, most: float) -> str:
    return f"{name}: its box is empty along {axis}, {least:g} to {most:g}; enter its two ends again."


def no_tube_left(joints: str, link: str) -> str:
    return (
        f"tube: the joints take {joints} and the link is {link} long, so no tube is left; look at the standing lengths "
        "again."
    )


def no_length(words: str) -> str:
    return f"{words}: there is no length of the link; enter it again."


def not_a_length(words: str, length: str) -> str:
    return f"{words}: {length} is no length of a link; enter it again."


def no_such_part(end: str, part: str, value: float) -> str:
    return f"{end}: a {part} of {value:g} mm cannot be; measure the part again."


def thread_too_short(end: str, thread: str, nut: str, left_in: str) -> str:
    return f"{end}: {thread} of thread is too short for a jam nut of {nut} and {left_in} left in; take a longer joint."


def nothing_turns(end: str) -> str:
    return f"{end}: nothing turns there; state its thread first."


def cannot_show(end: str, showing: str, least: str, thread: str) -> str:
    return (
        f"{end}: {showing} of thread cannot show; with its jam nut it is {least} at the least, and the whole thread is "
        f"{thread}."
    )


def no_hole_to_use(point: str, count: object) -> str:
    return f"{point}: a row of {count} holes has no hole to use; count the holes again."


def no_spacing(point: str) -> str:
    return f"{point}: the holes need a spacing above zero and a direction; enter both again."


def no_such_hole(point: str, hole: object, count: object) -> str:
    return f"{point}: hole {hole} is not in a row of {count}; say again which one is in use."


def row_of_none(point: str) -> str:
    return f"{point}: a row of 0 holes has no hole to use; count the holes again."


def two_rows(point: str) -> str:
    return f"{point}: there are two rows of holes for this point; keep one of them."


def too_many_combinations(count: int, most: int) -> str:
    return f"holes: these rows make {count} combinations and {most} is the most; leave a row out."


def no_figure_to_sort_by(figure: str) -> str:
    return f"{figure}: this vehicle has no such figure to sort by; choose one of its figures."


def cannot_be_made(link: str, way: str) -> str:
    return f"The {link} would have to be {way} than it can be made."


def too_near(link: str, other: str) -> str:
    return f"The {link} comes too near to the {other}"


def wheel_up(side: str) -> str:
    return f"with the {side} wheel up"


def no_place(name: str, value: float) -> str:
    return f"{name}: {value:g} mm is no place or move for a bolt; enter it again."


def worked_out(name: str, point: str, parts: str) -> str:
    return f"{name}: {point} is worked out from {parts}; move one of these."


def not_measured(name: str, point: str) -> str:
    return f"{name}: {point} is not measured yet; take a reading of it before moving it."


def no_such_link(link: object, near: str) -> str:
    return f"{link}: there is no link {link} in this layout{near}"


def leaves_no_link(link: str, length: float, now: float) -> str:
    return f"{link}: a length of {length:.0f} mm leaves no link; it is {now:.0f} mm now."


def no_tyre(diameter: float, now: float) -> str:
    return f"tyre: {diameter:.0f} mm is no diameter beside the {now:.0f} mm now on; enter it again."


def enter_between(low: float, high: float) -> str:
    return f"enter {low:.0f} mm to {high:.0f} mm"


def cg_outside(along: float, reach: str) -> str:
    return f"cg: {along:.0f} mm ahead of the axle is outside the wheelbase; {reach}."


def do_not_reach(said: str) -> str:
    return f"links: they do not reach{said}, the axle cannot stand on its wheels; move less far."


def no_own_name(name: str, stem: str) -> str:
    return f"{name}: after {stem}. comes a name of 1 to 40 letters, figures, _ or -, such as {stem}.front_left."


def steering_on_a_rear_axle(name: str) -> str:
    return f"{name}: steering points belong to a front axle, and this vehicle file is about a rear one."


def no_such_point(name: object, near: str) -> str:
    return f"{name}: there is no point {name} in this layout{near}"


def not_read(name: str) -> str:
    return f"{name}: no reading has touched this point yet; there is nothing to compare with."


def no_such_layout(layout: object, known: str, near: str) -> str:
    return f"layout: there is no layout {layout}; there are {known}{near}"


def no_such_axle(axle: object) -> str:
    return f"worked_axle: {axle} is neither front nor rear; write one of these two."


def no_tape_class(tape_class: object) -> str:
    return f"tape_class: {tape_class} is not a tape class; write I, II or III."


def no_number(key: str, value: object) -> str:
    return f"{key}: the value {value} is not a number that can be read; enter it again."


def spread_not_above_zero(key: str, sd: object) -> str:
    return f"{key}: the give or take {sd} must be above zero; enter it again or drop it."


def added_below_zero(key: str, added: object) -> str:
    return f"{key}: the added give or take {added} must not be below zero."
