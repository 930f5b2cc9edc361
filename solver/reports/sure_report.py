"""How sure a kit is: the lightest kit as assumed, and the lightest that suffices in a share of joint draws."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, Literal

from catalog.maths.binomial import binomial_interval
from solver.answers.confidence import PROBABILITY_DIGITS, Scenarios, to_reach
from solver.answers.gap import missing_must
from solver.answers.kit import Settled, told_kit
from solver.answers.limit_gap import limit_gaps
from solver.draws.joint_draws import JointDraws, draws_of
from solver.draws.kit_outcomes import KitOutcomes, outcomes_in_time, outcomes_of
from solver.forms.arguments import TripGiven, effort_given, form_given, trip_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap, KitBrief
from solver.forms.question_answers import SureAnswer
from solver.forms.sure_answer import (
    FigureMatters,
    FreshShare,
    HalfHourMore,
    SuggestedTrial,
    SureKit,
    Sureness,
    SureStep,
)
from solver.forms.trip import Sure
from solver.forms.validation import Fault, TripError, refuse_safety, under
from solver.model.case_blocks import CaseBlocks
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.question import Question
from solver.reports.half_hour import longer_day
from solver.reports.question_of_trip import trip_question
from solver.several.chance_front import NO_KIT, Sufficing
from solver.several.likely_relaxation import Wanted, likely_reliefs
from solver.telling.unknowns import (
    MORE_MIN,
    gaps_of_all_tools,
    kit_failures,
    told_draws,
    told_estimate,
    told_probability,
    unknowns_of,
)

_FRESH_DRAWS = 4096  # by definition: on which a chosen kit is tried
_CURVE_TO, _CURVE_TIMES = Fraction(19, 20), 3  # by definition; judged: nobody carries so many times the kit
_FOR_KITS = 2 / 3  # judged: of the time; the rest is for what is told of them
# names of what the time may not suffice for
_AT_MEDIANS, _AT_CONFIDENCE, _FRESH = "at_medians", "at_confidence", "fresh"
_EACH = "in which each tool has work of its own"
_EACH_WORKS, _OF_KITS, _NONE = f" No lighter kit does {_EACH}.", f"kit {_EACH}", f"no kit {_EACH} suffices"
_FOR_EACH = 1 / 2  # judged: of what is left of that, for each part in turn
_MOST_SCORES = 2_000_000  # judged: tools times draws, whose scores take 64 MB


def sure(trip: TripGiven, sure: Sure | Mapping[str, Any] | None = None, *, effort: Effort | None = None) -> SureAnswer:
    """Return the lightest kit as assumed with its probability, and the lightest that suffices with a confidence.

    Args:
        trip: a Trip, or a dict of its fields.
        sure: the confidence asked for, the number of draws and their seed: a Sure, a dict of its fields, or None for
            those that the trip states, else the usual ones.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
        Unfinished: the time ended before any kit was found.
    """
    effort = effort_given(effort)
    given = trip_given(trip)
    beside = None if sure is None else form_given("sure", sure, Sure)
    trip = given.model_copy(update={"aim": "mass", "sure": None})
    asked = beside or given.sure or Sure()
    with under("/trip"):
        refuse_safety(trip)
    question = trip_question(trip)
    with under("" if beside or given.sure is None else "/trip"):
        refuse_too_many(question, asked)
    settled = told_kit(question, effort=effort.portion(1 - _FOR_KITS))
    told = sureness_of(question, asked, settled, effort=effort)
    return SureAnswer(name=trip.name, **{field: getattr(told, field) for field in Sureness.model_fields})


def sureness_of(question: Question, asked: Sure, settled: Settled, *, effort: Effort) -> Sureness:
    """Return how sure the lightest kit of a question is, and the lightest that suffices in a share of the draws.

    Args:
        question: the trip's question; its aim is mass.
        asked: how sure the kit must be.
        settled: the lightest kit.
        effort: what each solve may cost.
    """
    quota = to_reach(asked.confidence)
    draws = draws_of(question, count=asked.draws, seed=asked.seed, effort=effort)
    assumed = None if settled.gaps or settled.choice.ids is None else settled.choice.mass
    found = _found_by(question, draws, quota, assumed, effort.portion(_FOR_KITS))
    tried, end = _Tried(draws, asked, effort, [] if settled.known else [_AT_MEDIANS]), effort.grace()
    kit = None if assumed is None else settled.choice.ids
    alone = found.best.ids is None or found.best.ids == kit
    medians = tried.in_time(kit, "medians", end if alone else end.portion(_FOR_EACH))
    found = _or_lighter(found, settled, tried.shares.get(settled.choice.ids or ()), quota)
    best = tried.in_time(found.best.ids, "confidence", end, found.best.probability)
    left = [*tried.left, *([] if found.whole else ["curve"]), *([] if found.others_whole else ["next_kits"])]
    gaps, none = list[Gap](), _NONE
    if found.best.ids is None and found.proven:
        try:
            gaps, none = _what_holds_it_down(question, draws, asked, quota, effort)
        except Unfinished:
            left.append("gaps")
    longer: HalfHourMore | None = None
    try:
        told = None if medians is None else assumed
        sure = None if found.best.ids is None else found.best.mass
        longer = longer_day(question, asked, assumed=told, sure=sure, effort=effort.portion(_FOR_EACH))
    except Unfinished:
        left.append("longer_day")
    matters, trials, open_parts = _unknowns(tried, draws, settled.choice.ids if medians else None, found, effort)
    return Sureness(
        status=_status_of(found, tried.left),
        checked=found.proven and settled.choice.checked,
        confidence=asked.confidence,
        draws=asked.draws,
        seed=asked.seed,
        at_medians=medians,
        at_confidence=best,
        bound_g=None if found.bound is None else grams(found.bound),
        longer_day=longer,
        curve=[_step(one, before) for one, before in zip(found.steps, [None, *found.steps], strict=False)],
        curve_exact_to_g=None if found.exact_to is None else grams(found.exact_to),
        next_kits=[_step(one, found.best) for one in found.others],
        what_matters=matters,
        suggested_trials=trials,
        drawn=list(draws.figures),
        gaps=gaps,
        text=_summary((medians, best), asked, found, tried.left, longer, none),
        not_settled=left + open_parts,
    )


def sure_kit_of(
    question: Question, asked: Sure, ids: tuple[str, ...], *, effort: Effort
) -> tuple[SureKit | None, list[str]]:
    """Return in what share of the draws a kit suffices, whoever chose it, and what the time did not suffice for."""
    tried = _Tried(draws_of(question, count=asked.draws, seed=asked.seed, effort=effort), asked, effort)
    found = tried.in_time(ids, "own", effort)
    return found, ["sure"] if found is None else tried.left


def refuse_too_many(question: Question, asked: Sure) -> None:
    """Refuse more draws than the scores of so many tools can be kept of.

    Raises:
        TripError: they are too many.
    """
    tools = question.workers.carried
    most = _MOST_SCORES // max(1, tools)
    if asked.draws > most:
        detail = f"the scores of {tools} tools can be drawn {most} times at most, not {asked.draws} times"
        raise TripError([Fault("#/sure/draws", asked.draws, f"at most {most} for {tools} tools", detail)])


@dataclass(frozen=True)
class _Found:
    """What the search found: the kit at the confidence, the next kits, and the curve, as far as they are proven.

    Where the kit is not, no kit is lighter than `bound` [0.01 g]; None = nothing is known. Where heavier kits may be
    surer, the curve has every step up to `exact_to` [0.01 g]; `whole` tells whether no more were sought.
    """

    best: Sufficing
    proven: bool
    bound: int | None = None
    others: Sequence[Sufficing] = ()
    others_whole: bool = True
    steps: Sequence[Sufficing] = ()
    whole: bool = True
    exact_to: int | None = None


def _found_by(question: Question, draws: JointDraws, quota: Fraction, assumed: int | None, effort: Effort) -> _Found:
    """Return the lightest kit that reaches a quota of the draws, the next kits that do, and the curve.

    Where the time ends first, the kit is one that greed comes to. `assumed` is the mass of the lightest kit as assumed.
    """
    if missing_must(question.trip, question.barred, question.case):
        return _Found(NO_KIT, proven=True)
    number = question.trip.alternatives
    cutting = frozenset(tool.id for tool in question.workers.rows[: question.workers.carried] if tool.cuts)
    first, odds = effort.portion(_FOR_EACH), [Fraction(1, len(draws))] * len(draws)
    try:
        scenarios = Scenarios(
            draws,
            odds,
            effort=first,
            spare=number,
            cutting=cutting,
            glance=draws.glance,
            by_program=False,
            assumed=draws.question.case,
        )
    except Unfinished:
        return _Found(NO_KIT, proven=False, others_whole=False, whole=False, exact_to=0)
    best, proven, bound = NO_KIT, False, None
    try:
        best, proven = scenarios.lightest(quota), scenarios.checked
    except Unfinished:
        bound = scenarios.search.bound
        with suppress(Unfinished):
            scenarios.go_on(effort.portion(_FOR_EACH))
            best = scenarios.by_greed(quota)
    others, others_whole, steps, whole, exact_to = list[Sufficing](), number == 0, list[Sufficing](), False, None
    with suppress(Unfinished):
        if proven:
            scenarios.go_on(effort.portion(_FOR_EACH))
            others, others_whole = scenarios.next_kits(best, quota, number)
        scenarios.go_on(effort)
        heaviest = _CURVE_TIMES * max(assumed or 0, best.mass) if proven else None
        steps, whole, exact_to = scenarios.proven_steps(quota, _CURVE_TO, heaviest=heaviest)
    reached = next((one for one in steps if one.probability >= quota), NO_KIT)
    if not proven and (whole or reached.ids is not None):
        best, proven, bound = reached, True, None
    if best.ids is not None and not whole and best.mass > (exact_to or 0):
        steps = [*(one for one in steps if one.probability < best.probability), best]
    return _Found(best, proven, bound, others, others_whole, steps, whole, exact_to if whole else exact_to or 0)


def _or_lighter(found: _Found, settled: Settled, share: Fraction | None, quota: Fraction) -> _Found:
    """Return what was found, with the kit of the medians in place of one that is not proven where it is lighter."""
    ids, mass = settled.choice.ids, settled.choice.mass
    if found.proven or ids is None or share is None or share < quota:
        return found
    if found.best.ids is not None and found.best.mass <= mass:
        return found
    best = Sufficing(ids, mass, (), share)
    return replace(found, best=best, steps=[*(one for one in found.steps if one.mass < mass), best])


def _status_of(found: _Found, left: Sequence[str]) -> Literal["optimal", "feasible", "uncovered", "not_settled"]:
    """Return how far the kit at the confidence is known, or that there is none."""
    if found.best.ids is None or _AT_CONFIDENCE in left:
        return "uncovered" if found.proven and found.best.ids is None else "not_settled"
    return "optimal" if found.proven else "feasible"


def _step(found: Sufficing, before: Sufficing | None) -> SureStep:
    """Return a kit with its share of the draws, and its price against another."""
    return SureStep(
        probability=round(float(found.probability), PROBABILITY_DIGITS),
        mass_g=grams(found.mass),
        ids=originals(found.ids or ()),
        more_g=None if before is None or before.ids is None else grams(found.mass - before.mass),
    )


class _Tried:
    """Kits of a question tried on the draws by which they were chosen, and once on fresh ones."""

    def __init__(self, draws: JointDraws, asked: Sure, effort: Effort, left: Sequence[str] = ()) -> None:
        """Take up the first, set up the fresh ones, and note what is not settled already."""
        self.question, self.draws, self.asked, self.effort = draws.question, draws, asked, effort
        self.fresh = draws_of(draws.question, count=_FRESH_DRAWS, seed=asked.seed, effort=effort, fresh=True)
        # few draws where the time ended
        self.known: dict[tuple[str, ...], KitOutcomes] = {}
        self.shares: dict[tuple[str, ...], Fraction] = {}
        self.left = list(left)

    def whole(self, ids: tuple[str, ...]) -> KitOutcomes:
        """Return what a kit does in all fresh draws."""
        if ids not in self.known or len(self.known[ids].suffices) < _FRESH_DRAWS:
            self.known[ids] = outcomes_of(self.fresh, self.question.case.kit(ids))
        return self.known[ids]

    def in_time(
        self,
        ids: tuple[str, ...] | None,
        chosen: Literal["medians", "confidence", "own"],
        effort: Effort,
        share: Fraction | None = None,
    ) -> SureKit | None:
        """Return a kit (its share of the draws, where known) tried on as many fresh draws as the time allows."""
        if ids is None:
            return None
        kit = self.question.case.kit(ids)
        try:
            mine = outcomes_of(self.draws.within(effort), kit).probability if share is None else share
            self.shares[ids] = mine
            fresh = self.known.get(ids) or outcomes_in_time(self.fresh.within(effort), kit)
            self.known[ids] = fresh
        except Unfinished:
            self.left.append(f"at_{chosen}")
            return None
        if len(fresh.suffices) < _FRESH_DRAWS and _FRESH not in self.left:
            self.left.append(_FRESH)
        return self.told(ids, chosen, mine, fresh)

    def told(
        self, ids: tuple[str, ...], chosen: Literal["medians", "confidence", "own"], mine: Fraction, fresh: KitOutcomes
    ) -> SureKit:
        """Return a kit as callers see it."""
        share, hits, count = fresh.probability, int(fresh.suffices.sum()), len(fresh.suffices)
        low, high = binomial_interval(hits=hits, count=count)
        tenths = [fresh.minutes_at(Fraction(tenth, 10)) for tenth in (1, 5, 9)]
        mass = grams(int(self.question.case.mass[sorted(self.question.case.kit(ids))].sum()))
        sure, least, most = (told_estimate(each) for each in (share, low, high))
        with_probability = f"with probability {sure}" + ("" if least == most else f" ({least} to {most})")
        if chosen == "medians":
            text = f"{mass:g} g if all is as assumed: suffices {with_probability}."
        else:
            served = round(mine * len(self.draws))
            text = f"{mass:g} g suffices in {told_draws(served, len(self.draws))}, {with_probability}."
        return SureKit(
            kit=KitBrief(ids=originals(ids), mass_g=mass),
            probability=round(float(mine), PROBABILITY_DIGITS),
            fresh=FreshShare(
                draws=count,
                probability=round(float(share), PROBABILITY_DIGITS),
                low=round(low, PROBABILITY_DIGITS),
                high=round(high, PROBABILITY_DIGITS),
            ),
            p10_min_per_day=tenths[0],
            p50_min_per_day=tenths[1],
            p90_min_per_day=tenths[2],
            fails=kit_failures(self.question, ids, fresh, effort=self.effort.closing()),
            text=text,
        )


def _unknowns(
    tried: _Tried, draws: JointDraws, medians: tuple[str, ...] | None, found: _Found, effort: Effort
) -> tuple[list[FigureMatters], list[SuggestedTrial], list[str]]:
    """Return the biggest unknowns of the kit that is told, the trials that save most, and what was not settled."""
    case, best = draws.question.case, found.best.ids
    chosen, near = best or medians, medians or best
    if chosen is None or near is None:
        return [], [], []
    told = [chosen, near, *(one.ids for one in (*found.steps, *found.others) if one.ids is not None)]
    return unknowns_of(
        draws,
        tried.fresh,
        {ids: int(case.mass[sorted(case.kit(ids))].sum()) for ids in told},
        tried.whole,
        chosen=chosen,
        near=near,
        confidence=None if best is None else tried.asked.confidence,
        effort=effort,
    )


def _summary(
    kits: tuple[SureKit | None, SureKit | None],
    asked: Sure,
    found: _Found,
    left: Sequence[str],
    longer: HalfHourMore | None,
    none_does: str,
) -> str:
    """Return the kit as assumed, a longer day, and the kit that is sure enough in one, or that `none_does`."""
    (medians, best), untold = kits, "The time allowed did not suffice to try the lightest kit on the draws."
    none = untold if _AT_MEDIANS in left else "No kit covers the trip if all is as assumed."
    first = none if medians is None else medians.text
    if best is not None and medians is not None and best.kit == medians.kit and found.proven:
        served = told_draws(round(found.best.probability * asked.draws), asked.draws)
        lighter = f", and no lighter {_OF_KITS} in {asked.confidence:g} of them" if found.best.mass else ""
        return f"{first} It does in {served}{lighter}."
    within = ""
    if longer is not None:
        first += f" {longer.text}"
        within = f"Within {longer.work_min_per_day - MORE_MIN:g} minutes: "
    if best is not None:
        lighter = "" if found.bound is None else f" No kit under {grams(found.bound):g} g does."
        return f"{first} {within}{best.text}{_EACH_WORKS if found.proven else lighter}"
    if found.best.ids is not None:
        does = f"{grams(found.best.mass):g} g suffices in {told_probability(found.best.probability)} of the"
        why = "draws by which it was chosen: the time allowed did not suffice to try it on others."
        return f"{first} {does} {asked.draws} {why}"
    none = none_does if found.proven else "no kit was found in the time allowed that suffices"
    return f"{first} {within}{none if within else none.capitalize()} in {asked.confidence:g} of the draws."


def _what_holds_it_down(
    question: Question, draws: JointDraws, asked: Sure, quota: Fraction, effort: Effort
) -> tuple[list[Gap], str]:
    """Return why no kit suffices in as many draws as asked, and that none does: what all tools can't, else limits."""
    effort.go_on()
    every = outcomes_of(draws, frozenset(range(question.case.tools)))
    if gaps := gaps_of_all_tools(question, every, quota, confidence=asked.confidence):
        return gaps, "no kit suffices"
    odds = [Fraction(1, len(draws))] * len(draws)

    def lightest(cases: CaseBlocks) -> Sufficing:
        return Scenarios(cases, odds, effort=effort, by_program=False, assumed=draws.question.case).lightest(quota)

    reliefs = likely_reliefs(draws, Wanted(odds, quota, lightest), effort=effort)
    return limit_gaps(reliefs, [], kit=_OF_KITS, within=f"{asked.confidence:g} of the draws"), _NONE
