"""Cases of one trip along an axis, as scenarios or draws: the same tools and rules, other jobs, times and firewood.

Whoever works with them asks for a block after the other, so that 20,000 tools by thousands of cases never stand in
memory at once.
"""

from collections.abc import Iterator, Sequence
from typing import Protocol

import numpy as np

from catalog.tables.number import Ints
from solver.model.case import FIXED, Case

_MOST_CELLS = 1_000_000  # judged: times of tools at jobs of the cases of a block, 8 MB in an array
MOST_IN_BLOCK = 512  # judged: cases of a block


class CaseBlocks(Protocol):
    """Cases along an axis. Tools, rules between them and limits are those of the first."""

    def __len__(self) -> int:
        """Return their number, at least one."""

    def block(self, first: int, last: int) -> Sequence[Case]:
        """Return the cases from one place to before another, by which they may be made anew."""


class HeldCases:
    """Cases that are all held in memory."""

    def __init__(self, cases: Sequence[Case]) -> None:
        self.cases = cases

    def __len__(self) -> int:
        """Return their number."""
        return len(self.cases)

    def block(self, first: int, last: int) -> Sequence[Case]:
        """Return the cases from one place to before another."""
        return self.cases[first:last]


class CappedCases:
    """Cases of which one limit is another, or off."""

    def __init__(self, axis: CaseBlocks, field: str, value: int | None) -> None:
        self.axis, self.field, self.value = axis, field, value

    def __len__(self) -> int:
        """Return their number."""
        return len(self.axis)

    def block(self, first: int, last: int) -> Sequence[Case]:
        """Return the cases from one place to before another."""
        return [case.capped(self.field, self.value) for case in self.axis.block(first, last)]


def cases_in_a_block(case: Case) -> int:
    """Return how many cases like one make a block."""
    return max(1, min(MOST_IN_BLOCK, _MOST_CELLS // max(1, case.work.size)))


def blocks_of(axis: CaseBlocks) -> Iterator[tuple[int, Sequence[Case]]]:
    """Yield block after block of an axis, each with the place of its first case."""
    size = cases_in_a_block(case_at(axis, 0))
    for place in range(0, len(axis), size):
        yield place, axis.block(place, min(place + size, len(axis)))


def case_at(axis: CaseBlocks, place: int) -> Case:
    """Return the case at a place."""
    return axis.block(place, place + 1)[0]


def kept_alike(cases: Sequence[Case], tools: Ints) -> list[Case]:
    """Return sibling cases with only these tools (indices, ascending); the rules between tools are cut down once.

    Args:
        cases: cases of the same tools and rules between tools.
        tools: those that stay.
    """
    first = cases[0].keep(tools)
    workers = np.concatenate([tools, np.arange(cases[0].tools, len(cases[0].workers))])
    place = {old: new for new, old in enumerate(workers.tolist())}
    ruled = ("groups", "renewals", "must", "forbidden", "some_of", "one_of", "mass", "price", "weighed")
    found = [first]
    for case in cases[1:]:
        if any(getattr(case, name) is not getattr(cases[0], name) for name in ruled):
            found.append(case.keep(tools))
            continue
        tables = {name: getattr(case, name)[:, workers] for name in ("work", "able", "wear", "kcal", "part")}
        same = {name: getattr(first, name) for name in ("ids", *ruled)}
        found.append(case.changed(**tables, **same, slower=case.slower.keep(place)).as_mortal_as(case, tools))
    return found


def padded_places(case: Case, fixed: int, classes: int, in_class: int) -> Ints:
    """Return where each job of a case stands in a layout of as many fixed jobs, classes and jobs of a class."""
    if not classes:
        return np.arange(len(case.wood_class))
    places = np.zeros(len(case.wood_class), dtype=np.int64)
    is_fixed = case.wood_class == FIXED
    places[is_fixed] = np.arange(is_fixed.sum())
    for c in range(classes):
        jobs = np.flatnonzero(case.wood_class == c)
        places[jobs] = fixed + c * in_class + np.arange(len(jobs))
    return places
