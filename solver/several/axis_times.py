"""Times of tools at the jobs of cases along an axis, laid out for a search over kits of all cases at once.

A method that asks for companions counts as the time of each of these, so what a kit comes to by these times is a bound:
exact where no method asks for several and nothing wears out. A case whose work limit can't bind has times of 0 and a
limit of 0: only whether everything is done counts there.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.forms.limit import MEMBERS
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.axis_reduction import AlikeCases, Outline, alike
from solver.model.case import NEVER
from solver.model.case_blocks import CaseBlocks, blocks_of, case_at, padded_places
from solver.search.branching_data import ENDLESS

_MOST_TIMES = 12_000_000  # judged: what is laid out, 96 MB; heavier tools stay out of it


class AxisTimes:
    """What tools do in each case, tools lightest first: float[T, J, E], fixed jobs before those of firewood."""

    def __init__(self, axis: CaseBlocks, outline: Outline, *, effort: Effort) -> None:
        """Lay the cases out.

        Args:
            axis: the cases.
            outline: the tools of which kits may be made, and the sizes of the layout.
            effort: what it may take.

        Raises:
            Unfinished: its time is over.
        """
        first = case_at(axis, 0)
        kept, self.size = outline.kept, len(axis)
        self.order: Ints = kept[np.argsort(first.mass[kept], kind="stable")]
        self.masses: Ints = first.mass[self.order]
        self.fixed, self.classes, self.in_class = outline.fixed, outline.classes, outline.in_class
        self.backed = outline.backed
        self.jobs = self.fixed + self.classes * self.in_class
        starts = [0, *range(self.fixed, self.jobs + 1, max(1, self.in_class))][: self.classes + 2]
        self.parts = [range(*ends) for ends in pairwise(starts)]  # fixed jobs, then those of each class
        most = max(1, _MOST_TIMES // max(1, self.size * (self.jobs + self.backed)))
        self.tools = min(len(self.order), most)  # that are laid out
        self.times: Floats = np.zeros((self.tools, self.jobs, self.size))
        self.start: Floats = np.zeros((self.jobs, self.size))
        self.cap: Floats = np.zeros(self.size)
        self.exact = np.zeros(self.size, dtype=bool)  # whether times tell all of a case where no tool wears out
        self.mortal = np.zeros((self.size, self.tools), dtype=bool)
        self.able = np.zeros((self.tools, self.backed, self.size), dtype=bool)
        self.backup = np.zeros((self.backed, self.size), dtype=np.int64)
        self.reach: Floats = np.zeros((self.classes, self.size))
        self.demand: Floats = np.zeros(self.size)
        self.gather: Floats = np.zeros((self.classes, self.size))
        for place, cases in blocks_of(axis):
            if place:
                effort.go_on()
            for one in alike(place, cases):
                self.lay_out(one)
        self.plenty = bool((self.reach >= self.demand).all())  # whether each class alone is enough
        # whether each tool is quicker at each job in some case than methods that need nothing, bool[T, J]
        self.quickens: Bools = np.asarray((self.times < self.start).any(axis=2))

    def lay_out(self, one: AlikeCases) -> None:
        """Lay out cases that are alike."""
        first, at, order = one.first, one.places, self.order[: self.tools]
        work = one.work
        gates: dict[int, list[Bools]] = {}
        for group in first.groups:
            if group.dependent >= first.tools and not one.shut[group.dependent]:
                gates.setdefault(group.dependent, []).append(group.members)
        times = np.minimum(work[:, :, order], ENDLESS).astype(float)  # [E, J, T]
        for method, groups in gates.items():
            for members in groups:
                serving = np.flatnonzero(members[order])
                times[:, :, serving] = np.minimum(times[:, :, serving], work[:, :, [method]])
        free = [worker for worker in range(first.tools, len(first.workers)) if worker not in gates]
        start = np.minimum(work[:, :, free].min(axis=2, initial=NEVER), ENDLESS).astype(float)
        self.exact[at] = all(len(groups) == 1 for groups in gates.values()) and not (
            first.members is not None and MEMBERS.field in first.caps
        )
        for place, case in zip(at.tolist(), one.cases, strict=True):
            if case.wear.any():
                self.mortal[place] = case.mortal[order]
        cap = self.limits(one, work)
        loose = np.isinf(cap)
        times[loose] = np.where(times[loose] < ENDLESS, 0.0, ENDLESS)
        start[loose] = np.where(start[loose] < ENDLESS, 0.0, ENDLESS)
        self.cap[at] = np.where(loose, 0.0, cap)
        places = padded_places(first, self.fixed, self.classes, self.in_class)
        self.times[:, places[:, None], at] = times.transpose(2, 1, 0)
        self.start[places[:, None], at] = start.T
        asked = np.flatnonzero(first.backup > 0)
        self.backup[: len(asked), at] = first.backup[asked, None]
        for place, case in zip(at.tolist() if len(asked) else (), one.cases, strict=bool(len(asked))):
            self.able[:, : len(asked), place] = case.able[asked][:, order].T
        for place, case in zip(at.tolist() if self.classes else (), one.cases, strict=bool(self.classes)):
            if case.firewood is not None:
                size = len(case.firewood.reach_g)
                self.demand[place], self.gather[:size, place] = case.firewood.demand_g, case.firewood.gather
                self.reach[:size, place] = np.minimum(case.firewood.reach_g, case.firewood.demand_g)
        self.gather[:, at[loose]] = 0.0

    def limits(self, one: AlikeCases, work: Ints) -> Floats:
        """Return the work limit of each case in the unit of `day`, without end where it can't bind, float[E]."""
        per_ms = GRAMS_PER_KG if self.classes else 1
        caps = np.array([np.inf if case.work_cap is None else float(case.work_cap * per_ms) for case in one.cases])
        caps[caps >= ENDLESS] = np.inf
        if one.first.firewood is None and np.isfinite(caps).any():
            slowest = np.where(work < NEVER, work, 0).max(axis=2, initial=0).sum(axis=1)
            caps[slowest * per_ms <= caps] = np.inf
        return caps

    def day(self, times: Floats, cases: Ints) -> Floats:
        """Return the least time of a day in some cases, float[E], from those of jobs, float[J, E]; see `day_of`."""
        return self.day_of([np.add.reduce(times[jobs.start : jobs.stop], axis=0) for jobs in self.parts], cases)

    def day_of(self, sums: Sequence[Floats], cases: Ints) -> Floats:
        """Return the least time of a day in some cases, float[..., E].

        In ms; with firewood anywhere in thousandths of a ms, so that it is whole: grams times ms per kilogram.

        Args:
            sums: of the times of fixed jobs, then of those of each class of firewood, float[..., E] each.
            cases: E of them.
        """
        fixed, *wood = sums
        if not wood:
            return fixed
        costs = [each + gather for each, gather in zip(wood, self.gather[:, cases], strict=True)]
        day, left = fixed * GRAMS_PER_KG, self.demand[cases]
        if self.plenty:
            return np.asarray(day + np.minimum.reduce(costs) * left)
        reaches = list(self.reach[:, cases])
        for last in range(len(costs) - 1, 0, -1):  # the cheapest class comes first
            for place in range(last):
                swap = costs[place] > costs[place + 1]
                costs[place : place + 2] = np.minimum(*costs[place : place + 2]), np.maximum(*costs[place : place + 2])
                reaches[place : place + 2] = (
                    np.where(swap, *reaches[place : place + 2][::-1]),
                    np.where(swap, *reaches[place : place + 2]),
                )
        for cost, reach in zip(costs, reaches, strict=True):
            due = np.minimum(left, reach)
            day, left = day + cost * due, left - due
        return np.asarray(day + left * ENDLESS)
