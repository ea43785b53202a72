"""Every doubt that geometry can raise has words, with its numbers in the person's unit and what to do next."""

import re

import pytest

from capture import doubt_words
from geometry.doubt import Broken, Doubt, SharedFacts
from geometry.rules import RULES, broken
from geometry.shared_mistakes import FAMILIES
from geometry.slips import CATALOGUE
from tests.geometry.test_rules import case_of

FORBIDDEN = re.compile(r"\b(error|invalid|wrong|outlier|standard deviation|safe|exact|sigma)\b", re.IGNORECASE)


@pytest.mark.parametrize("family", [family.name for family in FAMILIES])
def test_every_shared_mistake_has_its_sentence(family: str) -> None:
    shared = SharedFacts(family, "", 25.4, 2.0, "mm", "height:lower_left.frame", "height:upper.frame")
    doubt = Doubt(("height:lower_left.frame", "height:upper.frame"), "shared", 6.0, shared=shared)
    assert family in doubt_words.SHARED
    said = doubt_words.sentence(doubt, "in")
    assert said.endswith(".") and "{" not in said and not FORBIDDEN.search(said)


@pytest.mark.parametrize("rule", [rule.name for rule in RULES])
def test_every_rule_has_its_sentence_with_its_numbers(rule: str) -> None:
    found: Broken = next(one for one in broken(*case_of(rule)) if one.rule == rule)
    for unit in ("in", "mm"):
        said = doubt_words.rule_sentence(found, unit)
        assert said.endswith(".") and "{" not in said and not FORBIDDEN.search(said)
        assert re.search(r"\d", said)


@pytest.mark.parametrize("slip", list(CATALOGUE))
def test_every_slip_says_how_it_happens_in_one_calm_sentence(slip: str) -> None:
    how = CATALOGUE[slip].how
    assert how.endswith(".") and how.count(".") == 1 and not FORBIDDEN.search(how)
