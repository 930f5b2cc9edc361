"""Exact reductions: what can be set aside before the solver without losing the best kit.

A dominator of a tool is no heavier, no dearer, no slower at every job (where kcal count, it has for each way of the
tool one that takes no more time or kcal), able wherever the tool is, a member of every companion group and renewer of
every part that the tool is, needs no companion, and can't wear out on this trip. Swapping it in never makes a kit
worse, nor larger, since it brings no companion; where it weighs the same, its id comes first, so that the order of
ties stays too. Who carried the tool can carry the dominator; and where each member carries a knife, a kit that loses
one to as many other knives as there are members has two with one of them, who has it in its place. (A dominator that
could wear out would not do: the kit may carry both, each for half of the work.)
"""

from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.forms.limit import GRAMS, SUMS
from solver.model.case import NEVER, Case, Renewal
from solver.model.copies import copied_jobs, copies_in, needless_copies, others_than_copies, without_needless_copies
from solver.model.unusable import within_budget, without_stranded

ALL_AGAINST_ALL = 256  # judged: below it one comparison of all is quicker than one for each
_FEW_LEFT = 48  # judged: among so few tools one solve is quicker than another look for dominated ones
_FLAGS = 62  # rows of nothing but 0 and 1 that one whole number holds
BETWEEN_LOOKS = 8  # tools met between two counts of those left


def reduce(case: Case, *, by_effort: bool, spare: int = 0, losses: bool = False, effort: Effort | None = None) -> Case:
    """Return the case without the tools that some best kit can do without, and with tightened work.

    Args:
        case: the case as framed.
        by_effort: whether kcal count, so that a dominator must not cost more of them.
        spare: dominators wanted beyond those that the rules of the case ask for.
        losses: whether a tool may be lost, which a copy of it makes good: then none of them is needless.
        effort: where its time is over, the tools that are left stay.
    """
    for step in (without_stranded, _without_needless_renewals):
        case = case if _over(effort) else step(case)
    if not (losses or _over(effort)):
        case = without_needless_copies(case, spare=spare)
    if _over(effort):
        return case
    if not by_effort:
        case = within_budget(case)
    return _without_dominated(case, by_effort=by_effort, spare=spare, enough=_FEW_LEFT, effort=effort)


def reduce_for_prices(case: Case, wholes: Sequence[Ints]) -> Case:
    """Return the case reduced so that it serves also where one need is dropped or one tool stays home.

    Args:
        case: the case as framed.
        wholes: the jobs (rows) of each need, all of its parts.
    """
    case = within_budget(_without_needless_renewals(without_stranded(case)), dropping=wholes)
    case = without_needless_copies(case, spare=1)
    return _without_dominated(case, by_effort=False, spare=1, enough=0)


def _without_needless_renewals(case: Case) -> Case:
    """Return the case without what renews tools that can't wear out on this trip."""
    mortal = case.mortal_parts.tolist()
    needed = tuple(one for one in case.renewals if mortal[one.part][one.tool])
    return case if len(needed) == len(case.renewals) else case.changed(renewals=needed).as_mortal_as(case)


def _without_dominated(case: Case, *, by_effort: bool, spare: int, enough: int, effort: Effort | None = None) -> Case:
    """Return the case without dominated and barred tools; with those that need companions go rules that kept others.

    Args:
        case: the case with tightened work.
        by_effort: whether kcal count.
        spare: dominators wanted beyond those that the rules of the case ask for.
        enough: a number of tools that is not worth another look.
        effort: what it may take.
    """
    while not _over(effort):
        signature, wanted = signatures_of(case, by_effort=by_effort), dominators_wanted(case) + spare
        kept = skyline(signature, case.mass, kept_always(case), unfit_tools(case), wanted, effort)
        kept = kept[~case.barred[kept]] if case.forbidden else kept
        if len(kept) == case.tools or _over(effort):
            return case
        small = without_stranded(case.keep(kept))  # what needs a barred tool, as its copies do
        if small.tools <= enough or len(small.groups) == len(case.groups):
            return small
        case = small
    return case


def _over(effort: Effort | None) -> bool:
    """Tell whether the time is over, where there is a limit."""
    return effort is not None and effort.spent()


