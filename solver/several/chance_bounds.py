"""What kits must add at least to serve cases along an axis, from times laid out for all cases; in whole 0.01 g."""

from collections.abc import Sequence

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.search.branching_data import ENDLESS, BranchingData, Mask, bits
from solver.several.axis_times import AxisTimes

NONE = 2**60  # mass of a kit that cannot be [0.01 g]
SERVED = -1  # stands for a mass to add to a kit that serves a case as it is; a weightless tool may have to go for 0


class ChanceBounds:
    """Bounds for many cases at once."""

    def __init__(self, laid: AxisTimes, rules: BranchingData) -> None:
        """Take up the times.

        Args:
            laid: times of the tools in the cases.
            rules: the rules between the same tools, in the same order.
        """
        self.laid, self.rules = laid, rules

    def times_of(self, kit: Mask, cases: Ints) -> Floats:
        """Return the least times of the tools of a kit in some cases, float[J, E]."""
        least = self.laid.start[:, cases]
        for tool in bits(kit):
            np.minimum(least, self.laid.times[tool][:, cases], out=least)
        return least

    def backed_by(self, kit: Mask, cases: Ints) -> Ints:
        """Return how many tools of a kit are able at each job with a backup in some cases, int[B, E]."""
        return np.asarray(self.laid.able[list(bits(kit))][:, :, cases].sum(axis=0))

    def added(self, kits: Sequence[Mask], others: Sequence[Mask], cases: Ints) -> Ints:
        """Return the least mass that must be added to each kit to serve each case, NONE where nothing does, int[N, E].

        By times: as long as the day is too long with all tools up to a mass, a heavier one must go. By jobs that
        nobody does yet: each is worth what the lightest tool able at it weighs beyond what it is worth at those before,
        so no tool is charged more than it weighs (dual ascent; Erlenkotter 1978).

        Args:
            kits: N of them.
            others: the tools that may be added to each.
            cases: E of them.
        """
        laid = self.laid
        alone = len(kits) == 1
        picked = self.rules.tools(others[0]) if alone else np.arange(laid.tools)
        here = np.ones((1, len(picked)), dtype=bool) if alone else self.flags(others)  # [N, T]
        times = (
            laid.times[picked] if len(cases) == laid.size else laid.times[picked[:, None, None], laid.each_job, cases]
        )
        times = times[None] if alone else np.where(here[:, :, None, None], times, ENDLESS)  # [N, T, J, E]
        now = np.array([self.times_of(kit, cases) for kit in kits])  # [N, J, E]
        masses = laid.masses[picked]
        heavier = np.append(masses, NONE)
        worth = self.worth(times, masses, now)
        ahead = np.minimum(times, now[:, None], out=times)
        np.minimum.accumulate(ahead, axis=1, out=ahead)
        late = laid.day(now, cases) > laid.cap[cases]  # [N, E]
        after = (laid.day(ahead, cases) > laid.cap[cases]).sum(axis=1)  # [N, E]
        found = np.maximum(np.where(late, heavier[after], SERVED), worth)
        if laid.backed:
            able = laid.able[picked][:, :, cases] & here[:, :, None, None]  # [N, T, B, E]
            held = np.array([self.backed_by(kit, cases) for kit in kits])
            short = laid.backup[:, cases] - held  # [N, B, E]
            after = (able.cumsum(axis=1) < short[:, None]).sum(axis=1)
            backs = np.where(short > 0, heavier[after], SERVED)
            found = np.maximum(found, backs.max(axis=1, initial=SERVED))
        return np.asarray(np.minimum(found, NONE))

    def worth(self, times: Floats, masses: Ints, now: Floats) -> Ints:
        """Return what the jobs are worth that nobody does yet, int[N, E].

        Args:
            times: of the tools that may be added, float[N, T, J, E].
            masses: of these, int[T].
            now: times of the kits, float[N, J, E].
        """
        unmet = now[:, : self.laid.fixed] >= ENDLESS
        total = np.where(unmet.any(axis=1), 0, SERVED)
        jobs = np.flatnonzero(unmet.any(axis=(0, 2))).tolist()
        left = np.empty((*times.shape[:2], times.shape[3]), dtype=np.int64) if jobs else None
        for number, job in enumerate(jobs):
            assert left is not None
            if not number:
                left[:] = masses[:, None]
            able = (times[:, :, job] < ENDLESS) & unmet[:, None, job]
            worth = np.where(able, left, NONE).min(axis=1, initial=NONE)
            worth[~unmet[:, job]] = 0
            total += worth
            np.minimum(total, NONE, out=total)
            if number + 1 < len(jobs):
                left -= np.where(able, worth[:, None], 0)
        return total

    def flags(self, masks: Sequence[Mask]) -> Bools:
        """Return sets of tools as rows of truth values, bool[N, T]."""
        found = np.zeros((len(masks), self.laid.tools), dtype=bool)
        for row, mask in enumerate(masks):
            found[row, self.rules.tools(mask)] = True
        return found
