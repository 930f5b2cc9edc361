"""What the kit that is sure enough would weigh if wood work might take half an hour more a day."""

from fractions import Fraction

from solver.answers.confidence import PROBABILITY_DIGITS
from solver.forms.effort import Effort
from solver.forms.limit import WORK
from solver.forms.sure_answer import HalfHourMore
from solver.forms.trip import Sure
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.question import Question
from solver.offers.sure_wish import lightest_in_draws
from solver.telling.unknowns import MORE_MIN, told_draws

_DEAR = Fraction(3, 2)  # judged: times the kit as assumed, from which a sure kit is worth the question
_WHOLE_DAY_MIN = 1440  # by definition: of a person


def longer_day(
    question: Question, asked: Sure, *, assumed: int | None, sure: int | None, effort: Effort
) -> HalfHourMore | None:
    """Return the lightest kit that suffices with a confidence on days half an hour longer, where it is worth telling.

    It is where no kit is sure enough, or only one of half as much again as the lightest kit if all is as assumed.

    Args:
        question: the trip's.
        asked: how sure the kit must be, and on which draws.
        assumed: mass of the lightest kit as assumed; None where there is none [0.01 g].
        sure: mass of the kit that is sure enough; None where there is none [0.01 g].
        effort: what it may cost.

    Returns:
        The kit, or None where the longer day saves nothing, or it is not worth asking.

    Raises:
        Unfinished: the effort ran out.
    """
    if sure is not None and (assumed is None or sure < _DEAR * assumed):
        return None
    trip, most = question.trip, question.trip.limits.work_min_per_day + MORE_MIN
    if most > _WHOLE_DAY_MIN * trip.people:
        return None
    limits = trip.limits.model_copy(update={WORK.field: most})
    longer = trip.model_copy(update={"limits": limits})
    found = lightest_in_draws(longer, asked.confidence, asked.draws, asked.seed, effort=effort)
    if found is None or found.ids is None or (sure is not None and found.mass >= sure):
        return None
    mass_g, ids = grams(found.mass), originals(found.ids)
    served = told_draws(round(found.probability * asked.draws), asked.draws)
    most_min, usual_min = (each.work_min_per_day for each in (limits, trip.limits))
    day = f"{most_min:g} minutes of wood work a day instead of {usual_min:g}"
    return HalfHourMore(
        work_min_per_day=most_min,
        probability=round(float(found.probability), PROBABILITY_DIGITS),
        mass_g=mass_g,
        ids=ids,
        text=f"With {day}, {mass_g:g} g suffices in {served}: {', '.join(ids)}.",
    )
