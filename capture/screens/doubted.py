"""What is said beside a figure that leans on an open doubt: what it would be under the likeliest correction."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.figures import Figure
from markupsafe import Markup

from capture.report import Report
from capture.screens import figure_words
from capture.screens.filters import said, spread
from capture.screens.words import signed


@dataclass(frozen=True)
class WouldBe:
    """sentence: that it leans on a doubt. value, spread: under the likeliest correction; empty where there is none."""

    sentence: str
    value: Markup
    spread: Markup

    @property
    def corrected(self) -> Markup:
        """"With that corrected as is likeliest: 53 % ± 8." Empty where it cannot be had so."""
        if not self.value:
            return Markup()
        return Markup(figure_words.CORRECTED_AS_IS_LIKELIEST).format(self.value, self.spread)


def would_be(report: Report) -> dict[str, WouldBe]:
    """Every figure that leans on an open doubt, by key."""
    return {key: _said(figure, report.vehicle.display_unit) for key, figure in report.corrected.items()}


def _said(figure: Figure, display_unit: str) -> WouldBe:
    if figure.value is None or figure.sd is None:
        return WouldBe(figure_words.LEANS_ON_DOUBT, Markup(), Markup())
    value = said(figure.value, figure.unit, display_unit, signed(figure.key))
    return WouldBe(figure_words.LEANS_ON_DOUBT, value, spread(figure.sd, figure.unit, display_unit))
