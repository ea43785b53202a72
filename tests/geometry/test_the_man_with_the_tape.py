"""What goes wrong in a man's hands under a vehicle: each is in the catalogue, and its remark names a value that fits.

Typed forwards here, by hand, on a link whose other readings foretell what should stand there.
"""

from __future__ import annotations

import pytest

from geometry.doubt import remark
from geometry.fit import Fit, Observation, Setup, fit

INCH = 25.4
HEIGHT, SPAN, LATERAL = "height:lower_left.frame", "span:lower_left.axle~lower_left.frame", "lateral:lower_left.frame"
INCLINE, RISE = "incline:lower_left.axle~lower_left.frame", "rise:lower_left.axle~lower_left.frame"
FINE = 0.2


def known(height: float = 609.6, left_out: str = "") -> Fit:
    """A link read finely all round, its frame bolt that high and 17 in left, 4 in above its axle bolt, 36 in ahead of
    it along the floor; without one reading."""
    values = {"floor_slope:fore_aft": 0.0, "floor_slope:across": 0.0,
              "height:lower_left.axle": height - 101.6, HEIGHT: height, RISE: 101.6,
              "fore_aft:lower_left.axle": 0.0, "fore_aft:lower_left.frame": -36 * INCH,
              "lateral:lower_left.axle": 17 * INCH, LATERAL: 17 * INCH,
              "lateral:lower_right.frame": -17 * INCH, "across:lower_left.frame~lower_right.frame": 34 * INCH,
              SPAN: (101.6**2 + (36 * INCH) ** 2) ** 0.5, INCLINE: 6.340}  # fmt: skip
    sds = {name: 0.02 if name.startswith(("floor", "incline")) else FINE for name in values}
    seen = [Observation(name, value, name, sd=sds[name]) for name, value in values.items() if name != left_out]
    return fit(Setup("three_link_panhard", "front", 2700.0, 840.0), seen)


@pytest.mark.parametrize(
    ("what", "reading", "height", "typed", "text", "unit", "slip", "fits"),
    [
        ("hooked at the 1 in mark", HEIGHT, 609.6, 635.0, "25", "in", "one inch", 609.6),
        ("an inch missed", HEIGHT, 609.6, 584.2, "23", "in", "one inch", 609.6),
        ("began at the 100 mm mark", HEIGHT, 612.0, 712.0, "712", "mm", "100 mm", 612.0),
        ("the near edge of a 5/8 in bolt", HEIGHT, 609.6, 601.7, "601.7", "mm", "half a bolt", 609.6),
        ("the far edge of a 1/2 in bolt", HEIGHT, 609.6, 615.95, "24 1/4", "in", "half a bolt", 609.6),
        ("the far edge of an M16 head", HEIGHT, 612.0, 624.0, "624", "mm", "half a bolt", 612.0),
        ("near edge to far edge of heads", SPAN, 609.6, 920.05 + 28.6, "948.65", "mm", "a whole bolt", 920.05),
        ("one 6 for a 9", HEIGHT, 26 * INCH, 29 * INCH, "29", "in", "digits upside down", 26 * INCH),
        ("69 for 96", HEIGHT, 69 * INCH, 96 * INCH, "96", "in", "digits upside down", 69 * INCH),
        ("91 for 16", HEIGHT, 16 * INCH, 91 * INCH, "91", "in", "digits upside down", 16 * INCH),
        ("an eighth beside", HEIGHT, 24.25 * INCH, 24.375 * INCH, "24 3/8", "in", "wrong sixteenth", 24.25 * INCH),
        ("a sixteenth beside", HEIGHT, 24.25 * INCH, 24.1875 * INCH, "24 3/16", "in", "wrong sixteenth", 24.25 * INCH),
        ("1/8 under the inch read above it", HEIGHT, 23.875 * INCH, 24.125 * INCH, "24 1/8", "in",
         "fraction on the wrong side", 23.875 * INCH),
        ("cm typed as inches", HEIGHT, 610.0, 61 * INCH, "61", "in", "cm read as inch", 610.0),
        ("inches typed as cm", HEIGHT, 609.6, 240.0, "24", "cm", "inch read as cm", 609.6),
        ("inches typed as mm", HEIGHT, 609.6, 24.0, "24", "mm", "inch read as mm", 609.6),
        ("mm typed as cm", HEIGHT, 250.0, 2500.0, "250", "cm", "mm read as cm", 250.0),
        ("in the dip beside the drain", HEIGHT, 612.0, 629.4, "629.4", "mm", "dip in the floor", 612.0),
        ("the complement", INCLINE, 609.6, 83.66, "83.66", "deg", "complement of the angle", 6.34),
        ("the gauge's other end", INCLINE, 609.6, -6.34, "-6.34", "deg", "gauge from the other end", 6.34),
        ("left for right", LATERAL, 609.6, -17 * INCH, "-17", "in", "wrong side", 17 * INCH),
        ("higher for lower", RISE, 609.6, -4 * INCH, "-4", "in", "read backwards", 4 * INCH),
    ],
)
def test_each_way_to_misread_is_named_while_typing_with_a_value_that_would_fit(
    what: str, reading: str, height: float, typed: float, text: str, unit: str, slip: str, fits: float
) -> None:
    found = remark(known(height, left_out=reading), reading, typed, unit=unit, text=text, sd=0.3)
    assert found is not None, what
    named = {one.mistake: one.value for one in found.also}
    assert slip in named, (what, named)
    assert named[slip] == pytest.approx(fits, abs=2.0 if found.unit == "mm" else 0.2)


def test_two_slips_that_no_number_tells_apart_are_named_together() -> None:
    # In mm an inch too much, and the next hole of a row an inch apart, come to the same.
    found = remark(known(left_out=HEIGHT), HEIGHT, 635.0, unit="mm", text="635")
    assert found is not None
    first, *rest = found.also
    assert {first.mistake, *(one.mistake for one in rest if one.same_as(first))} >= {"one inch", "wrong hole"}


def test_a_dip_is_no_slip_of_a_reading_that_does_not_stand_on_the_floor() -> None:
    assert remark(known(left_out=RISE), RISE, 101.6 + 19.5, unit="mm", text="121.1") is not None
    found = remark(known(left_out=RISE), RISE, 101.6 + 19.5, unit="mm", text="121.1")
    assert found is not None and "dip in the floor" not in [one.mistake for one in found.also]
