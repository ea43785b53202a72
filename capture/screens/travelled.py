"""The ways through the travel as a page shows them: both wheels together, or one up and the other down.

A page stands at one place of one way. Its address says which, so that every place can be reached without script; with
it, the drawing and the curves follow the slider, the buttons and a finger on a curve.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from geometry.figures import Column, FigureKind
from geometry.figures.base import NotYet
from geometry.figures.over_travel import over_travel
from geometry.figures.poses import Pose, poses
from markupsafe import Markup

from capture import doubted_parts
from capture.drawings.curve import Marker
from capture.drawings.moving import LARGER, Step, moving
from capture.lengths import fine_angle, say, say_length, say_with_spread
from capture.report import Report, facts_of
from capture.screens import ahead, figure_pictures, figure_words, pictures, words

HEAVE, CROSSED = "heave", "crossed"
PATHS = (HEAVE, CROSSED)
FINE = 1.0
"""deg: a curve that stays within it is read to a hundredth, else hardly a number of it would differ from the next."""
NOUGHT = 1e-9
WHOLE = {"caster": "caster", "caster.left": "caster.left", "caster.right": "caster.right",
         "pinion_angle": "pinion_angle", "bump_steer_75": "heading.left",
         "roll_centre_height": "roll_centre", "anti_dive": "anti_braking", "anti_lift_braking": "anti_braking",
         "anti_lift_driving": "anti_driving", "anti_squat": "anti_driving"}
"""Figures whose curve shows whole values, by the column that has them."""


@dataclass(frozen=True)
class Asked:
    """Where on which way a page stands: mm at the axle's centre, or of the left wheel over the right one."""

    path: str = HEAVE
    way: float = 0.0

    @classmethod
    def of(cls, query: Mapping[str, str]) -> Asked:
        """From an address; what cannot be read counts as ride height."""
        path = query.get("path", HEAVE)
        try:
            way = float(query.get("way", "0"))
        except ValueError:
            way = 0.0
        return cls(path if path in PATHS else HEAVE, way if math.isfinite(way) else 0.0)

    @property
    def query(self) -> tuple[tuple[str, str], ...]:
        """What an address needs to come back here; nothing at ride height."""
        return (("path", self.path), ("way", f"{self.way:g}")) if self.way else ()


@dataclass(frozen=True)
class Button:
    """A pose to go to. to: its step."""

    words: str
    href: str
    path: str
    to: int
    current: bool


@dataclass(frozen=True)
class Sweep:
    """What the controls and the script of a page need. drawing: empty on a page with curves only."""

    drawing: Markup
    caption: str
    path: str
    at: int
    last: int
    where: str
    buttons: tuple[Button, ...]
    data: Markup
    reason: str = ""


@dataclass(frozen=True)
class CurveSaid:
    """A curve with its title and what is read at the place the page stands at. doubted: it rests on a reading in
    doubt."""

    title: str
    drawing: Markup
    now: str
    doubted: bool = False


