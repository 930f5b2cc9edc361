"""What a caller's own figures and stopwatch records did: told beside the figures that were assumed."""

from collections.abc import Collection, Sequence
from functools import cache

from catalog import Estimate, TrialQuestion, assumptions
from solver.forms.answer import FigureInForce, TrialScore
from solver.needs.question import Question

_TOLD_APART = 0.03  # judged: minutes that differ by less are told as equal
_BY_RECORDS, _BY_CATALOG = "trials", "stored-catalog"  # ids of sources


def figures_in_force(question: Question, *, more: Collection[str] = ()) -> list[FigureInForce]:
    """Return the assumptions that an answer rests on, in the order of the table, own figures in their place.

    Args:
        question: the question that was answered.
        more: ids of others that were used beside it.
    """
    used, own = _used(question) | set(more), question.trip.assumptions
    stated = {*own, *_catalog_figures(question)}
    found = []
    for name, row in assumptions().items():
        if name in used:
            if name not in stated:
                found.append(_as_assumed(name))
                continue
            source = _source_of(question, name)
            told = row.model_dump() | {"value": own.get(name, row.value), "source": source or row.source}
            found.append(FigureInForce(**told, yours=name in own))
    return found


@cache
def _as_assumed(name: str) -> FigureInForce:
    """Return a figure as the table has it, made once: every answer holds many."""
    return FigureInForce(**assumptions()[name].model_dump(), yours=False)


def _source_of(question: Question, name: str) -> str | None:
    """Return the source of a figure that records left; None of one that the trip states, or the table has."""
    if name in _catalog_figures(question):
        return _BY_CATALOG
    trip = question.trip if question.tried is None else question.tried.trip
    return _BY_RECORDS if name in question.trip.assumptions and name not in trip.assumptions else None


def _catalog_figures(question: Question) -> Collection[str]:
    """Return the ids of the figures that came with a stored catalog."""
    trip = question.trip if question.tried is None else question.tried.trip
    return trip.catalog_figures


def _stated(question: Question) -> list[str]:
    """Return the ids of the figures that a trip states."""
    return [name for name in question.trip.assumptions if _source_of(question, name) is None]


def _used(question: Question) -> set[str]:
    """Return the ids of the assumptions that a question and its records used."""
    tried = question.tried
    return question.ledger.used | {one.id for one in (tried.measured.assumptions if tried else ())}


def unread_figures(question: Question) -> list[str]:
    """Return a sentence for each own figure that is not used."""
    used = _used(question)
    return [
        f"Your figure {name} is not used in this trip ({assumptions()[name].used_for})."
        for name in _stated(question)
        if name not in used
    ]


def trial_scores(question: Question) -> list[TrialScore]:
    """Return what the trip's own records say, a row for each tool and task."""
    tried = question.tried
    if tried is None:
        return []
    asked: dict[tuple[str | None, str | None], list[TrialQuestion]] = {}
    for one in tried.measured.questions:
        asked.setdefault((one.tool, one.task), []).append(one)
    return [
        _trial_score(one, tried.before[one.tool, one.task], asked.get((one.tool, one.task), []))
        for one in tried.measured.estimates
    ]


def _trial_score(found: Estimate, before: float, asked: Sequence[TrialQuestion]) -> TrialScore:
    """Return what the records of one tool and task say.

    Args:
        found: the estimate.
        before: the score of the row that the records stand beside.
        asked: what looks wrong in its records.
    """
    texts = [one.text for one in asked]
    apart = {place for one in asked if not one.counted for place in one.records}
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
        text=" ".join([_outcome(found, before), *_minutes(found), *_outliers(found, apart), *texts]),
        parts=list(found.parts),
        timed_min=found.timed_min,
        expected_min=found.expected_min,
        questions=texts,
    )


def _outcome(found: Estimate, before: float) -> str:
    """Return which score counts now, in a sentence."""
    records = f"{found.records} record{'' if found.records == 1 else 's'}"
    if found.score is None or found.low is None or found.high is None or found.confidence is None:
        return f"{found.tool}, {found.task}: the score stays {before:g} ({records}); {found.rule}."
    interval = f"{found.low:.2g} to {found.high:.2g} at {100 * found.confidence:.0f} %"
    was = f"in place of {before:.2g}" if before else "the row had none"
    return f"{found.tool}, {found.task}: score {found.score:.2g} ({interval}) from {records}, {was}."


def _minutes(found: Estimate) -> list[str]:
    """Return what the plan makes of the minutes that were timed, in a sentence."""
    if found.timed_min is None or found.expected_min is None:
        return []
    timed, planned = f"{found.timed_min:.3g} min", f"{found.expected_min:.3g}"
    if abs(found.expected_min / found.timed_min - 1) < _TOLD_APART:
        return [f"The plan takes as long as you did: {timed} for what you timed."]
    return [f"What took you {timed} takes {planned} in the plan."]


def _outliers(found: Estimate, apart: Collection[int]) -> list[str]:
    """Return what became of records far from the rest, in a sentence, those apart that are asked about."""
    places = ", ".join(f"#/trials/{place}" for place in found.far_out if place not in apart)
    if not places:
        return []
    return [f"Far from the rest, so that they pull little: {places}."]
