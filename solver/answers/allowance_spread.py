"""How the allowance of a tool spreads with the scores that it rests on: all tools drawn together, draw by draw."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from solver.answers.allowance import Weighing, allowance_of, weighing_of
from solver.answers.sensitivity import lightest_of
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import MEMBERS
from solver.needs.drawn_scores import drawn_questions
from solver.needs.question import Question
from solver.search.choice import Choice

DRAWS, _SEED = 64, 1  # judged: the twentieth part of the draws moves the percentile little
_SHARE = 0.2  # judged: four in five draws allow it more


def spread_of(question: Question, name: str, *, near: int, effort: Effort) -> list[float]:
    """Return the allowance of a tool under each joint draw of the scores [0.01 g]: 0 for never, inf for unbounded.

    Args:
        question: the trip's, at the medians.
        name: the tool.
        near: a mass that the lightest kits are thought to have [0.01 g], which only saves time.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    weighings = []
    for drawn in drawn_questions(question, count=DRAWS, seed=_SEED):
        effort.go_on()
        weighings.append(weighing_of(drawn, name))
    pairs = _lightest_pairs(weighings, near, effort)
    found = []
    for weighing, pair in zip(weighings, pairs, strict=True):
        effort.go_on()
        one = allowance_of(weighing, weightless=True, effort=effort, without=pair.without, lightest=pair.lightest)
        if not one.checked:
            raise Unfinished
        found.append(math.inf if one.reason == "unbounded" else float(one.mass or 0))
    return found


def percentile_of(masses: Sequence[float]) -> float:
    """Return what four in five of the draws allow at least, in the unit of the masses.

    Args:
        masses: a mass a draw.
    """
    return sorted(masses)[math.ceil(_SHARE * len(masses)) - 1]


@dataclass(frozen=True)
class _Pair:
    """The lightest kit without the tool, and that with it, weightless; None where it is still to be found."""

    without: Choice | None = None
    lightest: Choice | None = None


def _lightest_pairs(weighings: Sequence[Weighing], near: int, effort: Effort) -> list[_Pair]:
    """Return what one search over all draws tells; a rule that needs kits one by one is left to each draw."""
    first = weighings[0]
    if first.safety is not None or MEMBERS.field in first.case.caps:
        return [_Pair()] * len(weighings)
    without: list[Choice | None] = [None] * len(weighings)
    if first.tool not in first.case.must:
        without = lightest_of([one.case.without(one.tool) for one in weighings], near, effort=effort)
    lightest = lightest_of([one.weighing(0) for one in weighings], near, effort=effort)
    return [_Pair(*pair) for pair in zip(without, lightest, strict=True)]
