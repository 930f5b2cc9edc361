"""What a caller's own figures and stopwatch records did: told beside the figures that were assumed."""

from collections.abc import Collection

from catalog import Estimate, assumptions
from catalog.trials.measured import LEAST
from solver.forms.answer import FigureInForce, TrialScore
from solver.needs.question import Question


def figures_in_force(question: Question, *, more: Collection[str] = ()) -> list[FigureInForce]:
    """Return the assumptions that an answer rests on, in the order of the table, own figures in their place.

    Args:
        question: the question that was answered.
        more: ids of others that were used beside it.
    """
    used, own = _used(question) | set(more), question.trip.assumptions
    return [
        FigureInForce(**(row.model_dump() | {"value": own.get(name, row.value)}), yours=name in own)
        for name, row in assumptions().items()
        if name in used
    ]


def _used(question: Question) -> set[str]:
    """Return the ids of the assumptions that a question and its records used."""
    tried = question.tried
    return question.ledger.used | {one.id for one in (tried.measured.assumptions if tried else ())}


def unread_figures(question: Question) -> list[str]:
    """Return a sentence for each own figure that is not used."""
    used = _used(question)
    return [
        f"Your figure {name} is not used in this trip ({assumptions()[name].used_for})."
        for name in question.trip.assumptions
        if name not in used
    ]


def trial_scores(question: Question) -> list[TrialScore]:
    """Return what the trip's own records say, a row for each tool and task."""
    tried = question.tried
    if tried is None:
        return []
    return [_trial_score(one, tried.before[one.tool, one.task]) for one in tried.measured.estimates]


def _trial_score(found: Estimate, before: float) -> TrialScore:
    """Return what the records of one tool and task say.

    Args:
        found: the estimate.
        before: the score of the row that the records stand beside.
    """
    return TrialScore(
        tool=found.tool,
        task=found.task,
        measured=found.measured,
        score=found.score,
        low=found.low,
        high=found.high,
        confidence=found.confidence,
        records=found.records,
        rule=found.rule,
        far_out=list(found.far_out),
        before=before,
        text=" ".join([_outcome(found, before), *_outliers(found)]),
    )


def _outcome(found: Estimate, before: float) -> str:
    """Return which score counts now, in a sentence."""
    if found.score is None or found.low is None or found.high is None or found.confidence is None:
        return f"{found.tool}, {found.task}: the score stays {before:g}; {found.rule}."
    interval = f"{found.low:.1f} to {found.high:.1f} at {100 * found.confidence:.0f} %"
    was = f"in place of {before:g}" if before else "the row had none"
    score = max(LEAST, found.score)
    return f"{found.tool}, {found.task}: score {score:.1f} ({interval}) from {found.records} records, {was}."


def _outliers(found: Estimate) -> list[str]:
    """Return what became of records far from the rest, in a sentence."""
    if not found.far_out:
        return []
    places = ", ".join(f"#/trials/{place}" for place in found.far_out)
    if found.measured:
        return [f"Far from the rest: {places}; counted by rank alone, so that it moves the score little."]
    return [f"Far from the rest: {places}."]
