"""Robust backup: whichever one tool is lost, the rest still does what matters within a longer day."""

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from math import floor, inf

import numpy as np

from catalog.tables.number import Ints
from solver.forms.aim import AimBound
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import WORK
from solver.forms.quantity import decimal_of
from solver.model.case import FIXED, Case, mass_of
from solver.model.copies import copies_in, is_copy, last_copy, original_of
from solver.model.day_work import Workload, unworn_ms, usable
from solver.model.greedy_kit import promising_tools, robust_by_greed
from solver.model.program import Program
from solver.model.reduction import reduce
from solver.needs.question import Question
from solver.programs.engine import Status
from solver.programs.linear_model import Row, make_row
from solver.search.branching_data import BranchingData, Mask, Requirement
from solver.search.choice import MOST_NODES, Choice, Found, Search, aims_of, by_program, first_met
from solver.search.goal import Lightest
from solver.search.tree import Tree
from solver.siblings.grown_rest import GrownRest, KnownDays

_FEW_NODES = 400  # judged: with firewood, by then the program has begun to pay
_UNTIL_PRICES = 100  # judged: of kits met; a kit that bears a loss weighs more than one that need not
_BY_BOUNDS = 8  # judged: sets that do too little told by bounds alone; by then it has begun to pay to grow them fully
_REDUCING = 0.5  # judged: of the time; of a case that takes longer a kit is sought by greed
_EACH = 20  # judged: tools at each job that stand out in one way, among which it is sought then
_SEARCH = 0.5  # judged: of the time, for the search; the rest is for greed, and for what the kit does after a loss
_TWO = 2  # carried tools, of which one may be lost


@dataclass(frozen=True)
class _Loss:
    """A tool lost, and the day's work of the rest on the needs that matter (None where it can't)."""

    tool: str
    load: Workload | None


@dataclass(frozen=True)
class RobustKit:
    """The lightest kit that bears the loss of any one tool, its mass, losses and proof; ids None = there is none.

    Where the effort ended first, only some losses are told.
    No such kit is below `least` [0.01 g], where the effort ended before it was proven lightest.
    """

    ids: tuple[str, ...] | None
    mass: int
    losses: list[_Loss]
    status: Status
    aims: tuple[AimBound, ...] = ()
    least: int | None = None

    @property
    def bound(self) -> int:
        """The mass that no such kit is below [0.01 g]."""
        return self.mass if self.status is Status.OPTIMAL else min(self.mass, max(0, self.least or 0))


@dataclass(frozen=True)
class Safety:
    """What must bear a loss: the jobs (rows of the case) that matter, and how many times as long a day may be."""

    jobs: Ints
    multiple: float

    def lightest(
        self, case: Case, *, effort: Effort, ties: bool = True, near: int = 0, known: KnownDays | None = None
    ) -> Choice:
        """Return the lightest kit of a case with the same jobs that bears the loss of any one of its tools.

        Arguments and errors are those of `robust_kit`.
        """
        found = robust_kit(
            case, jobs=self.jobs, multiple=self.multiple, effort=effort, ties=ties, near=near, known=known
        )
        return Choice(found.status, found.ids, found.mass, found.mass, found.bound, case.tools, 0, 0, aims=found.aims)

    def fatal(self, case: Case, kit: frozenset[int], *, effort: Effort) -> frozenset[int]:
        """Return the tools of a kit of a case whose loss it does not bear, of several of one sort the last."""
        return frozenset(AfterLoss(case, self.jobs, self.multiple, effort=effort).fatal(kit))


def safety_of(question: Question, case: Case, met: Sequence[int]) -> Safety | None:
    """Return the safety that a trip asks for, or None.

    Args:
        question: the trip's question.
        case: the case of its jobs that can be met.
        met: which of the question's jobs those are.
    """
    asked = question.trip.robust
    if asked is None:
        return None
    critical = {n for n, need in enumerate(question.needs) if need.critical}
    at_rest = {n for n, need in enumerate(question.needs) if need.at_rest}
    rows = [
        row
        for row, job in enumerate(met)
        if (asked.needs == "all" and job not in at_rest) or (case.wood_class[row] == FIXED and job in critical)
    ]
    return Safety(np.array(rows, dtype=np.int64), asked.work_multiple)


