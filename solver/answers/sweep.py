"""The best of many designs for a trip: every design is a column of the program, at most one of them in a kit."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from catalog.bench.design_limit import Looser, keeps_limits, left_out
from catalog.bench.variation import Candidate
from catalog.tables.number import Bools
from solver.answers.allowance import lightest_known, settled
from solver.answers.gap import let_off, missing_must, unmet
from solver.answers.kit import relieved
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap
from solver.forms.limit import WORK
from solver.forms.trip import Form, Trip
from solver.model.case import Case
from solver.needs.question import Question, question_of
from solver.programs.engine import Status
from solver.search.choice import Choice
from solver.search.front import MOST_POINTS, Point, front_of, point_of


class DesignLimits(Form):
    """Limits of a design; null = no limit."""

    margin: float | None = None
    slenderness: float | None = None
    tip_deflection_mm: float | None = None
    price: float | None = None

    def allow(self, candidate: Candidate) -> bool:
        """Tell whether a design keeps within; one without a figure keeps no limit on it."""
        strength, margin, price = candidate.rating.strength, candidate.margin, candidate.price
        if self.price is not None and (price is None or price > self.price):
            return False
        if self.margin is not None and (margin is None or margin < self.margin):
            return False
        if strength is None:
            return self.slenderness is None and self.tip_deflection_mm is None
        return (self.slenderness is None or strength.slenderness <= self.slenderness) and (
            self.tip_deflection_mm is None or strength.tip_deflection_mm <= self.tip_deflection_mm
        )

    def rooms(self, candidate: Candidate) -> list[float]:
        """Return how far a design lies within each limit that is set, as a share of it; of the margin as it is.

        What a design has no figure for lies beyond its limit by one.
        """
        strength = candidate.rating.strength
        found = [] if self.margin is None else [(candidate.margin or 0.0) - self.margin]
        above = [
            (None if strength is None else strength.slenderness, self.slenderness),
            (None if strength is None else strength.tip_deflection_mm, self.tip_deflection_mm),
            (candidate.price, self.price),
        ]
        return found + [-1.0 if value is None else 1 - value / most for value, most in above if most]


@dataclass(frozen=True)
class Sweep:
    """A trip with the designs that may be made for it, and the limits they keep, some of the usual ones looser.

    Whoever leaves ends it by its effort, as of many tools its question takes a second.
    """

    trip: Trip
    candidates: Sequence[Candidate]
    limits: DesignLimits
    looser: Looser = field(default_factory=dict)
    effort: Effort | None = None

    @cached_property
    def by_id(self) -> Mapping[str, Candidate]:
        """The designs by the id of their row."""
        return {one.rating.tool.id: one for one in self.candidates}

    @cached_property
    def question(self) -> Question:
        """The question of the trip with every design within its limits among its tools."""
        rows = [one.rating.tool for name, one in self.by_id.items() if name in self.allowed]
        only = None if self.trip.only is None else [*self.trip.only, *(row.id for row in rows)]
        changes = {"extra_tools": [*self.trip.extra_tools, *rows], "only": only, "aim": "mass"}
        return question_of(self.trip.model_copy(update=changes), effort=self.effort)

    @cached_property
    def met(self) -> tuple[Case, list[Gap]]:
        """The case of the needs that can be met, and a gap for what can't be."""
        question, case = self.question, self.question.case
        gaps = missing_must(question.trip, question.barred, case)
        case, _, need_gaps = unmet(question, let_off(case))
        return case, gaps + need_gaps

    @cached_property
    def designs(self) -> Bools:
        """Which tools of the case are designs."""
        return np.array([name in self.by_id for name in self.met[0].ids], dtype=bool)

    @cached_property
    def allowed(self) -> frozenset[str]:
        """Ids of the designs within their limits."""
        kept = {name for name, one in self.by_id.items() if keeps_limits(one, self.looser)}
        return frozenset(name for name in kept if self.limits.allow(self.by_id[name]))

    def with_one(self, allowed: frozenset[str]) -> Case:
        """Return the case of the kits with exactly one of these designs."""
        case, designs = self.met[0], self.designs
        if allowed != self.allowed:
            kept = np.flatnonzero(~designs | np.array([name in allowed for name in case.ids], dtype=bool))
            case, designs = case.keep(kept), designs[kept]
        return case.changed(some_of=(*case.some_of, designs), one_of=(*case.one_of, designs))

    def without(self) -> Case:
        """Return the case of the kits with no design."""
        return self.met[0].keep(np.flatnonzero(~self.designs))

    def design_in(self, choice: Choice) -> Candidate:
        """Return the design of a kit."""
        return next(self.by_id[name] for name in choice.ids or () if name in self.by_id)


