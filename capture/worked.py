"""What follows from the readings of a stage, worked out once: the fit, the doubts, figures, sweeps, plans.

Every part is kept beside what really went into it, and taken again whenever that is the same: a note, a photo or a wish
touches none of them, a reading of another stage none of this one's, a share of braking the figures but not the fit, and
a reading taken back and let in again finds what stood before. Nothing here looks at which entry came last, so nothing
can be overlooked: a part whose inputs differ in anything is worked out anew.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar, cast

from geometry import doubt, figures
from geometry.fit import Fit, Observation, Setup, fit

from capture import log
from capture.later import later
from capture.log import StageView
from capture.vehicle_file import Entry, VehicleFile

if TYPE_CHECKING:
    from geometry.aims import Answer
    from geometry.bring_back import Advice
    from geometry.compare import Comparison
    from geometry.doubt import Doubt
    from geometry.figures import Facts, Sheet, SweepTable
    from geometry.figures.clearance import ClearanceTable
    from geometry.proof import Proof
    from geometry.what_if import Measured

# what a report does not need, it does not wait for
aims = later("geometry.aims")
bring_back = later("geometry.bring_back")
clearance = later("geometry.figures.clearance")
compare = later("geometry.compare")
correction = later("geometry.correction")
proof = later("geometry.proof")
what_if = later("geometry.what_if")

MOST_SETS = 16
"""Sets of readings held: a few vehicles at a few stages, each as it was a few entries ago."""
MOST_READINGS = 20_000
"""Readings in all of them together, so that a few logs of thousands take no more memory than many short ones."""
MOST_EACH = 3
"""Answers held of one part, for the facts or plans it was asked with last."""
MOST_OF = {"measured": 1}
"""Fewer of a part that takes megabytes: it holds every figure's slopes and the poses they were taken at."""

Made = TypeVar("Made")


class Worked:
    """What follows from one set of readings. Safe to share between threads: each part is worked out by one of them."""

    def __init__(self, setup: Setup, observations: tuple[Observation, ...]) -> None:
        self._setup, self.observations = setup, observations
        self._turn = threading.RLock()
        self._held: dict[str, list[tuple[tuple[Any, ...], dict[str, Any], Any]]] = {}

    @property
    def fit(self) -> Fit:
        """The points that suit all readings best, with their covariance."""
        return self._once("fit", lambda _: fit(self._setup, self.observations))

    def judged(self, facts: Facts) -> tuple[Doubt, ...]:
        """What does not go with the rest, worst first."""
        return self._once("judged", lambda asked: doubt.judge(self.fit, asked), facts)

    def sheet(self, facts: Facts) -> Sheet:
        """The figures and the sweep."""
        return self._once("sheet", lambda asked: figures.sheet(self.fit, asked), facts)

    def corrected(self, doubts: tuple[Doubt, ...], facts: Facts) -> Sheet:
        """The figures under the likeliest correction of these doubts."""
        return self._once(
            "corrected", lambda asked: figures.sheet(correction.likeliest(self.fit, doubts), asked), facts, doubts
        )

    def standing(self, facts: Facts) -> tuple[SweepTable, SweepTable]:
        """Wheels, caster, pinion and roll centre as whole values: over travel and crossed."""
        return self._once("standing", lambda asked: figures.standing(self.fit, asked), facts)

    def articulation(self, facts: Facts) -> SweepTable:
        """The sweep with one wheel up and the other down."""
        return self._once("articulation", lambda asked: figures.articulation(self.fit, asked), facts)

    def gaps(self, facts: Facts) -> ClearanceTable:
        """The least distance of every pair of parts. Raises figures.base.NotYet."""
        return self._once("gaps", lambda asked: clearance.clearances(self.fit, asked), facts)

    def measured(self, facts: Facts) -> Measured:
        """Ready to be compared with plans of moves. It keeps the facts, so all of them count."""
        return self._once("measured", lambda _: what_if.Measured(self.fit, facts), None, facts)

    def aimed(self, wanted: tuple[Any, ...], facts: Facts) -> Answer:
        """Where the bolts should go for what is aimed at. Raises GeometryError."""
        return self._once("aimed", lambda _: aims.aim(self.measured(facts), *wanted), None, facts, wanted)

    def comparison(self, after: Fit, facts: Facts) -> Comparison:
        """What changed from here to there."""
        return self._once("comparison", lambda asked: compare.compare(self.fit, after, asked), facts, after)

    def proof(self, bolts: Sequence[str]) -> Proof:
        """The walk that would show a move of any of these."""
        return self._once("proof", lambda _: proof.readings_that_prove(self.fit, bolts), None, list(bolts))

    def advice(self, comparison: Comparison, facts: Facts) -> Advice:
        """What would bring back, from here, what a comparison says has changed."""
        return self._once("advice", lambda asked: bring_back.bring_back(self.fit, comparison, asked), facts, comparison)

    def _once(self, part: str, make: Callable[[Any], Made], facts: Facts | None = None, *given: Any) -> Made:
        """The part for these facts, of which only those that `make` asks for count, and for what else is given."""
        with self._turn:
            held = self._held.setdefault(part, [])
            for was_given, was_asked, made in held:
                if was_given == given and all(getattr(facts, name) == value for name, value in was_asked.items()):
                    return cast("Made", made)
            asked = _Asked(facts)
            made = make(asked)
            held.append((given, asked.answers, made))
            del held[: -MOST_OF.get(part, MOST_EACH)]
            return made


