"""What drawings say to those who hear them, and the notes beside their lines."""

from __future__ import annotations

THREE_VIEWS = "Top, side and end view in line, to scale"
FRONT_AT_LEFT = "front at left, left side below"
FROM_THE_LEFT = "Side view from the left"
INSTANT_CENTRE = (
    "Side view from the left, to scale: lines through the links meet at the instant centre; the lit line from the "
    "tyre's contact runs to it"
)
TO_THE_INSTANT_CENTRE = "to the instant centre"
NO_WEIGHT_YET = "Side view: where the weight acts is not known yet"
NO_VALUE = "no value at any travel"
LINKS_BIND = "; beyond that the links bind"
LOOK_FROM_THE_LEFT = "From the left, front at left"
LOOK_FROM_THE_RIGHT = "From the right, front at right"
FLOOR_AT_RIDE_HEIGHT = "floor at ride height"
STATIONS = "Plan of the vehicle, front at the top, with the stations of the walk"
SHAFT = "Side view from the left, to scale: the driveshaft and the lines of the two shafts it joins"
TYPICAL = "A typical vehicle, all guessed: dashed"


def _begun(view: str) -> str:
    return view[:1].upper() + view[1:]


def changed(view: str, times: int) -> str:
    return f"{_begun(view)}, to scale; moves drawn {times} times larger"


def roll_centre(view: str, label: str) -> str:
    return f"{_begun(view)}, to scale: the roll centre on the centreline {label}"


def no_value_of(what: str) -> str:
    return f"{what}: no value at any travel"


def holes(view: str) -> str:
    return f"{_begun(view)}, to scale, with the rows of holes"


def three_views_lit(words: str) -> str:
    return f"Top, side and end view in line, to scale. Lit: {words}"


def moving(view: str) -> str:
    return f"{_begun(view)}, to scale: the frame holds still, the axle moves"


def steering(label: str) -> str:
    return f"View from above, front at left: {label}"


def where(words: str) -> str:
    return f"Where on the vehicle: {words}"


def centre_of_gravity(ahead: str, above: str) -> str:
    return f"Side view from the left, to scale: the centre of gravity {ahead} above the floor {above}"
