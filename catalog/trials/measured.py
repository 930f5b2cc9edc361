"""Rows of the catalog with what trials say added to what was judged."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from numbers import Real

from catalog.equipment.tool import MOST_SCORE, TASKS, Tool
from catalog.scores.score_spread import measured_source, measured_tasks
from catalog.tables.assumption import Assumption, assumptions
from catalog.tables.errors import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.python_form import misuse, rows_of
from catalog.trials.asked_back import (
    TrialQuestion,
    measured_before,
    too_thick,
    typed_twice,
    unbelievable,
)
from catalog.trials.estimate import NINETY, Estimate, ScoreAfter, TrialFigure, estimates_of, figures_after
from catalog.trials.gauss_newton import fitted
from catalog.trials.timed_work import TimedWork, latents_of, used_assumptions
from catalog.trials.trial import MOST_PEOPLE, Skill, Trial
from catalog.wood.species import REFERENCE_WOOD, species_of
from catalog.wood.work import time_factor

_RULES = ("record_spread", "spoilt_share", "spoilt_factor")
_UNRATED = ("unrated_score", "unrated_spread")
# judged: the promised length of a free text
_LONGEST_SOURCE = 500
_DIGITS = 6  # judged: far more than anyone times, few enough to read
_PACE_ASKED = 0.15  # judged: a pace so far from the usual one asks who was timed


@dataclass(frozen=True, slots=True)
class Measured:
    """What trials say.

    Attributes:
        estimates: of every tool and task tried.
        tools: rows of the tools measured, with their scores after the records.
        assumptions: what the figures rest on.
        figures: rates, paces and others that the records share.
        questions: what looks wrong in the records.
        own_figures: assumptions of a trip with these rows, by id, so that it takes as long as was timed; the pace is
            among them where one person was timed.
    """

    estimates: list[Estimate]
    tools: list[Tool]
    assumptions: list[Assumption]
    figures: list[TrialFigure]
    questions: list[TrialQuestion]
    own_figures: dict[str, float]


def measure(
    trials: Sequence[Trial],
    tools: Sequence[Tool],
    *,
    confidence: float,
    pace: float = 1.0,
    skill: Skill | None = None,
    changed: Mapping[str, float] | None = None,
    go_on: Callable[[], None] | None = None,
) -> Measured:
    """Return what trials say of tools, of rates and of who was timed.

    The row of a tool is what is known of it before. Where it has no score at a task, its largest diameter becomes the
    largest that was tried.

    Args:
        trials: the records.
        tools: rows of the tools tried.
        confidence: chance that an interval holds its score, 0.5 to 0.99.
        pace: known pace of who was timed against others of that skill [-].
        skill: of who was timed, where a record does not say; None = not known, taken as practised.
        changed: figures in place of the table's, by id; they are known, and no record moves them.
        go_on: called before each step of the estimation; it raises where nobody waits any more.

    Raises:
        TypeError: an argument of another kind.
        RangeError: a record whose handling takes its whole time, or more than 50 people timed.
        ValueError: another confidence.
        KeyError: a wood that is not in the table.
    """
    trials, tools = rows_of("trials", trials, Trial), rows_of("tools", tools, Tool)
    if isinstance(confidence, bool) or not isinstance(confidence, Real):
        raise misuse("confidence", confidence, "a number from 0.5 to 0.99")
    # judged: the promised range of a confidence
    if not 0.5 <= confidence <= 0.99:
        raise ValueError(f"confidence {confidence:g} is outside 0.5 to 0.99")
    people = len({one.person for one in trials})
    if people > MOST_PEOPLE:
        raise RangeError(quantity="people", value=people, low=1, high=MOST_PEOPLE, unit="people", source="judged")
    rows = {tool.id: tool for tool in tools}
    work = latents_of(trials, tools, pace=pace, skill=skill or "practised", changed=changed)
    questions = _questions(work, rows) if trials else []
    left_out = {place for one in questions if not one.counted for place in one.records[one.kind == "typed-twice" :]}
    counted = [place for place in range(len(trials)) if place not in left_out]
    fit = fitted(work.model(counted), go_on=go_on or (lambda: None)) if counted else None
    found = estimates_of(work, counted, fit, confidence=confidence)
    figures = figures_after(work, fit)
    after = {(one.tool, str(one.task)): score for one, score in found if score is not None}
    if skill is None:
        questions += _who(trials, figures)
    questions += _beyond(after)
    better = [_updated(tool, after, trials) for tool in tools if any(name == tool.id for name, _ in after)]
    return Measured(
        [one for one, _ in found],
        better,
        _assumptions_of(work, tools, skill or "practised"),
        figures,
        questions,
        figures_of_a_trip(figures, _of_one_person(figures)),
    )


def figures_of_a_trip(figures: Iterable[TrialFigure], of: Mapping[str, str]) -> dict[str, float]:
    """Return the figures that a trip takes as its own assumptions, within their hard limits, by id.

    Args:
        figures: as records leave them.
        of: for ids that are of a person or a wood, of which one.
    """
    found = {}
    for one in figures:
        if one.of == of.get(one.id, ""):
            row = assumptions()[one.id]
            found[one.id] = min(row.hard_high, max(row.hard_low, _told(one.value)))
    return found


def _of_one_person(figures: Iterable[TrialFigure]) -> dict[str, str]:
    """Return of whom the pace is, where one person alone was timed; else nobody's."""
    people = [one.of for one in figures if one.id == "pace"]
    return {"pace": people[0]} if len(people) == 1 else {"pace": "nobody in particular"}


