"""The lightest kit that serves a weight of cases along an axis: a best-first search (Hart, Nilsson, Raphael 1968).

A kit stands for itself and for all that is beyond it: those that carry more tools, but none left home. Of each case a
bound tells the least that a kit beyond must add to serve it; sorted, these tell the least mass at which the weight
asked for can be reached, and kits are met by it. So the first kit met that reaches the weight is the lightest that
does. A case that is served for sure leaves for good, as does one that nothing beyond can serve.

Branching: where a kit lacks weight, whoever reaches it serves one of any cases that weigh more than can be spared, so
one of the tools goes that these ask for. Each opens a branch, which leaves home those before it: no kit is met twice.
Every bound is a sum of whole numbers; what is not certain by times is checked by the rules themselves.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush, heapreplace
from itertools import count

import numpy as np
from numpy.typing import NDArray

from catalog.tables.number import Ints
from solver.forms.effort import Effort
from solver.search.branching_data import BranchingData, Mask, bits
from solver.search.goal import Checks
from solver.several.axis_times import AxisTimes
from solver.several.chance_bounds import NONE, SERVED, ChanceBounds
from solver.several.chance_branching import ChanceBranching

_AT_ONCE = 16  # judged: kits looked at together
_CELLS = 200_000  # judged: times looked at for these together
_BLOCK = 2_000_000  # judged: times of one kit looked at together, 16 MB
_FEW_LEVELS = 64  # judged: bounds kept as they are, not told apart


class OutOfNodes(Exception):
    """The search has met as many kits as it may, used its time, or would need tools that are not laid out."""


@dataclass(slots=True, eq=False)
class _Node:
    """A kit on the way, with what bounds tell of it once it was looked at.

    `open` packs the cases that may still be served beyond it; those that it serves for sure left, `gone` is their
    weight. `levels` are the masses to add at which more weight can be reached, and `reach` that weight.
    """

    kit: Mask
    out: Mask
    mass: int
    least: int
    open: NDArray[np.uint8]
    gone: int
    levels: Ints | None = None
    reach: NDArray[np.generic] | None = None
    rules: int = 0
    broken: bool = False
    unsure: bool = False
    refused: dict[int, Mask] = field(default_factory=dict)
    siblings: Iterator[_Node] | None = None  # those that come after it

    @property
    def served(self) -> int:
        """The weight that it serves, as far as bounds tell."""
        assert self.levels is not None
        assert self.reach is not None
        return int(self.reach[0]) if len(self.levels) and self.levels[0] == SERVED else self.gone

    def needs(self, target: int) -> int:
        """Return the least mass at which a weight is reached, NONE where it can't be."""
        if self.levels is None or self.reach is None:
            return self.least
        if target <= self.gone:
            return self.mass + self.rules
        place = int(np.searchsorted(self.reach, target))
        if place == len(self.levels):
            return NONE
        return self.mass + max(self.rules, int(self.levels[place]), 0)


@dataclass(frozen=True)
class ChanceKit:
    """A kit by its tools in the case laid out, its mass [0.01 g], and the weight that it serves."""

    kit: frozenset[int]
    mass: int
    weight: int


