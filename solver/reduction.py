"""Exact reductions: what can be set aside before the solver without losing the best kit.

A dominator of a tool is no heavier, no dearer, no slower at every need, able wherever the tool is, a member
of every companion group it is in, and needs no companion that the tool does not. Swapping it in never makes
a kit worse; where it weighs the same, its id comes first, so that the order of ties stays too.
"""

from dataclasses import replace

import numpy as np

from solver.case import NEVER, Bools, Case, Ints


def reduce(case: Case) -> Case:
    """Return the case without the tools that some best kit can do without, and with tightened work."""
    case = without_stranded(case)
    case = within_budget(case)
    return case.keep(undominated(case))


def without_stranded(case: Case) -> Case:
    """Set aside the tools that can't go since a companion group has no member left, and close methods so."""
    while True:
        stranded = {group.dependent for group in case.groups if not group.members.any()}
        if not stranded:
            return case
        work, able = case.work.copy(), case.able.copy()
        shut = [worker for worker in stranded if worker >= case.tools]
        work[:, shut], able[:, shut] = NEVER, False
        groups = tuple(group for group in case.groups if group.dependent not in shut)
        case = replace(case, work=work, able=able, groups=groups)
        kept = [tool for tool in range(case.tools) if tool not in stranded]
        if stranded & case.must:
            return case
        case = case.keep(np.array(kept, dtype=np.int64))


def within_budget(case: Case) -> Case:
    """Drop the times that no kit within the work limit can use.

    A worker that takes longer over a need than that need's fastest by more than the limit leaves, when
    every need is done by its fastest, is never used. Its ability still counts for a backup.
    """
    if case.work_cap is None or not len(case.work):
        return case
    best = case.work.min(axis=1, initial=NEVER)
    if (best >= NEVER).any():
        return case
    slack = case.work_cap - int(best.sum())
    return replace(case, work=np.where(case.work - best[:, None] > slack, NEVER, case.work))


def undominated(case: Case) -> Ints:
    """Return the tools (indices, ascending) that have too few dominators to be set aside.

    A need that asks for r able tools keeps a tool until r tools dominate it. Tools come lightest first, so
    whatever dominates a tool has been met before it.
    """
    signature = signatures(case)
    wanted = int(max(case.backup.max(initial=1), 1))
    order = np.lexsort((np.arange(case.tools), case.mass))
    dominators = np.zeros(case.tools, dtype=np.int64)
    protected = np.zeros(case.tools, dtype=bool)
    protected[list(case.must)] = True
    needy = needy_tools(case)
    kept: list[int] = []
    rest = order
    while rest.size:
        pivot, rest = int(rest[0]), rest[1:]
        kept.append(pivot)
        if rest.size and not needy[pivot]:
            no_better = (signature[:, rest] >= signature[:, pivot, None]).all(axis=0)
            dominators[rest] += no_better
            rest = rest[(dominators[rest] < wanted) | protected[rest]]
    return np.sort(np.array(kept, dtype=np.int64))


def needy_tools(case: Case) -> Bools:
    """Return which tools need companions: those never stand in for another."""
    needy = np.zeros(case.tools, dtype=bool)
    for group in case.groups:
        if group.dependent < case.tools:
            needy[group.dependent] = True
    return needy


def signatures(case: Case) -> Ints:
    """Return what a dominator must not exceed, a row each: times, inability, price, absence from groups."""
    asked = case.backup > 0
    rows = [case.work[:, : case.tools], (~case.able[asked, : case.tools]).astype(np.int64)]
    if case.price_cap is not None:
        rows.append(case.price[None, :])
    rows += [(~group.members).astype(np.int64)[None, :] for group in case.groups]
    return np.concatenate(rows, axis=0)
