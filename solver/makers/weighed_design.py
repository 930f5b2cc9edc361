"""Designs weighed on trips: the grams that the lightest kit with each saves, and the limits that it breaks."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pydantic import ValidationError

from catalog.bench.design import Design, bare_mass_g, cover_mass_g
from catalog.bench.design_limit import Looser
from catalog.bench.design_measure import tied
from catalog.bench.feasibility import LimitFinding
from catalog.bench.rating import Rating, rate
from catalog.bench.variation import Candidate
from solver.answers.allowance import lightest_known
from solver.answers.gap import let_off, missing_must, unmet
from solver.answers.sweep import DesignLimits, Sweep
from solver.forms.effort import Effort
from solver.forms.trip import Trip
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.question import question_of

# judged: as fine as a workshop measures [mm, deg, g, %]
MEASURE_DECIMALS = 2
# judged: grams that stand for a trip that a kit covers with the design alone, or no kit with it does
_WORTH_A_TRIP = 5000.0
# judged: how much grams lost count on trips whose kit is lighter without the design, to lead the search there
_LEAD = 0.02
# penalties beyond any grams: a drawing that breaks limits, and one that can't be drawn
_BROKEN, _UNDRAWN = 1e6, 1e9


@dataclass(frozen=True)
class TripWithout:
    """A trip, its weight, and the mass of its lightest kit without a design [g]; None where no kit covers it."""

    trip: Trip
    weight: float
    bare_g: float | None


@dataclass(frozen=True)
class _OnTrip:
    """What a design does on a trip: mass of the lightest kit with it [g], and its ids; None where no kit covers."""

    mass_g: float | None
    ids: tuple[str, ...]


@dataclass(frozen=True)
class Weighed:
    """A design that was tried.

    Attributes:
        values: the measures as drawn, each within what ties it.
        candidate: its rating; None where it can't be drawn.
        trips: what it does on each trip; empty where it breaks a limit.
        broken: by how many steps it breaks its limits, added up.
    """

    values: Mapping[str, float]
    candidate: Candidate | None
    trips: tuple[_OnTrip, ...]
    broken: float

    @property
    def allowed(self) -> bool:
        """Whether it can be drawn and keeps its limits."""
        return self.candidate is not None and self.broken == 0

    def saved_g(self, asked: Sequence[TripWithout]) -> float:
        """Return the grams saved over all, by weight: nothing where the kit is lighter without the design [g]."""
        total = sum(one.weight for one in asked)
        saved = (
            one.weight * max(0.0, _saved_on(one, here) or 0.0) for one, here in zip(asked, self.trips, strict=True)
        )
        return sum(saved) / total

    def loss(self, asked: Sequence[TripWithout]) -> float:
        """Return what the search makes least: grams saved, taken negative, with what leads it to them."""
        if self.candidate is None:
            return _UNDRAWN
        if self.broken > 0:
            return _BROKEN * (1 + self.broken)
        total = sum(one.weight for one in asked)
        return -sum(one.weight * _merit(one, here) for one, here in zip(asked, self.trips, strict=True)) / total

    def others_g(self, asked: Sequence[TripWithout]) -> float:
        """Return what the kits with it weigh without it, by weight [g]; endless where it breaks a limit."""
        if self.candidate is None or self.broken > 0:
            return math.inf
        return _kit_g(asked, self.trips) - self.packed_g

    @property
    def rating(self) -> Rating:
        """Its rating; only of one that can be drawn."""
        assert self.candidate is not None
        return self.candidate.rating

    @property
    def others(self) -> tuple[tuple[str, ...], ...] | None:
        """The other tools of its kits, trip by trip; None where a kit is missing."""
        if self.candidate is None or not self.trips or any(here.mass_g is None for here in self.trips):
            return None
        own = self.candidate.rating.tool.id
        return tuple(tuple(sorted(set(originals(here.ids)) - {own})) for here in self.trips)

    @property
    def packed_g(self) -> float:
        """Its packed mass [g]; endless where it can't be drawn."""
        return math.inf if self.candidate is None else self.candidate.rating.tool.packed_mass_g


def _kit_g(asked: Sequence[TripWithout], trips: Sequence[_OnTrip]) -> float:
    """Return what kits weigh over all, by weight [g]."""
    masses = (_WORTH_A_TRIP if here.mass_g is None else here.mass_g for here in trips)
    return sum(one.weight * mass for one, mass in zip(asked, masses, strict=True)) / sum(one.weight for one in asked)


def _saved_on(one: TripWithout, here: _OnTrip) -> float | None:
    """Return the grams that a design saves on a trip, below 0 where it costs; None where a kit is missing."""
    return None if one.bare_g is None or here.mass_g is None else one.bare_g - here.mass_g


def _merit(one: TripWithout, here: _OnTrip) -> float:
    """Return what a design is worth on a trip to the search [g]."""
    if here.mass_g is None:
        return -_LEAD * _WORTH_A_TRIP
    saved = _WORTH_A_TRIP - _LEAD * here.mass_g if one.bare_g is None else one.bare_g - here.mass_g
    return saved if saved > 0 else _LEAD * saved


