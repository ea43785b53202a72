"""Every slip of the catalogue is undone, and the likeliest one is named."""

import math

import pytest

from geometry import slips
from geometry.slips import CATALOGUE, explain, simple
from geometry.undoing import Typed

INCHES = Typed(612.775, "mm", "in", "24 1/8")


def values(name: str, typed: Typed) -> list[float]:
    return [round(undone.value, 6) for undone in CATALOGUE[name].undo(typed)]


@pytest.mark.parametrize(
    ("name", "typed", "true_value"),
    [
        # By hand; sizes and signs from the workshop catalogue of slips.
        ("one inch", INCHES, 587.375),
        ("half an inch", INCHES, 600.075),
        ("two inches", INCHES, 663.575),
        ("one foot", INCHES, 917.575),
        ("four inches", INCHES, 511.175),
        ("100 mm", Typed(712.5, "mm", "mm", "712.5"), 612.5),
        ("10 mm", Typed(712.5, "mm", "mm", "712.5"), 702.5),
        ("fraction on the wrong side", INCHES, 23.875 * 25.4),
        ("fraction on the wrong side", Typed(23.875 * 25.4, "mm", "in", "23 7/8"), 24.125 * 25.4),
        ("mirrored fraction", Typed(24.375 * 25.4, "mm", "in", "24 3/8"), 24.625 * 25.4),
        ("other denominator", Typed(24.375 * 25.4, "mm", "in", "24 3/8"), 24.1875 * 25.4),
        ("other denominator", Typed(24.3125 * 25.4, "mm", "in", "24 5/16"), 24.625 * 25.4),
        ("wrong sixteenth", Typed(24.1875 * 25.4, "mm", "in", "24 3/16"), 24.25 * 25.4),
        ("dip in the floor", Typed(627.0, "mm", "mm", "627"), 612.0),
        ("digits upside down", Typed(69 * 25.4, "mm", "in", "69"), 96 * 25.4),
        ("inch read as cm", Typed(240.0, "mm", "cm", "24"), 609.6),
        ("inch read as mm", Typed(24.0, "mm", "mm", "24"), 609.6),
        ("cm read as inch", Typed(1524.0, "mm", "in", "60"), 600.0),
        ("mm read as inch", Typed(15240.0, "mm", "in", "600"), 600.0),
        ("cm read as mm", Typed(61.2, "mm", "mm", "61.2"), 612.0),
        ("mm read as cm", Typed(6120.0, "mm", "cm", "612"), 612.0),
        ("half a bolt", Typed(612.0, "mm", "mm", "612"), 600.0),
        ("a whole bolt", Typed(619.05, "mm", "mm", "619.05"), 600.0),
        ("wrong hole", Typed(638.1, "mm", "mm", "638.1"), 600.0),
        ("tape case", Typed(600.0, "mm", "mm", "600"), 677.5),
        ("swapped digits", Typed(621.0, "mm", "mm", "621"), 612.0),
        ("swapped digits", Typed(42.125 * 25.4, "mm", "in", "42 1/8"), 612.775),
        ("swapped digits", Typed(81.0, "mm", "mm", "81"), 801.0),
        ("swapped digits", Typed(3.6875 * 25.4, "mm", "in", "3 11/16"), 30.6875 * 25.4),
        ("dropped digit", Typed(61.0, "mm", "mm", "61"), 612.0),
        ("extra digit", Typed(6122.0, "mm", "mm", "6122"), 612.0),
        ("digits upside down", Typed(912.0, "mm", "mm", "912"), 612.0),
        ("digits upside down", Typed(16 * 25.4, "mm", "in", "16"), 91 * 25.4),
        ("wrong side", Typed(-431.8, "mm", "in", "17"), 431.8),
        ("read backwards", Typed(-60.0, "mm", "mm", "60"), 60.0),
        ("gauge from the other end", Typed(-7.4, "deg", "deg", "7.4"), 7.4),
        ("complement of the angle", Typed(82.6, "deg", "deg", "82.6"), 7.4),
        ("one degree", Typed(8.4, "deg", "deg", "8.4"), 7.4),
        ("ten degrees", Typed(17.4, "deg", "deg", "17.4"), 7.4),
        ("pound read as kg", Typed(1000.0, "kg", "kg", "1000"), 453.59237),
        ("kg read as pound", Typed(453.59237, "kg", "lb", "1000"), 1000.0),
        ("100 kg", Typed(612.0, "kg", "kg", "612"), 512.0),
        ("the axle for the wheel", Typed(1000.0, "kg", "kg", "1000"), 500.0),
        ("the wheel for the axle", Typed(500.0, "kg", "kg", "500"), 1000.0),
    ],
)
def test_each_slip_is_undone_to_the_value_that_stood_there(name: str, typed: Typed, true_value: float) -> None:
    assert round(true_value, 6) in values(name, typed)


def test_the_cases_above_cover_the_whole_catalogue() -> None:
    mark = next(
        mark for mark in test_each_slip_is_undone_to_the_value_that_stood_there.pytestmark  # type: ignore[attr-defined]
    )
    assert {case[0] for case in mark.args[1]} == set(CATALOGUE)


def test_the_shares_of_a_slips_values_add_up_to_one() -> None:
    for typed in (INCHES, Typed(612.0, "mm", "mm", "612"), Typed(7.4, "deg"), Typed(612.0, "kg")):
        for slip in CATALOGUE.values():
            undone = slip.undo(typed)
            assert not undone or sum(one.share for one in undone) == pytest.approx(1.0), slip.name


def test_a_whole_inch_has_no_fraction_to_mistake() -> None:
    whole = Typed(609.6, "mm", "in", "24")
    assert values("fraction on the wrong side", whole) == []
    assert values("mirrored fraction", whole) == []
    assert values("other denominator", whole) == []