class _Readings:
    """A set of readings to be found again: thousands of them are hashed once."""

    def __init__(self, setup: Setup, observations: tuple[Observation, ...]) -> None:
        self._all = setup, observations
        self._hash = hash(self._all)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Readings) and self._all == other._all


class _Asked:
    """Facts that write down which of them were asked for, and what they answered."""

    def __init__(self, facts: Facts | None) -> None:
        self._facts = facts
        self.answers: dict[str, Any] = {}

    def __getattr__(self, name: str) -> Any:
        self.answers[name] = getattr(self._facts, name)
        return self.answers[name]


class Workshop:
    """Views of logs and what follows from them, the ones asked for last. Safe to share between threads."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._worked: OrderedDict[_Readings, Worked] = OrderedDict()
        self._views: OrderedDict[tuple[Any, ...], tuple[tuple[Entry, ...], StageView]] = OrderedDict()

    def view(self, vehicle: VehicleFile, stage: str | None) -> StageView:
        """`log.observations`, taken again while no entry came that it counts. Raises log.NoReadings."""
        counted = log.counted(vehicle)
        of = vehicle.layout, vehicle.worked_axle, tuple(entry.id for entry in counted)
        with self._guard:
            there = self._views.get((*of, stage))
            if there is not None and there[0] == counted:  # two vehicles may use one id for different entries
                self._views.move_to_end((*of, stage))
                return there[1]
            before = [view for key, (_, view) in reversed(self._views.items()) if key[:2] == of[:2]]
        shorter = (one for one in before if one.entries == counted[:-1])
        view = log.observations(vehicle, stage, next(shorter, before[0] if before else None))
        with self._guard:
            for asked in dict.fromkeys((view.stage, stage)):  # the latest stage asked for by name is the same view
                self._views[(*of, asked)] = counted, view
            _let_go(self._views, lambda kept: len(kept[0]))
        return view

    def worked(self, setup: Setup, observations: tuple[Observation, ...]) -> Worked:
        """What follows from these readings, as far as it has been asked for before."""
        key = _Readings(setup, observations)
        with self._guard:
            worked = self._worked.pop(key, None) or Worked(setup, observations)
            self._worked[key] = worked
            _let_go(self._worked, lambda kept: len(kept.observations))
        return worked


def _let_go(held: OrderedDict[Any, Any], size: Callable[[Any], int]) -> None:
    """Lets the oldest go until there are few enough; the newest always stays."""
    while len(held) > MOST_SETS or (len(held) > 1 and sum(map(size, held.values())) > MOST_READINGS):
        held.popitem(last=False)