def _questions(work: TimedWork, rows: Mapping[str, Tool]) -> list[TrialQuestion]:
    """Return what looks wrong in records before any counts, in their order."""
    found = [
        *unbelievable(work),
        *typed_twice(work.trials),
        *too_thick(work.trials, rows),
        *measured_before(work.trials, rows),
    ]
    return sorted(found, key=lambda one: one.records)


def _who(trials: Sequence[Trial], figures: Iterable[TrialFigure]) -> list[TrialQuestion]:
    """Return the question who was timed, where the records are of an unusual pace and don't say."""
    silent = tuple(place for place, one in enumerate(trials) if one.skill is None and one.person is None)
    pace = next((one for one in figures if one.id == "pace" and one.of == ""), None)
    if pace is None or not silent or abs(pace.value / pace.before - 1) < _PACE_ASKED:
        return []
    text = (
        f"Who was timed? The records fit a pace of {pace.value:.2g} times a practised adult's. Give skill (novice, "
        "practised or expert), and person where several were timed."
    )
    return [TrialQuestion("who-was-timed", silent, None, None, True, text)]


def _beyond(after: Mapping[tuple[str, str], ScoreAfter]) -> list[TrialQuestion]:
    """Return a question for each score that no row can hold."""
    return [
        TrialQuestion(
            "beyond-scale",
            (),
            score.before.tool,
            score.before.task,
            True,
            f"{tool}, {task}: a score of {score.median:.3g}? A row holds {MOST_SCORE:g} at most, three times the "
            "reference tool. Check minutes, count and diameter.",
        )
        for (tool, task), score in after.items()
        if score.median > MOST_SCORE
    ]


def _told(value: float) -> float:
    """Return a figure with as many digits as rows and answers carry."""
    return float(f"{value:.{_DIGITS}g}")


def _updated(tool: Tool, after: Mapping[tuple[str, str], ScoreAfter], trials: Sequence[Trial]) -> Tool:
    """Return a row with its scores after the records, and a source that says which they are."""
    changes: dict[str, object] = {}
    measured = [task for task in TASKS if (tool.id, task) in after]
    for task in measured:
        one = after[tool.id, task]
        score = changes[f"{task}_score"] = min(MOST_SCORE, _told(one.median))
        changes[f"{task}_score_low"] = min(score, _told(one.at(-NINETY)))
        changes[f"{task}_score_high"] = max(score, min(10 * MOST_SCORE, _told(one.at(NINETY))))
        if not getattr(tool, f"{task}_max_mm"):
            tried = [trial.diameter_mm for trial in trials if (trial.tool, trial.task) == (tool.id, task)]
            changes[f"{task}_max_mm"] = max(tried)
    before = measured_tasks(tool.score_source or "")
    rest = [task for task in TASKS if getattr(tool, f"{task}_score") and task not in {*measured, *before}]
    source = measured_source([task for task in TASKS if task in measured or task in before])
    whole = f"{source}; {', '.join(rest)}: {_judged_source(tool)}" if rest else source
    changes["score_source"] = whole[:_LONGEST_SOURCE].strip()
    return tool.model_copy(update=changes)


def _judged_source(tool: Tool) -> str:
    """Return the source of the scores that no trial measured, from a row that trials may have changed before."""
    source = tool.score_source or ""
    if not measured_tasks(source):
        return source or "unknown"
    judged = re.fullmatch(r"[^;]*; [a-z, ]+: (?P<judged>.*)", source, re.DOTALL)
    return judged["judged"] if judged else "unknown"


def _assumptions_of(work: TimedWork, tools: Sequence[Tool], skill: Skill) -> list[Assumption]:
    """Return the assumptions that figures from these records rest on."""
    trials, ledger = work.trials, Ledger[float]()
    largest = {tool.id: tool.saw_max_mm for tool in tools if tool.saw_max_mm > 0}
    if any(one.task == "saw" and one.diameter_mm > largest.get(one.tool, one.diameter_mm) for one in trials):
        ledger.note(("saw_turned_share",))
    ledger.note(_RULES)
    ledger.note(_UNRATED if any(not one.rated for one in work.scores) else ())
    ledger.note(used_assumptions(trials, skill))
    ledger.note(f"judged_spread_{one.task}" for one in work.scores if one.usual)
    ledger.note(("cleft_exponent",) if any(trial.task == "split" for trial in trials) else ())
    batoned = {tool.id for tool in tools if tool.batoned}
    ledger.note(("baton_exponent",) if any(one.task == "split" and one.tool in batoned for one in trials) else ())
    for trial in trials:
        if trial.task != "carve" and (trial.wood, trial.state) != (REFERENCE_WOOD, "dead-dry"):
            factor = time_factor(species_of(trial.wood), trial.task, state=trial.state, air_c=0)
            ledger.note(factor.assumptions)
    return ledger.listed()
