"""Overall diameters from the marking: rim plus two section heights (seen in public glossaries; ISO 4000-1 as the home
of the marking, from memory). A real tyre stands on about 0.47 to 0.48 of its diameter: rule of thumb, from memory.
"""

from __future__ import annotations

import pytest

from capture.tyre import read_tyre
from geometry.points import LOADED_SHARE

SIZES = {  # mm, inches
    "315/75R16": (878.90, 34.602),
    "315/70R17": (872.80, 34.362),
    "285/75R16": (833.90, 32.831),
    "265/70R17": (802.80, 31.606),
    "235/85R16": (805.90, 31.728),
    "35x12.50R15": (889.0, 35.0),
}


@pytest.mark.parametrize("size", SIZES)
def test_a_size_gives_its_diameter_in_both_units(size):
    millimetres, inches = SIZES[size]
    assert read_tyre(size).diameter == pytest.approx(millimetres, abs=1e-9)
    assert read_tyre(size).diameter / 25.4 == pytest.approx(inches, abs=5e-4)


def test_the_first_guess_of_a_loaded_radius_is_the_rule_of_thumb():
    assert 0.47 <= LOADED_SHARE <= 0.48
