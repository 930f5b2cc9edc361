"""Uncertain wood, as callers see it: the kit that suffices, the price of each step, and the next kits."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any, Literal

from solver.answers.confidence import (
    LEAST_STEP,
    PROBABILITY_DIGITS,
    Scenarios,
    normalised,
    to_reach,
)
from solver.answers.gap import missing_must, unmet
from solver.answers.kit import gaps_of
from solver.answers.limit_gap import limit_gaps
from solver.draws.scenario_axis import ScenarioAxis
from solver.forms.arguments import Argument, Confidence, TripGiven, effort_given, form_given, forms_given, trip_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap, KitBrief
from solver.forms.question_answers import BeyondAnswer, ConfidenceAnswer, StepAnswer
from solver.forms.scenario import DiameterRange, Scenario, scenario_trips, unlike
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError, refuse_safety, under
from solver.model.case_blocks import CaseBlocks
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.question import Question, question_of
from solver.search.settling import Parts
from solver.several.chance_front import NO_KIT, Likely, Sufficing
from solver.several.likely_relaxation import Wanted, likely_reliefs

_FOR_KITS = 5 / 6  # judged: of the time; the rest is for gaps
_CONFIDENCE: Argument[float] = Argument("confidence", Confidence, "a number above 0, at most 1")


def confidence(
    trip: TripGiven,
    scenarios: Iterable[Scenario | Mapping[str, Any]] = (),
    *,
    confidence: float,
    diameter_range: DiameterRange | Mapping[str, Any] | None = None,
    effort: Effort | None = None,
) -> ConfidenceAnswer:
    """Return the lightest kit that suffices with a probability, the alternatives, and each step's price.

    Args:
        trip: a Trip, or a dict of its fields.
        scenarios: ways that the wood may turn out, each a Scenario or a dict of its fields; none is the trip's own.
        confidence: least probability with which the kit must suffice (above 0, at most 1).
        diameter_range: how far the diameters of stated tasks may vary: a DiameterRange, a dict of its fields, or None.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
        Cancelled: nobody waits for it.
    """
    effort, asked = effort_given(effort), _CONFIDENCE.of(confidence)
    trip = trip_given(trip).model_copy(update={"aim": "mass"})
    scenarios = forms_given("scenarios", scenarios, Scenario)
    spread = None if diameter_range is None else form_given("diameter_range", diameter_range, DiameterRange)
    with under("/trip"):
        refuse_safety(trip)
    weighted = scenario_trips(trip, scenarios, spread)
    parts = len(weighted) // max(1, len(scenarios))
    weights = _probabilities([weight for weight, _ in weighted], parts=parts)
    firsts, places = unlike([one for _, one in weighted])

    def ask(place: int, like: Question | None) -> Question:
        effort.heed()
        return _scenario_question(
            weighted[firsts[place]][1], scenarios, firsts[place] // parts, like=like, effort=effort
        )

    begun = effort.clock()
    axis = ScenarioAxis([weighted[index][1] for index in firsts], ask)
    axis.each_s = effort.clock() - begun
    odds = [Fraction(0)] * len(firsts)
    for weight, place in zip(weights, places, strict=True):
        odds[place] += weight
    exact = to_reach(asked)
    found = _likely_kits(axis, odds, exact, trip.alternatives, effort=effort.portion(_FOR_KITS))
    best, steps, others = (
        _to_answer(found.best, places),
        [_to_answer(one, places) for one in found.steps],
        [_to_answer(one, places) for one in found.others],
    )
    open_ones = _never_served(axis, found.steps) if best.ids is None else []
    last = Parts(["gaps", *("beyond" for _ in open_ones)], effort=effort)
    beyond = _beyond_every_kit(axis, open_ones, places, last)
    reachable = 1 - _odds_of(beyond, weights) >= exact
    gaps: list[Gap] = []
    if best.ids is None and found.whole and reachable and "beyond" not in last.unsettled:
        gaps = last.settle_in_time("gaps", _limits_in_the_way(axis, odds, exact), gaps)
    left = [*([] if found.whole else ["steps"]), *([] if found.others_whole else ["alternatives"])]
    left += dict.fromkeys(last.unsettled)
    return ConfidenceAnswer(
        name=trip.name,
        status=_status_of(best, none=found.whole or not reachable, checked=found.checked),
        checked=found.checked and not left,
        confidence=asked,
        probability=round(float(best.probability), PROBABILITY_DIGITS),
        kit=_brief(best),
        suffices_in=list(best.scenarios),
        weights=[round(float(weight), PROBABILITY_DIGITS) for weight in weights],
        steps=[_step(one, before) for one, before in zip(steps, [None, *steps], strict=False)],
        alternatives=[_step(one, best) for one in others],
        beyond=beyond,
        gaps=gaps,
        not_settled=left,
    )


def _status_of(
    best: Sufficing, *, none: bool, checked: bool
) -> Literal["optimal", "feasible", "uncovered", "not_settled"]:
    """Return how far the kit is known, or that there is none."""
    if best.ids is None:
        return "uncovered" if none else "not_settled"
    return "optimal" if checked else "feasible"


def _likely_kits(
    axis: ScenarioAxis, odds: Sequence[Fraction], asked: Fraction, number: int, *, effort: Effort
) -> Likely:
    """Return every step, the kit that suffices with the confidence asked, and the next kits.

    Each next kit is really different: see `next_kits`. There is none where what must go can't, or where the time ends
    before all scenarios were read.
    """
    first, workers = axis.first, axis.first.workers
    if missing_must(first.trip, first.barred, first.case):
        return Likely([], NO_KIT, [], whole=True, others_whole=True, checked=True)
    cutting = frozenset(tool.id for tool in workers.rows[: workers.carried] if tool.cuts)
    axis.reading = effort
    try:
        scenarios = Scenarios(axis, odds, effort=effort, spare=number, cutting=cutting)
    except Unfinished:
        return Likely([], NO_KIT, [], whole=False, others_whole=False, checked=False)
    finally:
        axis.reading = None
    return scenarios.likely(asked, number=number)


def _to_answer(found: Sufficing, places: Sequence[int]) -> Sufficing:
    """Return a kit with the scenarios as they were asked, those alike one by one."""
    good = frozenset(found.scenarios)
    return replace(found, scenarios=tuple(i for i, place in enumerate(places) if place in good))


def _scenario_question(
    trip: Trip, scenarios: Sequence[Scenario], place: int, *, like: Question | None, effort: Effort
) -> Question:
    """Return the question of a scenario; what is wrong with it is named at its place.

    Raises:
        TripError: fields of the trip, or of the scenario, that don't go together.
    """
    stated = scenarios[place].model_dump(exclude_none=True) if scenarios else {}
    with under("/trip", own=f"/scenarios/{place}", fields=stated):
        return question_of(trip, like=like, effort=effort)


def _probabilities(weights: Sequence[float], *, parts: int) -> list[Fraction]:
    """Return weights as probabilities.

    Raises:
        TripError: a scenario too unlikely to be told from none.
    """
    found = normalised(weights)
    faults = [
        Fault(
            f"#/scenarios/{index // parts}/weight",
            weights[index],
            f"at least {LEAST_STEP * sum(weights):g}",
            f"the weight {weights[index]:g} is less than {LEAST_STEP:g} of the sum of weights",
        )
        for index, one in enumerate(found)
        if one < LEAST_STEP
    ]
    if faults:
        raise TripError(faults)
    return found


def _never_served(axis: ScenarioAxis, steps: Sequence[Sufficing]) -> list[int]:
    """Return the scenarios in which the kit of no step suffices: no kit may cover them."""
    served = {place for one in steps for place in one.scenarios}
    return [place for place in range(len(axis)) if place not in served]


def _beyond_every_kit(
    axis: ScenarioAxis, open_ones: Sequence[int], places: Sequence[int], parts: Parts
) -> list[BeyondAnswer]:
    """Return those of some scenarios that no kit covers, each with its gaps, as far as they are settled."""
    gaps = dict[int, list[Gap]]()
    for place in open_ones:
        if axis.late_for(parts.effort):
            parts.leave("beyond")
            continue
        question = axis.question(place)
        gaps[place] = parts.settle_in_time("beyond", gaps_of(question), unmet(question, question.case)[2])
    return [BeyondAnswer(scenario=at, gaps=gaps[place]) for at, place in enumerate(places) if gaps.get(place)]


def _odds_of(beyond: Sequence[BeyondAnswer], weights: Sequence[Fraction]) -> Fraction:
    """Return the probability of the scenarios that no kit covers."""
    return sum((weights[one.scenario] for one in beyond), Fraction(0))


def _limits_in_the_way(axis: ScenarioAxis, odds: Sequence[Fraction], asked: Fraction) -> Callable[[Effort], list[Gap]]:
    """Return what tells the limits for which no one kit is likely enough, though kits cover scenarios enough."""

    def found(effort: Effort) -> list[Gap]:
        def lightest(cases: CaseBlocks) -> Sufficing:
            return Scenarios(cases, odds, effort=effort).lightest(asked)

        return limit_gaps(likely_reliefs(axis, Wanted(odds, asked, lightest), effort=effort), [])

    return found


def _brief(found: Sufficing) -> KitBrief | None:
    """Return a sufficing kit in brief."""
    return None if found.ids is None else KitBrief(ids=originals(found.ids), mass_g=grams(found.mass))


def _step(found: Sufficing, before: Sufficing | None) -> StepAnswer:
    """Return a kit with its probability, and its price against another."""
    return StepAnswer(
        ids=originals(found.ids or ()),
        mass_g=grams(found.mass),
        probability=round(float(found.probability), PROBABILITY_DIGITS),
        suffices_in=list(found.scenarios),
        more_g=None if before is None else grams(found.mass - before.mass),
    )
