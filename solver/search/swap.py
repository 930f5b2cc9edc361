"""The first swap: the change of one tool of a kit that leads to the lightest kit that covers the trip.

Every tool that stays home is tried with every one that comes in, lighter kits first. Most are ruled out together, for
thousands of tools at once, by what the rest of the kit lacks and by the day's work if nothing wore out.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort
from solver.forms.quantity import GRAMS_PER_KG, sum_of
from solver.model.case import NEVER, Case, mass_of
from solver.model.day_work import grams_burnt
from solver.search.choice import Search

_MOST_CELLS = 250_000  # judged: times of tools at jobs that are added up at once, 2 MB in an array
_NOBODY = -1  # stands for no tool among tools

_Key = tuple[int, int, int, int]  # a changed kit: its mass, its work, which tool comes in, which stays home


@dataclass(frozen=True)
class Swap:
    """A change of one tool: what leaves, what comes, and the grams it saves (below 0: adds) [0.01 g]."""

    out: str | None
    into: str | None
    saves: int


def first_swap(case: Case, kit: frozenset[int], home: frozenset[str], *, covered: bool, effort: Effort) -> Swap | None:
    """Return the change of one tool that leads to the lightest covering kit, or None where none helps.

    A covering kit is only changed for a lighter one. Of equals, the kit of the least work comes first, then
    the first id that comes in, then the first that stays home.

    Args:
        case: the trip's choice, every tool let go.
        kit: the tools of the kit.
        home: ids that a rule keeps home: none may come in, and one in the kit must be what leaves.
        covered: whether the kit covers the trip as it is.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    barred = np.array([name in home for name in case.ids], dtype=bool)
    leaving = [tool for tool in sorted(kit) if barred[tool]]
    stuck = len(leaving) > 1 or any(barred[tool] for tool in case.must)
    if stuck or (case.work[case.fixed] >= NEVER).all(axis=1).any():
        return None
    now = mass_of(case, kit)
    if covered:
        case = case.lighter_than(now)
    barred[sorted(kit)] = True
    search, best = Search(case, effort=effort, solver=None), None
    for out in leaving or sorted(kit, key=lambda tool: -int(case.mass[tool])):
        best = _best_of(search, kit - {out}, out, ~barred, best)
    if not leaving:
        best = _best_of(search, kit, _NOBODY, ~barred, best)
    if best is None:
        return None
    mass, _, into, out = best
    names = [None if tool == _NOBODY else case.ids[tool] for tool in (out, into)]
    return Swap(names[0], names[1], now - mass)


def _best_of(search: Search, rest: frozenset[int], out: int, may_come: Bools, best: _Key | None) -> _Key | None:
    """Return the first of the best change so far and those in which a tool stays home.

    Args:
        search: the trip's choice; tells whether a kit counts.
        rest: the kit without that tool.
        out: that tool, or nobody.
        may_come: which tools may come in.
        best: the best so far.

    Raises:
        Unfinished: the effort ran out.
    """
    case, light = search.case, mass_of(search.case, rest)
    if best is not None and light > best[0]:
        return best
    if out != _NOBODY:
        best = _first(search, rest, (light, 0, _NOBODY, out), best)
    for tools, least in _in_time(search, rest, may_come):
        for tool, work in zip(tools.tolist(), least.tolist(), strict=True):
            at_least = light + int(case.mass[tool]), work, tool, out
            if best is not None and at_least[0] > best[0]:
                return best
            best = _first(search, rest | {tool}, at_least, best)
    return best


def _first(search: Search, kit: frozenset[int], at_least: _Key, best: _Key | None) -> _Key | None:
    """Return the first of the best change so far and another, of whose work a bound is known.

    Raises:
        Unfinished: the effort ran out.
    """
    search.effort.go_on()
    if best is not None and at_least >= best:
        return best
    load = search.load_of(kit)
    if load is None:
        return best
    found = at_least[0], load.work, *at_least[2:]
    return found if best is None else min(best, found)


def _in_time(search: Search, rest: frozenset[int], may_come: Bools) -> Iterator[tuple[Ints, Ints]]:
    """Yield the tools that may complete a kit, the lightest first, some at a time, with the least work with each [ms].

    Raises:
        Unfinished: the effort ran out.
    """
    case = search.case
    able = case.work[:, [*sorted(rest), *range(case.tools, len(case.workers))]]
    quickest = able.min(axis=1, initial=NEVER)
    fit = np.flatnonzero(_completing(case, rest, quickest, may_come))
    fit = fit[case.mass[fit].argsort(kind="stable")]
    each = max(1, _MOST_CELLS // max(1, len(case.work)))
    for first in range(0, len(fit), each):
        search.effort.go_on()
        tools = fit[first : first + each]
        least = _least_work(case, np.minimum(quickest[:, None], case.work[:, tools]))
        kept = least <= (NEVER - 1 if case.work_cap is None else case.work_cap)
        yield tools[kept], least[kept]


def _completing(case: Case, rest: frozenset[int], quickest: Ints, may_come: Bools) -> Bools:
    """Tell which tools may come to a kit: within the limits, able at what it lacks, and the one that must go.

    Args:
        case: the trip's choice as numbers.
        rest: the kit.
        quickest: the least time of its tools and of all methods at each job [ms], int[J].
        may_come: which tools may come in.
    """
    fit, missing = may_come.copy(), sorted(case.must - rest)
    for cap, each in case.sums:
        fit &= each <= cap - sum_of(each, rest)
    short = case.backup - case.able[:, sorted(rest)].sum(axis=1)
    if len(missing) > 1 or short.max(initial=0) > 1:
        return np.zeros_like(fit)
    for tool in missing:
        fit &= np.arange(case.tools) == tool
    for job in np.flatnonzero(short > 0):
        fit &= case.able[job, : case.tools]
    for job in case.fixed[quickest[case.fixed] >= NEVER]:
        fit &= case.work[job, : case.tools] < NEVER
    return fit


def _least_work(case: Case, times: Ints) -> Ints:
    """Return the least day's work of some kits if nothing wore out [ms], int[K]; NEVER where they can't do it.

    Args:
        case: the trip's choice as numbers.
        times: the least time of each kit at each job [ms], int[J, K]; every fixed job is done.
    """
    total: Ints = GRAMS_PER_KG * times[case.fixed].sum(axis=0)
    if case.firewood is None:
        return total // GRAMS_PER_KG
    of_class = [np.flatnonzero(case.wood_class == one) for one in range(len(case.firewood.reach_g))]
    shut = np.array([(times[jobs] >= NEVER).any(axis=0) for jobs in of_class]).T
    worked = np.array([np.where(times[jobs] < NEVER, times[jobs], 0).sum(axis=0) for jobs in of_class]).T
    cost = worked + case.firewood.gather
    grams = grams_burnt(cost, shut, case.firewood.reach_g, case.firewood.demand_g)
    total = total + (grams * cost).sum(axis=1)
    done = grams.sum(axis=1) >= case.firewood.demand_g
    return np.asarray(np.where(done, -(-total // GRAMS_PER_KG), NEVER))
