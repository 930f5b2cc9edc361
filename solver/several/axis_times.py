"""Times of tools at the jobs of cases along an axis, laid out for a search over kits of all cases at once.

A method that asks for companions counts as the time of each of these, so what a kit comes to by these times is a bound:
exact where no method asks for several and nothing wears out. A case whose work limit can't bind has times of 0 and a
limit of 0: only whether everything is done counts there.
"""

from functools import cached_property

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.forms.limit import MEMBERS
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.axis_reduction import AlikeCases, Outline, alike
from solver.model.case import NEVER
from solver.model.case_blocks import CaseBlocks, blocks_of, case_at
from solver.search.branching_data import ENDLESS, padded_places

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
        self.each_job = np.arange(self.jobs)[:, None]
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

    def lay_out(self, one: AlikeCases) -> None:
        """Lay out cases that are alike."""
        first, at, order = one.first, one.places, self.order[: self.tools]
        work = one.work()
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
        self.sort_fixed(at, len(first.fixed))
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

    def sort_fixed(self, at: Ints, fixed: int) -> None:
        """Let the fixed jobs of cases stand hardest first: those whose lightest tool weighs most."""
        here = self.each_job[:fixed]
        times = self.times[:, here, at]
        lightest = np.where(times < ENDLESS, self.masses[: self.tools, None, None], np.inf).min(axis=0, initial=np.inf)
        lightest[self.start[here, at] < ENDLESS] = -1.0
        order = np.argsort(-lightest, axis=0, kind="stable")
        self.times[:, here, at] = np.take_along_axis(times, order[None], axis=1)
        self.start[here, at] = np.take_along_axis(self.start[here, at], order, axis=0)

    def day(self, times: Floats, cases: Ints) -> Floats:
        """Return the least time of a day in some cases, float[..., E], from those of their jobs, float[..., J, E].

        In ms; with firewood anywhere in thousandths of a ms, so that it is whole: grams times ms per kilogram.
        """
        if not self.classes:
            return np.asarray(np.add.reduce(times, axis=-2))
        shape = *times.shape[:-2], self.classes, self.in_class, times.shape[-1]
        cost = np.add.reduce(times[..., self.fixed :, :].reshape(shape), axis=-2) + self.gather[:, cases]
        cheapest = cost.argsort(axis=-2)
        reach = np.take_along_axis(np.broadcast_to(self.reach[:, cases], cost.shape), cheapest, axis=-2)
        before = reach.cumsum(axis=-2) - reach
        due = np.maximum(np.minimum(self.demand[cases] - before, reach), 0.0)
        wood = np.add.reduce(np.take_along_axis(cost, cheapest, axis=-2) * due, axis=-2)
        short = np.maximum(self.demand[cases] - self.reach[:, cases].sum(axis=0), 0.0)
        fixed = np.add.reduce(times[..., : self.fixed, :], axis=-2) * GRAMS_PER_KG
        return np.asarray(fixed + wood + short * ENDLESS)

    @cached_property
    def able_sets(self) -> tuple[Ints, list[int]]:
        """The tools able at each fixed job of each case as the number of a set, int[J, E], and each set as a mask."""
        able = (self.times[:, : self.fixed] < ENDLESS).reshape(self.tools, -1)
        packed = np.ascontiguousarray(np.packbits(able, axis=0, bitorder="little").T)  # [J*E, bytes]
        rows = packed.view(np.dtype((np.void, packed.shape[1])))[:, 0]
        unlike, number = np.unique(rows, return_inverse=True)
        masks = [int.from_bytes(one.tobytes(), "little") for one in unlike]
        return number.reshape(self.fixed, self.size), masks
