"""What a stopwatch trial before the trip saves: the kit goes by its result."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from catalog.tables.number import Bools
from solver.draws.joint_draws import JointDraws
from solver.draws.stopwatch import PlannedTrial, planned_trials, timed_minutes
from solver.draws.trial_rule import best_rule
from solver.forms.effort import Effort
from solver.needs.question import Question

_MOST_TOLD = 3  # judged: trials that are told
_MOST_KITS = 8  # judged: kits that rules are made of, those nearest to the usual one in mass
_LEAST_SAVED = 500  # judged: 5 g; nobody times anything for less [0.01 g]
_DOUBT = 1.645  # derived: the 95 % point of a normal figure


@dataclass(frozen=True)
class TrialSaving:
    """A trial with its rule.

    Attributes:
        trial: the trial.
        steps: each kit that the rule tells, with the minutes up to which it goes; the last goes beyond.
        expected: mass that goes on average [0.01 g].
        saved: against the kit that goes without a trial [0.01 g].
        suffices: whether the kit that goes does, in each of the draws by which it was tried, bool[E].
    """

    trial: PlannedTrial
    steps: tuple[tuple[float | None, tuple[str, ...]], ...]
    expected: float
    saved: float
    suffices: Bools


def trials_that_save(
    fresh: JointDraws,
    kits: Mapping[tuple[str, ...], int],
    usual: tuple[str, ...],
    suffices: Callable[[tuple[str, ...]], Bools],
    *,
    confidence: float,
    effort: Effort,
    trials: Sequence[PlannedTrial] | None = None,
) -> list[TrialSaving]:
    """Return the trials whose best rules save most, of each task one; none of them saves less than nothing.

    A rule is made, and chosen, on the first half of the draws and tried on the other, so that what is told of it is not
    what chance gave to the making. One that there saves less than 5 g, or is less sure than chance allows, is not told,
    nor one of a tool that in no kit of its rule does the task best: nobody times what stays home or in the pack.

    Args:
        fresh: draws by which no kit was chosen.
        kits: that may go, with their masses [0.01 g].
        usual: the kit that goes without a trial, one of them.
        suffices: tells in which draws a kit does, bool[E].
        confidence: share of the draws in which the kit must suffice.
        effort: what it may cost.
        trials: that could be made; where nothing is said, each tool of the usual kit and of lighter ones at each of
            its tasks.

    Raises:
        Unfinished: the effort ran out.
    """
    near = sorted(kits, key=lambda ids: (abs(kits[ids] - kits[usual]), ids != usual, ids))[:_MOST_KITS]
    ordered = sorted(near, key=lambda ids: (kits[ids], ids))
    each = []
    for ids in ordered:
        effort.go_on()
        each.append(suffices(ids))
    does = np.array(each)
    masses = [kits[ids] for ids in ordered]
    own, half = ordered.index(usual), len(fresh) // 2
    if trials is None:
        lighter = ordered[: ordered.index(usual) + 1]
        trials = planned_trials(fresh.question, [name for ids in reversed(lighter) for name in ids])
    each_mass = np.array(masses, dtype=float)
    found: dict[str, tuple[float, TrialSaving]] = {}
    for trial in trials:
        effort.go_on()
        results = timed_minutes(trial, fresh)
        made = best_rule(results[:half], does[:, :half], masses, usual=own, confidence=confidence)
        if made.constant:
            continue
        promised = float(each_mass[made.kit_of(results[:half])].mean())
        kit = made.kit_of(results[half:])
        expected = float(each_mass[kit].mean())
        one = TrialSaving(
            trial,
            _steps(made.limits.tolist(), [ordered[place] for place in made.kits.tolist()]),
            expected,
            masses[own] - expected,
            does[kit, half + np.arange(len(kit))],
        )
        if not any(_does_best(fresh.question, trial, ids) for _, ids in one.steps):
            continue
        if one.saved < _LEAST_SAVED or not _as_sure(one.suffices, does[own, half:], confidence):
            continue
        task = trial.record.task
        if task not in found or promised < found[task][0]:
            found[task] = promised, one
    return sorted((one for _, one in found.values()), key=lambda one: -one.saved)[:_MOST_TOLD]


def _does_best(question: Question, trial: PlannedTrial, ids: tuple[str, ...]) -> bool:
    """Tell whether a kit holds the tool of a trial, and none of a better score at its task."""
    score = f"{trial.record.task}_score"
    scores = {tool.id: float(getattr(tool, score)) for tool in question.workers.rows if tool.id in ids}
    return trial.tool.id in scores and scores[trial.tool.id] == max(scores.values())


def _as_sure(rule: Bools, usual: Bools, confidence: float) -> bool:
    """Tell whether a rule is as sure as asked, or as the usual kit is, but for chance."""
    if rule.mean() >= min(confidence, usual.mean()):
        return True
    error = (rule.astype(float) - usual).std() if usual.mean() < confidence else rule.std()
    return bool(rule.mean() >= min(confidence, usual.mean()) - _DOUBT * error / sqrt(len(rule)))


def _steps(
    limits: Sequence[float], kits: Sequence[tuple[str, ...]]
) -> tuple[tuple[float | None, tuple[str, ...]], ...]:
    """Return a rule group by group, those of one kit together."""
    found: list[tuple[float | None, tuple[str, ...]]] = []
    for limit, ids in zip([*limits, None], kits, strict=True):
        if found and found[-1][1] == ids:
            found.pop()
        found.append((limit, ids))
    return tuple(found)
