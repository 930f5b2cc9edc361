"""How a kit of one's own serves a trip, as callers see it."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from solver.answers.check import checked_kit
from solver.answers.kit import Settled, settled_kit
from solver.forms.arguments import TripGiven, effort_given, names_given, trip_given
from solver.forms.barring import unbarred
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import KitBrief
from solver.forms.question_answers import CheckAnswer, SwapAnswer
from solver.forms.validation import Fault, TripError, unknown_in_kit
from solver.model.copies import original_of
from solver.needs.case_builder import grams
from solver.needs.knife import numbered, originals
from solver.needs.question import Question, question_of
from solver.reports.question_of_trip import trip_question
from solver.reports.sure_report import sure_kit_of
from solver.search.swap import Swap
from solver.telling.explanation import kit_of
from solver.telling.need_row import need_rows, working_rows
from solver.telling.solution_view import SolutionView
from solver.telling.stated_figure import figures_in_force, trial_scores
from solver.telling.warning import cautions_of

_FOR_LIGHTEST = 0.75  # judged: of the time that is left, for the lightest kit; the rest is for the first swap
_FOR_SURE = 0.5  # judged: of the time of an answer, for how sure a kit of very many tools is


def check(trip: TripGiven, kit: Iterable[str], *, effort: Effort | None = None) -> CheckAnswer:
    """Return how the user's own kit serves a trip.

    Args:
        trip: a Trip, or a dict of its fields.
        kit: ids of the tools carried: a list, tuple, set, array or generator.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind, such as one id alone.
        ValidationError: a field of a dict that can't be taken.
        TripError: an id that no tool has, or one named twice.
        Unfinished: the effort ran out.
    """
    effort, trip, kit = effort_given(effort), trip_given(trip), names_given("kit", kit)
    question = trip_question(trip.model_copy(update={"aim": "mass"}), effort)
    copied = {name for name, number in Counter(kit).items() if number > 1}
    waived, every = question.knife_waived, unbarred(question.trip)
    let_go = question_of(every, copied=copied, waived=waived, like=question, effort=effort)
    free = replace(let_go, tried=question.tried)
    check_kit_ids(kit, free)
    own, ids = free.of_kit(numbered(kit)), numbered(kit)
    sure, unsure = None, list[str]()
    if trip.sure is not None:
        sure, unsure = sure_kit_of(own, trip.sure, tuple(ids), effort=effort.portion(_FOR_SURE))
    lightest = _lightest_of_all(question, effort=effort.portion(_FOR_LIGHTEST))
    found = checked_kit(trip, free, own, ids, effort=effort)
    known = lightest if lightest is not None and not lightest.gaps else None
    view = SolutionView(own, found.settled)
    swap = found.swap
    return CheckAnswer(
        name=trip.name,
        covered=found.covered,
        kit=kit_of(view),
        needs=need_rows(view),
        workings=working_rows(view),
        gaps=found.settled.gaps,
        lightest=None
        if known is None
        else KitBrief(ids=originals(known.choice.ids or ()), mass_g=grams(known.choice.mass)),
        over_lightest_g=None if known is None else grams(found.settled.choice.mass - known.choice.mass),
        first_swap=None if swap is None else _swap_answer(swap),
        cautions=cautions_of(view),
        assumptions=figures_in_force(own),
        trials=trial_scores(own),
        sure=sure,
        checked=lightest is not None and lightest.choice.checked and found.swap_settled,
        not_settled=[
            *([] if lightest is not None and lightest.choice.checked else ["lightest"]),
            *([] if found.swap_settled else ["first_swap"]),
            *unsure,
        ],
    )


def _lightest_of_all(question: Question, *, effort: Effort) -> Settled | None:
    """Return the lightest kit of a trip, or None where the effort ends before any is found."""
    try:
        return settled_kit(question, effort=effort)
    except Unfinished:
        return None


def _swap_answer(swap: Swap) -> SwapAnswer:
    """Return a swap as callers see it."""
    out, into = (None if name is None else original_of(name) for name in (swap.out, swap.into))
    return SwapAnswer(out=out, into=into, saves_g=grams(swap.saves))


def check_kit_ids(kit: Sequence[str], question: Question) -> None:
    """Check the ids of a kit.

    Raises:
        TripError: an id that no tool has, or one named more often than a kit may hold it.
    """
    places = question.workers.candidates.place
    unknown = {fault.pointer: fault for fault in unknown_in_kit(kit, {tool.id for tool in question.tools})}
    first: dict[str, int] = {}
    faults: list[Fault] = []
    for index, (name, told) in enumerate(zip(kit, numbered(kit), strict=True)):
        if (pointer := f"#/kit/{index}") in unknown:
            faults.append(unknown[pointer])
        elif told not in places:
            detail = f"{name} is already at #/kit/{first[name]}; a kit holds each tool once"
            faults.append(Fault(pointer, name, "each tool once", detail))
        first.setdefault(name, index)
    if faults:
        raise TripError(faults)
