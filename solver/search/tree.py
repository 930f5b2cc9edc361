"""One tree search over an axis of cases: every kit that can count is met once, by branching on what a kit still lacks.

A kit that breaks a rule lacks a member of some set (the able tools of a job, the companions of a tool): one of that set
has to go. Each member opens a branch that carries it and leaves home the members before it, so no kit is met twice
(Balas 1965; for covers, Lemke, Salkin and Spielberg 1971). The mass allowed rises step by step (Korf 1985), so that
heavy kits are never met. What is sought is told by a goal: the lightest kit of one case or of each, a front, the kits
that serve most scenarios. Along the axis the cases share tools and rules; a case leaves a branch as soon as bounds say
that nothing beyond counts for it. Grams and days are whole numbers, and kits are checked by the rules themselves.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort, Unfinished
from solver.model.time_price import ROUNDING, TimePrice, price_of
from solver.model.wear import NothingLasts
from solver.search.branching_data import ENDLESS, BranchingData, Mask, bits
from solver.search.dual import Dual, dual_of
from solver.search.goal import Checks, TreeGoal, TreeNode

_MOST_PICKED = 100  # judged: each tool picked is a call within a call, of which there may be a thousand
PRICED_NODES = 500  # judged: by then prices that leave most tools out have begun to pay
_BLOCK = 4_000_000  # judged: times that are looked at together, of cases, tools and jobs
_NEAR_STEPS = 9  # judged: after so many of these it is far, if there is any kit, and steps lengthen
_FEW_NODES = 16  # judged: after a search so short the step may be long


class _OutOfNodes(Exception):
    """The search has met as many kits as it may, or used its time."""


class _Late(Exception):
    """So many kits were met that a bound by prices has begun to pay."""


class Tree:
    """Cases on their way through all kits that can count."""

    def __init__(
        self,
        laid: BranchingData,
        goal: TreeGoal,
        checks: Sequence[Checks],
        *,
        near: int,
        effort: Effort,
        nodes: int,
    ) -> None:
        """Set out from the tools that must go.

        Args:
            laid: the cases, laid out.
            goal: what is sought.
            checks: of each case.
            near: a mass that the lightest kit is thought to have [0.01 g]; a good guess saves steps.
            effort: what it may cost.
            nodes: kits that it may meet at most.
        """
        self.laid, self.goal, self.near, self.effort = laid, goal, near, effort
        self.quiet = replace(effort, on_solve=None)
        self.nodes_left = min(nodes, effort.nodes)
        if not laid.several and goal.looks:
            self.nodes_left = min(self.nodes_left, goal.looks // max(1, len(laid.case.wood_class)))
        self.most_tools = len(laid.case.must) + _MOST_PICKED
        self.deadline = effort.solve_until
        self.dual: Dual | None = None
        self.first: TreeNode | None = None
        self.until_prices = 0 if laid.several else PRICED_NODES
        self.bound = 0  # no kit below it is still to be met [0.01 g]
        self.sum = sum(laid.mass)
        goal.begin(laid, checks)

    def run(self) -> bool:
        """Tell whether all kits that can count were met.

        Raises:
            Cancelled: nobody waits for them.
        """
        laid, goal = self.laid, self.goal
        caps = [self.sum if case.mass_cap is None else case.mass_cap for case in laid.cases]
        most = min(max(caps), self.sum)
        kit = laid.of(laid.case.must)
        wanted = laid.lacks_for_rules(kit) + [one for _, one in laid.unmet(kit) if len(caps) == 1]
        light = ~kit & laid.light(most)
        least = max(laid.least(wanted), laid.least_backed(kit, light))
        mass = sum(laid.mass[tool] for tool in bits(kit))
        limit = min(most, max(1, mass + least, self.near))
        complete, short = True, 0  # searches in a row that were short
        try:
            while laid.allowed(kit):
                before = self.nodes_left
                goal.allow(limit)
                self.meet()
                if goal.settled or limit >= most:
                    break
                self.bound = limit + 1
                short = short + 1 if before - self.nodes_left < _FEW_NODES else 0
                step = goal.long_step ** max(1, short - _NEAR_STEPS) if short else goal.step
                limit = min(most, max(int(limit * step), 0 if self.dual is None else self.dual.least) + 1)
        except (_OutOfNodes, Unfinished):
            complete = False
            self.bound = max(self.bound, 0 if self.dual is None else self.dual.least)
        except NothingLasts:  # no kit counts, so none was met that does
            pass
        if self.effort.on_solve is not None:
            self.effort.on_solve()
        return complete

    def meet(self) -> None:
        """Meet all kits within the limit; where that takes long, anew with prices.

        Raises:
            _OutOfNodes: it met too many.
        """
        laid = self.laid
        if laid.timed:
            laid.lay_out_times(laid.light(self.goal.limit).bit_count() if laid.several else laid.case.tools)
        try:
            self.descend(self.root())
        except _Late:
            self.dual = dual_of(
                laid.masses, laid.times[0], laid.day_cap[0], laid.start[0], endless=ENDLESS, effort=self.quiet
            )
            self.descend(self.root())

    def root(self) -> TreeNode:
        """Return the kit of the tools that must go."""
        laid = self.laid
        must = list(bits(laid.of(laid.case.must)))
        if self.first is None:
            times = laid.times_of(must) if laid.timed else laid.start
            days = laid.day(times[:, :, None], None)[:, 0] if laid.timed else np.zeros(len(laid.cases))
            mass = sum(laid.mass[tool] for tool in must)
            self.first = TreeNode(laid.of(laid.case.must), 0, mass, None, times, days)
        if self.dual is not None:
            self.first.reduced = int(self.dual.reduced[must].sum())
        return self.first

    def light(self, limit: int) -> Bools:
        """Tell of each tool of the case whether prices leave it in a kit within a limit [0.01 g]."""
        if self.dual is None:
            return np.ones(self.laid.case.tools, dtype=bool)
        found = self.dual.fits(limit, 0)
        found[self.laid.rank[list(self.laid.case.must)]] = True
        return found[self.laid.rank]

    def descend(self, node: TreeNode) -> None:
        """Meet a kit and all beyond it that carry nothing left home.

        Raises:
            _OutOfNodes: it met too many.
            _Late: it met so many that prices have begun to pay.
        """
        self.effort.heed()
        if not self.nodes_left or node.kit.bit_count() > self.most_tools or self.effort.clock() >= self.deadline:
            raise _OutOfNodes
        self.nodes_left -= 1
        laid, goal = self.laid, self.goal
        if self.until_prices:
            self.until_prices -= 1
            if not self.until_prices and laid.case.work_cap is not None and not laid.classes:
                raise _Late
        others = laid.light(goal.limit - node.mass) & ~node.kit & ~node.out
        if laid.sums_held:
            others &= laid.affordable(node.kit)
        if self.dual is not None:
            others &= self.dual.mask(goal.limit, node.reduced)
        if laid.several:
            self.meet_several(node, others)
            return
        if not goal.counts(node):
            return
        wanted = [one & others for one in laid.lacks_for_rules(node.kit)]
        wanted += [one & others for _, one in laid.unmet(node.kit)]
        if laid.classes:
            short, wood = laid.lacks_wood(node.kit)
            if short[0]:
                wanted.append(wood & others)
        if wanted:
            if node.mass + max(laid.least(wanted), laid.least_backed(node.kit, others)) <= goal.limit:
                self.branch(node, min(wanted, key=int.bit_count))
        elif laid.timed and node.days[0] > goal.day_cap(node):
            self.hasten(node, others)
        else:
            _, beyond = goal.settle(node, np.ones(1, dtype=bool), others)
            if laid.timed and node.days[0] > goal.day_cap(node):
                self.hasten(node, others)
            else:
                self.branch(node, beyond[0] or 0)

    def meet_several(self, node: TreeNode, others: Mask) -> None:
        """Meet a kit of several cases and all beyond it."""
        laid, goal = self.laid, self.goal
        rules = [one & others for one in laid.lacks_for_rules(node.kit)]
        unmet = laid.unmet(node.kit)
        rows, lacks = [row for row, _ in unmet], [one & others for _, one in unmet]
        asks = laid.asks[rows] if node.cases is None else laid.asks[rows][:, node.cases]  # [U, E]
        common = rules + _asked_by_all(asks, lacks)
        least = np.maximum(laid.least_of_each(asks, lacks), laid.least(common))
        stay = least <= goal.rooms(node)
        if not stay.all():
            node, asks = node.of(stay), asks[:, stay]
            common = rules + _asked_by_all(asks, lacks)
        if not len(node.days) or not goal.counts(node):
            return
        if common:
            self.branch(node, min(common, key=int.bit_count))
            return
        wanted = _smallest_of_each(asks, lacks)
        lacking = np.array([bool(one) for one in wanted])
        if laid.classes:
            short, wood = laid.lacks_wood(node.kit, node.cases)
            for place in np.flatnonzero(short & ~lacking).tolist():
                wanted[place] = wood & others
            lacking |= short
        late = ~lacking & (node.days > goal.day_cap(node)) if laid.timed else np.zeros_like(lacking)
        if late.any():
            for place, quick in zip(np.flatnonzero(late).tolist(), self.quicker(node.of(late), others), strict=True):
                wanted[place] = quick
        ready = ~lacking & ~late
        if ready.any():
            reached, beyond = goal.settle(node, ready, others)
            stay = np.ones(len(ready), dtype=bool)
            for place, one in zip(np.flatnonzero(ready).tolist(), beyond, strict=True):
                stay[place], wanted[place] = one is not None, one or 0
            wanted = [one for one, stays in zip(wanted, stay.tolist(), strict=True) if stays]
            served, node = node.served + reached, node.of(stay)
            node = TreeNode(node.kit, node.out, node.mass, node.cases, node.times, node.days, node.reduced, served)
        if len(node.days) and goal.counts(node):
            self.branch(node, goal.chosen(node, wanted))

    def quicker(self, node: TreeNode, others: Mask) -> list[Mask]:
        """Return for each case of a kit that is too slow in it the tools that do some job quicker."""
        tools = self.laid.tools(others)
        quick = (self.laid.at(node.cases, tools) < node.times[:, :, None]).any(axis=1)
        wide = np.zeros((len(node.days), self.laid.case.tools), dtype=np.uint8)
        wide[:, tools] = quick
        packed = np.packbits(wide, axis=1, bitorder="little")
        return [int.from_bytes(row.tobytes(), "little") for row in packed]

    def hasten(self, node: TreeNode, others: Mask) -> None:
        """Meet the kits beyond one that does everything, but too slowly: one of the tools that are quicker goes.

        Without firewood, what these save adds up to no more than the sum of what each saves alone: so the time still
        missing costs at least the grams of the best savers, the last of them in part. (A saw and a maul may open a
        class of wood together that neither opens alone.)
        """
        laid = self.laid
        tools = laid.tools(others)
        work = laid.at(node.cases, tools)
        quick = (work < node.times[:, :, None]).any(axis=(0, 1))
        tools, work = tools[quick], work[:, :, quick]
        quicker = np.zeros(laid.case.tools, dtype=bool)
        quicker[tools] = True
        if laid.classes or not len(tools):
            self.branch(node, laid.packed(quicker))
            return
        saved = (node.days[:, None] - laid.day(np.minimum(node.times[:, :, None], work), node.cases))[0]
        self.branch(node, laid.packed(quicker), price=price_of(saved, laid.masses[tools]))

    def branch(self, node: TreeNode, wanted: Mask, *, price: TimePrice | None = None) -> None:
        """Meet the kits beyond one that carry a tool of those wanted, by the lightest of these that they carry.

        Args:
            node: the kit.
            wanted: tools of which one has to go.
            price: what time beyond the work limit still costs at least.
        """
        if not wanted:
            return
        laid, goal = self.laid, self.goal
        tools = laid.tools(wanted)
        fit, times, days = self.fitting(node, tools, price)
        go = goal.promising(node, node.mass + laid.masses[tools], fit)
        for place in go.nonzero()[0].tolist():
            tool = int(tools[place])
            mass, kit = node.mass + laid.mass[tool], node.kit | 1 << tool
            if mass > goal.limit:
                return
            if laid.allowed(kit):
                out = node.out | wanted & (1 << tool) - 1
                reduced = 0 if self.dual is None else node.reduced + int(self.dual.reduced[tool])
                if not laid.several:
                    self.descend(TreeNode(kit, out, mass, None, times[:, :, place], days[:, place], reduced))
                    continue
                cases = node.cases
                if not fit[:, place].all():
                    cases = np.flatnonzero(fit[:, place]) if cases is None else cases[fit[:, place]]
                least, day = self.quickest(node.times[fit[:, place]], tool, cases)
                self.descend(TreeNode(kit, out, mass, cases, least, day, 0, node.served))

    def quickest(self, times: Floats, tool: int, cases: Ints | None) -> tuple[Floats, Floats]:
        """Return the least times, and days, that one more tool brings; those of all tools would take much memory."""
        if not self.laid.timed:
            return times, np.zeros(len(times))
        at = self.laid.times[:, :, tool] if cases is None else self.laid.times[cases, :, tool]
        times = np.minimum(times, at)
        return times, self.laid.day(times[:, :, None], cases)[:, 0]

    def fitting(self, node: TreeNode, tools: Ints, price: TimePrice | None) -> tuple[Bools, Floats, Floats]:
        """Tell of each case and tool whether it can lead to a kit that counts, by bounds; with the times it leads to.

        Of many cases a block is looked at after the other, and the times are not told.
        """
        laid = self.laid
        if not laid.timed:
            fit = np.ones((len(node.days), len(tools)), dtype=bool)
            if laid.several:
                fit &= laid.masses[tools] <= np.reshape(self.goal.rooms(node), (-1, 1))
            return fit, np.zeros((1, 0, len(tools))), np.zeros((1, len(tools)))
        if not laid.several:
            times = np.minimum(node.times[:, :, None], laid.at(None, tools))
            fit, days = self.in_time(node, tools, times, price)
            return fit, times, days
        size = max(1, _BLOCK // max(1, laid.jobs * (len(tools) + laid.laid)))
        if len(node.days) > size:
            blocks = [np.arange(len(node.days)) // size == n for n in range(-(-len(node.days) // size))]
            found = [self.fitting(node.of(block), tools, price) for block in blocks]
            return np.concatenate([fit for fit, _, _ in found]), *found[0][1:]
        times = np.minimum(node.times[:, :, None], laid.at(node.cases, tools))
        fit, days = self.in_time(node, tools, times, price)
        return fit, times, days

    def in_time(self, node: TreeNode, tools: Ints, times: Floats, price: TimePrice | None) -> tuple[Bools, Floats]:
        """Tell of each case and tool whether it can lead to a light kit with a day within the work limit, by bounds.

        After it, the tools that are light enough to go as well can bring each job to the least of their times. The
        days with it alone are returned too where there is one case.
        """
        laid, goal = self.laid, self.goal
        rooms = goal.rooms(node)
        room = int(rooms.max()) if isinstance(rooms, np.ndarray) else int(rooms)
        masses = laid.masses[tools]
        ahead_of_all = laid.light(room) & ~node.kit & ~node.out
        if laid.sums_held:
            ahead_of_all &= laid.affordable(node.kit, tools.tolist())
        light = laid.tools(ahead_of_all)
        ahead = np.concatenate([node.times[:, :, None], laid.at(node.cases, light)], axis=2)
        np.minimum.accumulate(ahead, axis=2, out=ahead)
        if laid.several:
            left = np.reshape(rooms, (-1, 1)) - masses
            after = np.searchsorted(laid.masses[light], left, side="right")
            best = np.minimum(times, np.take_along_axis(ahead, after[:, None], axis=2))
        else:
            after = np.searchsorted(laid.masses[light], room - masses, side="right")
            best = np.minimum(times, ahead.take(after, axis=2))
        caps = goal.day_caps(node, node.mass + masses)
        if laid.several:
            days = laid.day(best, node.cases)
            return (days <= caps) & (left >= 0), days
        both = laid.day(np.concatenate([times, best], axis=2), node.cases)
        days = both[:, : len(tools)]
        fit: Bools = both[:, len(tools) :] <= caps
        if self.dual is not None:
            fit &= self.dual.base + node.reduced + self.dual.reduced[tools] <= goal.limit * self.dual.unit
        if price is not None:
            fit[0] &= masses + price.of(days[0] - goal.day_cap(node)) * (1 - ROUNDING) <= room
        return fit, days


def _asked_by_all(asks: Bools, lacks: Sequence[Mask]) -> list[Mask]:
    """Return the sets that every case lacks, by which it lacks [U, E]."""
    everywhere: list[bool] = np.asarray(asks.all(axis=1)).tolist()
    return [one for one, all_ask in zip(lacks, everywhere, strict=True) if all_ask]


def _smallest_of_each(asks: Bools, lacks: Sequence[Mask]) -> list[Mask]:
    """Return of each case the smallest set that it lacks, 0 where it lacks none."""
    found = [0] * asks.shape[1]
    if lacks:
        sizes = np.array([one.bit_count() for one in lacks])
        pick = np.where(asks, sizes[:, None], sizes.max() + 1).argmin(axis=0)
        for place in np.flatnonzero(asks.any(axis=0)).tolist():
            found[place] = lacks[pick[place]]
    return found
