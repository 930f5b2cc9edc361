"""The kit of a case: the best there is, or the gaps and the best kit for the rest."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from solver.answers.gap import let_off, missing_must, unmet
from solver.answers.limit_gap import life_gap, limit_gaps
from solver.forms.aim import AIMS
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap
from solver.model.case import Case
from solver.model.day_work import Workload, workload
from solver.model.greedy_kit import promising_tools
from solver.needs.question import Question
from solver.programs.engine import Status
from solver.search.choice import Choice, choose
from solver.search.relaxation import Relaxation, relieve, relieved_by_greed


@dataclass(frozen=True)
class Settled:
    """A case settled: the choice, the case it was made in, the jobs of it, the day's work, and the gaps.

    `worn` is the case with the wear that the answer leaves out, where the tools wear out before the work is done.
    `known` is False where the effort ended before it was known whether the gaps of limits must be.
    """

    case: Case
    met: list[int]
    choice: Choice
    load: Workload
    gaps: list[Gap]
    worn: Case | None = None
    known: bool = True

    @property
    def wearing(self) -> Case:
        """The case in which tools wear as they do on the trip."""
        return self.worn or self.case

    @property
    def status(self) -> str:
        """The status of the answer."""
        if self.gaps:
            return "uncovered"
        return self.choice.told_status


def settled_kit(question: Question, *, effort: Effort) -> Settled:
    """Return the best kit for a question; where none keeps every rule, the gaps and the best for the rest.

    Raises:
        Unfinished: the effort ran out before any kit was found.
    """
    trip, (case, met, gaps) = question.trip, what_can_be_met(question)
    choice = choose(case, aim=trip.aim, effort=effort)
    if choice.status is Status.INFEASIBLE:
        return relieved(case, met, gaps, trip.aim, effort=effort)
    load = load_of(case, choice, effort=effort, by_kcal=AIMS[trip.aim].by_kcal)
    return Settled(case, met, choice, load, gaps)


def told_kit(question: Question, *, effort: Effort) -> Settled:
    """Return what `settled_kit` does, or where the effort ended first a kit by greed, and the limits that it breaks.

    Raises:
        Unfinished: greed found no kit either, whatever the limits.
    """
    try:
        return settled_kit(question, effort=effort)
    except Unfinished:
        aim, (case, met, gaps) = question.trip.aim, what_can_be_met(question)
        few = case.keep(promising_tools(case))
        found = relieved_by_greed(few, aim=aim, effort=effort)
        if found is None:
            raise
        eased, reliefs, choice = found
        loose = case.changed(caps=eased.caps)
        loose = loose.unworn() if few.wear.any() and not eased.wear.any() else loose
        choice = replace(choice, considered=case.tools, set_aside=case.tools - few.tools)
        return _eased(case, met, gaps, loose, reliefs, choice, aim, effort=effort)


def what_can_be_met(question: Question) -> tuple[Case, list[int], list[Gap]]:
    """Return the case of what can be met, the jobs that it has, and a gap for each need or tool that can't."""
    gaps = missing_must(question.trip, question.barred, question.case)
    case, met, more = unmet(question, let_off(question.case))
    return case, met, gaps + more


def gaps_of(question: Question) -> Callable[[Effort], list[Gap]]:
    """Return what tells the gaps of one trip by itself."""
    return lambda effort: settled_kit(question, effort=effort).gaps


def relieved(case: Case, met: list[int], gaps: list[Gap], aim: str, *, effort: Effort) -> Settled:
    """Return the best kit once as few limits as possible give way, with their gaps after those there are.

    Raises:
        Unfinished: the effort ran out before it was known which limits must give way.
    """
    loose, reliefs = relieve(case, effort=effort)
    choice = choose(loose, aim=aim, effort=effort)
    return _eased(case, met, gaps, loose, reliefs, choice, aim, effort=effort)


def _eased(
    case: Case,
    met: list[int],
    gaps: list[Gap],
    loose: Case,
    reliefs: list[Relaxation],
    choice: Choice,
    aim: str,
    *,
    effort: Effort,
) -> Settled:
    """Return a kit of a case whose limits gave way, with their gaps after those there are.

    Raises:
        Unfinished: there is no kit.
    """
    load = load_of(loose, choice, effort=effort, by_kcal=AIMS[aim].by_kcal)
    limits, known = limit_gaps(reliefs, gaps), all(one.ruled_out for one in reliefs)
    if not reliefs or reliefs[0].limit is not None:
        return Settled(loose, met, choice, load, gaps + limits, known=known)
    worn = replace(loose, wear=case.wear, slower=case.slower)
    life = life_gap(worn, worn.kit(choice.ids or ()), load, limits[0].text)
    return Settled(loose, met, choice, load, [*gaps, life, *limits[1:]], worn, known)


def load_of(case: Case, choice: Choice, *, effort: Effort, by_kcal: bool = False) -> Workload:
    """Return the day's work of the chosen kit.

    Raises:
        Unfinished: there is no kit.
    """
    if choice.ids is None:
        raise Unfinished
    load = workload(case, case.kit(choice.ids), effort=effort, by_kcal=by_kcal)
    if load is None:
        raise Unfinished
    return load
