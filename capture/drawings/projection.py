"""From the vehicle frame to the paper: which way one looks, and which part of the vehicle the window shows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from .svg import Pixel

Place = tuple[float, float, float]
"""x forward, y left, z up; mm, vehicle frame."""

Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class View:
    """A way of looking. `right` and `up` are the vehicle's directions that point right and up on the paper."""

    key: str
    right: Place
    up: Place
    upright: bool
    words: str

    @property
    def plane(self) -> str:
        """Which two coordinates it shows: "side" x and z, "top" x and y, "end" y and z."""
        return "top" if not self.upright else "side" if self.right[0] else "end"

    def paper(self, place: Place) -> tuple[float, float]:
        """(to the right, up) on the paper, mm."""
        x, y, z = place
        right, up = self.right, self.up
        return right[0] * x + right[1] * y + right[2] * z, up[0] * x + up[1] * y + up[2] * z

    def covariance(self, cov: Matrix) -> tuple[float, float, float]:
        """Of the place on the paper: (right right, right up, up up), mm²."""
        def product(a: Place, b: Place) -> float:
            return sum(a[i] * cov[i][j] * b[j] for i in range(3) for j in range(3))
        return product(self.right, self.right), product(self.right, self.up), product(self.up, self.up)


LEFT = View("left", (-1, 0, 0), (0, 0, 1), True, "side view from the left, front at left")
RIGHT = View("right", (1, 0, 0), (0, 0, 1), True, "side view from the right, front at right")
TOP_LEFT = View("top_left", (-1, 0, 0), (0, -1, 0), False, "view from above, front at left")
TOP_RIGHT = View("top_right", (1, 0, 0), (0, 1, 0), False, "view from above, front at right")
PLAN = View("plan", (0, -1, 0), (1, 0, 0), False, "view from above, front at the top")
FRONT = View("front", (0, 1, 0), (0, 0, 1), True, "front view, seen from the front")
REAR = View("rear", (0, -1, 0), (0, 0, 1), True, "rear view, seen from behind")


@dataclass(frozen=True)
class Box:
    """A rectangle on the paper, mm: to the right and up."""

    left: float
    right: float
    low: float
    high: float

    @classmethod
    def around(cls, points: Iterable[tuple[float, float]]) -> Box:
        points = list(points)
        rights, ups = [p[0] for p in points], [p[1] for p in points]
        return cls(min(rights), max(rights), min(ups), max(ups))

    def joined(self, other: Box) -> Box:
        return Box(min(self.left, other.left), max(self.right, other.right),
                   min(self.low, other.low), max(self.high, other.high))

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.high - self.low


@dataclass(frozen=True)
class Window:
    """A view at one scale: the paper's (right, up) `centre` lies in the middle of a width x height px picture."""

    view: View
    scale: float
    centre: tuple[float, float]
    width: float = 360.0
    height: float = 163.0

    def at(self, place: Place) -> Pixel:
        """Where a place of the vehicle falls, px."""
        return self.pixel(self.view.paper(place))

    def pixel(self, on_paper: tuple[float, float]) -> Pixel:
        return (self.width / 2 + (on_paper[0] - self.centre[0]) * self.scale,
                self.height / 2 - (on_paper[1] - self.centre[1]) * self.scale)

    @property
    def floor(self) -> float:
        """The floor's y in px (upright views)."""
        return self.pixel((0.0, 0.0))[1]

    def shows(self, points: Iterable[Pixel], margin: float = 8.0) -> bool:
        """Whether something drawn between these points could be seen."""
        points = list(points)
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return (max(xs) > -margin and min(xs) < self.width + margin
                and max(ys) > -margin and min(ys) < self.height + margin)


def fitted(view: View, box: Box, width: float, height: float, left: float = 10.0, right: float = 10.0,
           above: float = 10.0, below: float = 10.0, largest: float = 1.0) -> Window:
    """The window that shows the whole box with these margins (px), no larger than `largest` px a mm."""
    scale = min((width - left - right) / max(box.width, 1.0), (height - above - below) / max(box.height, 1.0), largest)
    centre = ((box.left + box.right) / 2 - (left - right) / 2 / scale,
              (box.low + box.high) / 2 - (below - above) / 2 / scale)
    return Window(view, scale, centre, width, height)


def ellipse_axes(xx: float, xy: float, yy: float) -> tuple[float, float, float]:
    """Half axes (one sd) of a plane covariance and the turn of the longer one, counter-clockwise, degree."""
    mean, half = (xx + yy) / 2, (xx - yy) / 2
    reach = math.hypot(half, xy)
    turn = 0.0 if reach < 1e-12 else math.degrees(math.atan2(xy, half)) / 2
    return math.sqrt(max(mean + reach, 0.0)), math.sqrt(max(mean - reach, 0.0)), turn