def skyline(
    signature: Floats, mass: Ints, always: Bools, unfit: Bools, wanted: int, effort: Effort | None = None
) -> Ints:
    """Return the tools (indices, ascending) that fewer than `wanted` others dominate.

    Tools are met by a sum that no dominator of theirs exceeds, so whatever dominates a tool has been met before it,
    and the best all-rounders, which set most of the others aside, come first. Hundreds, and the last hundreds of more,
    are weighed all against all.

    Args:
        signature: what a dominator must not exceed, a row each.
        mass: what no dominator may exceed either; one of the same mass must stand before the tool.
        always: tools to keep in any case.
        unfit: tools that dominate none.
        wanted: dominators that a tool needs to be set aside.
        effort: where its time is over, the tools not met yet are kept.
    """
    lightest = np.argsort(mass, kind="stable")
    if len(mass) <= ALL_AGAINST_ALL:
        signature = signature[(signature != signature[:, :1]).any(axis=1)]
        few = _dominators_among(signature[:, lightest], ~unfit[lightest]) < wanted
        return np.sort(lightest[few | always[lightest]])
    unlike = np.array([bool((row != row[:1]).any()) for row in signature], dtype=bool)
    signature = signature if unlike.all() else signature[unlike]
    place = np.empty(len(mass))
    place[lightest] = np.arange(len(mass))
    rest = np.flatnonzero(~_repeated(signature, place, unfit, wanted) | always | unfit)
    if _over(effort):
        return np.sort(rest)
    rest, table = _in_order(signature, place, rest)
    dominators = np.zeros(len(mass), dtype=np.int64)
    kept: list[int] = []
    while len(rest) > ALL_AGAINST_ALL:
        if _over(effort):
            return np.sort(np.concatenate([np.array(kept, dtype=np.int64), rest]))
        met = _meet(table, rest, dominators, always, unfit, wanted, effort)
        stays = (dominators[rest] < wanted) | always[rest]
        kept += rest[:met][stays[:met]].tolist()
        stays[:met] = False
        rest, table = rest[stays], table[:, stays]
    last = dominators[rest] + _dominators_among(table, ~unfit[rest])
    return np.sort(np.concatenate([np.array(kept, dtype=np.int64), rest[(last < wanted) | always[rest]]]))


def _repeated(signature: Floats, place: Floats, unfit: Bools, wanted: int) -> Bools:
    """Tell which tools have so many others of the very same signature before them by place, that may dominate.

    Columns are told apart by a hash; those of one hash that differ are left to be weighed.
    """
    bits = np.ascontiguousarray(signature).view(np.uint64)
    odd = np.random.default_rng(0).integers(2**62, size=len(bits), dtype=np.uint64) * np.uint64(2) + np.uint64(1)
    key = np.zeros(bits.shape[1], dtype=np.uint64)
    for row, factor in zip(bits, odd, strict=True):
        mixed = (row ^ (row >> np.uint64(29))) * factor
        key += mixed ^ (mixed >> np.uint64(32))
    order = np.lexsort((place, unfit, key))
    starts = np.concatenate([[True], key[order][1:] != key[order][:-1]])
    head = order[np.maximum.accumulate(np.where(starts, np.arange(len(order)), 0))]
    behind = np.arange(len(order)) - np.maximum.accumulate(np.where(starts, np.arange(len(order)), 0))
    same = behind >= wanted
    for row in signature if same.any() else ():
        same &= row[order] == row[head]
    again = np.zeros(len(order), dtype=bool)
    again[order] = same
    return again


def _in_order(signature: Floats, place: Floats, rest: Ints) -> tuple[Ints, NDArray[Any]]:
    """Return some tools by a sum that no dominator of theirs exceeds, and what none may exceed, of these alone.

    That is told as ranks, which compare as its figures do, in as few bytes as hold them. No more than a row is held
    beside it.
    """
    rows, total = [place, *signature], np.zeros(len(rest))
    for row in rows:
        total += _parts(row[rest])
    first = np.lexsort((place[rest], total))
    rest = rest[first]
    if len(rest) <= ALL_AGAINST_ALL:
        return rest, np.array([row[rest] for row in rows])
    table = np.empty((len(rows), len(rest)), dtype=np.uint16 if len(rest) < 2**16 else np.uint32)
    for ranks, row in zip(table, rows, strict=True):
        ranks[:] = np.unique(row[rest], return_inverse=True)[1]
    return rest, table


def _parts(row: Floats) -> Floats:
    """Return each figure as a part of the largest of its row; what is never done counts twice that."""
    counted = np.where(row < NEVER, row, 0.0)
    largest = max(counted.max(initial=0.0), 1.0)
    return np.where(row < NEVER, counted / largest, 2.0)


