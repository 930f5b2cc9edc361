"""The lightest kits that serve weights of cases along an axis: depth first (Land and Doig 1960), heaviest tools first.

A kit is made of its tools from the heaviest down, so that each is met once: beyond a kit lie those with more tools,
each lighter than all that were added before. In every case a look tells whether a kit with one tool more serves it,
and whether it would with all lighter tools besides that a limit on mass leaves; the weight of the latter bounds all
that lie beyond. As the free tools grow lighter and fewer with each that is added, that bound soon falls below what is
asked. The limit is raised step by step, so that what was met up to the last one holds though the search ends early.
Every bound is a sum of whole numbers; what is not certain by times is checked by the rules themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort
from solver.search.branching_data import BranchingData, Mask, bits
from solver.several.axis_times import AxisTimes
from solver.several.chance_bounds import ChanceBounds, ChanceLook, ChanceNode
from solver.several.chance_front import ChanceFront, ChanceKit, Served
from solver.several.idle_tool import IdleTools

_RISE = 1.1  # judged: the limit on mass against the one before
_TOLD_EVERY = 50  # judged: kits looked at between two words of progress
_BEYOND = 300  # judged: looks beyond the mass where a curve may end
_WHERE_UNKNOWN = 3_000  # judged: looks at all where there is no such mass
_STALLED = 3  # judged: walks that find nothing more, after which cases that no kit serves are sought
_UNPRICED = 1_500  # measured: looks after which prices are sought; few searches take more, and fewer save by them


class OutOfNodes(Exception):
    """The search has met as many kits as it may, used its time, or would need tools that are not laid out."""


class ChanceSearch:
    """Kits by the weight of the cases that they serve."""

    def __init__(
        self,
        laid: AxisTimes,
        rules: BranchingData,
        weights: Sequence[int],
        serves: Callable[[Mask, Ints, Served], Bools],
        *,
        effort: Effort,
        nodes: int,
        idle: IdleTools | None = None,
    ) -> None:
        """Set out from the tools that must go.

        Args:
            laid: times of the tools in the cases.
            rules: the rules between the same tools, in the same order.
            weights: of each case, whole.
            serves: tells in which of some cases (places) tools do the work in time: and keep the rules between tools,
                or whatever these are, or at least where a quick look leaves it open.
            effort: what it may cost.
            nodes: kits that it may look at, and checks.
            idle: tells the tools that are idle in a kit, where none may be.
        """
        self.idle = idle
        self.laid, self.rules, self.serves, self.effort = laid, rules, serves, effort
        self.bounds = ChanceBounds(laid, weights)
        self.nodes_left = min(nodes, effort.nodes)
        self.deadline = effort.solve_until
        self.mass_cap = sum(rules.mass) if rules.case.mass_cap is None else rules.case.mass_cap
        self.all: Mask = (1 << laid.tools) - 1
        self.must = rules.of(rules.case.must)
        self.least = sum(rules.mass[tool] for tool in bits(self.must))
        self.horizon: int | None = None  # kits from here on may be missed [0.01 g]
        if self.must & ~self.all:
            self.horizon = 0
        elif laid.tools < len(rules.mass):
            self.horizon = self.least + rules.mass[laid.tools]
        self.met: list[ChanceKit] = []  # of the kits that were met those that serve more than any no heavier
        self.excluded: Sequence[Mask] = ()
        self.wanted: Sequence[Mask] = ()
        self.needed: Mask = 0  # tools that may have to go though they save no time
        self.limit = 0  # on mass
        self.cut = False  # whether the limit kept something out that may count
        self.bound: int | None = None  # no lighter kit reaches the weight last asked for; None = none does
        self.stopped = False  # whether heavier kits may count for it, of which a few looks were enough
        self.few_from = self.mass_cap  # beyond this mass there are few looks [0.01 g]
        self.looks_left = 0  # there
        self.looks = 0  # in all
        self.quick = False  # whether a quick look takes less than a check
        self.poor = False  # whether the kit checked last served less than half of the cases that were open

    def steps(
        self,
        least: int,
        enough: int,
        *,
        excluded: Sequence[Mask] = (),
        wanted: Sequence[Mask] = (),
        since: int = 0,
        up_to: int | None = None,
        few: bool = False,
    ) -> Iterator[list[ChanceKit]]:
        """Yield again and again the kits that serve a least weight and more than any no heavier, more each time.

        They end with the lightest that serves enough, of several that which serves most. What is yielded is proven.

        Args:
            least: the weight of the first.
            enough: that of the last, no less.
            excluded: tools that they may not hold all.
            wanted: tools of which they must hold one.
            since: a mass below which there is none [0.01 g].
            up_to: a mass beyond which none is sought, see `stopped` [0.01 g]; 0 = not known, None = there is no end.
            few: whether it is sought there as far as a few looks do, or some more where that mass is not known.

        Raises:
            OutOfNodes: the rest is not known.
            Cancelled: nobody waits for it.
        """
        self.stopped = False
        self.excluded, self.wanted = excluded, wanted
        self.needed = self.needed_besides(wanted)
        front = ChanceFront(least, enough)
        for one in self.met:
            if self.counts(one, front):
                front.take(one)
        root = self.root()
        done, self.bound = max(since, self.least) - 1, max(since, self.least)
        if root is None or root.most < least:
            self.bound = self.horizon
            if self.horizon is not None and self.horizon <= self.mass_cap:
                raise OutOfNodes
            return
        self.limit = max(since, self.least, self.first_mass(root, front))
        rises, last = 1, self.mass_cap if self.horizon is None else min(self.mass_cap, self.horizon - 1)
        self.looks_left = (_BEYOND if up_to else _WHERE_UNKNOWN) if few else 0
        self.few_from = self.mass_cap if up_to is None else up_to
        while True:
            self.limit = min(self.limit, last if done >= self.few_from else min(last, max(done, self.few_from)))
            self.cut = False
            front.floor, known = done + 1, front.kits
            try:
                if self.limit > done:
                    self.walk(root, front)
                # a curve of which nothing more is found soon ends: what is left is met in fewer walks
                rises = rises + 1 if front.kits and front.kits is known else 1
                if rises == _STALLED:
                    self.leave_hopeless(root, front)
            except OutOfNodes:
                if self.looks_left >= 0:
                    raise
                self.stopped = True
                return
            done = self.limit if self.cut else last
            self.bound = done + 1
            self.tell()
            yield front.up_to(done)
            if front.most is not None and front.most <= done:
                break
            if done >= last:
                if last == self.mass_cap:
                    break
                self.stopped = done >= self.few_from
                if self.stopped:
                    return
                raise OutOfNodes
            self.limit = max(done + 1, int(done * _RISE**rises))
        self.bound = None if not front.kits else front.kits[-1].mass

    def needed_besides(self, wanted: Sequence[Mask]) -> Mask:
        """Return the tools that rules between tools ask for, and those wanted."""
        found = 0
        for several in (wanted, self.rules.some_of, *self.rules.companions.values()):
            for some in several:
                found |= some
        return found

    @property
    def met_to(self) -> int:
        """A mass up to which all was met that counts for what was last asked [0.01 g]."""
        return 0 if self.bound is None else self.bound - 1

    def tell(self) -> None:
        """Tell who watches that there was some work."""
        if self.effort.on_solve is not None:
            self.effort.on_solve()

    def counts(self, one: ChanceKit, front: ChanceFront) -> bool:
        """Tell whether a kit that was met before counts for a question."""
        kit = self.rules.of(one.kit)
        kept = self.allowed(kit) and all(kit & some for some in self.wanted)
        return kept and front.wanted(one.mass, one.weight)

    def allowed(self, kit: Mask) -> bool:
        """Tell whether a kit keeps the rules that more tools only break, and is not excluded."""
        if self.idle is not None and self.idle.in_kit(kit):
            return False
        return self.rules.allowed(kit) and not any(kit & few == few for few in self.excluded)

    def root(self) -> ChanceNode | None:
        """Return the kit of the tools that must go, None where that breaks a rule for good."""
        kit, laid = self.must, self.laid
        if not self.allowed(kit) or self.least > self.mass_cap or kit & ~self.all:
            return None
        cases = np.arange(laid.size)
        free = self.all & ~kit & self.rules.affordable(kit)
        tools = self.rules.tools(free if self.idle is None else self.idle.beside(kit, free))
        must, bounds = self.rules.tools(kit), self.bounds
        every, times = np.append(must, tools), bounds.times_of(must, cases)
        most = bounds.weight_of(cases[bounds.served(bounds.times_of(every, cases), every, cases)])
        return ChanceNode(kit, self.least, tools, cases, times, bounds.served(times, must, cases), 0, most)

    def first_mass(self, root: ChanceNode, front: ChanceFront) -> int:
        """Return a mass that no kit asked for is below: that of the heaviest tool that some kit may end with."""
        if not len(root.tools):
            return self.least
        reached = np.flatnonzero(self.look(root, len(root.tools), far=True).upto >= front.least)
        last = int(self.laid.masses[root.tools[reached[0]]]) if len(reached) else 0
        return max(self.least + last, self.bounds.least_mass(front.least))

    def walk(self, root: ChanceNode, front: ChanceFront) -> None:
        """Meet all kits up to the limit that may count.

        Raises:
            OutOfNodes: they are too many.
        """
        self.offer(root, front)
        stack = [self.children(root, front)]
        while stack:
            child = next(stack[-1], None)
            if child is None:
                stack.pop()
            else:
                stack.append(self.children(child, front))

    def spend(self) -> None:
        """Count a kit that is looked at, or a check.

        Raises:
            OutOfNodes: there may be no more.
            Cancelled: nobody waits for it.
        """
        self.effort.heed()
        self.nodes_left -= 1
        self.looks_left -= self.limit > self.few_from
        if min(self.nodes_left, self.looks_left) < 0 or self.effort.clock() > self.deadline:
            raise OutOfNodes
        if self.nodes_left % _TOLD_EVERY == 0:
            self.tell()

    def look(self, node: ChanceNode, count: int, *, far: bool) -> ChanceLook:
        """Look at a kit with one more of its first tools, each with the lighter ones besides."""
        self.looks += 1
        if self.looks == _UNPRICED:
            self.bounds.price(self.rules.tools(self.must), effort=self.effort)
        limit = min(self.limit, self.mass_cap)
        return self.bounds.look(node, self.rules.tools(node.kit), node.tools[:count], limit, far=far)

    def children(self, node: ChanceNode, front: ChanceFront) -> Iterator[ChanceNode]:
        """Yield the kits of one tool more beyond which some may count, and take up those that do, lightest first."""
        masses = self.laid.masses[node.tools]
        count = int(np.searchsorted(masses, min(self.limit, self.mass_cap) - node.mass, side="right"))
        if not self.cut and count < len(masses):
            later = node.mass + int(masses[count])
            self.cut = later <= self.mass_cap and front.wanted(later, node.most)
        if not count:
            return
        self.spend()
        far = not self.cut and self.limit < self.mass_cap
        look, sums = self.look(node, count, far=far), node.mass + masses[:count]
        if far:
            after = front.wants(np.full(count, self.limit + 1), look.upto)
            self.cut = bool((after & (look.priced | (look.lighter < np.arange(count)))).any())
        for place in np.flatnonzero(front.wants(sums, look.beyond)).tolist():
            mass = int(sums[place])
            if not front.wanted(mass, int(look.beyond[place])):
                continue
            child = self.child(node, look, place, mass)
            if child is None:
                continue
            self.offer(child, front)
            # beyond it the kits are heavier by its lightest tool at least
            if len(child.tools) and front.wanted(
                child.mass + int(self.laid.masses[child.tools[0]]), child.gone + self.bounds.weight_of(child.cases)
            ):
                yield child

    def child(self, node: ChanceNode, look: ChanceLook, place: int, mass: int) -> ChanceNode | None:
        """Return a kit with one tool more, None where the rules between tools keep out all that lie beyond."""
        tool = int(node.tools[place])
        kit = node.kit | 1 << tool
        if not self.allowed(kit):
            return None
        tools = node.tools[: look.lighter[place]]
        if self.rules.sums_held:
            affordable = self.rules.affordable(kit)
            tools = tools[[bool(affordable >> one & 1) for one in tools.tolist()]]
        open_now, every = node.timely.copy(), len(tools)
        open_now[look.short] = look.near[:, place]
        if self.idle is not None:
            tools = self.rules.tools(self.idle.beside(kit, sum(1 << one for one in tools.tolist())))
        lacking = self.lacking(kit)
        if lacking:
            others = sum(1 << one for one in node.tools[:place].tolist())
            least = self.rules.least([one & others for one in lacking])
            if mass + least > min(self.limit, self.mass_cap):
                self.cut = self.cut or mass + least <= self.mass_cap
                return None
        cases, timely, now = node.cases[open_now], node.timely[open_now], node.times[:, open_now]
        times, carried = np.minimum(now, self.laid.times[tool][:, cases]), self.rules.tools(kit)
        timely[~timely] = self.bounds.served(times[:, ~timely], carried, cases[~timely])
        child = ChanceNode(kit, mass, tools, cases, times, timely, node.gone, int(look.upto[place]))
        if len(tools) < every:
            short = ~timely
            others = np.minimum(times[:, short], self.bounds.times_of(tools, cases[short]))
            short[short] = ~self.bounds.served(others, np.append(carried, tools), cases[short])
            child.keep(~short)
            now = now[:, ~short]
        if self.needed >> tool & 1 or bool((child.times < now).any()) or self.helps(node, place, child.cases):
            return child
        return None

    def helps(self, node: ChanceNode, place: int, cases: Ints) -> bool:
        """Tell whether a tool that saves no time may help in some cases: as a backup, or since others may wear out."""
        laid, carried = self.laid, self.rules.tools(node.kit)
        if laid.backed:
            short = self.bounds.backed_by(carried, cases) < laid.backup[:, cases]
            if (short & laid.able[node.tools[place]][:, cases]).any():
                return True
        return bool(laid.mortal[cases][:, np.append(carried, node.tools[: place + 1])].any())

    def lacking(self, kit: Mask) -> list[Mask]:
        """Return of each rule between tools that a kit breaks, and of those wanted, what it needs one more of."""
        return self.rules.lacks_for_rules(kit) + [some for some in self.wanted if not kit & some]

    def offer(self, node: ChanceNode, front: ChanceFront) -> None:
        """Take up a kit where it counts, and let cases go that it serves for sure.

        Args:
            node: the kit, its cases those that may be served by it or beyond it.
            front: what counts.
        """
        tools, good = self.rules.tools(node.kit), node.cases[node.timely]
        doubtful = ~self.laid.exact[good] | self.laid.mortal[good][:, tools].any(axis=1)
        self.serve(node, good[~doubtful])
        left = good[doubtful]

        def counts() -> bool:
            return front.wanted(node.mass, node.gone + self.bounds.weight_of(left))

        wanted = not self.lacking(node.kit) and counts()
        if wanted and len(left):
            if len(node.tools):
                self.refute(node)
                left = left[self.bounds.among(left, node.cases)]
                wanted = counts()
            if wanted and len(left):
                self.spend()
                if self.quick and self.poor:  # few are likely to be left
                    left = left[self.serves(node.kit, left, "roughly")]
                if counts():
                    held = self.serves(node.kit, left, "ruled")
                    self.poor = 2 * held.sum() < len(left)
                    self.serve(node, left[held])
                left = left[:0]
        if wanted and counts():
            found = ChanceKit(self.rules.kit(node.kit), node.mass, node.gone)
            front.take(found)
            self.meet(found)

    def serve(self, node: ChanceNode, cases: Ints) -> None:
        """Let cases go that a kit serves for sure."""
        if len(cases):
            node.gone += self.bounds.weight_of(cases)
            node.keep(~self.bounds.among(node.cases, cases))

    def refute(self, node: ChanceNode) -> None:
        """Leave out the cases of a kit that all its free tools together do not serve, since tools wear out."""
        self.spend()
        every = node.kit | sum(1 << tool for tool in node.tools.tolist())
        node.keep(self.serves(every, node.cases, "roughly"))

    def leave_hopeless(self, root: ChanceNode, front: ChanceFront) -> None:
        """Leave out the cases of the root that not even all its tools together serve, since they wear out."""
        self.spend()
        every = root.kit | sum(1 << tool for tool in root.tools.tolist())
        left = root.cases[~self.serves(self.rules.of(front.kits[-1].kit), root.cases, "ruled")]
        root.keep(~self.bounds.among(root.cases, left[~self.serves(every, left, "surely")]))
        root.most = root.gone + self.bounds.weight_of(root.cases)

    def meet(self, found: ChanceKit) -> None:
        """Keep a kit where it serves more than any no heavier."""
        if not any(one.mass <= found.mass and one.weight >= found.weight for one in self.met):
            kept = [one for one in self.met if one.mass < found.mass or one.weight > found.weight]
            self.met = sorted([*kept, found], key=lambda one: one.mass)