class AfterLoss:
    """What the rest of a kit still does, once a tool is lost, of the jobs that matter."""

    def __init__(
        self, case: Case, jobs: Ints, multiple: float, *, effort: Effort, known: KnownDays | None = None
    ) -> None:
        """Lay out the jobs that matter.

        Args:
            case: the trip's choice as numbers.
            jobs: the jobs (rows) that matter.
            multiple: how many times the usual work limit a day may then take.
            effort: what each solve may cost.
            known: days that are known already; added to.
        """
        alone = case.only_jobs(jobs)
        if not (alone.wood_class != FIXED).any():
            alone = replace(alone, firewood=None)
        told = None if case.work_cap is None else decimal_of(multiple) * case.rest.told(case.work_cap)
        self.most = None if told is None else floor(case.rest.work(told))
        capped = alone.capped(WORK.field, self.most)
        self.search = Search(capped, effort=effort, solver=None)
        self.known = known or KnownDays()

    def last_of(self, kit: frozenset[int], tool: int) -> int:
        """Return the last copy of a tool in a kit, or the tool: who loses one of several has the others left."""
        ids = self.search.case.ids
        return self.search.case.place[last_copy(original_of(ids[tool]), (ids[one] for one in kit))]

    def after_loss(self, kit: frozenset[int], lost: int) -> Workload | None:
        """Return the day's work of a kit without one of a tool of it on the jobs that matter, or None."""
        return self.done_by(kit - {self.last_of(kit, lost)})

    def done_by(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of what is left of a kit on the jobs that matter, or None."""
        self.search.effort.go_on()
        ids, known = frozenset(self.search.case.ids[tool] for tool in kit), self.known.after
        if ids not in known:
            known[ids] = self.search.day(usable(self.search.case, kit))
        load = known[ids]
        late = load is not None and self.most is not None and load.work > self.most
        return None if late else load

    def fatal(self, kit: frozenset[int]) -> Iterator[int]:
        """Yield the tools whose loss a kit does not bear, of several of one sort the last; the surest first.

        Raises:
            Unfinished: the effort ran out.
        """
        lost = sorted({self.last_of(kit, tool) for tool in kit})
        days = dict[int, int]()
        for tool in lost:
            self.search.effort.go_on()
            days[tool] = unworn_ms(self.search.case, kit - {tool})
        longest = sorted(lost, key=lambda tool: -days[tool])
        too_long = inf if self.most is None else self.most
        return (tool for tool in longest if days[tool] > too_long or self.done_by(kit - {tool}) is None)

    @cached_property
    def laid(self) -> BranchingData:
        """The case of what matters, laid out."""
        return BranchingData([self.search.case], timed=True)

    def losses_of(self, kit: frozenset[int]) -> list[_Loss]:
        """Return each loss with the day's work of the rest, as far as the time goes."""
        ids, found = self.search.case.ids, list[_Loss]()
        with suppress(Unfinished):
            for tool in sorted(kit):
                if not is_copy(ids[tool]):
                    found.append(_Loss(ids[tool], self.after_loss(kit, tool)))
        return found


class RobustSearch(Search):
    """A search for kits that bear the loss of any one tool.

    Let a set of tools do too little of what matters. A kit of which at most one tool lies outside that set is left
    with no more than the set when it loses that tool: so two must lie outside. That cuts off a kit that fails on a
    loss, and many more with it, the more the larger the set.
    """

    def __init__(self, case: Case, rest: AfterLoss, *, effort: Effort) -> None:
        super().__init__(case, effort=effort, solver=None)
        self.rest = rest
        self.laid: BranchingData | None = None  # of the enumeration under way

    def checked(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of a kit that keeps every rule and bears every loss, else None."""
        load = super().checked(kit)
        lost = None if load is None else next(self.rest.fatal(kit), None)
        if lost is not None and self.laid is not None:
            self.laid.ask(Requirement(self.laid.of(frozenset(self.outside(kit, lost))), number=_TWO))
        return load if lost is None else None

    def day(self, kit: frozenset[int]) -> Workload | None:
        """Return the day's work of a kit, as of any search."""
        ids, known = frozenset(self.case.ids[tool] for tool in kit), self.rest.known.before
        load = known[ids] if ids in known else super().day(kit)
        if load is not None:
            known[ids] = load
        return load

    def by_enumeration(self, *, ties: bool, near: int) -> Found | None:
        """Return the lightest kit by enumeration, or None where that does not end within its nodes.

        Args:
            ties: False takes any kit of least mass.
            near: a mass that it is thought to have [0.01 g], which only saves time.
        """
        goal = Lightest(every=ties)
        tree = Tree(BranchingData([self.case]), goal, self, near=near, effort=self.effort, nodes=MOST_NODES)
        tree.until_prices = _UNTIL_PRICES
        if tree.laid.classes:
            tree.nodes_left = min(tree.nodes_left, _FEW_NODES)
        for tools in [*self.wanted_twice(), *map(tree.laid.of, self.rest.known.outside(self.case.ids))]:
            tree.laid.ask(Requirement(tools, number=_TWO))
        self.laid = tree.laid
        complete = tree.run()
        self.laid = None
        return first_met(goal.met) if complete else None

    def wanted_twice(self) -> list[Mask]:
        """Return sets of tools of which two must go: without one of them something that matters is left undone.

        A copy is the second of its original: who loses one has the other left.
        """
        laid = self.rest.laid
        found = [post.helpers for post in laid.posts if post.number == 1]
        if laid.classes:
            wood = laid.lacks_wood(0)
            found += [] if wood is None else [wood]
        copies: dict[str, Mask] = {}
        for tool in copies_in(laid.case):
            name = original_of(laid.case.ids[tool])
            copies[name] = copies.get(name, 0) | 1 << int(laid.rank[tool])
        alike = [(1 << int(laid.rank[laid.case.place[name]]), mask) for name, mask in copies.items()]
        return [tools | sum(mask for tool, mask in alike if tool & tools) for tools in found]

    def outside(self, kit: frozenset[int], lost: int) -> list[int]:
        """Return the tools outside a set as large as can be that does too little with all of a kit but a lost tool."""
        ids, place = self.case.ids, self.case.place
        failing, left = set(kit), GrownRest(self.rest.laid, kit - {lost})
        full = len(self.rest.known.failing) >= _BY_BOUNDS
        for other in np.argsort(self.case.mass, kind="stable").tolist():
            alone = is_copy(ids[other]) and place[original_of(ids[other])] not in failing - {lost}
            if other in failing or alone or self.case.mass[other] > (self.case.mass_cap or np.inf):  # in no kit
                continue
            if left.falls_short(other) or (full and self.rest.done_by(frozenset(failing - {lost} | {other})) is None):
                failing.add(other)
                left.take(other)
        self.rest.known.failing.append(frozenset(ids[one] for one in failing if one != lost))
        return [one for one in range(self.case.tools) if one == lost or one not in failing]

    def against(self, program: Program, kit: frozenset[int]) -> list[Row]:
        """Return the rules that a kit breaks: of the tools outside each set that does too little, two must go.

        The sets are as large as can be, the lightest tools first; none holds a copy without its original, which would
        stand in for that.
        """
        rows = []
        for tool in self.rest.fatal(kit):
            outside = [program.carried[one] for one in self.outside(kit, tool)]
            rows.append(make_row([(column, 1.0) for column in outside], low=2.0))
        return rows or super().against(program, kit)


def robust_kit(
    case: Case,
    *,
    jobs: Ints,
    multiple: float,
    effort: Effort,
    ties: bool = True,
    near: int = 0,
    known: KnownDays | None = None,
    start: Sequence[str] = (),
) -> RobustKit:
    """Return the lightest kit that, whichever one of its tools is lost, still does some jobs; ties as for any kit.

    The work limit is `multiple` times as long then.

    Args:
        case: the trip's choice as numbers.
        jobs: the jobs (rows) that matter.
        multiple: how many times the usual work limit a day may then take.
        effort: what each solve may cost.
        ties: False takes any kit of least mass.
        near: a mass that it is thought to have [0.01 g], which only saves time.
        known: days that are known already; added to.
        start: ids of a kit that need not bear a loss, from which greed sets out where the effort ends first.

    Raises:
        Unfinished: the effort ran out.
    """
    # Too slow for a whole day may do after a loss, when less is asked: only the limit's absence keeps every time.
    unlimited = case.capped(WORK.field, None)
    reducing = effort.portion(_REDUCING)
    small = reduce(unlimited, by_effort=False, spare=1, losses=True, effort=reducing).capped(WORK.field, case.work_cap)
    within, found = effort.portion(_SEARCH), None
    if reducing.over:
        small, found = small.keep(promising_tools(small, each=_EACH)), Found(Status.STOPPED, None, None)
    rest = AfterLoss(small, jobs, multiple, effort=within, known=known)
    search = RobustSearch(small, rest, effort=within)
    if found is None and not effort.solver:
        found = search.by_enumeration(ties=ties, near=near)
    if found is None:
        found = by_program(search, "mass", ties=ties, at_last=False)
    if found.kit is None and found.status is Status.STOPPED:
        late = effort.grace()
        rest = AfterLoss(small, jobs, multiple, effort=late, known=rest.known)
        search = RobustSearch(small, rest, effort=late)
        counts_in = lambda one: Search(one, effort=late, solver=None).counts  # noqa: E731
        first = small.kit(start) if set(start) <= set(small.ids) else None
        kit = robust_by_greed(small, rest.search.case, search.counts, counts_in, first, effort=late)
        found = replace(found, kit=kit, load=None if kit is None else Search.checked(search, kit))
    if found.kit is None:
        if found.status is Status.STOPPED:
            raise Unfinished
        return RobustKit(None, 0, [], Status.INFEASIBLE)
    ids = tuple(sorted(small.ids[tool] for tool in found.kit))
    rest = AfterLoss(small, jobs, multiple, effort=effort.grace(), known=rest.known)
    losses, aims = rest.losses_of(found.kit), aims_of(search, found, "mass")
    return RobustKit(ids, mass_of(small, found.kit), losses, found.status, aims, found.bound)


@dataclass(frozen=True)
class AnyLoss:
    """The loss of any one tool of a kit: the rest must do all jobs of a case in a day so many times as long.

    Attributes:
        case: the trip's choice as numbers.
        multiple: how many times the usual work limit a day may then take.
        effort: what each solve may cost.
    """

    case: Case
    multiple: float
    effort: Effort

    @cached_property
    def rest(self) -> AfterLoss:
        """What tells what the rest of a kit does."""
        return AfterLoss(self.case, np.flatnonzero(self.case.worked), self.multiple, effort=self.effort)

    def borne_by(self, ids: Sequence[str]) -> bool:
        """Tell whether a kit bears it."""
        kit = self.case.kit(ids)
        return all(self.rest.after_loss(kit, tool) is not None for tool in sorted(kit))

    def lightest(self, case: Case, *, near: int) -> Choice | None:
        """Return the lightest kit of a case of the same jobs that bears it, without ids where there is none.

        Args:
            case: the case.
            near: a mass that it is thought to have [0.01 g], which only saves time.

        Returns:
            The kit, or None where the effort ran out.
        """
        safety = Safety(np.flatnonzero(case.worked), self.multiple)
        try:
            found = safety.lightest(case, effort=self.effort, near=near, known=self.rest.known)
        except Unfinished:
            return None
        return found if found.checked else None
