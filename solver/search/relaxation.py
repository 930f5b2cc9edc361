"""When limits leave no kit: the least by which they must give way."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from solver.forms.effort import Effort
from solver.model.case import Case, mass_of, price_of
from solver.model.engine import Status
from solver.model.linear_model import Cost
from solver.model.program import Program, build
from solver.search.choice import Search, Unfinished

ORDER = ("work_cap", "mass_cap", "price_cap")  # time gives way first, then grams, then money


@dataclass(frozen=True)
class Relief:
    """A limit that gives way: which, from what, to what (whole units), and whether less is proven not to do."""

    cap: str
    limit: int
    needed: int
    proven: bool


def relieve(case: Case, *, effort: Effort) -> tuple[Case, list[Relief]]:
    """Return the case with as few limits as possible raised, each as little as possible.

    One limit alone is tried first, in the order work, mass, price; then two; then all. Where several give
    way, grams are held first, then money, then minutes. Where even that leaves no kit, tools wear out
    before the work is done, and the same is tried without wear.

    Raises:
        Unfinished: no kit was found even with every limit off: the effort ran out.
    """
    for caps in choices_of_caps(case):
        loose = case
        for cap in caps:
            loose = loose.capped(cap, None)
        reliefs = []
        for cap in sorted(caps, key=ORDER.index, reverse=True):
            relief = least(loose, cap, limit=int(getattr(case, cap)), effort=effort)
            if relief is None:
                break
            loose = loose.capped(cap, max(relief.limit, relief.needed))
            reliefs.append(relief)
        else:
            return loose, [relief for relief in reliefs if relief.needed > relief.limit]
    if case.wear.any():
        if keeps_all(case.unworn(), effort=effort):
            return case.unworn(), [Relief("life", 0, 1, proven=True)]
        loose, reliefs = relieve(case.unworn(), effort=effort)
        return loose, [Relief("life", 0, 1, proven=True), *reliefs]
    raise Unfinished


def keeps_all(case: Case, *, effort: Effort) -> bool:
    """Tell whether some kit keeps every rule of a case."""
    search = Search(case, effort=effort, solver=None)
    program = build(case, with_minutes=True)
    return search.best(search.engine(program), program, program.mass).kit is not None


def choices_of_caps(case: Case) -> Iterator[tuple[str, ...]]:
    """Yield the sets of limits that may give way, the smallest first."""
    caps = [cap for cap in ORDER if getattr(case, cap) is not None]
    for size in range(1, len(caps) + 1):
        yield from combinations(caps, size)


def least(case: Case, cap: str, *, limit: int, effort: Effort) -> Relief | None:
    """Return how far a limit must give way for the least work, mass or price that the rest of the rules allow."""
    search = Search(case, effort=effort, solver=None)
    program = build(case, with_minutes=True)
    found = search.best(search.engine(program), program, cost_of(program, cap))
    if found.kit is None or found.load is None:
        return None
    needed = {
        "work_cap": math.ceil(found.load.work),
        "mass_cap": mass_of(case, found.kit),
        "price_cap": price_of(case, found.kit),
    }[cap]
    return Relief(cap, limit, needed, proven=found.status is Status.OPTIMAL)


def cost_of(program: Program, cap: str) -> Cost:
    """Return the quantity that a limit holds, as a cost."""
    if cap == "work_cap":
        return program.minutes
    if cap == "mass_cap":
        return program.mass
    return {column: float(each) for column, each in zip(program.carried, program.case.price, strict=True)}
