"""The main job: a trip in, the provably lightest kit out."""

from collections.abc import Sequence
from dataclasses import replace

from solver.answers.details import details_of, made_robust
from solver.answers.kit import Settled, load_of, told_kit
from solver.forms.aim import AIMS
from solver.forms.answer import Answer, AssumptionPin, EarlyAnswer, EarlyPins, Pins
from solver.forms.arguments import TripGiven, effort_given, trip_given
from solver.forms.effort import Effort
from solver.needs.question import Question, question_of
from solver.reports.sure_report import refuse_too_many, sureness_of
from solver.search.choice import choose
from solver.telling.explanation import tell
from solver.telling.solution_view import SolutionView

_TO_COME = ("sure", "not_settled")  # after what is told early; of pins, where there are any, those of assumptions
_FOR_PLAIN = 1 / 3  # judged: of the time, where the kit must bear a loss, for one that need not
_FOR_PLAN = 1 / 3  # judged: of the time, where it also tells how sure the kit is


def plan(trip: TripGiven, *, effort: Effort | None = None) -> Answer:
    """Return the lightest kit that covers a trip, with its reasons, margins, minutes and cautions.

    Args:
        trip: what the traveller asks: a Trip, or a dict of its fields, checked as it is over HTTP.
        effort: what each solve may cost; the usual effort where nothing is said.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
        Unfinished: the effort ran out before any kit was found.
    """
    effort = effort_given(effort)
    question = question_of(trip_given(trip), effort=effort)
    asked = question.trip.sure
    if asked is not None:
        refuse_too_many(question, asked)
    within = effort if asked is None else effort.portion(_FOR_PLAN)
    plain = told_kit(question, effort=within if question.trip.robust is None else within.portion(_FOR_PLAIN))
    lightest = _lightest_of(question, plain, effort=within)
    settled, robust, left = made_robust(question, plain, lightest.choice.mass, effort=within)
    details, ends = details_of(question, settled, robust, effort=within)
    unknown = [*([] if plain.known else ["kit"]), *([] if lightest.known or lightest is plain else ["lightest"])]
    details = replace(details, not_settled=[*unknown, *left, *details.not_settled])
    view = SolutionView(question, settled, details.need_prices, details.tool_prices)
    answer = tell(view, lightest, details)
    more = ends is not None or asked is not None
    if more and effort.on_early is not None and not answer.not_settled:
        effort.on_early(_early_answer(answer))
    if ends is not None:
        answer = _with_ends(answer, *ends())
    if asked is not None:
        told = sureness_of(question, asked, plain, effort=effort)
        answer = answer.model_copy(update={"sure": told})
    return answer


def _lightest_of(question: Question, settled: Settled, *, effort: Effort) -> Settled:
    """Return the lightest kit to compare with, where mass was not the aim; where none is known, the kit itself."""
    if question.trip.aim == "mass":
        return settled
    choice = choose(settled.case, effort=effort)
    if choice.ids is None:
        return replace(settled, known=False)
    load = load_of(settled.case, choice, effort=effort, by_kcal=AIMS[question.trip.aim].by_kcal)
    return replace(settled, choice=choice, load=load, known=True)


def _early_answer(answer: Answer) -> EarlyAnswer:
    """Return an answer without what its ends of assumptions and how sure it is may still add."""
    told = {name: getattr(answer, name) for name in EarlyAnswer.model_fields if name != "to_come"}
    pins = None if answer.pins is None else EarlyPins(tools=answer.pins.tools, needs=answer.pins.needs)
    ends = [] if pins is None else ["pins.assumptions"]
    return EarlyAnswer(**told | {"pins": pins}, to_come=[*ends, *_TO_COME])


def _with_ends(answer: Answer, ends: list[AssumptionPin], left: Sequence[str]) -> Answer:
    """Return an answer with the pins of assumptions, and with the parts of these that were not settled."""
    assert answer.pins is not None
    pins = Pins(tools=answer.pins.tools, needs=answer.pins.needs, assumptions=ends)
    return answer.model_copy(update={"pins": pins, "not_settled": [*answer.not_settled, *left]})
