"""The tree search of a case: every kit that can count is met once, by branching on what a kit still lacks.

A kit that breaks a rule lacks a member of some set (the able tools of a job, the companions of a tool): one of that set
has to go. Each member opens a branch that carries it and leaves home the members before it, so no kit is met twice
(Balas 1965; for covers, Lemke, Salkin and Spielberg 1971). The mass allowed rises step by step (Korf 1985), so that
heavy kits are never met. What is sought is told by a goal: the lightest kits, or a front. Grams and days are whole
numbers, and kits are checked by the rules themselves. Several cases have searches of their own in `solver/several`.
"""

from dataclasses import dataclass

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
_NEAR_STEPS = 9  # judged: after so many of these it is far, if there is any kit, and steps lengthen
_FEW_NODES = 16  # judged: after a search so short the step may be long


class _OutOfNodes(Exception):
    """The search has met as many kits as it may, or used its time."""


class _Late(Exception):
    """So many kits were met that a bound by prices has begun to pay."""


@dataclass(frozen=True)
class _Ahead:
    """The tools that may go besides a kit, lightest first too, and the least times of jobs by ever more of these."""

    tools: Mask
    light: Ints  # [K]
    times: Floats  # [1, J, K + 1], with the first 0, 1... K of them


class Tree:
    """A case on its way through all kits that can count."""

    def __init__(
        self,
        laid: BranchingData,
        goal: TreeGoal,
        checks: Checks,
        *,
        near: int,
        effort: Effort,
        nodes: int,
    ) -> None:
        """Set out from the tools that must go.

        Args:
            laid: the case, laid out.
            goal: what is sought.
            checks: what tells whether a kit keeps every rule.
            near: a mass that the lightest kit is thought to have [0.01 g]; a good guess saves steps.
            effort: what it may cost.
            nodes: kits that it may meet at most.
        """
        self.laid, self.goal, self.near, self.effort = laid, goal, near, effort
        self.quiet = effort.quiet()
        self.nodes_left = min(nodes, effort.nodes)
        if goal.looks:
            self.nodes_left = min(self.nodes_left, goal.looks // max(1, len(laid.case.wood_class)))
        self.most_tools = len(laid.case.must) + _MOST_PICKED
        self.deadline = effort.solve_until
        self.dual: Dual | None = None
        self.first: TreeNode | None = None
        self.until_prices = PRICED_NODES
        self.bound = 0  # no kit below it is still to be met [0.01 g]
        self.sum = sum(laid.mass)
        goal.begin(laid, checks)

    def run(self) -> bool:
        """Tell whether all kits that can count were met.

        Raises:
            Cancelled: nobody waits for them.
        """
        laid, goal = self.laid, self.goal
        most = self.sum if laid.case.mass_cap is None else min(laid.case.mass_cap, self.sum)
        kit = laid.of(laid.case.must)
        wanted = laid.lacks_for_rules(kit) + laid.unmet(kit)
        light = ~kit & laid.light(most)
        least = max(laid.least(wanted), laid.least_backed(kit, light))
        mass = sum(laid.mass[tool] for tool in bits(kit))
        lowest = laid.lowest() if laid.timed else 0
        if lowest is None:
            return self.ended(complete=True)
        limit = min(most, max(1, mass + least, self.near, lowest))
        complete, short, probed = True, 0, False  # searches in a row that were short
        try:
            while laid.allowed(kit):
                before = self.nodes_left
                goal.limit = limit
                self.meet()
                if goal.settled or limit >= most:
                    break
                self.bound = limit + 1
                looked = before - self.nodes_left
                if looked == 1 and not probed:
                    probed = True
                    if self.leads_nowhere(most):
                        break
                short = short + 1 if looked < _FEW_NODES else 0
                step = goal.long_step ** max(1, short - _NEAR_STEPS) if short else goal.step
                limit = min(most, max(int(limit * step), 0 if self.dual is None else self.dual.least) + 1)
        except (_OutOfNodes, Unfinished):
            complete = False
            self.bound = max(self.bound, 0 if self.dual is None else self.dual.least)
        except NothingLasts:  # no kit counts, so none was met that does
            pass
        return self.ended(complete=complete)

    def ended(self, *, complete: bool) -> bool:
        """Tell the caller that a search ended, and return whether all kits that can count were met."""
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
            laid.lay_out_times()
        try:
            self.descend(self.root())
        except _Late:
            self.dual = dual_of(
                laid.masses, laid.times[0], laid.day_cap[0], laid.start[0], endless=ENDLESS, effort=self.quiet
            )
            self.descend(self.root())

    def leads_nowhere(self, most: int) -> bool:
        """Tell whether none of the tools lacked first can lead to a kit that counts, up to a mass [0.01 g]."""
        laid, node = self.laid, self.root()
        self.goal.limit = most
        others = laid.light(most - node.mass) & ~node.kit
        if laid.sums_held:
            others &= laid.affordable(node.kit)
        wanted = [one & others for one in laid.lacks_for_rules(node.kit) + laid.unmet(node.kit)]
        if not wanted:
            return False
        first = laid.tools(min(wanted, key=int.bit_count))
        return not self.fitting(node, first, self.ahead_of(node, others), None)[0].any()

    def root(self) -> TreeNode:
        """Return the kit of the tools that must go."""
        laid = self.laid
        must = list(bits(laid.of(laid.case.must)))
        if self.first is None:
            times = laid.times_of(must) if laid.timed else laid.start
            days = laid.day(times[:, :, None], None)[:, 0] if laid.timed else np.zeros(1)
            mass = sum(laid.mass[tool] for tool in must)
            self.first = TreeNode(laid.of(laid.case.must), 0, mass, times, days)
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
        if not goal.counts(node):
            return
        wanted = [one & others for one in laid.lacks_for_rules(node.kit)]
        wanted += [one & others for one in laid.unmet(node.kit)]
        if laid.classes:
            wood = laid.lacks_wood(node.kit)
            if wood is not None:
                wanted.append(wood & others)
        if wanted:
            if node.mass + max(laid.least(wanted), laid.least_backed(node.kit, others)) > goal.limit:
                return
            ahead = self.ahead_of(node, others)
            if laid.timed:
                wanted.append(self.heavy(node, ahead))
                if node.mass + laid.least(wanted) > goal.limit:
                    return
            if all(wanted):
                self.branch(node, min(wanted, key=int.bit_count), ahead)
        elif laid.timed and node.days[0] > goal.day_cap(node):
            self.hasten(node, others)
        else:
            beyond = goal.settle(node, others)
            if laid.timed and node.days[0] > goal.day_cap(node):
                self.hasten(node, others)
            elif beyond:
                self.branch(node, beyond, self.ahead_of(node, others))

    def ahead_of(self, node: TreeNode, others: Mask) -> _Ahead:
        """Return what tools that may go besides a kit can do together."""
        laid = self.laid
        if not laid.timed:
            return _Ahead(others, np.zeros(0, dtype=np.int64), node.times)
        light = laid.tools(others)
        times = np.concatenate([node.times[:, :, None], laid.at(light)], axis=2)
        return _Ahead(others, light, np.minimum.accumulate(times, axis=2, out=times))

    def heavy(self, node: TreeNode, ahead: _Ahead) -> Mask:
        """Return the tools of which one has to go, since all that are lighter make too long a day; all if none has to.

        None where all together do.
        """
        does = self.laid.day(ahead.times, None)[0] <= self.goal.day_cap(node)
        first = int(does.argmax())
        if not does[first]:
            return 0
        return ahead.tools >> int(ahead.light[first - 1]) << int(ahead.light[first - 1]) if first else ahead.tools

    def hasten(self, node: TreeNode, others: Mask) -> None:
        """Meet the kits beyond one that does everything, but too slowly: one of the tools that are quicker goes.

        Without firewood, what these save adds up to no more than the sum of what each saves alone: so the time still
        missing costs at least the grams of the best savers, the last of them in part. (A saw and a maul may open a
        class of wood together that neither opens alone.)
        """
        laid, ahead = self.laid, self.ahead_of(node, others)
        heavy = self.heavy(node, ahead)
        if not heavy:
            return
        tools = laid.tools(others)
        work = laid.at(tools)
        quick = (work < node.times[:, :, None]).any(axis=(0, 1))
        tools, work = tools[quick], work[:, :, quick]
        quicker = np.zeros(laid.case.tools, dtype=bool)
        quicker[tools] = True
        if not len(tools):
            return
        if laid.classes:
            self.branch(node, laid.packed(quicker) & heavy, ahead)
            return
        saved = (node.days[:, None] - laid.day(np.minimum(node.times[:, :, None], work), None))[0]
        self.branch(node, laid.packed(quicker) & heavy, ahead, price=price_of(saved, laid.masses[tools]))

    def branch(self, node: TreeNode, wanted: Mask, ahead: _Ahead, *, price: TimePrice | None = None) -> None:
        """Meet the kits beyond one that carry a tool of those wanted, by the lightest of these that they carry.

        Args:
            node: the kit.
            wanted: tools of which one has to go.
            ahead: the tools that may go.
            price: what time beyond the work limit still costs at least.
        """
        laid, goal = self.laid, self.goal
        tools = laid.tools(wanted)
        fit, times, days = self.fitting(node, tools, ahead, price)
        for place in fit.nonzero()[0].tolist():
            tool = int(tools[place])
            mass, kit = node.mass + laid.mass[tool], node.kit | 1 << tool
            if mass > goal.limit:
                return
            if laid.allowed(kit):
                out = node.out | wanted & (1 << tool) - 1
                reduced = 0 if self.dual is None else node.reduced + int(self.dual.reduced[tool])
                self.descend(TreeNode(kit, out, mass, times[:, :, place], days[:, place], reduced))

    def fitting(
        self, node: TreeNode, tools: Ints, ahead: _Ahead, price: TimePrice | None
    ) -> tuple[Bools, Floats, Floats]:
        """Tell of each tool whether it can lead to a kit that counts, by bounds; with the times it leads to."""
        laid = self.laid
        if not laid.timed:
            return np.ones(len(tools), dtype=bool), np.zeros((1, 0, len(tools))), np.zeros((1, len(tools)))
        times = np.minimum(node.times[:, :, None], laid.at(tools))
        fit, days = self.in_time(node, tools, times, ahead, price)
        return fit, times, days

    def in_time(
        self, node: TreeNode, tools: Ints, times: Floats, ahead: _Ahead, price: TimePrice | None
    ) -> tuple[Bools, Floats]:
        """Tell of each tool whether it can lead to a light kit with a day within the work limit, by bounds.

        After it, the tools that are light enough to go as well can bring each job to the least of their times. The
        days with it alone are returned too.
        """
        laid, goal = self.laid, self.goal
        room = goal.limit - node.mass
        masses = laid.masses[tools]
        if laid.sums_held:
            beside = ahead.tools & laid.affordable(node.kit, tools.tolist())
            ahead = ahead if beside == ahead.tools else self.ahead_of(node, beside)
        after = np.searchsorted(laid.masses[ahead.light], room - masses, side="right")
        best = np.minimum(times, ahead.times.take(after, axis=2))
        caps = goal.day_caps(node, node.mass + masses)
        both = laid.day(np.concatenate([times, best], axis=2), None)
        days = both[:, : len(tools)]
        fit: Bools = (both[:, len(tools) :] <= caps)[0]
        if self.dual is not None:
            fit &= self.dual.base + node.reduced + self.dual.reduced[tools] <= goal.limit * self.dual.unit
        if price is not None:
            fit &= masses + price.of(days[0] - goal.day_cap(node)) * (1 - ROUNDING) <= room
        return fit, days
