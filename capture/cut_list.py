"""The cut list: for each link and rod the tube to cut, from its length as measured or as planned, and its parts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from geometry.cutting import SDS, BadCut, Cut, cut, rounded
from geometry.errors import GeometryError
from geometry.figures import Figure
from geometry.layouts import LAYOUTS, Link
from geometry.rods import RODS as ROD_ENDS
from geometry.rods import rod_lengths
from geometry.what_if import what_if

from capture import part_words
from capture.lengths import say_length
from capture.link_parts import LinkParts, parts_of_link
from capture.plans import plan_of, plans
from capture.report import Report

GUESSED, PARTS, REFUSED, COARSE, READY = "guessed", "parts", "refused", "coarse", "ready"

RODS = tuple(Link(name, first, (second,), part_words.RODS[name], "rod") for name, (first, second) in ROD_ENDS.items())
"""The steering's rods, as links: a tie rod goes from left to right."""


class NoSuchPlan(ValueError):
    """A plan that was not made, or that the vehicle cannot follow; one plain sentence."""


@dataclass(frozen=True)
class CutLine:
    """One link. state: "guessed" (its length stands on a guess), "parts" (not all of them stated), "refused" (`said`
    says why no tube comes of them), "coarse" (the give or take is more than can be set), "ready".

    about: the tube as coarse as the give or take allows, mm, where it is coarse. doubted: rests on a reading in doubt.
    """

    link: Link
    length: Figure
    parts: LinkParts
    state: str
    made: Cut | None = None
    said: str = ""
    doubted: bool = False

    def about(self, unit: str) -> float:
        """The tube's length as coarse as its give or take allows, mm."""
        return rounded(self.made.length, SDS * self.made.sd, unit) if self.made else 0.0


def cut_lines(report: Report, plan: str | None = None) -> tuple[CutLine, ...]:
    """Every link in the layout's order, then the rods whose ends were read.

    plan: the name of one of the vehicle's plans. Errors: NoSuchPlan.
    """
    figures = lengths(report, plan)
    named = [(link, f"link_length.{link.name}") for link in (*LAYOUTS[report.vehicle.layout].links, *RODS)]
    return tuple(_line(report, link, figures[key]) for link, key in named if key in figures)


def lengths(report: Report, plan: str | None = None) -> dict[str, Figure]:
    """The figures as measured, or as a plan would have them, with the rods whose ends were read. Errors: NoSuchPlan."""
    if not plan:
        return {**report.sheet.figures, **rod_lengths(report.measured, report.measured.ride)}
    known = plans(report.vehicle)
    if plan not in known:
        raise NoSuchPlan(part_words.NO_SUCH_PLAN)
    try:
        outcome = what_if(report.measured, plan_of(known[plan]))
        return {**outcome.figures, **rod_lengths(report.measured, outcome.ride)}
    except GeometryError as trouble:
        raise NoSuchPlan(part_words.plan_cannot_be_followed(trouble)) from None


def _line(report: Report, link: Link, length: Figure) -> CutLine:
    parts = parts_of_link(report.vehicle.facts, link)
    line = partial(CutLine, link, length, parts, doubted=length.key in report.doubted)
    if length.value is None or length.sd is None or length.leans:
        return line(GUESSED)
    if parts.frame.end is None or parts.axle.end is None:
        return line(PARTS)
    try:
        made = cut(length.value, length.sd, parts.frame.end, parts.axle.end, say_in(report.vehicle.display_unit))
    except BadCut as trouble:
        return line(REFUSED, said=str(trouble))
    return line(READY if made.within_reach else COARSE, made)


def say_in(unit: str) -> partial[str]:
    """How lengths are said in a refusal."""
    return partial(say_length, display_unit=unit)
