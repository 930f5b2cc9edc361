"""The rest of a kit after a loss, as it grows by one tool after the other, by bounds."""

from dataclasses import dataclass, field

import numpy as np

from catalog.tables.number import Bools
from solver.model.day_work import Workload
from solver.search.branching_data import ENDLESS, BranchingData


@dataclass(frozen=True)
class KnownDays:
    """Days of kits by ids, as far as they are known: on all jobs before a loss, and of the rest on those that matter.

    They hold in cases of the same jobs and work limit. What wear ruled out before a loss is not known for good.
    """

    before: dict[frozenset[str], Workload] = field(default_factory=dict)
    after: dict[frozenset[str], Workload | None] = field(default_factory=dict)


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
