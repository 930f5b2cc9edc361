"""When limits leave no kit: the least by which they must give way."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from solver.exact.packing import TooManySteps
from solver.forms.aim import AIMS
from solver.forms.effort import Effort, Unfinished
from solver.forms.limit import GIVING_WAY, HELD_TO_MEMBERS, MEMBERS, WORK, Limit
from solver.forms.quantity import MASS, PRICE, Quantity
from solver.model.case import Case
from solver.model.greedy_kit import kit_by_greed
from solver.model.reduction import reduce
from solver.programs.engine import Status
from solver.search.choice import Choice, Found, InOrder, Search, choice_of, choose


@dataclass(frozen=True)
class Relaxation:
    """A limit that gives way: which (None: the life of tools), from what, to what (whole units), and whether proven.

    Proven is that nothing less will do; ruled out, that no kit keeps all limits. Work is without rest; as told, both
    are in the limit's own unit, work with it.
    """

    limit: Limit | None
    before: int
    needed: int
    proven: bool
    told_before: float = 0.0
    told_needed: float = 1.0
    ruled_out: bool = True


WORN_OUT = "The allowed tools wear out before the work is done. This kit assumes no wear."
_WORN = Relaxation(None, 0, 1, proven=True)


def relieve(case: Case, *, effort: Effort) -> tuple[Case, list[Relaxation]]:
    """Return the case with as few limits as possible raised, each as little as possible.

    One limit alone is tried first, in the order of `GIVING_WAY`; then two; then more. Of the ways to raise as many,
    grams are held first, then the others in the order of `HELD`, and last what members carry. Where even all do not
    help, tools wear out before the work is done, and the same is tried without wear.

    Raises:
        Unfinished: the effort ran out before it was known which limits must give way.
    """
    limits = [limit for limit in GIVING_WAY if limit.field in case.caps]
    for size in range(1, len(limits) + 1):
        ways = _relieved(case, limits, size, effort=effort)
        best = next(ways, None) if size == 1 else min(ways, key=lambda way: _raised(way[0]), default=None)
        if best is not None:
            return best
    if case.wear.any():
        if _keeps_all(case.unworn(), effort=effort):
            return case.unworn(), [_WORN]
        loose, reliefs = relieve(case.unworn(), effort=effort)
        return loose, [_WORN, *reliefs]
    raise Unfinished


def relieved_by_greed(case: Case, *, aim: str, effort: Effort) -> tuple[Case, list[Relaxation], Choice] | None:
    """Return the case with limits raised to what a kit by greed comes to, what gives way, and the kit; None: no kit.

    Nothing is proven of it. First all limits give way, and nothing wears; then, as far as the time goes, less does.

    Args:
        case: a case of which no kit is known.
        aim: what the kit is told by.
        effort: what it may cost; where its time is over already it has a little grace.
    """
    effort, by_kcal, best = effort.grace(), AIMS[aim].by_kcal, None
    for loose in _looser(case):
        search = Search(loose, effort=effort, solver=None, by_kcal=by_kcal)
        kit = kit_by_greed(loose, search.counts, effort=effort)
        found = Found(Status.STOPPED, kit, None if kit is None else search.load_of(kit))
        best = best if kit is None else _raised_to(case, loose, search, found, aim)
        if effort.over:
            break
    return best


def _looser(case: Case) -> Iterator[Case]:
    """Yield a case without what may give way, then without less of it."""
    free = case
    for limit in GIVING_WAY:
        free = free.capped(limit.field, None)
    yield free.unworn()
    if case.wear.any():
        yield free
    if case.work_cap is not None:
        yield free.capped(WORK.field, case.work_cap)


def _raised_to(
    case: Case, loose: Case, search: Search, found: Found, aim: str
) -> tuple[Case, list[Relaxation], Choice]:
    """Return what `relieved_by_greed` does of a kit of a looser case."""
    assert found.kit is not None
    assert found.load is not None
    reliefs = [replace(_WORN, ruled_out=False)] if case.wear.any() and not loose.wear.any() else []
    for limit in [one for one in GIVING_WAY if one.field in case.caps]:
        before = case.caps[limit.field]
        needed = _needed_by(limit, replace(loose, members=case.members), found)
        if needed > before:
            told = case.told_limit(limit), case.told(limit, needed)
            reliefs.append(Relaxation(limit, before, needed, False, *told, ruled_out=False))
        loose = loose.capped(limit.field, max(before, needed))
    return loose, reliefs, choice_of(loose, search, found, aim)


def _needed_by(limit: Limit, case: Case, found: Found) -> int:
    """Return what a kit found needs of a limit; of what members carry what is enough, where the least is not known."""
    assert found.kit is not None
    assert found.load is not None
    try:
        return limit.quantity.measure(case, found.kit, found.load)
    except TooManySteps:
        return case.members_need(found.kit)


def _relieved(case: Case, limits: list[Limit], size: int, *, effort: Effort) -> Iterator[tuple[Case, list[Relaxation]]]:
    """Yield the case with each set of so many limits raised, as little as possible in turn, where that leaves a kit."""
    for several in combinations(limits, size):
        loose = case
        for limit in several:
            loose = loose.capped(limit.field, None)
        reliefs = []
        for limit in sorted(several, key=HELD_TO_MEMBERS.index):
            relief = least_relief(loose, limit, before=case.caps[limit.field], effort=effort)
            if relief is None:
                break
            loose = loose.capped(limit.field, max(relief.before, relief.needed))
            reliefs.append(relief)
        else:
            yield loose, [relief for relief in reliefs if relief.needed > relief.before]


def _raised(case: Case) -> list[int]:
    """Return the limits of a case, those that are held first."""
    return [case.caps[limit.field] for limit in HELD_TO_MEMBERS if limit.field in case.caps]


def _keeps_all(case: Case, *, effort: Effort) -> bool:
    """Tell whether some kit keeps every rule of a case.

    Raises:
        Unfinished: the effort ran out.
    """
    return _best(case, MASS, effort=effort) is not None


def least_relief(case: Case, limit: Limit, *, before: int, effort: Effort) -> Relaxation | None:
    """Return how far a limit must give way at least for the rest of the rules, or None where they leave no kit.

    Raises:
        Unfinished: the effort ran out before any kit was found.
    """
    best = _least_lacking(case, effort=effort) if limit is MEMBERS else _best(case, limit.quantity, effort=effort)
    if best is None:
        return None
    needed, proven = best
    told = case.capped(limit.field, before).told_limit(limit), case.told(limit, needed)
    return Relaxation(limit, before, needed, proven, *told)


def _least_lacking(case: Case, *, effort: Effort) -> tuple[int, bool] | None:
    """Return by how much each member must be able to carry more at least, for some kit of a case; see `_best`.

    A kit of the case lacks so much; whether another lacks less is asked by halving.

    Raises:
        Unfinished: the effort ran out before it was known.
    """
    best = _any_kit(case, effort=effort)
    if best is None:
        return None
    low, high = 0, case.members_lack(best)
    middle = high - 1  # mostly none lacks less
    while low < high:
        found = _any_kit(case.capped(MEMBERS.field, middle), effort=effort)
        low, high = (middle + 1, high) if found is None else (low, case.members_lack(found))
        middle = (low + high) // 2
    return high, True


def _any_kit(case: Case, *, effort: Effort) -> frozenset[int] | None:
    """Return a light kit that keeps every rule of a case, or None where there is none.

    Raises:
        Unfinished: the effort ran out.
    """
    choice = choose(case, effort=effort, ties=False)
    if choice.ids is None and choice.status is Status.STOPPED:
        raise Unfinished
    return None if choice.ids is None else case.kit(choice.ids)


def _best(case: Case, quantity: Quantity, *, effort: Effort) -> tuple[int, bool] | None:
    """Return the least of a quantity over the kits of a case, and whether that is proven; None where there is no kit.

    Raises:
        Unfinished: the effort ran out before any kit was found.
    """
    if quantity is MASS:
        choice = choose(case, effort=effort, ties=False)
        if choice.ids is not None:
            return choice.mass, choice.status is Status.OPTIMAL
        stopped = choice.status is Status.STOPPED
    else:
        # Who dominates may be dearer where no limit on money is left.
        small = case if quantity is PRICE else reduce(case, by_effort=False, effort=effort)
        search = Search(small, effort=effort, solver=None)
        found = InOrder(search, search.program(with_minutes=True)).best(quantity)
        if found.kit is not None:
            return search.measure(quantity, found), found.status is Status.OPTIMAL
        stopped = found.status is Status.STOPPED
    if stopped:
        raise Unfinished
    return None