def bare_trip(trip: Trip, weight: float, *, effort: Effort) -> TripWithout:
    """Return a trip with the mass of its lightest kit.

    Raises:
        TripError: fields that don't go together.
        Cancelled: nobody waits for it.
    """
    question = question_of(trip)
    case, unmet_gaps = question.case, missing_must(question.trip, question.barred, question.case)
    case, _, need_gaps = unmet(question, let_off(case))
    covered = not unmet_gaps and not need_gaps
    choice = lightest_known(case, None, effort=effort) if covered else None
    bare = None if choice is None or choice.ids is None else grams(choice.mass)
    return TripWithout(trip, weight, bare)


def free_prefix(design: Design, trips: Sequence[Trip]) -> str:
    """Return what the ids of designs begin with, as no tool of a trip does."""
    taken = [tool.id for trip in trips for tool in (*(trip.tools or ()), *trip.extra_tools)]
    # judged: room for the number of a design in an id of 80 characters
    prefix = design.id[:60]
    while any(name.startswith(f"{prefix}-") for name in taken):
        prefix = f"{prefix[:74]}x" if len(prefix) < 74 else f"x{prefix[:60]}"
    return prefix


def weighed(
    design: Design,
    points: Sequence[Mapping[str, float]],
    asked: Sequence[TripWithout],
    looser: Looser,
    limits: DesignLimits,
    *,
    prefix: str,
    effort: Effort,
    go_on: Callable[[], None],
) -> list[Weighed]:
    """Return designs at points of the search, each drawn, rated, held against its limits and weighed on every trip.

    Args:
        design: what stays the same.
        points: measures by field, a mapping each.
        asked: the trips.
        looser: limits that designs need not keep.
        limits: limits of the caller.
        prefix: what ids begin with, as no tool of a trip does.
        effort: what each solve may cost.
        go_on: called before each design; what it raises ends the search.
    """
    form = design.model_dump()
    rated: list[tuple[dict[str, float], Candidate | None, float]] = []
    for number, point in enumerate(points):
        go_on()
        values = tied({field: round(value, MEASURE_DECIMALS) for field, value in point.items()}, form)
        candidate = _rated(design, values, f"{prefix}-{number}")
        rated.append((values, candidate, 0.0 if candidate is None else _broken(candidate, looser, limits)))
    kept = [one for _, one, broken in rated if one is not None and broken == 0]
    on_trips = [_on_trip(one.trip, kept, effort=effort, go_on=go_on) for one in asked]
    return [
        Weighed(
            values,
            candidate,
            tuple(here[candidate.rating.tool.id] for here in on_trips) if candidate in kept and candidate else (),
            broken,
        )
        for values, candidate, broken in rated
    ]


def drawn_mass_g(design: Design, values: Mapping[str, float]) -> float:
    """Return the packed mass of a design with other measures, not rounded [g]; endless where it can't be drawn."""
    varied = _varied(design, values)
    return math.inf if varied is None else bare_mass_g(varied.drawing) + cover_mass_g(varied.drawing)


def _rated(design: Design, values: Mapping[str, float], name: str) -> Candidate | None:
    """Return a design with its measures changed, rated; None where it can't be drawn."""
    varied = _varied(design, {**values, "id": name, "name": None})
    return None if varied is None else Candidate(dict(values), rate(varied, intervals=False))


def _varied(design: Design, values: Mapping[str, float | str | None]) -> Design | None:
    """Return a design with figures changed; None where it can't be drawn."""
    try:
        return design.varied(values)
    except (ValidationError, KeyError, TypeError):
        return None


def _broken(candidate: Candidate, looser: Looser, limits: DesignLimits) -> float:
    """Return by how many of their steps a design breaks its limits, added up; 0 where it keeps all."""
    steps = sum(_beyond(one) for one in candidate.rating.checks if one.limit not in looser)
    beyond = sum(max(0.0, -room) for room in limits.rooms(candidate))
    return steps if limits.allow(candidate) else steps + 1.0 + beyond


def _beyond(check: LimitFinding) -> float:
    """Return by how many steps a measure lies beyond its limit."""
    if check.within:
        return 0.0
    if check.value is None:
        return 1.0
    short = 0.0 if check.low is None else check.low - check.value
    over = 0.0 if check.high is None else check.value - check.high
    return max(short, over, 0.0) / check.step or 1.0


def _on_trip(
    trip: Trip, candidates: Sequence[Candidate], *, effort: Effort, go_on: Callable[[], None]
) -> dict[str, _OnTrip]:
    """Return the lightest kit of a trip with each design, by its id."""
    if not candidates:
        return {}
    batch = Sweep(trip, candidates, DesignLimits(), {})
    found = {}
    for name in batch.by_id:
        go_on()
        found[name] = _with_one(batch, name, effort=effort)
    return found


def _with_one(batch: Sweep, name: str, *, effort: Effort) -> _OnTrip:
    """Return the lightest kit with one of the designs."""
    choice = None if batch.met[1] else lightest_known(batch.with_one(frozenset({name})), None, effort=effort)
    if choice is None or choice.ids is None:
        return _OnTrip(None, ())
    return _OnTrip(grams(choice.mass), tuple(choice.ids))