class ChanceSearch:
    """A tree of kits that grows as far as questions about weights need it."""

    def __init__(
        self,
        laid: AxisTimes,
        rules: BranchingData,
        weights: Sequence[int],
        checks: Callable[[int], Checks],
        *,
        effort: Effort,
        nodes: int,
    ) -> None:
        """Set out from the tools that must go.

        Args:
            laid: times of the tools in the cases.
            rules: the rules between the same tools, in the same order.
            weights: of each case, whole.
            checks: what checks a kit in a case, by its place.
            effort: what it may cost.
            nodes: kits that it may look at, and checks of a kit in a case.
        """
        self.laid, self.rules, self.checks, self.effort = laid, rules, checks, effort
        self.weights = np.array(weights, dtype=np.int64 if sum(weights) < 2**62 else object)
        self.bounds = ChanceBounds(laid, rules)
        self.branches = ChanceBranching(self.bounds, self.weights)
        self.nodes_left = min(nodes, effort.nodes)
        self.deadline = effort.solve_until
        self.mass_cap = sum(rules.mass) if rules.case.mass_cap is None else rules.case.mass_cap
        self.all: Mask = (1 << laid.tools) - 1
        self.number = count()
        self.met: list[ChanceKit] = []  # of the kits looked at those that serve more for sure than any no heavier
        kit = rules.of(rules.case.must)
        self.must, self.least = kit, sum(rules.mass[tool] for tool in bits(kit))
        beyond = laid.tools < len(rules.mass)
        self.horizon = self.least + rules.mass[laid.tools] if beyond else NONE  # kits from here on may be missed
        self.horizon = 0 if kit & ~self.all else self.horizon
        self.heap = self.keyed(self.root(), 0)
        self.asked = 0  # the weight by which kits lie on the heap, or a smaller one
        self.branched = 0  # the greatest weight for which kits branched: those that reach less may have been passed by
        size = max(1, laid.tools * laid.size * (laid.jobs + laid.backed))
        self.at_once = max(1, min(_AT_ONCE, _CELLS // size))

    @property
    def bound(self) -> int | None:
        """A mass below which no kit reaches the weight last asked for [0.01 g]; None = no kit is left that may."""
        least = min(self.heap[0][0] if self.heap else NONE, self.horizon)
        return None if least >= NONE else int(least)

    def root(self) -> list[_Node]:
        """Return the kit of the tools that must go, none where that breaks a rule for good."""
        if not self.rules.allowed(self.must) or self.least > self.mass_cap:
            return []
        everything = np.packbits(np.ones(self.laid.size, dtype=bool))
        return [_Node(self.must, 0, self.least, self.least, everything, 0)]

    def following(
        self, least: int, *, branch: int, excluded: Sequence[Mask] = (), wanted: Sequence[Mask] = ()
    ) -> ChanceKit | None:
        """Return the lightest kit that serves at least a weight, of several the one that serves most; None: no kit.

        Args:
            least: the weight.
            branch: a weight, no greater; kits that reach it stay for later questions, while one about less begins anew.
            excluded: tools that it may not hold all.
            wanted: tools of which it must hold one.

        Raises:
            OutOfNodes: it is not known.
            Cancelled: nobody waits for it.
        """
        if branch < self.branched:
            self.heap = self.keyed(self.root(), least)
        elif least < self.asked:
            self.heap = self.keyed([node for _, _, node in self.heap], least)
        heap, aside = self.heap, list[_Node]()
        self.branched, self.asked = branch, least
        target, best = least, None
        try:
            while heap and heap[0][0] < NONE and (best is None or heap[0][0] <= best.mass):
                key, _, node = heap[0]
                if key >= self.horizon:
                    raise OutOfNodes
                if self.keeps_out(node, excluded, wanted):
                    aside.append(self.popped(heap))
                elif node.levels is None:
                    for one in self.unseen(heap):
                        heappush(heap, (one.needs(target), next(self.number), one))
                elif (now := node.needs(target)) > key:
                    heapreplace(heap, (now, next(self.number), node))
                elif node.broken or node.served < target or any(not node.kit & one for one in wanted):
                    heappop(heap)
                    self.grow(heap, node, branch)
                    if node.served >= branch:
                        aside.append(self.alone(node))
                elif node.unsure:
                    self.check(node, target)
                else:
                    best = ChanceKit(self.rules.kit(node.kit), node.mass, node.served)
                    target = self.asked = node.served + 1
            if self.horizon < NONE and best is None:
                raise OutOfNodes
        finally:
            for node in aside:
                heappush(heap, (node.least, next(self.number), node))
        return best

    def keeps_out(self, node: _Node, excluded: Sequence[Mask], wanted: Sequence[Mask]) -> bool:
        """Tell whether a kit and all beyond it hold all tools of an excluded set, or can have none of those wanted."""
        if any(node.kit & one == one for one in excluded):
            return True
        reach = node.kit | self.others(node) if wanted else 0
        return any(not reach & one for one in wanted)

    def keyed(self, nodes: Sequence[_Node], target: int) -> list[tuple[int, int, _Node]]:
        """Return kits as a heap by the least mass at which they can reach a weight."""
        heap = [(node.needs(target), next(self.number), node) for node in nodes]
        heapify(heap)
        return heap

    def popped(self, heap: list[tuple[int, int, _Node]]) -> _Node:
        """Take the first kit off a heap; the one that comes after it takes its place."""
        node = heappop(heap)[2]
        if node.siblings is not None:
            after = next(node.siblings, None)
            if after is not None:
                after.siblings = node.siblings
                heappush(heap, (after.least, next(self.number), after))
            node.siblings = None
        return node

    def unseen(self, heap: list[tuple[int, int, _Node]]) -> list[_Node]:
        """Take kits not looked at yet off a heap, as many as are looked at together, and look at them."""
        found = [self.popped(heap)]
        while heap and len(found) < self.at_once and heap[0][2].levels is None:
            found.append(self.popped(heap))
        self.effort.heed()
        self.nodes_left -= len(found)
        if self.nodes_left < 0 or self.effort.clock() > self.deadline:
            for node in found:
                heappush(heap, (node.least, next(self.number), node))
            raise OutOfNodes
        self.look(found)
        return found

    def look(self, nodes: Sequence[_Node]) -> None:
        """Tell of kits what kits beyond them must add at least to serve each case."""
        size = self.laid.size
        open_now = np.array([np.unpackbits(node.open, count=size) for node in nodes], dtype=bool)
        cases = np.arange(size) if len(nodes) > 1 else np.flatnonzero(open_now[0])
        block = max(1, _BLOCK // max(1, len(nodes) * self.laid.tools * (self.laid.jobs + self.laid.backed)))
        parts = [self.added(nodes, cases[at : at + block]) for at in range(0, len(cases), block)]
        added = np.concatenate(parts, axis=1) if parts else np.zeros((len(nodes), 0), dtype=np.int64)
        for node, mass, here in zip(nodes, added, open_now[:, cases], strict=True):
            self.settle(node, cases[here], mass[here])

    def settle(self, node: _Node, cases: Ints, added: Ints) -> None:
        """Keep what a look at a kit told of the cases that were open."""
        sure = self.laid.exact[cases] & ~self.laid.mortal[cases][:, list(bits(node.kit))].any(axis=1)
        gone = sure & (added == SERVED)
        node.gone += int(self.weights[cases[gone]].sum())
        stay = ~gone & (added < NONE)
        self.levelled(node, cases[stay], added[stay])
        lacking = self.lacking(node, self.others(node))
        node.rules = self.rules.least(lacking) if all(lacking) else NONE
        node.broken = bool(lacking)
        node.unsure = bool((added[stay] == SERVED).any())
        if not node.broken and node.gone:
            self.meet(node)

    def meet(self, node: _Node) -> None:
        """Keep a kit where it serves more than any no heavier."""
        place = bisect_right(self.met, node.mass, key=lambda one: one.mass)
        if place and self.met[place - 1].weight >= node.gone:
            return
        found = ChanceKit(self.rules.kit(node.kit), node.mass, node.gone)
        self.met = [one for one in self.met if one.mass < node.mass or one.weight > node.gone]
        self.met.insert(bisect_right(self.met, node.mass, key=lambda one: one.mass), found)

    def levelled(self, node: _Node, cases: Ints, added: Ints) -> None:
        """Keep the cases that are open, and the weight that each mass added can reach."""
        open_now = np.zeros(self.laid.size, dtype=bool)
        open_now[cases] = True
        node.open = np.packbits(open_now)
        order = np.argsort(added, kind="stable")
        node.levels = added[order]
        node.reach = self.weights[cases][order].cumsum() + node.gone
        if len(order) > _FEW_LEVELS:
            last = np.append(np.flatnonzero(node.levels[1:] != node.levels[:-1]), len(order) - 1)
            node.levels, node.reach = node.levels[last], node.reach[last]
        elif len(order) > 1 and node.levels[0] == SERVED:
            served = int(np.searchsorted(node.levels, 0)) - 1
            node.levels, node.reach = node.levels[served:], node.reach[served:]

    def others(self, node: _Node) -> Mask:
        """Return the tools that may be added to a kit."""
        found = self.all & self.rules.light(self.mass_cap - node.mass) & ~node.kit & ~node.out
        return found & self.rules.affordable(node.kit) if self.rules.sums_held else found

    def lacking(self, node: _Node, others: Mask) -> list[Mask]:
        """Return of each rule between tools that a kit breaks those of which it needs one more."""
        return [one & others for one in self.rules.lacks_for_rules(node.kit)]

    def added(self, nodes: Sequence[_Node], cases: Ints) -> Ints:
        """Return the least mass that must be added to each kit to serve each case, NONE where nothing does, int[N, E].

        After a check it is what a kit lacks that was refused.
        """
        masks = [self.others(node) for node in nodes]
        found = self.bounds.added([node.kit for node in nodes], masks, cases)
        for row, node in enumerate(nodes):
            for case, mask in node.refused.items():
                at = np.flatnonzero(cases == case)
                found[row, at] = np.maximum(found[row, at], self.rules.lightest(mask & masks[row], 1) if mask else NONE)
        return np.asarray(np.minimum(found, NONE))

    def check(self, node: _Node, target: int) -> None:
        """Check a kit in the cases that times alone do not settle, until it is known to miss a weight."""
        kit, others = self.rules.kit(node.kit), self.others(node)
        cases = np.flatnonzero(np.unpackbits(node.open, count=self.laid.size))
        added = self.added([node], cases)[0]
        served = node.gone + int(self.weights[cases[added == SERVED]].sum())
        stay = np.ones(len(cases), dtype=bool)
        node.unsure = False
        for place in np.flatnonzero(added == SERVED).tolist():
            if served < target:
                node.unsure = True
                break
            self.effort.heed()
            self.nodes_left -= 1
            if self.nodes_left < 0 or self.effort.clock() > self.deadline:
                raise OutOfNodes
            case = int(cases[place])
            check = self.checks(case)
            if check.checked(kit) is not None:
                stay[place] = False
                node.gone += int(self.weights[case])
                continue
            served -= int(self.weights[case])
            relief = check.relief(kit)
            mask = others if relief is None else self.rules.relieving(relief, others, self.mass_cap - node.mass)
            node.refused[case] = mask
            added[place] = self.rules.lightest(mask, 1) if mask else NONE
        stay &= added < NONE
        self.levelled(node, cases[stay], added[stay])

    def grow(self, heap: list[tuple[int, int, _Node]], node: _Node, branch: int) -> None:
        """Add to a heap the kits of one tool more beyond a kit that can reach a weight: the lightest, then in turn."""
        siblings = self.children(node, self.branching(node, branch), node.needs(branch))
        first = next(siblings, None)
        if first is not None:
            first.siblings = siblings
            heappush(heap, (first.least, next(self.number), first))

    def children(self, node: _Node, wanted: Mask, least: int) -> Iterator[_Node]:
        """Yield the kits of one tool more, lightest first, each without those before it."""
        for tool in bits(wanted):
            mass, kit = node.mass + self.rules.mass[tool], node.kit | 1 << tool
            if mass > self.mass_cap:
                return
            if self.rules.allowed(kit):
                out = node.out | wanted & (1 << tool) - 1
                yield _Node(kit, out, mass, max(least, mass), node.open, node.gone)

    def alone(self, node: _Node) -> _Node:
        """Return a kit that stands for itself only."""
        return _Node(node.kit, self.all, node.mass, node.mass, node.open, node.gone)

    def branching(self, node: _Node, branch: int) -> Mask:
        """Return tools of which every kit beyond needs one to reach a weight."""
        others = self.others(node)
        lacking = self.lacking(node, others)
        if lacking:
            return min(lacking, key=int.bit_count)
        if node.served >= branch:
            return others
        cases = np.flatnonzero(np.unpackbits(node.open, count=self.laid.size))
        spare = node.gone + int(self.weights[cases].sum()) - branch
        return self.branches.tools(node.kit, others, cases, node.refused, spare=spare)
