"""What kits ask of a design beside their other tools: how far it reaches at each task, and how soon the day is done.

Between kits grams fall in steps. Within one kit the mass of a design and these figures change smoothly with its
measures, so that a descent can follow them.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from pydantic import ValidationError

from catalog.bench.design import Design, bare_mass_g, cover_mass_g
from catalog.bench.design_limit import Looser, loosened
from catalog.bench.design_measure import tied
from catalog.bench.feasibility import LIMIT_NAMES, class_ends
from catalog.bench.rating import Rating, rate
from catalog.bench.variation import Candidate
from catalog.equipment.tool import MOST_SCORE, TASKS, Tool
from solver.answers.sweep import DesignLimits, Sweep
from solver.forms.effort import Effort
from solver.forms.trip import Trip
from solver.model.case import Case
from solver.model.day_work import Workload, usable, workload
from solver.needs.knife import originals

_REACHES = (*(f"{task}_max_mm" for task in TASKS), "turned_max_mm")
_SCORES = tuple(f"{task}_score" for task in TASKS)
_NAME = "design"
# judged: how many times as far a design may come to reach, where a kit is to lose a tool by it
_FARTHEST = 4.0
_TENTHS = 10  # a row of the catalog tells reach to 0.1 mm
_LEAST_MM = 0.1
# judged: how far a design stays from the end of its class, more than is rounded off a measure
_OFF_THE_END_MM = 0.02
# judged: a design so near the end of its class may be lighter in the next one
_NEAR_AN_END_MM = 0.2
# judged: what stands for a day that can't be done, as the logarithm of a share
_NOT_DONE = -0.5
# judged: stands for a day without a limit of work
_IN_TIME = 1.0


@dataclass(frozen=True)
class _Ask:
    """What the kit of one trip asks: the trip with the other tools alone, and the least reach of the design [mm]."""

    trip: Trip
    needed_mm: Mapping[str, float]


@dataclass(frozen=True)
class KitRoom:
    """What is asked of designs: their own limits, and what the kits of some trips leave to them.

    Attributes:
        design: what stays the same.
        looser: limits that designs need not keep.
        limits: limits of the caller.
        effort: what each day of work may cost.
        go_on: called before each design; what it raises ends the search.
        asks: what the kits ask.
        class_ends_mm: between which ends the measure stays that makes the class of the design; its limits jump there.
    """

    design: Design
    looser: Looser
    limits: DesignLimits
    effort: Effort
    go_on: Callable[[], None]
    asks: tuple[_Ask, ...] = field(default=())
    class_ends_mm: tuple[float, float] | None = None

    def beside(
        self, start: Candidate, trips: Sequence[Trip], kits: Sequence[Sequence[str]], *, farther: bool
    ) -> KitRoom | None:
        """Return the room beside the other tools of kits; None where no such design makes them cover their trips.

        Args:
            start: a design; where it does more than a kit asks, the kit asks what is left of that. The room is that of
                designs of its class.
            trips: the trips.
            kits: other tools of the kit of each trip.
            farther: whether the design may come to reach farther than it does.
        """
        asks = []
        for trip, ids in zip(trips, kits, strict=True):
            alone = trip.model_copy(update={"only": list(dict.fromkeys(originals(ids)))})
            reaches = _reaches(start.rating)
            if farther:
                reaches = {name: _FARTHEST * reach for name, reach in reaches.items()}
            needed = self._needed(alone, start.rating, reaches)
            if needed is None:
                return None
            asks.append(_Ask(alone, needed))
        measures = {name: float(value) for name, value in start.values.items()}
        return replace(self, asks=tuple(asks))._of_class(measures, 0.0)

    def beyond(self, point: Mapping[str, float]) -> KitRoom | None:
        """Return the same room for the class at whose end a design stands; None where it stands at no end."""
        for way_mm in (-_NEAR_AN_END_MM, _NEAR_AN_END_MM):
            there = self._of_class(point, way_mm)
            if there.class_ends_mm != self.class_ends_mm:
                return there
        return None

    def _of_class(self, point: Mapping[str, float], way_mm: float) -> KitRoom:
        """Return the same room for the class of a design whose measure is so much more [mm]."""
        value, ends = class_ends(self._drawn(point).drawing)
        place = max(1, bisect_right(ends, value + way_mm))
        return replace(self, class_ends_mm=(ends[place - 1], ends[place]))

    def _drawn(self, point: Mapping[str, float]) -> Design:
        """Return the design with measures changed.

        Raises:
            ValidationError: such a tool can't be drawn.
            KeyError: a path that the design does not have.
        """
        return self.design.varied({**tied(point, self.design.model_dump()), "id": _NAME, "name": None})

    def at(self, point: Mapping[str, float]) -> tuple[float, list[float]] | None:
        """Return the packed mass of the design with such measures [g], and how far it lies within each limit.

        All are 0 or more where it keeps them. None where it can't be drawn. Nothing is rounded.
        """
        self.go_on()
        try:
            varied = self._drawn(point)
        except (ValidationError, KeyError, TypeError):
            return None
        rating = rate(varied, intervals=False)
        found = self.limits.rooms(Candidate(dict(point), rating))
        for check in rating.checks:
            if check.limit not in self.looser and check.value is not None:
                found += [] if check.low is None else [(check.value - check.low) / check.step]
                found += [] if check.high is None else [(check.high - check.value) / check.step]
        if rating.strength is not None and "strength" not in self.looser:
            # each load for itself, so that a descent sees both where they are as bad as each other
            bending, snapping = (check for check in rating.checks if check.limit == "strength")
            for load in rating.strength.loads:
                found.append((load.margin_low - (bending.low or 0.0)) / bending.step)
                found.append((load.break_margin - (snapping.low or 0.0)) / snapping.step)
        if self.class_ends_mm is not None:
            (measured_mm, _), (low, high) = class_ends(varied.drawing), self.class_ends_mm
            rooms = measured_mm - low - _OFF_THE_END_MM, high - measured_mm - _OFF_THE_END_MM
            found += [room for room in rooms if room < math.inf]
        for ask in self.asks:
            found += self._within(ask, rating)
        return bare_mass_g(varied.drawing) + cover_mass_g(varied.drawing), found

    def _within(self, ask: _Ask, rating: Rating) -> list[float]:
        """Return how far a design lies within what a kit asks of it, as logarithms of shares."""
        reaches = _reaches(rating)
        needed = ask.needed_mm
        found = [math.log(max(reaches[name], _LEAST_MM) / least) for name, least in needed.items() if least]
        case = _case(ask.trip, _row(rating, {name: max(reaches[name], least) for name, least in needed.items()}))
        load = None if case is None else self._load(case)
        if case is None or load is None:
            return [*found, _NOT_DONE]
        return [*found, _IN_TIME if case.work_cap is None else math.log(case.work_cap / max(1, load.work))]

    def _load(self, case: Case) -> Workload | None:
        """Return the day's work with every tool of a case."""
        return workload(case, usable(case, frozenset(range(case.tools))), effort=self.effort, shares=False)

    def _needed(self, trip: Trip, rating: Rating, start: Mapping[str, float]) -> dict[str, float] | None:
        """Return the least reaches with which the other tools and the design do every job [mm].

        In time, where the design is in time at the longest; else in whatever time: less reach may leave a slow method.
        One reach after the other is made as short as the others leave it. None where these do not suffice.
        """
        reaches, longest = dict(start), self._day(trip, rating, start)
        if longest is None:
            return None
        in_time = _in_time(*longest)
        for name in _REACHES:
            low, high = 0, math.ceil(_TENTHS * reaches[name])
            while low < high:
                middle = (low + high) // 2
                day = self._day(trip, rating, {**reaches, name: middle / _TENTHS})
                enough = day is not None and (not in_time or _in_time(*day))
                low, high = (low, middle) if enough else (middle + 1, high)
            reaches[name] = high / _TENTHS
        return reaches

    def _day(self, trip: Trip, rating: Rating, reaches: Mapping[str, float]) -> tuple[Case, Workload] | None:
        """Return the case of a trip with the other tools and a design of a reach, and its day; None: work is left."""
        self.go_on()
        case = _case(trip, _row(rating, reaches))
        if case is None or (case.able[:, : case.tools].sum(axis=1) < case.backup).any():
            return None
        load = self._load(case)
        return None if load is None else (case, load)


def _in_time(case: Case, load: Workload) -> bool:
    """Tell whether a day keeps the limit on its work."""
    return case.work_cap is None or load.work <= case.work_cap


def _reaches(rating: Rating) -> dict[str, float]:
    """Return how far a design reaches at each task, unrounded [mm]; 0 where it does nothing."""
    values = {one.name: one.value for one in rating.scores}
    return {name: values.get(name, 0.0) for name in _REACHES}


def _row(rating: Rating, reaches: Mapping[str, float]) -> Rating:
    """Return a design with other reaches and its scores unrounded."""
    values = {one.name: one.value for one in rating.scores}
    scores = {name: min(MOST_SCORE, values.get(name, 0.0)) for name in _SCORES}
    ends = {f"{name}_{end}": None for name in _SCORES for end in ("low", "high")}
    row: Tool = rating.tool.model_copy(update={**scores, **ends, **reaches, "id": _NAME})
    return replace(rating, tool=row)


def _case(trip: Trip, rating: Rating) -> Case | None:
    """Return the case of a trip with the other tools and a design; None where they can't meet all needs."""
    case, gaps = Sweep(trip, [Candidate({}, rating)], DesignLimits(), loosened(LIMIT_NAMES)).met
    return None if gaps else case
