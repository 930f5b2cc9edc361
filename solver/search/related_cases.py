"""Implicit enumeration of sibling cases side by side: the same tools, rules and jobs, in other times and other wood.

The kits met on the way to one lightest kit are mostly those met on the way to the next. So each kit is met once,
with the times of all cases that it can still lead to a light kit in; a case whose bounds rule that out leaves.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from time import perf_counter
from typing import Any

import numpy as np

from catalog.tables.number import Floats
from solver.forms.effort import Effort
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import Bools, Case, Firewood, Ints
from solver.model.reduction import kept_together, within_budget
from solver.model.slower_ways import easiest_ways
from solver.search.branching_data import BranchingData
from solver.search.choice import Choice, Search, choice_of, first_met
from solver.search.enumeration import FEW_NODES, LONG_STEP, MOST_PICKED, STEP, Enumerated, OutOfNodes
from solver.search.requirement import Mask, bits

MOST_KITS = 2_000  # judged: by then each case fares better by itself


@dataclass(frozen=True)
class _OpenKit:
    """A kit on the way: its tools, those left home, its mass, and the E cases that it can still lead to a kit of.

    Of each case the least time of each job and of the day.
    """

    kit: Mask
    out: Mask
    mass: int
    cases: Ints  # [E]
    times: Floats  # [E, J]
    days: Floats  # [E]

    def of(self, cases: Bools) -> "_OpenKit":
        """Return the same kit for some of its cases."""
        return _OpenKit(self.kit, self.out, self.mass, self.cases[cases], self.times[cases], self.days[cases])


def easiest(cases: Sequence[Case]) -> Case:
    """Return a case as easy as each of these, which ask for the same jobs, in every figure."""
    first = cases[0]
    wear = np.minimum.reduce([case.wear for case in cases])
    for case in cases[1:]:  # what wears another part somewhere, wears none
        wear = np.where(case.part == first.part, wear, 0)
    return replace(
        first,
        work=np.minimum.reduce([case.work for case in cases]),
        wear=wear,
        slower=easiest_ways([case.slower for case in cases]),
        able=np.logical_or.reduce([case.able for case in cases]),
        firewood=_easiest_firewood([case.firewood for case in cases if case.firewood is not None]),
    )


def _easiest_firewood(several: Sequence[Firewood]) -> Firewood | None:
    """Return firewood of which least is wanted, and most within reach at least cost."""
    if not several:
        return None
    return Firewood(
        demand_g=min(one.demand_g for one in several),
        reach_g=np.maximum.reduce([one.reach_g for one in several]),
        gather=np.minimum.reduce([one.gather for one in several]),
        gather_kcal=np.minimum.reduce([one.gather_kcal for one in several]),
    )


class _RelatedCases:
    """E sibling cases on their way through all kits that can be the lightest of any."""

    def __init__(self, cases: Sequence[Case], *, near: int, effort: Effort) -> None:
        """Lay the cases out, their tools lightest first.

        Args:
            cases: cases of the same tools, rules, jobs and work limit.
            near: a mass that the lightest kits are thought to have [0.01 g].
            effort: what all may cost; never more than MOST_KITS.
        """
        self.searches = [Search(case, effort=effort, solver=None) for case in cases]
        self.effort, self.near = effort, near
        cases = [within_budget(case) for case in cases]
        self.kept = kept_together(cases)
        laid = self.laid = BranchingData(easiest(cases).keep(self.kept))
        workers = np.append(self.kept, np.arange(cases[0].tools, len(cases[0].workers)))
        both = [laid.least_times(case.work[:, workers]) for case in cases]
        self.times = np.ascontiguousarray(np.array([times.T for times, _ in both]))  # [E, T, J]
        self.start = np.array([start for _, start in both])  # [E, J]
        firewood = [case.firewood for case in cases if case.firewood is not None]
        self.gather = np.array([one.gather for one in firewood], dtype=float)[:, None, :] if firewood else None
        self.demand = np.array([one.demand_g for one in firewood], dtype=np.int64)[:, None, None]
        self.reach = np.array([[case.grams_cap(c) for c in range(len(laid.classes))] for case in cases])
        caps = [sum(laid.mass) if case.mass_cap is None else case.mass_cap for case in cases]
        self.most = np.minimum(caps, sum(laid.mass))  # [E]
        self.limit = self.most.copy()  # [E]
        self.weightless = laid.light(0)
        self.nodes_left = min(MOST_KITS, effort.nodes)
        self.most_tools = len(cases[0].must) + MOST_PICKED
        self.deadline = perf_counter() + effort.seconds
        self.found = [Enumerated() for _ in cases]

    def run(self) -> list[Enumerated]:
        """Return the lightest kits of each case.

        Raises:
            Cancelled: nobody waits for them.
        """
        left = np.arange(len(self.found))
        root = self.root()
        limit = max(1, root.mass + self.laid.least(self.laid.lacks(root.kit)), self.near)
        try:
            while len(left) and self.laid.allowed(root.kit):
                before = self.nodes_left
                self.limit[left] = np.minimum(self.most[left], limit)
                self.descend(root.of(np.isin(root.cases, left)))
                settled = (self.limit >= self.most) | [bool(one.kits) for one in self.found]
                for case in left[settled[left]]:
                    self.found[case].complete = True
                left = left[~settled[left]]
                limit = int(limit * (LONG_STEP if before - self.nodes_left < FEW_NODES else STEP)) + 1
        except OutOfNodes:
            return self.found
        for one in self.found:
            one.complete = True
        return self.found

    def root(self) -> _OpenKit:
        """Return the kit of the tools that must go."""
        kit = self.laid.of(self.laid.case.must)
        must = list(bits(kit))
        times = np.minimum(self.start, self.times[:, must].min(axis=1, initial=np.inf))
        cases = np.arange(len(self.found))
        days = self.days(times[:, None], cases)[:, 0]
        return _OpenKit(kit, 0, sum(self.laid.mass[tool] for tool in must), cases, times, days)

    def days(self, times: Floats, cases: Ints) -> Floats:
        """Return the least time of a day [ms] in each of some cases from the least times of their jobs [E, K, J]."""
        if self.laid.case.work_cap is None:
            return np.zeros(times.shape[:2])
        if self.gather is None:
            found: Floats = times.sum(axis=2)
            return found
        sums = times @ self.laid.sums.T
        cost = sums[:, :, 1:] + self.gather[cases]
        reach = self.reach[cases[:, None, None], cost.argsort(axis=2)]
        cost.sort(axis=2)
        taken = np.maximum(np.minimum(self.demand[cases] - (reach.cumsum(axis=2) - reach), reach), 0)
        day: Floats = sums[:, :, 0] + (taken / GRAMS_PER_KG * cost).sum(axis=2)
        return day

    def descend(self, node: _OpenKit) -> None:
        """Meet a kit and all beyond it that carry nothing left home.

        Raises:
            OutOfNodes: it met too many.
        """
        self.effort.go_on()
        if not self.nodes_left or node.kit.bit_count() > self.most_tools or perf_counter() > self.deadline:
            raise OutOfNodes
        self.nodes_left -= 1
        others = self.laid.light(int(self.limit[node.cases].max()) - node.mass) & ~node.kit & ~node.out
        wanted = [one & others for one in self.laid.lacks_for_rules(node.kit)]
        if wanted:
            least = max(self.laid.least(wanted), self.laid.least_backed(node.kit, others))
            node = node.of(node.mass + least <= self.limit[node.cases])
            self.branch(node, min(wanted, key=int.bit_count))
            return
        if self.laid.classes:
            opened, wood = self.laid.opens(node.kit)
            short = self.reach[node.cases] @ opened < self.demand[node.cases, 0, 0]
            if short.any():
                self.branch(node.of(short), wood & others)
                node = node.of(~short)
        late = node.days > self.laid.day_cap
        if late.any():
            self.hasten(node.of(late), others)
        if not late.all():
            self.settle(node.of(~late), others)

    def settle(self, node: _OpenKit, others: Mask) -> None:
        """Keep a kit that does everything in time, as far as bounds tell, where it keeps the rules; else go on."""
        kit = frozenset(self.kept[self.laid.order[list(bits(node.kit))]].tolist())
        does = np.array([self.keep(case, kit, node.mass) for case in node.cases.tolist()])
        wanted = 0
        for case in node.cases[~does].tolist():
            relief, room = self.searches[case].relief(kit), int(self.limit[case]) - node.mass
            wanted |= others if relief is None else self.laid.relieving(relief, others, room, self.kept)
        self.branch(node.of(~does), wanted)
        self.branch(node.of(does), others & self.weightless)

    def keep(self, case: int, kit: frozenset[int], mass: int) -> bool:
        """Tell whether a kit keeps every rule of a case; keep it there if it is as light as any so far."""
        load = self.searches[case].checked(kit)
        if load is None:
            return False
        self.found[case].keep(kit, load, mass)
        self.limit[case] = mass
        return True

    def hasten(self, node: _OpenKit, others: Mask) -> None:
        """Meet the kits beyond one that does everything, but too slowly: one of the tools that are quicker goes."""
        tools = self.laid.tools(others)
        quick = (self.times[node.cases[:, None], tools] < node.times[:, None]).any(axis=(0, 2))
        quicker = np.zeros(self.laid.case.tools, dtype=bool)
        quicker[tools[quick]] = True
        self.branch(node, self.laid.packed(quicker))

    def branch(self, node: _OpenKit, wanted: Mask) -> None:
        """Meet the kits beyond one that carry a tool of those wanted, by the lightest of these that they carry."""
        if not wanted or not len(node.cases):
            return
        tools = self.laid.tools(wanted)
        times = np.minimum(node.times[:, None], self.times[node.cases[:, None], tools])
        days = self.days(times, node.cases)
        fit = self.in_time(node, tools, times)
        for place in np.flatnonzero(fit.any(axis=0)).tolist():
            tool = int(tools[place])
            mass, kit = node.mass + self.laid.mass[tool], node.kit | 1 << tool
            stay = fit[:, place] & (mass <= self.limit[node.cases])
            if stay.any() and self.laid.allowed(kit):
                before = wanted & (1 << tool) - 1
                self.descend(
                    _OpenKit(kit, node.out | before, mass, node.cases[stay], times[stay, place], days[stay, place])
                )

    def in_time(self, node: _OpenKit, tools: Ints, times: Floats) -> Any:
        """Tell of each case and tool whether it can lead to a light kit with a day within the work limit, by bounds.

        After it, the tools that are light enough to go as well can bring each job to the least of their times.
        """
        room = self.limit[node.cases] - node.mass
        if self.laid.case.work_cap is None:
            return self.laid.masses[tools] <= room[:, None]
        light = self.laid.tools(self.laid.light(int(room.max())) & ~node.kit & ~node.out)
        ahead = np.concatenate([node.times[:, None], self.times[node.cases[:, None], light]], axis=1)
        np.minimum.accumulate(ahead, axis=1, out=ahead)
        after = np.searchsorted(self.laid.masses[light], room[:, None] - self.laid.masses[tools], side="right")
        best = np.minimum(times, ahead[np.arange(len(ahead))[:, None], after])
        return (self.days(best, node.cases) <= self.laid.day_cap) & (self.laid.masses[tools] <= room[:, None])


def lightest_of(cases: Sequence[Case], near: int, *, effort: Effort) -> list[Choice | None]:
    """Return the lightest kit of each of sibling cases, or None for one that is not settled so.

    Args:
        cases: cases of the same tools, rules, jobs and work limit.
        near: a mass that the lightest kits are thought to have [0.01 g], which only saves time.
        effort: what all may cost.

    Raises:
        Cancelled: nobody waits for them.
    """
    if len(cases) == 1:
        return [None]
    both = _RelatedCases(cases, near=near, effort=effort)
    return [
        choice_of(case, search, first_met(met), "mass", prover="enumeration") if met.complete else None
        for case, search, met in zip(cases, both.searches, both.run(), strict=True)
    ]