class Travelled:
    """A vehicle's ways through its travel, with every column along them."""

    def __init__(self, report: Report, asked: Asked = Asked()) -> None:
        self.report, self.asked = report, asked
        self.unit = report.vehicle.display_unit
        whole, crossed_whole = report.standing
        swept, crossed = report.sheet.sweep, report.articulation
        self.travel = {HEAVE: swept.travel, CROSSED: crossed.travel}
        self.columns = {HEAVE: {**swept.columns, **whole.columns},
                        CROSSED: {**crossed.columns, **crossed_whole.columns}}
        self.doubted = dict(zip(PATHS, doubted_parts.columns(report), strict=True))
        self.binds = {HEAVE: swept.binds, CROSSED: crossed.binds}

    def step(self, path: str) -> int:
        """The step a page stands at; ride height on the way that is not asked for."""
        return self.nearest(path, self.asked.way if path == self.asked.path else 0.0)

    def nearest(self, path: str, way: float) -> int:
        travel = self.travel[path]
        return min(range(len(travel)), key=lambda step: abs(travel[step] - way))

    def where(self, path: str, step: int) -> str:
        """"3 in bump", "ride height", "left wheel 4 in higher"."""
        way = self.travel[path][step]
        length = say_length(abs(way), self.unit) if self.unit == "in" else f"{abs(way):.0f} mm"
        if step == self.nearest(path, 0.0):
            return "ride height"
        if path == HEAVE:
            return f"{length} {'bump' if way > 0 else 'droop'}"
        return f"{'left' if way > 0 else 'right'} wheel {length} higher"

    def said(self, column: Column) -> list[str]:
        """What is read at each step. A change counts from where the axle stands at ride height: there it is nought."""
        whole = [abs(value) + 2 * sd for value, sd in zip(column.values, column.sd, strict=True)
                 if value is not None and sd is not None]
        fine = column.unit == "deg" and max(whole, default=FINE) < FINE

        def read(value: float | None, sd: float | None) -> str:
            if value is None or sd is None:
                return "out of reach"
            if abs(value) < NOUGHT and sd < NOUGHT:
                return figure_words.counts_from_here(say(0.0, column.unit, self.unit))
            return fine_angle(value, sd) if fine else say_with_spread(value, sd, column.unit, self.unit)

        return [read(value, sd) for value, sd in zip(column.values, column.sd, strict=True)]

    def curve(self, path: str, column: Column | None, title: str, kind: FigureKind | None = None,
              label: str = "") -> CurveSaid | None:
        """A column drawn; None where it cannot be had or leans on guesses. label: lettered at ride height."""
        if column is None or column.leans or not any(value is not None for value in column.values):
            return None
        key = next((key for key, there in self.columns[path].items() if there is column), "")
        column, title = ahead.column_as_said(key, column, title)
        said, at = self.said(column), self.step(path)
        drawn = figure_pictures.curve(self.travel[path], column, title, self.unit, kind=kind, said=label,
                                      marker=Marker(path, at, said))
        return CurveSaid(title, drawn, f"{self.where(path, at)}: {said[at]}", key in self.doubted[path])

    def sweep(self, address: str, view: str | None, lines: bool = False) -> Sweep:
        """The controls, with the moving drawing in one view ("side", "end", "top") or none."""
        ways: dict[str, Any] = {path: {
            "said": [self.where(path, step) for step in range(len(self.travel[path]))],
            "ride": self.nearest(path, 0.0),
        } for path in PATHS}
        drawn, reason = Markup(), ""
        if view is not None:
            try:
                drawn = self._draw(ways, view, lines)
            except NotYet as wait:
                reason = wait.reason or figure_words.LINKS_NOT_KNOWN
        at = self.step(self.asked.path)
        headings = figure_words.heads_drawn_larger(LARGER) if drawn and lines and view == "top" else ""
        return Sweep(drawn, headings, self.asked.path, at,
                     len(self.travel[self.asked.path]) - 1, self.where(self.asked.path, at),
                     tuple(self._buttons(address)), data_of(ways), reason)

    def _draw(self, ways: dict[str, Any], view: str, lines: bool) -> Markup:
        """The drawing; where each moving point goes is added to `ways`."""
        facts = facts_of(self.report.vehicle)
        steps = [self._steps(path, poses(self.report.fit, facts, path == CROSSED)) for path in PATHS]
        made = moving(pictures.vehicle(self.report), steps, (PATHS.index(self.asked.path), self.step(self.asked.path)),
                      view, lines)
        for path, way in zip(PATHS, made.ways, strict=True):
            ways[path]["points"] = [[tenth(value) for value in row] for row in way.points]
            ways[path]["turns"] = [[round(value, 2) for value in row] for row in way.turns]
        return made.drawing

    def _steps(self, path: str, reached: tuple[Pose, ...]) -> list[Step]:
        """A pose for every step; the last reached one stands for those out of reach."""
        found = []
        for way in self.travel[path]:
            pose = min(reached, key=lambda pose: abs(pose.way - way))
            found.append(Step(pose.places, pose.lean, pose.heading, pose.instant_centre))
        return found

    def _buttons(self, address: str) -> list[Button]:
        found = []
        for said, path, way in (("Droop", HEAVE, -math.inf), ("Ride", HEAVE, 0.0), ("Bump", HEAVE, math.inf),
                                ("Right up", CROSSED, -math.inf), ("Left up", CROSSED, math.inf)):
            travel = self.travel[path]
            to = self.nearest(path, 0.0) if way == 0.0 else 0 if way < 0 else len(travel) - 1
            query = urlencode({"path": path, "way": f"{travel[to]:.0f}"})
            here = path == self.asked.path and to == self.step(path)
            found.append(Button(said, f"{address}?{query}#moving" if way else f"{address}#moving", path, to, here))
        return found




def tenth(value: float) -> float | None:
    """A place on the paper; None where there is none."""
    return round(value, 1) if math.isfinite(value) else None


def data_of(ways: dict[str, Any]) -> Markup:
    """JSON that can stand inside a page."""
    text = json.dumps(ways, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return Markup(text.replace("&", "\\u0026").replace("<", "\\u003c"))


def column_of(report: Report, key: str) -> Column | None:
    """The curve of a figure over travel: whole values where there are any, without a title where they are its own."""
    whole = report.standing[0].columns.get(WHOLE.get(key, ""))
    if whole is not None and any(value is not None for value in whole.values):
        return whole
    return over_travel(report.sheet, key)


def own_curve(key: str, column: Column) -> bool:
    """Whether a figure's curve shows the figure itself, so that its band and its value belong on it."""
    return not column.title or key in ("caster", "caster.left", "caster.right", "pinion_angle", "roll_centre_height")


def title_of(kind: FigureKind, column: Column) -> str:
    return f"{kind.title if own_curve(kind.key, column) else words.sentence_start(column.title)} over travel"
