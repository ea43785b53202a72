"""How far each rod end leans over the whole travel and articulation, against what its joint is rated for.

A rod end turns freely about its bolt and leans only sideways: the angle of the link out of the plane square to its
bolt. Where the bolt's direction is not stated, what is shown is the whole turn from ride height: never less than what
the travel adds to the lean, but it does not know how the joint stands at ride height.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from geometry.complex_step import STEP, Complex, absolute, asin, norm
from geometry.figures import Spread, figure_words
from geometry.figures.base import Facts
from geometry.figures.everywhere import everywhere, greatest
from geometry.figures.parts import JointFact
from geometry.figures.ride import Ride
from geometry.figures.spread import spreads
from geometry.figures.swings import ENDS, along_links, link_turns, place_in
from geometry.figures.taken import Taken
from geometry.fit import Fit
from geometry.layouts import Link

DEGREE = 180.0 / np.pi
USUAL_RATED = (15.0, 25.0)
"""deg each way, plain rod ends and spherical bearings; 30 or more with high-misalignment spacers: common practice."""
USUAL_BUSH = (3.0, 8.0)
"""deg each way that rubber or urethane gives freely; common practice, no source."""


@dataclass(frozen=True)
class JointSwing:
    """The most one joint leans, deg, with one standard deviation, and at which travel and lift (left over right), mm.

    about_bolt: measured out of the plane square to the stated bolt; else the turn from ride height. reserve: rated less
    most, deg; None where no rating is stated. leans: it stands on a guess in place of a reading. sentence: what it
    means, or why there is no number.
    """

    link: str
    end: str
    most: float | None
    sd: float | None
    travel: float
    lift: float
    about_bolt: bool
    rated: float | None
    reserve: float | None
    leans: bool
    sentence: str


def lean(ride: Ride, at: Taken, link: Link, end: str, bolt: tuple[float, float, float]) -> Complex:
    """Of a link out of the plane square to its bolt at one end, (P, T) deg, + towards the way the bolt points."""
    now = ride.once(along_links, at.pose)[:, :, place_in(ride, link.name)]
    axis = np.asarray(bolt) / np.linalg.norm(bolt)
    if end == "axle":
        now = np.einsum("ptji,ptj->pti", at.pose.turn, now)
    return np.asarray(DEGREE * asin(np.einsum("pti,i->pt", now, axis) / norm(now)))


def turn_from_ride(ride: Ride, at: Taken, link: Link, end: str) -> Complex:
    """How far a link has turned from ride height against the body of that end, (P, T) deg."""
    return ride.once(link_turns, at.pose)[..., ENDS.index(end), place_in(ride, link.name)]


def joint_swings(fit: Fit, facts: Facts) -> tuple[JointSwing, ...]:
    """Every joint of every link, those with the least reserve first, then those without a rating that lean most.

    NotYet where the links leave the axle loose, or one of them has no length.
    """
    ride = Ride(fit, facts)
    everywhere(ride)
    ends = [(link, end) for link in ride.layout.links for end in ("frame", "axle")]
    found = [_swing(ride, link, end) for link, end in ends if not (link.role == "arm" and end == "axle")]
    return tuple(sorted(found, key=_order))


def _order(swing: JointSwing) -> tuple[int, float]:
    if swing.most is None:
        return 0, 0.0
    return (1, swing.reserve) if swing.reserve is not None else (2, -swing.most)


def _swing(ride: Ride, link: Link, end: str) -> JointSwing:
    fact = ride.facts.joints.get(link.name, {}).get(end, JointFact())
    about_bolt = fact.bolt is not None and float(np.linalg.norm(fact.bolt)) > 0.0
    empty = partial(JointSwing, link.name, end, None, None, 0.0, 0.0, about_bolt, fact.rated, None, False)
    most = greatest(ride, partial(_leaning, link=link, end=end, bolt=fact.bolt if about_bolt else None))
    value, sd = float(most.value.real[0]), float(spreads(ride, most.value[:, None])[0])
    if not (np.isfinite(value) and np.isfinite(sd)):
        return empty(figure_words.LEAN_HAS_NO_SPREAD)
    leans = bool(Spread(ride).leans(most.value.imag / STEP))
    reserve = None if fact.rated is None else fact.rated - value
    sentence = _says(link, end, reserve, sd, about_bolt)
    return JointSwing(
        link.name, end, value, sd, most.travel, most.lift, about_bolt, fact.rated, reserve, leans, sentence
    )


def _leaning(
    ride: Ride, at: Taken, link: Link, end: str, bolt: tuple[float, float, float] | None
) -> Complex:
    return turn_from_ride(ride, at, link, end) if bolt is None else absolute(lean(ride, at, link, end, bolt))


def _says(link: Link, end: str, reserve: float | None, sd: float, about_bolt: bool) -> str:
    joint = figure_words.joint_of(link.words, end)
    basis = "" if about_bolt else figure_words.WHOLE_TURN
    if reserve is None:
        return figure_words.leans_at_the_most(joint, basis)
    if reserve < -2.0 * sd:
        return figure_words.leans_too_far(joint, basis)
    if reserve < 2.0 * sd:
        return figure_words.near_its_rating(joint, basis)
    return figure_words.within_its_rating(joint, basis)