def test_a_metric_value_has_no_fraction_to_mistake() -> None:
    assert Typed(612.775, "mm", "mm", "612.775").inches is None


def test_feet_and_nothing_typed_have_no_digits_to_swap() -> None:
    assert values("swapped digits", Typed(1905.0, "mm", "ft in", "6' 3")) == []
    assert values("wrong side", Typed(0.0)) == []


@pytest.mark.parametrize(
    ("typed", "names", "expected", "spread", "slip", "value"),
    [
        (INCHES, slips.TAPED + slips.AT_BOLTS, 587.0, 4.0, "one inch", 587.375),
        (INCHES, slips.TAPED, 606.6, 2.0, "fraction on the wrong side", 606.425),
        (Typed(712.0, "mm", "mm", "712"), slips.TAPED + slips.AT_BOLTS, 611.0, 3.0, "100 mm", 612.0),
        (Typed(621.0, "mm", "mm", "621"), slips.TAPED, 612.2, 1.0, "swapped digits", 612.0),
        (Typed(-7.4, "deg"), slips.GAUGED, 7.2, 0.4, "gauge from the other end", 7.4),
        (Typed(1000.0, "kg", "kg"), slips.WEIGHED, 455.0, 6.0, "pound read as kg", 453.59237),
    ],
)
def test_the_slip_that_fits_and_is_common_is_named_first(
    typed: Typed, names: tuple[str, ...], expected: float, spread: float, slip: str, value: float
) -> None:
    found, _ = explain(typed, names, expected, spread)
    assert (found[0].slip.name, round(found[0].value, 3)) == (slip, round(value, 3))
    assert found[0].share > 0.5
    assert sum(explanation.share for explanation in found) < 1.0


def test_when_two_slips_fit_alike_the_commoner_one_wins() -> None:
    # By hand: 25.4 is both one inch and the pitch of a bracket's holes; missing a whole inch is the commoner in inches.
    found, _ = explain(INCHES, ("wrong hole", "one inch"), INCHES.value - 25.4, 1.0)
    assert [explanation.slip.name for explanation in found] == ["one inch", "wrong hole"]


def test_a_difference_no_slip_explains_is_left_to_something_else() -> None:
    found, _ = explain(Typed(612.0, "mm", "mm", "612"), ("100 mm", "10 mm"), 658.0, 1.0)
    assert all(explanation.share < 0.01 for explanation in found)


def test_half_of_the_mistakes_no_slip_explains_are_smaller_than_usual() -> None:
    # By hand: nothing of the catalogue applies; a Cauchy density of half-width 40 + 1, summed over every mm.
    inside = math.fsum(
        math.exp(explain(Typed(612.0, "mm", "mm", "612"), (), 612.0 + size, 1.0)[1]) for size in range(-41, 42)
    )
    assert inside == pytest.approx(0.5, abs=0.01)


def test_a_tape_case_left_out_takes_its_length_from_what_the_rest_says() -> None:
    # By hand: the case is 77.5 give or take 8, the rest says 70 give or take 1: 77.5 - 7.5 * 64 / 65.
    found, _ = explain(Typed(600.0, "mm", "mm", "600"), ("tape case",), 670.0, 1.0)
    assert found[0].value == pytest.approx(670.0 + 7.5 / 65, abs=1e-9)


def test_rows_that_one_sum_undoes_are_undone_by_it() -> None:
    for name, row in CATALOGUE.items():
        for plain in simple([name]):
            typed = Typed(-812.8)
            values = {round(one.value, 9) for one in row.undo(typed)}
            if plain.factor is not None:
                assert values == {round(-812.8 * plain.factor, 9)}
            else:
                assert plain.shift is not None
                assert values == {round(-812.8 - plain.shift, 9), round(-812.8 + plain.shift, 9)}
    named = [plain.slip.name for plain in simple(CATALOGUE)]
    assert {"one inch", "one foot", "100 mm", "wrong side", "cm read as mm"} <= set(named)
    assert "swapped digits" not in named and "complement of the angle" not in named


OFF_THE_METRIC_SCALE = ("10 mm", "cm read as inch", "mm read as inch")


@pytest.mark.parametrize("text", ["600 1/8", "600⅛", "600 1⁄8", "50' 1/8\""])
@pytest.mark.parametrize("name", OFF_THE_METRIC_SCALE)
def test_who_typed_a_fraction_did_not_read_the_metric_scale(name: str, text: str) -> None:
    typed = Typed(600.125 * 25.4, "mm", "ft" if "'" in text else "in", text)
    expected = CATALOGUE[name].undo(typed)[0].value
    found, _ = explain(typed, slips.TAPED, expected, 1.0)
    assert name not in [explanation.slip.name for explanation in found]
    decimal = Typed(typed.value, "mm", "in", "600.125")
    assert name in [explanation.slip.name for explanation in explain(decimal, slips.TAPED, expected, 1.0)[0]]


@pytest.mark.parametrize(("name", "unit"), [
    ("inch read as cm", "in"), ("inch read as mm", "in"), ("inch read as mm", "ft"), ("cm read as mm", "in"),
    ("mm read as cm", "in"), ("cm read as inch", "mm"), ("mm read as inch", "mm"), ("mm read as inch", "cm"),
    ("pound read as kg", "lb"), ("kg read as pound", "kg"),
])
def test_a_number_typed_in_one_unit_was_not_typed_in_another(name: str, unit: str) -> None:
    typed = Typed(600.0, "kg" if unit in ("kg", "lb") else "mm", unit, "600")
    expected = CATALOGUE[name].undo(typed)[0].value
    assert explain(typed, (name, "one inch"), expected, 1.0)[0] == ()
