"""Whatever a person can type comes back as the same length, or as one plain sentence."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capture.entry import LARGEST, LONGEST, UNITS, Entry, NotAReading, parse
from capture.lengths import say_length

INCH = Fraction(254, 10)


def inches(text: str) -> float:
    return parse(text, "in", "mm").value


def refusal(text: str, unit: str = "in", quantity: str = "mm") -> str:
    with pytest.raises(NotAReading) as refused:
        parse(text, unit, quantity)
    sentence = str(refused.value)
    assert sentence and "\n" not in sentence and sentence[-1] in ".?"
    return sentence


@pytest.mark.parametrize(
    "text",
    ["24 1/8", "24-1/8", '24 1/8"', "24 1/8 in", "24 1/8 inches", "24.125", "24,1250", " 24  1/8 ", "24⅛", "24 ⅛",
     "24 1⁄8″", "24 1/8”", "24 4/32", "2' 1/8", "2' 0 1/8\"", "2 ft 1/8 in", "2′ ⅛″", "2'-0 1/8\"", "+24 1/8"],
)  # fmt: skip
def test_24_and_an_eighth_in_all_its_spellings_is_612_775_mm(text):
    # Source: by hand, 24.125 x 25.4 = 612.775.
    assert inches(text) == 612.775


@pytest.mark.parametrize(
    ("text", "mm"),
    [("612.5 mm", 612.5), ("612,5mm", 612.5), ("61.25 cm", 612.5), ("1/2", 12.7), (".5", 12.7), ("½", 12.7),
     ("5' 3 1/2", 1612.9), ("5 ft 3 in", 1600.2), ("5'", 1524.0), ("5''", 127.0), ("0", 0.0), ("3.5 ft", 1066.8)],
)  # fmt: skip
def test_a_unit_in_the_text_overrides_the_chosen_one(text, mm):
    assert inches(text) == mm


@pytest.mark.parametrize(
    ("text", "mm"), [("-3 1/4", -82.55), ("- 3", -76.2), ("−3 ¼", -82.55), ("–3", -76.2), ("+2", 50.8), ("-1/2", -12.7)]
)
def test_a_sign_covers_the_whole_number_and_its_fraction(text, mm):
    assert inches(text) == mm


@pytest.mark.parametrize(
    ("text", "unit", "quantity", "value"),
    [("12.4 deg", "deg", "deg", 12.4), ("12.4°", "deg", "deg", 12.4), ("-2 1/2", "deg", "deg", -2.5),
     ("412,5", "kg", "kg", 412.5), ("100 lb", "kg", "kg", 45.359237), ("100", "lb", "kg", 45.359237),
     ("612,5", "mm", "mm", 612.5), ("24 1/8 in", "mm", "mm", 612.775), ("0,125", "mm", "mm", 0.125)],
)  # fmt: skip
def test_angles_weights_and_millimetres_come_in_their_file_unit(text, unit, quantity, value):
    # Source: the pound is 0.45359237 kg by definition (1959 agreement).
    assert parse(text, unit, quantity).value == value


def test_the_text_is_kept_as_typed_and_the_unit_as_meant():
    assert parse(" 5' 3 ½ ", "in", "mm") == Entry(1612.9, "ft", " 5' 3 ½ ")
    assert parse("61.3 cm", "mm", "mm").unit == "cm"


@pytest.mark.parametrize(
    ("text", "asks"),
    [("121/2", "12 1/2?"), ("2411/16", "24 11/16 or 241 1/16?"), ("97/8", "9 7/8?"), ("3/2", "1 1/2?"),
     ("8/8", "mean 1?"), ("24 9/8", "25 1/8?")],
)  # fmt: skip
def test_a_missing_space_is_asked_back_with_what_it_could_be(text, asks):
    assert asks in refusal(text)


@pytest.mark.parametrize("text", ["1/0", "24 1/3", "24 1/10", "24 1/128", "⅓", "24 1/1", "24 0/0"])
def test_a_fraction_that_no_tape_has_is_refused_with_those_it_has(text):
    assert "1/8" in refusal(text)


@pytest.mark.parametrize(
    "text",
    ["", "   ", "\n", ".", "-", "/", "1/", "/8", "--3", "24 25", "24 1/8 1/8", "24.5 1/8", "24.1/8", "24--1/8",
     "24 - 1/8", "24 -1/8", "24\n1/8", "1e99", "1e3", "nan", "inf", "-inf", "0x10", "1_000", "1 000", "1.234.5",
     "1,234.5", "twelve", "24 m", "24 km", "12°", "24 kg", "5' 14", "5.5' 3", "5' 3'", "5' 3 cm", "5''3", "½½", "1/½",
     "٣", "１２", "12³", "1²/₃", "①", "Ⅳ", "1\u200b2", "1\u202e2", "\x00", "24;1", "'", '"', "in", "9" * 30],
)  # fmt: skip
def test_what_has_no_single_meaning_is_refused_in_one_sentence(text):
    refusal(text)


def test_a_half_sign_before_a_digit_never_becomes_another_fraction():
    # "½5" with the sign merely spelled out would read 1/25.
    refusal("½5°", "deg", "deg")


def test_a_comma_with_three_digits_behind_it_is_asked_back():
    assert refusal("1,234", "mm") == "1,234 has two meanings: type 1.234 or 1234."


def test_a_bare_fraction_while_millimetres_are_chosen_is_asked_back():
    assert "24 1/8 in or 24 1/8 mm" in refusal("24 1/8", "mm")
    assert parse("24 1/2 mm", "mm", "mm").value == 24.5


def test_very_long_text_is_refused_by_its_length():
    assert "41 characters are too many" in refusal("1" * (LONGEST + 1))
    assert "characters" in refusal("7" * 1_000_000)


def test_a_refusal_shows_no_unprintable_signs():
    assert "\x1b" not in refusal("\x1b[31m24")


def test_a_unit_of_another_quantity_is_refused_by_name():
    assert "is a length, this reading is an angle" in refusal("24 in", "deg", "deg")
    assert "choose deg" in refusal("12", "mm", "deg")
    assert "choose" in refusal("12", "furlong")


@pytest.mark.parametrize(
    ("text", "unit", "asks"), [("12.3", "in", "12 3/8"), ("3.6", "ft", "3' 6"), ("3.6 ft", "in", "3' 6")]
)
def test_a_decimal_that_often_stands_for_another_value_carries_a_question(text, unit, asks):
    assert asks in (parse(text, unit, "mm").ask or "")


@pytest.mark.parametrize("text", ["12.5", "12.25", "12.0", "12", "12 3/8", "612.3 mm"])
def test_a_plain_value_carries_no_question(text):
    assert parse(text, "in", "mm").ask is None


denominators = st.sampled_from([2, 4, 8, 16, 32, 64])


@given(st.integers(0, 999), denominators, st.data(), st.sampled_from(["{w} {t}/{b}", "{w}-{t}/{b}", '{w} {t}/{b}"']))
def test_every_inch_fraction_is_the_float_nearest_to_the_true_length(whole, bottom, data, form):
    top = data.draw(st.integers(1, bottom - 1))
    assert inches(form.format(w=whole, t=top, b=bottom)) == float((whole + Fraction(top, bottom)) * INCH)


@given(st.integers(-16_000, 16_000))
def test_sixteenths_said_and_read_back_are_the_same_length(steps):
    mm = float(Fraction(steps, 16) * INCH)
    assert inches(say_length(mm, "in")) == mm


@given(st.integers(-32_000, 32_000))
def test_thirty_seconds_said_and_read_back_are_the_same_length(steps):
    mm = float(Fraction(steps, 32) * INCH)
    assert parse(say_length(mm, "in", denominator=32), "mm", "mm").value == mm


@given(st.integers(-16_000, 16_000))
def test_feet_and_inches_said_and_read_back_are_the_same_length(steps):
    mm = float(Fraction(steps, 16) * INCH)
    assert parse(say_length(mm, "ft"), "ft", "mm").value == mm


@given(st.integers(-99_999, 99_999))
def test_tenths_of_a_millimetre_said_and_read_back_are_the_same_length(steps):
    assert parse(say_length(steps / 10, "mm"), "in", "mm").value == steps / 10


typeable = st.text("0123456789 /.,-+'\"′″½⅛°infcmtdegklb", max_size=12)


@settings(max_examples=400)
@given(typeable | st.text(max_size=60), st.sampled_from(sorted(UNITS)), st.sampled_from(["mm", "deg", "kg"]))
def test_any_text_is_a_reading_or_a_plain_refusal(text, unit, quantity):
    try:
        entry = parse(text, unit, quantity)
    except NotAReading as refused:
        assert str(refused) and "\n" not in str(refused)
        return
    assert entry.text == text and abs(entry.value) <= LARGEST
    assert any(sign in "0123456789½⅛" for sign in text)


@settings(max_examples=300)
@given(typeable)
def test_blanks_around_a_reading_change_nothing(text):
    try:
        entry = parse(text, "mm", "mm")
    except NotAReading:
        return
    again = parse(f"  {text}  ", "mm", "mm")
    assert (again.value, again.unit) == (entry.value, entry.unit)


signs = st.sampled_from(["", "-", "- ", "+", "−"])
spaces = st.sampled_from(["", " ", "\u00a0", "  "])


marks = st.sampled_from(["'", "′", "ft"])


@given(signs, st.integers(0, 999), st.integers(0, 11), denominators, st.data(), spaces, marks)
def test_feet_inches_and_fractions_are_the_sum_of_their_parts(sign, feet, inch, bottom, data, gap, mark):
    top = data.draw(st.integers(1, bottom - 1))
    size = feet * 12 + inch + Fraction(top, bottom)
    expected = float((-size if sign.strip() in ("-", "−") else size) * INCH)
    assert inches(f"{sign}{feet}{gap}{mark}{gap}{inch} {top}/{bottom}") == expected
