"""Limits that leave no one kit likely enough, though kits cover scenarios enough, and the least by which they give way.

Without limits on what tools add up to the tools of all those kits together suffice; so as few limits as possible give
way, each as little as possible, as they do for a plan.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from solver.forms.effort import Effort
from solver.forms.limit import GIVING_WAY, GRAMS, HELD_TO_MEMBERS, WORK, Limit
from solver.model.case import Case
from solver.model.case_blocks import CappedCases, CaseBlocks, blocks_of, case_at
from solver.model.day_work import NO_WORK, workload
from solver.search.relaxation import Relaxation
from solver.several.chance_front import Sufficing

_NEAR = 100  # judged: an interval of less than this part of a limit is not halved


@dataclass(frozen=True)
class Wanted:
    """How likely a kit must be.

    Attributes:
        odds: the probability of each scenario.
        asked: the probability with which a kit must suffice.
        lightest: returns the lightest kit of cases, one a scenario, that suffices with it.
    """

    odds: Sequence[Fraction]
    asked: Fraction
    lightest: Callable[[CaseBlocks], Sufficing]

    def reached(self, works: Sequence[tuple[int, int]]) -> int:
        """Return the least of some scenarios' figures, each with its place, within which they are likely enough."""
        total = Fraction(0)
        for work, place in sorted(works):
            total += self.odds[place]
            if total >= self.asked:
                return work
        return max(works)[0]


def likely_reliefs(cases: CaseBlocks, wanted: Wanted, *, effort: Effort) -> list[Relaxation]:
    """Return as few limits as possible that give way, each as little as possible, so that some kit is likely enough.

    One alone is tried first, in the order of `GIVING_WAY`; then two; then more. Of the ways to raise as many, grams
    are held first, then the others in the order of `HELD`, and last what members carry.

    Args:
        cases: a case a scenario, all of the same tools and limits.
        wanted: how likely a kit must be.
        effort: what each solve may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    first = case_at(cases, 0)
    limits = [limit for limit in GIVING_WAY if limit.field in first.caps]
    for size in range(1, len(limits) + 1):
        ways = _ways(cases, limits, size, wanted, effort=effort)
        best = next(ways, None) if size == 1 else min(ways, key=lambda way: _raised(first, way), default=None)
        if best is not None:
            before = first.caps
            return [_relief(first, limit, best[limit]) for limit in best if best[limit] > before[limit.field]]
    return []


def _ways(
    cases: CaseBlocks, limits: Sequence[Limit], size: int, wanted: Wanted, *, effort: Effort
) -> Iterator[dict[Limit, int]]:
    """Yield what each set of so many limits needs at least, in turn, where that leaves a kit."""
    for several in combinations(limits, size):
        loose, caps = cases, case_at(cases, 0).caps
        for limit in several:
            loose = CappedCases(loose, limit.field, None)
        needed: dict[Limit, int] = {}
        for limit in sorted(several, key=HELD_TO_MEMBERS.index):
            before = caps[limit.field]
            value = _least(loose, limit, before, wanted, effort=effort)
            if value is None:
                break
            needed[limit] = max(before, value)
            loose = CappedCases(loose, limit.field, needed[limit])
        else:
            yield needed


def _raised(case: Case, needed: dict[Limit, int]) -> list[int]:
    """Return the limits of a case with some raised, those that are held first."""
    return [needed.get(limit, case.caps[limit.field]) for limit in HELD_TO_MEMBERS if limit.field in case.caps]


def _relief(case: Case, limit: Limit, needed: int) -> Relaxation:
    """Return a limit that gives way."""
    before = case.caps[limit.field]
    return Relaxation(limit, before, needed, True, case.told_limit(limit), case.told(limit, needed))


def _least(cases: CaseBlocks, limit: Limit, before: int, wanted: Wanted, *, effort: Effort) -> int | None:
    """Return the least that a limit, off in these cases, may be, but what it was before where that does.

    The lightest kit tells it for grams. Else the interval between what does not do and what a kit comes to is halved
    while it is wide. Then one unit less than what the last kit comes to is tried, until no kit does: a kit is found
    soon, while it takes long to prove that there is none, the longer the nearer.

    Returns:
        What the limit may be, or None where even without it no kit is likely enough.
    """
    effort.heed()
    high = _comes_to(cases, limit, wanted.lightest(cases), wanted, effort=effort)
    if high is None:
        return None
    if limit is GRAMS or high <= before:
        return high
    if wanted.lightest(CappedCases(cases, limit.field, before)).ids is not None:
        return before
    low = before
    while high - low > 1:
        effort.heed()
        tried = (low + high) // 2 if high - low > low // _NEAR else high - 1
        found = _comes_to(cases, limit, wanted.lightest(CappedCases(cases, limit.field, tried)), wanted, effort=effort)
        low, high = (tried, high) if found is None else (low, found)
    return high


def _comes_to(cases: CaseBlocks, limit: Limit, found: Sufficing, wanted: Wanted, *, effort: Effort) -> int | None:
    """Return what a limit must be for a kit to suffice in as many of its scenarios as must be; None without a kit."""
    if found.ids is None:
        return None
    first = case_at(cases, 0)
    kit = first.kit(found.ids)
    if limit is not WORK:
        return limit.quantity.measure(first, kit, NO_WORK)
    works, asked = list[tuple[int, int]](), frozenset(found.scenarios)
    for at, block in blocks_of(cases):
        effort.go_on()
        for place, case in enumerate(block, start=at):
            effort.heed()
            load = workload(case, kit, effort=effort) if place in asked else None
            if load is not None:
                works.append((load.work, place))
    return wanted.reached(works)
