"""What no kit can use: tools and methods whose companion group has no member left, and times beyond the work limit."""

from collections.abc import Sequence

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.model.case import NEVER, Case


def stranded_workers(case: Case) -> set[int]:
    """Return the tools that can't go, and the methods that can't be used, since a companion group has no member left.

    Where one of them must go, no kit keeps the rules.
    """
    if not any(group.empty for group in case.groups):
        return set()
    there, stranded, before = np.ones(case.tools, dtype=bool), set[int](), -1
    while len(stranded) > before:
        before = len(stranded)
        for group in case.groups:
            if not group.served_by(there):
                stranded.add(group.dependent)
                there[group.dependent : group.dependent + 1] = False  # nothing of a method
    return stranded


def without_stranded(case: Case) -> Case:
    """Set aside the tools that can't go since a companion group has no member left, and close methods so."""
    stranded = stranded_workers(case)
    if not stranded:
        return case
    shut = [worker for worker in stranded if worker >= case.tools]
    work, able = case.work.copy(), case.able.copy()
    work[:, shut], able[:, shut] = NEVER, False
    groups = tuple(group for group in case.groups if group.dependent not in shut)
    slower = case.slower.chosen(~np.isin(case.slower.worker, shut))
    case = case.changed(work=work, able=able, groups=groups, slower=slower)
    return case if stranded & case.must else case.keep(np.delete(np.arange(case.tools), sorted(stranded - {*shut})))


def within_budget(case: Case, *, dropping: Sequence[Ints] = ()) -> Case:
    """Drop the times that no kit within the work limit can use; see `late_times`.

    Args:
        case: the case as framed.
        dropping: fixed jobs (rows) of which any one set may be dropped, so that the result must serve there too; so
            it does where a tool stays home.
    """
    fixed = case.fixed
    if case.work_cap is None or not len(fixed):
        return case
    due = case.work if len(fixed) == len(case.work) else case.work[fixed]
    places = [np.searchsorted(fixed, jobs) for jobs in dropping]
    late = late_times(due, at_mortal_jobs(case, due), case.work_cap, dropping=places)
    if not late.any():
        return case
    work = case.work.copy()
    for job, which in zip(fixed.tolist(), late, strict=True):
        work[job, which] = NEVER
    left = work[case.slower.job, case.slower.worker] < NEVER
    if left.all():
        return case.changed(work=work).as_mortal_as(case)
    return case.changed(work=work, slower=case.slower.chosen(left))


def at_mortal_jobs(case: Case, work: Ints) -> Bools:
    """Tell at which jobs tools work that can wear out, bool[J], by the times of their workers, int[J, T+F]."""
    return np.asarray((work[:, : case.tools] < NEVER)[:, case.mortal].any(axis=1))


def late_times(work: Ints, mortal: Bools, cap: int | Ints, *, dropping: Sequence[Ints] = ()) -> Bools:
    """Tell which times at all fixed jobs, of a case or of each of several, no kit within the work limit can use.

    A worker that takes longer over a fixed job than that job's fastest by more than the limit leaves, when
    every fixed job is done by its fastest, is never used. Its ability still counts for a backup. Only where
    kcal do not count, and at jobs of tools that can't wear out: else a worker too slow for the whole job may do
    a share of it.

    Args:
        work: of each worker [ms], int[J, T+F] or int[E, J, T+F].
        mortal: at which jobs tools work that can wear out, bool[J] or bool[E, J].
        cap: the limit [ms], of several cases int[E].
        dropping: of the J jobs sets (places) of which any one may be dropped, and it must hold there too.
    """
    best = work.min(axis=-1, initial=NEVER)
    done = best < NEVER
    least = np.where(done, best, 0)
    freed = [least[..., jobs].sum(axis=-1) for jobs in dropping]  # by all parts of a need together
    room = np.asarray(cap - least.sum(axis=-1) + (np.max(freed, axis=0) if freed else 0))
    whole = done.all(axis=-1)[..., None] & ~mortal
    longest = np.where(whole, best + room[..., None], NEVER)
    return np.asarray((work > longest[..., None]) & (work < NEVER))