def _meet(
    table: NDArray[Any], rest: Ints, dominators: Ints, always: Bools, unfit: Bools, wanted: int, effort: Effort | None
) -> int:
    """Let tools in turn dominate those after them, until a fifth of all is met or set aside; return how many were met.

    Args:
        table: what a dominator must not exceed, a column for each of `rest`.
        rest: the tools, those that dominate first.
        dominators: found so far for every tool; added to.
        always: tools to keep in any case.
        unfit: tools that dominate none.
        wanted: dominators that a tool needs to be set aside.
        effort: where its time is over, it ends too.
    """
    count, fixed = dominators[rest], always[rest]
    met, left = 0, len(rest)
    while len(rest) - left < max(1, len(rest) // 5):
        if (count[met] < wanted or fixed[met]) and not unfit[rest[met]]:
            count[met + 1 :] += (table[:, met + 1 :] >= table[:, met, None]).all(axis=0)
        met += 1
        if met % BETWEEN_LOOKS == 0 or met == len(rest):
            left = int(((count[met:] < wanted) | fixed[met:]).sum())
            if _over(effort):
                break
    dominators[rest] = count
    return met


def _dominators_among(table: NDArray[Any], fit: Bools) -> Ints:
    """Return by how many of those before it each tool is dominated; whether only those kept count changes nothing."""
    # Of the first `wanted` dominators of a tool none is set aside: its own dominators would come before it among them.
    return np.asarray(dominated_by(table, fit).sum(axis=0))


def dominated_by(table: NDArray[Any], fit: Bools) -> Bools:
    """Tell which fit tools dominate which after them by a table [N, T], bool[T, T], the dominator first."""
    # Rows of 0 and 1 are compared at once, as digits of one number: a dominator has no 1 where the tool has a 0.
    found = np.zeros((table.shape[1], table.shape[1]), dtype=bool)
    if not fit.any():
        return found
    dominates = _later(table.shape[1])[fit]
    flags = ((table == 0) | (table == 1)).all(axis=1)
    marks = table[flags].astype(np.int64)
    for start in range(0, len(marks), _FLAGS):
        some = marks[start : start + _FLAGS]
        has = np.left_shift(1, np.arange(len(some))) @ some
        dominates &= has[fit, None] & ~has[None, :] == 0
    for row in table[~flags]:
        dominates &= row[fit, None] <= row[None, :]
    found[fit] = dominates
    return found


@cache
def _later(number: int) -> Bools:
    """Tell of so many tools which come after which, bool[T, T], the earlier first; not to be written."""
    if number < ALL_AGAINST_ALL:
        return _later(ALL_AGAINST_ALL)[:number, :number]
    found = np.triu(np.ones((number, number), dtype=bool), k=1)
    found.setflags(write=False)
    return found


def dominators_wanted(case: Case) -> int:
    """Return how many dominators a tool needs to be set aside.

    A need that asks for r able tools keeps a tool until r tools dominate it. Each forbidden set of several asks for one
    more: a kit without that set whole has at most one dominator that would complete it. Where copies count, one is
    enough: a copy of the dominator, or of what stands in for it, goes in the place of the tool.
    """
    asked = np.where(copied_jobs(case), 1, case.backup)
    return int(max(asked.max(initial=1), 1)) + sum(len(one) > 1 for one in case.forbidden)


def kept_always(case: Case) -> Bools:
    """Return which tools are kept whatever dominates them: those that must go, and spares and copies, which add up.

    So are those that are the only companion of a tool, or its only sharpener.
    """
    always = np.zeros(case.tools, dtype=bool)
    always[list(case.must)] = True
    always[[spare for one in case.renewals for spare in one.spares]] = True
    always[copies_in(case)] = True
    only = [group.only for group in case.groups] + [one.only for one in case.renewals]
    always[[one for one in only if one is not None]] = True
    return always


def unfit_tools(case: Case) -> Bools:
    """Return which tools never stand in for another: those that need companions, can wear out, or may not go."""
    return _needy_tools(case) | case.mortal | case.barred


def kept_together(cases: Sequence[Case]) -> Ints:
    """Return the tools (indices, ascending) that some lightest kit of sibling cases may need.

    Args:
        cases: cases of the same tools and rules between tools.
    """
    told = [row.astype(float) for case in cases[1:] for rows in _job_rows(case) for row in rows]
    return kept_where(cases[0], told, np.logical_or.reduce([case.mortal for case in cases]))


def kept_where(case: Case, told: Sequence[Floats], mortal: Bools) -> Ints:
    """Return the tools (indices, ascending) that some lightest kit of a case, or of its siblings, may need.

    Args:
        case: one of them.
        told: what a dominator must not exceed in the others: times, and inability at jobs that ask for a backup.
        mortal: tools that can wear out in any of them.
    """
    table = unlike_rows([*signatures_of(case, by_effort=False), *told], case.tools)
    kept = skyline(table, case.mass, kept_always(case), unfit_tools(case) | mortal, dominators_wanted(case))
    return np.intersect1d(kept, others_than_copies(case, needless_copies([case])))


def unlike_rows(rows: Iterable[NDArray[Any]], width: int) -> Floats:
    """Return rows of one type and width as a table, without those that come again."""
    kind, found = np.dtype(float), dict[bytes, None]()
    for row in rows:
        kind, found[row.tobytes()] = row.dtype, None
    table = np.empty((len(found), width))
    for line, told in zip(table, found, strict=True):
        line[:] = np.frombuffer(told, dtype=kind)
    return table


def _needy_tools(case: Case) -> Bools:
    """Return which tools need companions: those never stand in for another."""
    needy = np.zeros(case.tools, dtype=bool)
    for group in case.groups:
        if group.dependent < case.tools:
            needy[group.dependent] = True
    return needy


def signatures_of(case: Case, *, by_effort: bool) -> Floats:
    """Return what a dominator must not exceed, a row each.

    The rows are times, inability where a backup asks, what limits sum, kcal, absence from groups and sharpeners, and
    being one of rivals: swapped in, a rival could meet another in the kit, unless it stands in for one.
    """
    rows = _job_rows(case)
    if by_effort:
        rows.append(np.where(case.work < NEVER, case.kcal, np.inf)[:, : case.tools])
        rows += _slower_rows(case)
    rows += rule_rows(case)
    table, last = np.empty((sum(map(len, rows)), case.tools)), 0
    for some in rows:
        first, last = last, last + len(some)
        table[first:last] = some
    return table


def rule_rows(case: Case) -> list[NDArray[Any]]:
    """Return the rows of a signature that tell of the rules between tools, which do not hang on the jobs."""
    rows: list[NDArray[Any]] = [
        each(case)[None, :] for limit, each in SUMS if limit is not GRAMS and limit.field in case.caps
    ]
    if case.members is not None and case.weighed is not None:
        rows.append(case.weighed[None, :])
    several = [group.members for group in case.groups if group.only is None]
    several += [one.sharpeners for one in case.renewals if one.only is None]
    rows += [~marks[None, :] for marks in {id(marks): marks for marks in several}.values()]
    rows += [~wanted[None, :] for wanted in case.some_of]
    rows += [rivals[None, :] for rivals in case.one_of]
    rows += [_spare_row(case, one) for one in case.renewals if one.spares]
    return rows


def _slower_rows(case: Case) -> list[NDArray[Any]]:
    """Return the rows of a signature that tell times and kcal of further ways, where some tool has them.

    For each way of a tool a dominator then has one that is as good. Who has no further way repeats the one before, so
    that one way which beats all of another's ways dominates them.
    """
    mine = case.slower.chosen(case.slower.worker < case.tools)
    work = case.work[:, : case.tools].copy()
    kcal = np.where(work < NEVER, case.kcal[:, : case.tools], np.inf)
    rows: list[NDArray[Any]] = []
    while len(mine):
        pairs = mine.job * case.tools + mine.worker
        first = np.zeros(len(mine), dtype=bool)
        first[np.unique(pairs, return_index=True)[1]] = True
        now = mine.chosen(first)
        work[now.job, now.worker], kcal[now.job, now.worker] = now.work, now.kcal
        jobs = np.unique(now.job)
        rows += [work[jobs].copy(), kcal[jobs].copy()]
        mine = mine.chosen(~first)
    return rows


def _job_rows(case: Case) -> list[NDArray[Any]]:
    """Return the rows of a signature that tell of the jobs: times, and inability where a backup asks."""
    return [case.work[:, : case.tools], ~case.able[case.backup > 0, : case.tools]]


def _spare_row(case: Case, one: Renewal) -> Floats:
    """Return the life that each tool lacks as a spare for a worn one."""
    row = np.zeros((1, case.tools))
    for spare, share in one.spares.items():
        row[0, spare] = -share
    return row
