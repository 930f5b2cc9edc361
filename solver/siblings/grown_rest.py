"""The rest of a kit after a loss, as it grows by one tool after the other, by bounds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from catalog.tables.number import Bools
from solver.model.copies import is_copy
from solver.model.day_work import Workload
from solver.search.branching_data import ENDLESS, BranchingData

_MOST_SETS = 64  # judged: of sets that do too little, taken over into another search


@dataclass(frozen=True)
class KnownDays:
    """Days of kits by ids, as far as they are known: on all jobs before a loss, and of the rest on those that matter.

    They hold in cases of the same jobs and work limit. What wear ruled out before a loss is not known for good.

    Attributes:
        before: on all jobs, before a loss.
        after: of the rest, on those that matter.
        failing: sets of tools by ids that do too little of what matters, as large as was found.
    """

    before: dict[frozenset[str], Workload] = field(default_factory=dict)
    after: dict[frozenset[str], Workload | None] = field(default_factory=dict)
    failing: list[frozenset[str]] = field(default_factory=list)

    def outside(self, ids: Sequence[str]) -> Iterator[frozenset[int]]:
        """Yield sets of tools of a case (places) of which two must go: those outside each set that does too little.

        A copy counts as outside where the case lacks some of a set: its original may be what it lacks.
        """
        here = frozenset(ids)
        for failing in self.failing[-_MOST_SETS:]:
            whole = failing <= here
            yield frozenset(
                place for place, name in enumerate(ids) if name not in failing or (is_copy(name) and not whole)
            )


class GrownRest:
    """What is left of a kit, and more: as if no tool needed companions, and none wore out."""

    def __init__(self, laid: BranchingData, kit: frozenset[int]) -> None:
        """Begin with the tools that are left."""
        self.laid = laid
        laid.lay_out_times()
        self.times = laid.times_of(laid.rank[sorted(kit)].tolist())
        self.short: Bools | None = None

    def falls_short(self, tool: int) -> bool:
        """Tell whether one tool more still does too little for certain; nothing is certain where it does not."""
        if self.short is None:
            days = self.laid.day(np.minimum(self.times[:, :, None], self.laid.times), None)[0]
            self.short = days > min(self.laid.day_cap[0], ENDLESS)
        return bool(self.short[self.laid.rank[tool]])

    def take(self, tool: int) -> None:
        """Take a tool more."""
        more = np.minimum(self.times, self.laid.times[:, :, self.laid.rank[tool]])
        if (more < self.times).any():
            self.times, self.short = more, None
