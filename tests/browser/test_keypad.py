"""The phone reads what is typed as the laptop does: the same value or the same sentence, bit for bit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from capture.entry import UNITS, NotAReading, parse

WHOLES = (
    "0", "1", "7", "19", "36", "106", "612", "1234", "999999", "1000001", "007",
)
TAILS = (
    "", " 1/8", " 5/8", " 11/16", " 63/64", " 3/3", " 9/8", " 1/0", " 1/3", "-7/8", " - 7/8", " 7 / 8", ".5", ",5",
    ".", ".125", ",125", ",1250", ".3", " 1/8 1/4", "½", " ⅝", "⅓", "'", "' 3", "' 3 1/2", "'11 7/8\"", "' 12",
    "' 3.5", "ft 2", " ft 2 in", "\"", " in", " inches", " mm", " cm", " deg", "°", " kg", " lb", " furlong", "''",
    " 000/8",
)
ODD = (
    "", "   ", "abc", "12 1/2 ", "-19 1/8", "+ 4", "− 3.5", "–2", "1/16", "15/16", ".5", ",5", ".3", "5.", ".",
    "/", "1/", "/8", "121/2", "1,234", "0,125", "12,345.6", "1e3", "0x10", "nan", "inf", "1_000", "٣", "４２", "²",
    "12²", "5′ 3″", "5’ 3½”", "5' 3 1/2\" x", "1 2", "1 2 3/4", "3 / 4", "3-1/4", "3 -1/4", "3- 1/4", "--3",
    "3--1/4", "1/2/3", "1 in 2", "12 ' 6", "1' 1/2", "1.5'", "1.5' 2", "' 3", "6'", "6'-2", "6' - 2 1/2", "6ft",
    "6 foot 3", "0.1", "0.2", "0.3", "24.125", "25.4", "1000000", "1000000.0000001", "0." + "0" * 30 + "1",
    "1" * 39, "1" * 41, "12.34567890123456789", "999999.99999999999999", "\t12\n", "12\u00a01/8", "12 in.", "12in",
    "12 INCHES", "3 FT", "3 FEET 2", "1/64", "63/64", "1/128", "64/64", "0/8", "7 0/8", "constructor",
    "12 constructor", "12 toString", "<b>12</b>", "12;", "“12”", "3.6 ft", "12.3", "12.30", "12.9 in", "0.7 in",
)


def texts() -> list[str]:
    return [whole + tail for whole in WHOLES for tail in TAILS] + list(ODD)


def on_the_laptop(text: str, unit: str) -> list[Any]:
    try:
        entry = parse(text, unit, UNITS[unit].quantity)
    except NotAReading as refusal:
        return ["refused", str(refusal)]
    return [entry.value, entry.unit, entry.text, entry.ask]


@pytest.fixture(scope="module")
def keypad(chromium: Any) -> Any:
    page = chromium.new_page()
    for script in ("words.js", "keypad.js"):
        page.add_script_tag(path=str(Path(__file__).parents[2] / "static" / script))
    yield page
    page.close()


@pytest.mark.parametrize("unit", UNITS)
def test_phone_and_laptop_read_every_text_alike(keypad: Any, unit: str):
    asked = texts()
    assert len(asked) > 500
    read = keypad.evaluate(
        """([texts, unit, quantity]) => texts.map(text => {
            try { const e = plumbtack.parse(text, unit, quantity); return [e.value, e.unit, e.text, e.ask]; }
            catch (trouble) {
                if (trouble instanceof plumbtack.NotAReading) return ["refused", trouble.message];
                throw trouble;
            }
        })""",
        [asked, unit, UNITS[unit].quantity],
    )
    differing = [(text, got, want) for text, got in zip(asked, read, strict=True)
                 if got != (want := on_the_laptop(text, unit))]
    assert differing == []


def test_what_the_phone_says_it_can_read_again(keypad: Any):
    # 24 1/8 in is 612.775 mm by the definition of the inch.
    said = keypad.evaluate("[plumbtack.say(612.775, 'in'), plumbtack.say(612.775, 'mm'), plumbtack.say(1612.9, 'ft')]")
    assert said == ["24 1/8", "613", "5' 3 1/2"]