def best_of(sweep: Sweep, *, effort: Effort, share: float = 1.0) -> Choice:
    """Return the lightest kit with one of the designs, as far as the effort goes.

    Args:
        sweep: the designs and the trip.
        effort: what each solve may cost.
        share: of the time that is left once the question stands, for the search.

    Raises:
        TripError: fields that don't go together.
    """
    case = sweep.with_one(sweep.allowed)
    return lightest_known(case, None, effort=effort.portion(share))


def sweep_gaps(sweep: Sweep, best: Choice, *, effort: Effort) -> list[Gap]:
    """Return what no kit with one of the designs gives: needs, tools that must go, and limits that leave none.

    Raises:
        Unfinished: the effort ran out before it was known which limits must give way.
    """
    gaps = sweep.met[1]
    if best.ids is not None or best.status is Status.STOPPED:
        return gaps
    if not sweep.allowed:
        return [*gaps, _no_design(_none_allowed(sweep))]
    case = sweep.with_one(sweep.allowed)
    free = case.unworn().changed(caps={})
    if settled(free, None, effort=effort).ids is None:
        return [*gaps, _no_design("No one design does, with the other tools, all that some design does.")]
    return relieved(case, [], gaps, "mass", effort=effort).gaps


def unknown_gaps(sweep: Sweep) -> list[Gap]:
    """Return what is known where it was not settled which limits must give way."""
    text = "No kit with one of the designs keeps every limit. Which limits must give way was not settled in the time."
    return [*sweep.met[1], _no_design(text)]


def _none_allowed(sweep: Sweep) -> str:
    """Return that no design is allowed, and what the usual limits leave out."""
    counted = left_out(sweep.candidates, sweep.looser)
    told = ", ".join(f"{name} leaves out {number}" for name, number in counted.items())
    return "No design is within the limits of designs." + (f" Of {len(sweep.candidates)}, {told}." if told else "")


def _no_design(text: str) -> Gap:
    """Return the gap where the designs are to blame."""
    return Gap(kind="limit", need=None, field="designs", short_by=None, unit="design", closest=None, text=text)


def margin_front(sweep: Sweep, points: list[Point], *, effort: Effort) -> None:
    """Add every kit with a design that no other beats in grams and in margin of safety, the lightest first.

    Raises:
        Unfinished: there may be more, and the last may be none.
    """
    _design_front(sweep, points, lambda one: one.margin, effort=effort)


def price_front(sweep: Sweep, points: list[Point], *, effort: Effort) -> None:
    """Add every kit with a design that no other beats in grams and in what the design costs, the lightest first.

    Raises:
        Unfinished: there may be more, and the last may be none.
    """
    _design_front(sweep, points, lambda one: None if one.price is None else -one.price, effort=effort)


def _design_front(
    sweep: Sweep, points: list[Point], merit: Callable[[Candidate], float | None], *, effort: Effort
) -> None:
    """Add every kit with a design that no other beats in grams and in a merit of the design, the lightest first.

    Each next kit is the lightest of those whose design has a greater merit than the one before; where it
    weighs no more, the one before was no point of the front.

    Raises:
        Unfinished: there may be more, and the last may be none.
    """
    merits = {name: merit(sweep.by_id[name]) for name in sweep.allowed}
    known = {name: value for name, value in merits.items() if value is not None}
    while known and len(points) < MOST_POINTS:
        case = sweep.with_one(frozenset(known))
        choice = settled(case, None, effort=effort)
        if choice.ids is None:
            break
        if points and points[-1].choice.mass == choice.mass:
            points.pop()
        points.append(point_of(case, choice, effort=effort))
        reached = known[sweep.design_in(choice).rating.tool.id]
        known = {name: value for name, value in known.items() if value > reached}


def minutes_front(sweep: Sweep, points: list[Point], *, effort: Effort) -> None:
    """Add every kit with a design that no other beats in grams and minutes a day, the work limit left out.

    Raises:
        Unfinished: there may be more.
    """
    case = sweep.with_one(sweep.allowed).capped(WORK.field, None)
    front = front_of(case, against="minutes", effort=effort)
    points += front.points
    if not front.complete:
        raise Unfinished
