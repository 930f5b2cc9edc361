"""A kit by greed, for an answer whose effort ended before any kit was found: checked as every kit is, never proven."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort, Unfinished
from solver.model.case import LIFE, NEVER, PARTS, Case, present_workers
from solver.model.day_work import life_of, unworn

_FOR_GROWING = 0.5  # judged: of the time
_MOST_STEPS = 80  # judged: tools added one by one; kits of more are not sought
_NOBODY = 10.0  # judged: how much slower than the slowest way it is that nobody does a job
_MOST_SHED = 20  # judged: tools tried at home, the heaviest first
_MANY = 100_000  # judged: times of tools at jobs, beyond which greed looks at few of the tools
_MANY_TOOLS = 2_000  # judged: tools, likewise
_FEW_EACH = 5  # judged: tools at each job that stand out in one way
_FEW_TOGETHER = 20  # judged: as many, where kits are made of them, and all together are begun with
_MOST_TRIED = 200  # judged: sets of tools tried at home where all tools together are begun with

_Counts = Callable[[frozenset[int]], bool]  # tells whether a kit keeps every rule


def kit_by_greed(
    case: Case,
    counts: _Counts,
    start: frozenset[int] = frozenset(),
    *,
    effort: Effort,
    shrinking: bool = True,
) -> frozenset[int] | None:
    """Return a kit that counts, or None where greed finds none; that proves nothing.

    Tool after tool goes that does most of what is still lacking for its grams, then that saves most time for them; in
    the end the heaviest that can be spared stay home. Where that comes to no kit all tools go, and stay home by halves
    as far as they can be spared. Of very many tools it looks at those that stand out alone.

    Args:
        case: the trip's choice as numbers.
        counts: tells whether a kit keeps every rule, the day's work too.
        start: tools that go in any case.
        effort: what it may cost; where its time is over already it has a little grace.
        shrinking: False: all tools are not tried.
    """
    effort = effort.grace()

    def greed(case: Case, counts: _Counts, start: frozenset[int]) -> frozenset[int] | None:
        if not shrinking:
            return _grown(case, counts, start, effort=effort)
        return _grown(case, counts, start, effort=effort.portion(_FOR_GROWING)) or _shrunk(case, counts, start, effort)

    try:
        return _among_few(case, counts, start, greed)
    except Unfinished:  # what tells whether a kit counts has its own end
        return None


def _among_few(
    case: Case,
    counts: _Counts,
    start: frozenset[int],
    greed: Callable[[Case, _Counts, frozenset[int]], frozenset[int] | None],
) -> frozenset[int] | None:
    """Return what greed finds among the tools that stand out of very many; else among all."""
    few = np.union1d(promising_tools(case, each=_FEW_TOGETHER), sorted(start)).astype(np.int64)
    if len(few) == case.tools:
        return greed(case, counts, start)
    whole, inside = few.tolist(), frozenset(np.searchsorted(few, sorted(start)).tolist())
    found = greed(case.keep(few), lambda kit: counts(frozenset(whole[tool] for tool in kit)), inside)
    return None if found is None else frozenset(whole[tool] for tool in found)


def promising_tools(case: Case, *, each: int = _FEW_EACH) -> Ints:
    """Return the tools (indices, ascending) among which greed finds a kit soon: all, of many at each job a few.

    These are the lightest, the quickest, and those of least time for their mass; with them go the lightest of what they
    need, and the tools that must go.

    Args:
        case: the trip's choice as numbers.
        each: how many of each sort.
    """
    if case.work.size <= _MANY and case.tools <= _MANY_TOOLS:
        return np.flatnonzero(~case.barred)
    kept = np.zeros(case.tools, dtype=bool)
    kept[sorted(case.must)] = True
    for job in range(len(case.work)):
        work = case.work[job, : case.tools]
        able = np.flatnonzero(work < NEVER)
        for worth in (case.mass[able], work[able], (case.mass[able] + 1.0) * work[able]):
            best = np.argpartition(worth, each)[:each] if len(able) > each else slice(None)
            kept[able[best]] = True
    for one in case.renewals:
        if kept[one.tool] and one.sharpeners.any():
            kept[_lightest(case, one.sharpeners)] = True
    before = None
    while before != (before := int(kept.sum())):
        for group in case.groups:
            needed = group.dependent >= case.tools or kept[group.dependent]
            if needed and group.members.any() and not (kept & group.members).any():
                kept[_lightest(case, group.members)] = True
    for members in case.some_of:
        if members.any():
            kept[_lightest(case, members)] = True
    return np.flatnonzero(kept & ~case.barred)


def robust_by_greed(
    case: Case,
    after: Case,
    counts: _Counts,
    counts_in: Callable[[Case], _Counts],
    start: frozenset[int] | None = None,
    *,
    effort: Effort,
) -> frozenset[int] | None:
    """Return a kit that bears a loss, or None where greed finds none; that proves nothing.

    It is two kits in one, the second without the tools of the first: what one loses the other has whole, so that no
    loss need be tried. Where there are no two it is what is left of all tools.

    Args:
        case: the trip's choice as numbers.
        after: the same tools, with what they must still do after a loss.
        counts: tells whether a kit keeps every rule and bears every loss.
        counts_in: returns what tells of a case whether a kit keeps every rule.
        start: a kit that keeps every rule and need not bear a loss; where none is known, it is sought.
        effort: what it may cost; where its time is over already it has a little grace.
    """
    first = start or kit_by_greed(case, counts_in(case), effort=effort.portion(_FOR_GROWING))
    if first is None:
        return None
    kept = np.array([tool for tool in range(after.tools) if tool not in first], dtype=np.int64)
    others = replace(after, must=frozenset()).keep(kept)
    second = kit_by_greed(others, counts_in(others), effort=effort)
    try:
        if second is not None and counts_in(case)(both := first | after.kit(others.ids[tool] for tool in second)):
            return both
        return _among_few(case, counts, frozenset(), partial(_shrunk, effort=effort))
    except Unfinished:
        return None


def _grown(case: Case, counts: _Counts, start: frozenset[int], *, effort: Effort) -> frozenset[int] | None:
    """Return what `kit_by_greed` does."""
    held = case.must | start
    kit = held
    for _ in range(_MOST_STEPS):
        if effort.spent():
            return None
        kit = _with_companions(case, kit)
        has = present_workers(case, kit)
        if effort.spent():
            return None
        gain, lasts = _lacking(case, kit, has), False
        if not gain.any():
            gain, lasts = _sparing(case, kit, has)
        gain[sorted(kit)] = 0.0
        worth = gain / (case.mass + 1)
        ended = not len(worth) or worth.max() <= 0
        if (lasts or ended) and counts(kit):
            return _shed(kit, held, case.mass, counts, effort)
        if ended:
            return None
        kit |= {int(worth.argmax())}
    return None


def _shrunk(case: Case, counts: _Counts, start: frozenset[int], effort: Effort) -> frozenset[int] | None:
    """Return what is left of all tools together, where they count; of tools of which one may go it is the lightest."""
    held = case.must | start
    kit = frozenset(range(case.tools))
    for one in case.one_of:
        several = frozenset(np.flatnonzero(one).tolist())
        kit -= several - ((several & held) or {_lightest(case, one)})
    if effort.spent() or not counts(kit):
        return None
    size, tried = len(kit), 0
    while size := size // 2:
        left = sorted(kit - held, key=lambda one: -int(case.mass[one]))
        for at in range(0, len(left), size):
            tried += 1
            if tried > _MOST_TRIED or effort.spent():
                return kit
            fewer = kit.difference(left[at : at + size])
            if counts(fewer):
                kit = fewer
    return kit


def _shed(kit: frozenset[int], held: frozenset[int], mass: Ints, counts: _Counts, effort: Effort) -> frozenset[int]:
    """Return a kit without the tools, the heaviest first, without which it still counts."""
    for tool in sorted(kit - held, key=lambda one: -int(mass[one]))[:_MOST_SHED]:
        if effort.spent():
            break
        if counts(kit - {tool}):
            kit -= {tool}
    return kit


def _with_companions(case: Case, kit: frozenset[int]) -> frozenset[int]:
    """Return a kit with the lightest of each companion, and of what renews a tool of it that can wear out."""
    wanted: list[tuple[int, Bools]] = [(group.dependent, group.members) for group in case.groups]
    wanted += [(one.tool, one.sharpeners) for one in case.renewals if case.mortal_parts[one.part, one.tool]]
    before = None
    while kit != before:
        before = kit
        for tool, members in wanted:
            if tool in kit and members.any() and not members[sorted(kit)].any():
                kit |= {_lightest(case, members)}
    for members in case.some_of:
        if members.any() and not members[sorted(kit)].any():
            kit |= {_lightest(case, members)}
    return kit


def _lightest(case: Case, members: Bools) -> int:
    """Return the lightest of some tools."""
    return int(np.where(members, case.mass, np.iinfo(np.int64).max).argmin())


def _lacking(case: Case, kit: frozenset[int], has: Bools) -> Floats:
    """Return of how many of the jobs that a kit lacks a worker or a backup for each tool is able."""
    able = case.work[:, : case.tools] < NEVER
    served: Bools = np.asarray((case.work[:, has] < NEVER).any(axis=1))
    fixed = np.zeros(len(case.work), dtype=bool)
    fixed[case.fixed] = True
    short = case.able[:, sorted(kit)].sum(axis=1) < case.backup
    gain: Ints = (able & (fixed & ~served)[:, None]).sum(axis=0)
    gain = gain + (case.able[:, : case.tools] & short[:, None]).sum(axis=0)
    if not gain.any() and served[fixed].all() and unworn(case, has) is None:
        gain = (able & (~fixed & ~served)[:, None]).sum(axis=0)
    return np.asarray(gain, dtype=float)


def _sparing(case: Case, kit: frozenset[int], has: Bools) -> tuple[Floats, bool]:
    """Return what each tool would save of the time of a kit's day [ms], and whether all may be done in it.

    Jobs go to the fastest worker as long as it lasts, then to the next; what nobody is left for counts as very slow.
    """
    load = unworn(case, has)
    if load is None:
        return _saving(case, has), True
    life = {(tool, part): life_of(case, kit, tool, part) for tool in kit for part in PARTS}
    most = case.work[case.work < NEVER].max(initial=1)
    gain, ended, lasts = np.zeros(case.tools), False, True
    for job, first, rank in load.done:
        left = float(load.done[job, first, rank])
        works = case.work[job]
        able = np.flatnonzero(has & (works < NEVER))
        mine = works[: case.tools].astype(float)
        takes = np.minimum(1.0, LIFE / np.maximum(case.wear[job, : case.tools], 1))
        for worker in (*able[works[able].argsort(kind="stable")].tolist(), None):
            slow, done = (_NOBODY * float(most), left) if worker is None else (float(works[worker]), left)
            if worker is not None and worker < case.tools and case.wear[job, worker]:
                worn = worker, int(case.part[job, worker])
                done = min(left, life[worn] / float(case.wear[job, worker]))
                life[worn] -= done * float(case.wear[job, worker])
            gain += np.where(works[: case.tools] < NEVER, np.maximum(slow - mine, 0.0) * np.minimum(takes, done), 0.0)
            left -= done
            if left <= 0:
                lasts &= worker is not None
                break
            ended = True
    return gain if ended else _saving(case, has), lasts


def _saving(case: Case, has: Bools) -> Floats:
    """Return what each tool would save of the time that the workers of a kit take over all jobs [ms]."""
    best = np.where(has, case.work, NEVER).min(axis=1, initial=NEVER)
    done = best < NEVER
    saved = best[done, None] - np.minimum(best[done, None], case.work[done][:, : case.tools])
    return np.asarray(saved.sum(axis=0), dtype=float)
