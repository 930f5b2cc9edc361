"""Uncertain wood, as callers see it: the kit that suffices, the price of each step, and the next kits."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any, Literal

from solver.answers.confidence import LEAST_STEP, NO_KIT, PROBABILITY_DIGITS, Scenarios, Sufficing, normalised, to_reach
from solver.answers.gap import missing_must, unmet
from solver.answers.kit import gaps_of
from solver.answers.limit_gap import limit_gaps
from solver.forms.answer import Gap, KitBrief
from solver.forms.arguments import Argument, Confidence, TripGiven, effort_given, form_given, forms_given, trip_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.question_answers import BeyondAnswer, ConfidenceAnswer, StepAnswer
from solver.forms.scenario import DiameterRange, Scenario, scenario_trips, unlike
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError, refuse_safety, under
from solver.model.case import Case
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.question import Question, question_of
from solver.search.settling import Parts
from solver.several.likely_relaxation import likely_reliefs

_FOR_THE_STEPS, _FOR_OTHERS = 2 / 3, 1 / 2  # judged: of the time that is left; the rest is for gaps
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
        Unfinished: the time ended before all scenarios were read.
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
    questions = list[Question]()
    for index in firsts:
        effort.go_on()
        like = questions[0] if questions else None
        questions.append(_scenario_question(weighted[index][1], scenarios, index // parts, like=like))
    odds = [
        sum((w for w, at in zip(weights, places, strict=True) if at == place), Fraction(0))
        for place in range(len(firsts))
    ]
    exact = to_reach(asked)
    best, steps, proven = _likely_kits(questions, odds, exact, effort=effort.portion(_FOR_THE_STEPS))
    others, others_proven = _next_sufficing(
        questions, odds, exact, best, trip.alternatives, effort=effort.portion(_FOR_OTHERS)
    )
    checked = proven and others_proven
    best, steps, others = (
        _to_answer(best, places),
        [_to_answer(one, places) for one in steps],
        [_to_answer(one, places) for one in others],
    )
    last = Parts(["gaps", *("beyond" for _ in questions)], effort=effort)
    beyond = [] if best.ids is not None else _beyond_every_kit(questions, places, last)
    reachable = 1 - _odds_of(beyond, weights) >= exact
    gaps: list[Gap] = []
    if best.ids is None and proven and reachable and "beyond" not in last.unsettled:
        gaps = last.settle_in_time("gaps", _limits_in_the_way(questions, odds, exact), gaps)
    left = [*([] if proven else ["steps"]), *([] if others_proven else ["alternatives"])]
    left += dict.fromkeys(last.unsettled)
    return ConfidenceAnswer(
        name=trip.name,
        status=_status_of(best, none=proven or not reachable, checked=checked),
        checked=checked and not left,
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
    questions: Sequence[Question], odds: Sequence[Fraction], asked: Fraction, *, effort: Effort
) -> tuple[Sufficing, list[Sufficing], bool]:
    """Return the kit that suffices with the confidence asked, every step, and whether whole numbers prove them.

    None where what must go can't, or where the effort ran out before any such kit was found.
    """
    first, cases = questions[0], [question.case for question in questions]
    if missing_must(first.trip, first.barred, first.case):
        return NO_KIT, [], True
    scenarios = Scenarios(cases, odds, effort=effort)
    steps = scenarios.steps()
    best = next((one for one in steps if one.probability >= asked), NO_KIT)
    return best, steps, scenarios.checked


def _to_answer(found: Sufficing, places: Sequence[int]) -> Sufficing:
    """Return a kit with the scenarios as they were asked, those alike one by one."""
    return replace(found, scenarios=tuple(i for i, place in enumerate(places) if place in found.scenarios))


def _scenario_question(trip: Trip, scenarios: Sequence[Scenario], place: int, *, like: Question | None) -> Question:
    """Return the question of a scenario; what is wrong with it is named at its place.

    Raises:
        TripError: fields of the trip, or of the scenario, that don't go together.
    """
    stated = scenarios[place].model_dump(exclude_none=True) if scenarios else {}
    with under("/trip", own=f"/scenarios/{place}", fields=stated):
        return question_of(trip, like=like)


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


def _beyond_every_kit(questions: Sequence[Question], places: Sequence[int], parts: Parts) -> list[BeyondAnswer]:
    """Return the scenarios that no kit covers, each with its gaps, as far as they are settled."""
    gaps = [
        parts.settle_in_time("beyond", gaps_of(question), unmet(question, question.case)[2]) for question in questions
    ]
    return [BeyondAnswer(scenario=index, gaps=gaps[place]) for index, place in enumerate(places) if gaps[place]]


def _odds_of(beyond: Sequence[BeyondAnswer], weights: Sequence[Fraction]) -> Fraction:
    """Return the probability of the scenarios that no kit covers."""
    return sum((weights[one.scenario] for one in beyond), Fraction(0))


def _limits_in_the_way(
    questions: Sequence[Question], odds: Sequence[Fraction], asked: Fraction
) -> Callable[[Effort], list[Gap]]:
    """Return what tells the limits for which no one kit is likely enough, though kits cover scenarios enough."""

    def found(effort: Effort) -> list[Gap]:
        def likely(cases: Sequence[Case]) -> tuple[tuple[str, ...] | None, Sequence[int]]:
            lightest = Scenarios(cases, odds, effort=effort).lightest(asked, near=0)
            return lightest.ids, lightest.scenarios

        return limit_gaps(likely_reliefs([question.case for question in questions], likely, effort=effort), [])

    return found


def _next_sufficing(
    questions: Sequence[Question],
    odds: Sequence[Fraction],
    asked: Fraction,
    best: Sufficing,
    number: int,
    *,
    effort: Effort,
) -> tuple[list[Sufficing], bool]:
    """Return the next lightest kits that suffice with the confidence asked, and whether whole numbers prove them.

    Each is really different: see `next_kits`.
    """
    if best.ids is None or not number:
        return [], True
    if effort.spent():
        return [], False
    workers = questions[0].workers
    cutting = frozenset(tool.id for tool in workers.rows[: workers.carried] if tool.cuts)
    scenarios = Scenarios([question.case for question in questions], odds, effort=effort, spare=number)
    found: list[Sufficing] = []
    listed = best
    while len(found) < number:
        scenarios.exclude(listed.ids or (), cutting)
        try:
            listed = scenarios.lightest(asked, near=listed.mass)
        except Unfinished:
            return found, False
        if listed.ids is None:
            break
        found.append(listed)
    return found, scenarios.checked


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
