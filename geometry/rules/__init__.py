"""Named rules: what must hold on any vehicle, whatever the readings' scatter. One line in `RULES` adds one.

Each compares with the spread of what it compares. `broken` gives all places where one does not hold.
"""

from __future__ import annotations

from geometry.figures.base import Facts
from geometry.fit import Fit
from geometry.rules import binding, mass, places, tubes, wheelbase
from geometry.rules.rule import Broken, Look, Rule

RULES: tuple[Rule, ...] = (*wheelbase.RULES, *mass.RULES, *places.RULES, *binding.RULES, *tubes.RULES)

__all__ = ["RULES", "Broken", "Look", "Rule", "broken"]


def broken(fitted: Fit, facts: Facts | None = None) -> tuple[Broken, ...]:
    """Every rule that does not hold, in the order of RULES. facts: what is stated of the parts."""
    look = Look(fitted, facts)
    return tuple(found for rule in RULES for found in rule.check(look))
