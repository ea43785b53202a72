"""Source of the sizes: rim x 25.4 + 2 x aspect x width, arithmetic of the ISO 4000-1 marking (from memory)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.tyre import BadTyre, read_tyre


@pytest.mark.parametrize(
    ("marking", "diameter"),
    [("315/75R16", 878.90), ("315/70R17", 872.80), ("285/75R16", 833.90), ("265/70R17", 802.80), ("235/85R16", 805.90)],
)
def test_a_metric_marking_gives_rim_plus_two_section_heights(marking, diameter):
    assert read_tyre(marking).diameter == pytest.approx(diameter, abs=1e-9)
    assert read_tyre(f" lt{marking.lower()} ").diameter == pytest.approx(diameter, abs=1e-9)
    assert read_tyre(marking).size == marking


def test_an_inch_marking_names_the_diameter_itself():
    # Source: 35 in x 25.4 = 889.0 mm.
    assert read_tyre("35x12.50R15").diameter == pytest.approx(889.0, abs=1e-9)
    assert read_tyre("35X12,5-15").diameter == pytest.approx(889.0, abs=1e-9)


@pytest.mark.parametrize(("typed", "diameter"), [("35", 889.0), ('35"', 889.0), ("34 1/2 in", 876.3), ("880 mm", 880.0),
                                                 ("880", 880.0), ("88 cm", 880.0)])
def test_a_bare_diameter_is_inches_below_100_and_mm_from_there_on(typed, diameter):
    assert read_tyre(typed).diameter == pytest.approx(diameter, abs=1e-9)
    assert read_tyre(typed).size is None


NO_TYRES = ["", "big", "3", "5000", "35 apples", "1" * 10_000, "315/75", "315//75R16", "9 1/0 in", "<b>35</b>", "-35"]


@pytest.mark.parametrize("typed", NO_TYRES)
def test_what_is_no_tyre_is_refused_in_one_sentence(typed):
    with pytest.raises(BadTyre) as refused:
        read_tyre(typed)
    assert str(refused.value).endswith(".")
    assert "\n" not in str(refused.value)


@given(st.text(max_size=60))
def test_no_text_breaks_the_reader(text):
    try:
        assert 400 <= read_tyre(text).diameter <= 1700
    except BadTyre as refused:
        assert str(refused)
