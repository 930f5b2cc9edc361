"""Kits for a trip on which something goes wrong: the lightest that bears one thing, or several, each by itself."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Ints
from solver.answers.kit import Settled, settled_kit
from solver.answers.robust import AfterLoss, RobustSearch, Safety
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import MEMBERS, SUMS
from solver.forms.quantity import sum_of
from solver.model.axis_reduction import reduce_together
from solver.model.case import Case, mass_of
from solver.model.copies import original_of
from solver.model.day_work import Workload
from solver.model.program import Program, build, limit_can_bind
from solver.needs.question import Question
from solver.programs.engine import Status
from solver.search.choice import Choice, Search, by_program, choice_of

_SEARCH_FOR_EACH = 0.85  # judged: of the time; the rest is for a kit by greed
_NO_KIT_FOR_LOSS = "No allowed kit does all of the work whichever one of its tools is lost, within the limits."


@dataclass(frozen=True)
class Borne:
    """The lightest kit that bears something; or None, why there is none, and the lightest for what can be had.

    Where it is not settled, nothing is known but that the effort ended first.
    """

    choice: Choice | None
    why_none: str | None
    closest: Choice | None
    settled: bool = True

    @property
    def least(self) -> int:
        """A mass that no kit that bears it is lighter than [0.01 g]."""
        return 0 if self.choice is None else self.choice.bound or 0


NOT_SETTLED = Borne(None, None, None, settled=False)


def borne_by(settled: Settled) -> Borne:
    """Return the lightest kit of a settled trip as one that bears what makes the trip so."""
    if not settled.known:
        return NOT_SETTLED
    if settled.gaps:
        return Borne(None, " ".join(dict.fromkeys(gap.text for gap in settled.gaps)), settled.choice)
    return Borne(settled.choice, None, None)


def lightest_that_bears(question: Question, *, effort: Effort) -> Borne:
    """Return the lightest kit of the trip as it is once something went wrong, as far as the effort goes."""
    try:
        effort.go_on()
        return borne_by(settled_kit(question, effort=effort))
    except Unfinished:
        return NOT_SETTLED


def lightest_after_loss(question: Question, planned: Borne, *, effort: Effort) -> Borne:
    """Return the lightest kit that does all work, and within the work limit, whichever one of its tools is lost.

    It goes as far as the effort does.

    Args:
        question: the trip's question.
        planned: the lightest kit of the trip as planned.
        effort: what each solve may cost.
    """
    if planned.choice is None:
        return planned
    try:
        found = lightest_for_each([question], loss=True, least=planned.least, effort=effort)
    except Unfinished:
        return NOT_SETTLED
    return Borne(found, None, None) if found.ids is not None else Borne(None, _NO_KIT_FOR_LOSS, None)


def lightest_for_each(
    questions: Sequence[Question], *, loss: bool, least: int, effort: Effort, packing_limits: bool = True
) -> Choice:
    """Return the lightest one kit that serves in each of several variants of a trip; its ids are None if there is none.

    Args:
        questions: the trip as planned, then its variants, each with some kit of its own.
        loss: whether the kit must also do all work of the trip as planned whichever one of its tools is lost.
        least: a mass that no such kit is lighter than [0.01 g], which only saves time.
        effort: what each solve may cost.
        packing_limits: False leaves out the limits on what the tools add up to: grams, money, number.

    Raises:
        Unfinished: the effort ran out.
    """
    cases = [question.case if packing_limits else _unlimited(question.case) for question in questions]
    lasting = _asked_after_loss(questions[0]) if loss else np.array([], dtype=np.int64)
    return _kit_for_each(cases, lasting=lasting, least=least, effort=effort)


def _asked_after_loss(question: Question) -> Ints:
    """Return the jobs that a loss leaves to do.

    Args:
        question: a question all of whose needs can be met.
    """
    at_rest = [n for n, need in enumerate(question.needs) if need.at_rest]
    return np.setdiff1d(np.arange(len(question.jobs)), at_rest)


def _unlimited(case: Case) -> Case:
    """Return the case without limits on what the tools add up to."""
    sums = {limit.field for limit, _ in SUMS}
    return case.changed(caps={field: cap for field, cap in case.caps.items() if field not in sums})


@dataclass(frozen=True)
class _Doubled:
    """A kit with two of some tools, where kits hold one of each: its ids as often as they go, and its mass [0.01 g]."""

    ids: tuple[str, ...]
    mass: int


def doubled_of(case: Case, ids: Sequence[str], safety: Safety, *, below: int | None, effort: Effort) -> _Doubled | None:
    """Return a kit with a second of each tool whose loss it does not bear; so it bears any loss.

    A second one makes the loss good, and any other loss leaves what was enough before.

    Args:
        case: the trip's choice as numbers.
        ids: a kit that does its work.
        safety: what must bear a loss.
        below: a mass that it must be below [0.01 g]; None: any will do.
        effort: what each day may cost.

    Returns:
        The kit, or None where it would be too heavy, go over a limit, or be for members to carry.
    """
    kit = case.kit(ids)
    fatal = safety.fatal(case, kit, effort=effort)
    mass = mass_of(case, kit) + mass_of(case, fatal)
    over = any(
        sum_of(each(case), kit) + sum_of(each(case), fatal) > case.caps[limit.field]
        for limit, each in SUMS
        if limit.field in case.caps
    )
    if over or MEMBERS.field in case.caps or not fatal or (below is not None and mass >= below):
        return None
    packed = [*ids, *(case.ids[tool] for tool in fatal)]
    return _Doubled(tuple(sorted(map(original_of, packed))), mass)


class _EachCaseSearch(RobustSearch):
    """A search for kits that keep every rule of several cases, and bear the loss of any one tool in the first."""

    def __init__(self, cases: Sequence[Case], rest: AfterLoss, *, least: int, effort: Effort) -> None:
        super().__init__(cases[0], rest, effort=effort)
        self.others = [Search(case, effort=effort, solver=None) for case in cases[1:]]
        self.least = least

    def program(self, *, with_minutes: bool) -> Program:
        """Return the program of the first case, with the rules of the other cases on the same tools."""
        program = super().program(with_minutes=with_minutes)
        for case in (other.case for other in self.others):
            build(case, with_minutes=limit_can_bind(case), model=program.model, x=program.carried)
        program.model.row(program.mass.items(), low=float(self.least))
        return program

    def checked(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work in the first case of a kit that keeps every rule of all, else None."""
        load = super().checked(kit)
        return load if load and all(other.counts(kit) for other in self.others) else None


def _kit_for_each(cases: Sequence[Case], *, lasting: Ints, least: int, effort: Effort) -> Choice:
    """Return the lightest kit that serves in each of several cases; ties go by the first of them, as for any kit.

    Args:
        cases: the cases, all of the same tools.
        lasting: jobs (rows) of the first case that the kit must do too whichever one of its tools is lost.
        least: a mass that no such kit is lighter than [0.01 g], which only saves time.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out before any kit was found.
    """
    effort.go_on()
    small = reduce_together(cases, priced=False, spare=1, losses=len(lasting) > 0, effort=effort)
    rest = AfterLoss(small[0], lasting, 1.0, effort=effort)
    search = _EachCaseSearch(small, rest, least=least, effort=effort.portion(_SEARCH_FOR_EACH))
    found = by_program(search, "mass", ties=True)
    if found.status is Status.STOPPED and found.kit is None:
        raise Unfinished
    return choice_of(cases[0], search, found, "mass")
