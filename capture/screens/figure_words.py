"""What a figure's page and a family's pages say about what is known, taken or drawn."""

from __future__ import annotations

AXLES_OWN_MASS = "The axle’s own mass"
LEFT_OUT = "left out, as usual"
LEANS_ON_DOUBT = "Leans on a reading in doubt."
CORRECTED_AS_IS_LIKELIEST = "With that corrected as is likeliest: {} {}."
LIT_LINE = "Lit: from the tyre to the instant centre."
FULL_LINE = "Dashed: 100 %."
MOSTLY_GUESSED = "Mostly guessed."
SHAFT_CAPTION = "Dashed: the lines of the two shafts. The angle at a joint is how far it bends."
LOADS_CAPTION = "Arrows out: pulled apart. Arrows in: pressed together."
HALFWAY = "How far along it stands is not known yet: drawn halfway."
LINKS_DRAWN = "View from above, front at left: the links with their lengths"
NO_LOADS_YET = "View from above, front at left: what the links carry is not known yet"
LINKS_NOT_KNOWN = "The axle cannot be moved before its links are known."


def turns_the_axle(degrees: float, way: str, give: str, guessed: bool) -> str:
    return f"1° of lean to the right turns the axle {'about ' if guessed else ''}{degrees:.2f}° {way}, {give}"


def drawn_larger(said: str, times: int) -> str:
    return f"{said}; drawn {times} times as far."


def loads_drawn(words: str) -> str:
    return (
        f"View from above, front at left: {words}, what each link carries; arrows out: pulled apart, arrows in: "
        "pressed together"
    )


def weigh_raised(rise: str) -> str:
    return f"weighing with the rear raised {rise}"


def counts_from_here(nought: str) -> str:
    return f"{nought}, counted from here"


def heads_drawn_larger(times: int) -> str:
    return f"The lit lines show where the wheels head, turned {times} times as far as they really are."
