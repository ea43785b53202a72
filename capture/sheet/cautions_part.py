"""What the sheet says to whoever drives, inspects or works on the vehicle next. Short, and never in place of a look."""

from __future__ import annotations

DECIDES = (
    "Local codes, and licensed people where they are asked for, decide. Many places require an inspection once axle, "
    "steering, brakes or height are altered. Where they say otherwise than this sheet, they are right."
)
NOT_HERE = (
    "Measured geometry only: no strength of a weld, bracket, bolt or tube was worked out for this sheet. Bands are "
    "common practice, not a rating."
)
CAUTIONS = (
    ("Under it", "A jack lifts and never holds. Stands on frame or tube, wheels chocked both ways, shaken hard first."),
    ("Springs", "A squeezed coil holds enough to kill: chain or clamp it before the last link comes loose."),
    ("Links loose", "With one link out the axle can roll, without the panhard it goes sideways: wedge it first."),
    ("Lines", "At full droop and both locks no hose or wire may be stretched. Bleed and leak-test before it moves."),
    ("Tacks", "A tack holds shape, not people: nobody beneath it, no driving on it."),
    ("Steering", "Full bump, full droop, both locks: nothing touches. Steering parts are not welded or bent at home."),
    ("First drive", "Brakes first, standing, then at a walk. Empty lot, both locks; look under after ten minutes."),
    ("Again", "Tighten all bolts of the list again after the first 50 to 100 km, and after 500 km."),
    ("Shimmy", "If it shakes, slow down and stop: joint play, balance, caster, toe and panhard ends come first."),
)  # fmt: skip
