"""Implicit enumeration: every kit that can be the lightest, met once, by branching on what a kit still lacks.

A kit that breaks a rule lacks a member of some set (the able tools of a job, the companions of a tool): one
of that set has to go. Each member opens a branch that carries it and leaves home the members before it, so
no kit is met twice (Balas 1965; for covers, Lemke, Salkin and Spielberg 1971). The mass allowed rises step by
step, from what the rules ask for at least, until it holds a kit (Korf 1985), so that heavy kits are never
met. Grams are whole numbers and every kit is checked by the rules themselves, so no tolerance enters.

A small case ends long before a linear program is set up. One that does not end within its nodes leaves a
bound, and perhaps a kit, for the integer program to go on from.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from time import perf_counter
from typing import Any

import numpy as np

from solver.case import FIXED, NEVER, Bools, Case, Floats, Ints, slack_ms
from solver.dual import dual_of
from solver.engine import Effort
from solver.post import Mask, Post, bits
from solver.workload import TRACE, Workload

MOST_NODES = 2_000  # judged: by then the bounds of a linear program have begun to pay
MOST_LOOKS = 48_000  # judged: at jobs, in all nodes; wide covers leave the sooner for the program
MOST_PICKED = 100  # judged: each tool picked is a call within a call, of which there may be a thousand
STEP, LONG_STEP = 1.1, 1.25  # judged: how much more mass is allowed where no kit was found
PRICED_NODES = 500  # judged: by then prices that leave most tools out have begun to pay
FEW_NODES = 16  # judged: after a search so short the step may be long
ENDLESS = 1e15  # ms, longer than any sum of times: a job that nobody does yet
ROUNDING = 1e-9  # share of a day by which a sum of times may be off

Check = Callable[[frozenset[int]], Workload | None]


@dataclass
class Enumerated:
    """What was found: the lightest kits with their work, their mass, and a proven bound [0.01 g].

    Where it is complete, no other kit is as light (or lighter, where only one was asked for). Tools that `light` does
    not tell are in no kit so light.
    """

    kits: list[tuple[frozenset[int], Workload]] = field(default_factory=list)
    mass: int | None = None
    bound: int = 0
    complete: bool = False
    light: Bools | None = None


class Late(Exception):
    """So many kits were met that a bound by prices has begun to pay."""


class OutOfNodes(Exception):
    """The enumeration has met as many kits as it may, or used its time."""


@dataclass(frozen=True)
class Node:
    """A kit on the way: its tools, those left home, its mass, the least time of each job and of the day.

    `reduced` is the mass of its tools beyond what a bound by prices counts already.
    """

    kit: Mask
    out: Mask
    mass: int
    times: Floats
    day: float
    reduced: float


@dataclass(frozen=True)
class Price:
    """The least grams that buy time: time saved [ms] and mass [0.01 g] of the best savers together."""

    saved: Floats
    mass: Floats

    def of(self, missing: Floats) -> Floats:
        """Return what missing times cost at least [0.01 g], without end where all savers together save less."""
        cost: Floats = np.interp(missing * (1 - ROUNDING), self.saved, self.mass, left=0.0, right=np.inf)
        return cost


class Enumeration:
    """One case on its way through all kits that can be the lightest."""

    def __init__(self, case: Case, check: Check, *, every: bool, near: int, effort: Effort) -> None:
        """Lay the case out, its tools lightest first.

        Args:
            case: the trip's choice as numbers.
            check: returns the day's work of a kit that keeps every rule, else None.
            every: whether all kits of the least mass are wanted.
            near: a mass that the lightest kit is thought to have [0.01 g]; a good guess saves steps.
            effort: what it may cost; never more than MOST_NODES.
        """
        self.case, self.check, self.every, self.near, self.effort = case, check, every, near, effort
        self.quiet = replace(effort, told=None)
        self.order = np.argsort(case.mass, kind="stable")
        self.rank = np.argsort(self.order, kind="stable")
        self.masses = case.mass[self.order]
        self.mass: list[int] = self.masses.tolist()
        self.width = case.tools // 8 + 1  # bytes of a mask
        self.weightless = self.light(0)
        self.limit = sum(self.mass)
        self.found = Enumerated()
        self.nodes_left = min(MOST_NODES, MOST_LOOKS // max(1, len(case.klass)), effort.nodes)
        self.most_tools = len(case.must) + MOST_PICKED
        self.deadline = perf_counter() + effort.seconds
        self.base, self.reduced = 0.0, np.zeros(case.tools)
        self.until_prices = PRICED_NODES
        self.lay_out_rules()
        self.lay_out_jobs()

    def lay_out_rules(self) -> None:
        """Lay out the rules between tools."""
        case = self.case
        self.companions: dict[int, list[Mask]] = {}
        self.gates: dict[int, list[Mask]] = {}
        for group in case.groups:
            members = self.mask(group.members)
            if group.dependent < case.tools:
                self.companions.setdefault(int(self.rank[group.dependent]), []).append(members)
            else:
                self.gates.setdefault(group.dependent, []).append(members)
        self.backups = [(self.mask(case.able[job, : case.tools]), int(n)) for job, n in enumerate(case.backup) if n > 0]
        self.some_of = [self.mask(one) for one in case.some_of]
        self.one_of = [self.mask(one) for one in case.one_of]
        self.forbidden = [self.of(one) for one in case.forbidden]
        self.prices: list[int] = case.price[self.order].tolist()

    def lay_out_jobs(self) -> None:
        """Lay out who does which job, and where the work limit counts, in what time."""
        case = self.case
        can = case.work < NEVER
        posts = [self.post(can[job]) for job in range(len(can))]
        self.fixed = [posts[job] for job in case.fixed.tolist()]
        self.classes: list[Ints] = []
        if case.firewood is not None:
            self.classes = [np.flatnonzero(case.klass == c) for c in range(len(case.firewood.reach_kg))]
        self.wood = [[posts[job] for job in jobs.tolist()] for jobs in self.classes]
        self.reach = np.array([case.kg_cap(c) for c in range(len(self.classes))])
        # [1 + C, J], the jobs that add up: of a fixed amount, and of each class of firewood
        self.sums = np.array([case.klass == c for c in (FIXED, *range(len(self.classes)))], dtype=float)
        self.day_cap = np.inf
        self.times = np.zeros((0, case.tools))  # [J, T], the least that a tool can bring to a job
        self.start = np.zeros(0)  # [J], by methods that need nothing
        if case.work_cap is not None:
            self.day_cap = (case.work_cap + slack_ms(case.work_cap)) * (1 + ROUNDING)
            times = np.minimum(case.work, ENDLESS).astype(float)
            free = [m for m in range(case.tools, len(case.workers)) if m not in self.gates]
            self.start = times[:, free].min(axis=1, initial=ENDLESS)
            self.times = times[:, self.order]
            for group in case.groups:
                if group.dependent >= case.tools:
                    members = np.flatnonzero(group.members[self.order])
                    self.times[:, members] = np.minimum(self.times[:, members], times[:, group.dependent, None])

    def mask(self, members: Bools) -> Mask:
        """Return tools as a mask."""
        return self.packed(members[self.order])

    def packed(self, members: Bools) -> Mask:
        """Return tools as a mask, told lightest first."""
        return int.from_bytes(np.packbits(members, bitorder="little").tobytes(), "little")

    def of(self, tools: frozenset[int]) -> Mask:
        """Return tools as a mask."""
        return sum(1 << int(self.rank[tool]) for tool in tools)

    def light(self, room: int) -> Mask:
        """Return the tools that weigh no more than this."""
        return (1 << bisect_right(self.mass, room)) - 1

    def tools(self, mask: Mask) -> Ints:
        """Return the tools of a mask, lightest first."""
        packed = np.frombuffer(mask.to_bytes(self.width, "little"), dtype=np.uint8)
        return np.flatnonzero(np.unpackbits(packed, bitorder="little"))

    def post(self, can: Bools) -> Post | None:
        """Return a job as a post, or None where a method that needs nothing does it."""
        methods = [self.case.tools + int(m) for m in np.flatnonzero(can[self.case.tools :])]
        if any(method not in self.gates for method in methods):
            return None
        return Post(self.mask(can[: self.case.tools]), tuple(tuple(self.gates[method]) for method in methods))

    def run(self) -> Enumerated:
        """Return the lightest kits.

        Raises:
            Abandoned: nobody waits for them.
        """
        root = self.root()
        most = self.limit if self.case.mass_cap is None else min(self.limit, self.case.mass_cap)
        wanted = self.lacks(root.kit)
        self.limit = min(most, max(1, root.mass + self.least(wanted), self.near))
        try:
            while self.allowed(root.kit):
                before = self.nodes_left
                self.meet()
                if self.found.kits or self.limit >= most:
                    break
                self.found.bound = self.limit + 1
                step = LONG_STEP if before - self.nodes_left < FEW_NODES else STEP
                self.limit = min(most, int(max(self.limit * step, self.base)) + 1)
            self.found.complete = True
        except OutOfNodes:
            self.found.bound = max(self.found.bound, int(self.base))
            self.found.light = self.can_be_light(self.found.mass or self.limit)[self.rank]
        if self.effort.told is not None:
            self.effort.told()
        return self.found

    def meet(self) -> None:
        """Meet all kits within the limit; where that takes long, anew with prices.

        Raises:
            OutOfNodes: it met too many.
        """
        try:
            self.descend(self.root())
        except Late:
            dual = dual_of(self.masses, self.times, self.day_cap, self.start, endless=ENDLESS, effort=self.quiet)
            self.base, self.reduced = dual.base, dual.reduced
            self.descend(self.root())

    def can_be_light(self, limit: int) -> Bools:
        """Tell of each tool, lightest first, whether prices leave it in a kit within a limit [0.01 g]."""
        found: Bools = (self.base + self.reduced) * (1 - ROUNDING) <= limit
        found[self.rank[list(self.case.must)]] = True
        return found

    def root(self) -> Node:
        """Return the kit of the tools that must go."""
        kit = self.of(self.case.must)
        must = list(bits(kit))
        times = np.minimum(self.start, self.times[:, must].min(axis=1, initial=ENDLESS))
        reduced = float(self.reduced[must].sum())
        out = self.packed(~self.can_be_light(self.limit))
        return Node(kit, out, sum(self.mass[tool] for tool in must), times, float(self.day(times)), reduced)

    def allowed(self, kit: Mask) -> bool:
        """Tell whether a kit keeps the rules that more tools only break."""
        cap = self.case.price_cap
        return (
            not any(kit & one == one for one in self.forbidden)
            and not any((kit & one).bit_count() > 1 for one in self.one_of)
            and (cap is None or sum(self.prices[tool] for tool in bits(kit)) <= cap)
        )

    def lacks(self, kit: Mask) -> list[Mask]:
        """Return the sets of which a kit needs one more tool, a set for each rule that it breaks."""
        lacking = [post.lacking(kit) for post in self.fixed if post is not None]
        wanted = [one for one in lacking if one is not None]
        wanted += [able & ~kit for able, number in self.backups if (able & kit).bit_count() < number]
        if self.companions:
            wanted += [group for tool in bits(kit) for group in self.companions.get(tool, ()) if not group & kit]
        wanted += [one for one in self.some_of if not one & kit]
        if self.classes:
            wanted += self.lacks_wood(kit)
        return wanted

    def lacks_wood(self, kit: Mask) -> list[Mask]:
        """Return the tools of which one opens more firewood, or none where there is enough."""
        assert self.case.firewood is not None
        kilograms, wanted = 0.0, 0
        for reach, posts in zip(self.reach.tolist(), self.wood, strict=True):
            missing = [one for one in (post.lacking(kit) for post in posts if post is not None) if one is not None]
            if not missing:
                kilograms += reach
            for one in missing:
                wanted |= one
        return [wanted] if kilograms < self.case.firewood.demand_kg - TRACE else []

    def least(self, wanted: Sequence[Mask]) -> int:
        """Return the least mass of members of all these sets: those of sets that share no tool add up."""
        total, used = 0, 0
        for one in sorted(wanted, key=int.bit_count):
            if not one:
                return sum(self.mass) + 1
            if not one & used:
                total += self.mass[(one & -one).bit_length() - 1]
                used |= one
        return total

    def descend(self, node: Node) -> None:
        """Meet a kit and all beyond it that carry nothing left home.

        Raises:
            OutOfNodes: it met too many.
            Late: it met so many that prices have begun to pay.
        """
        self.effort.go_on()
        if not self.nodes_left or node.kit.bit_count() > self.most_tools or perf_counter() > self.deadline:
            raise OutOfNodes
        self.nodes_left -= 1
        self.until_prices -= 1
        if not self.until_prices and self.case.work_cap is not None and not self.classes:
            raise Late
        others = self.light(self.limit - node.mass) & ~node.kit & ~node.out
        wanted = [one & others for one in self.lacks(node.kit)]
        if wanted:
            if node.mass + self.least(wanted) <= self.limit:
                self.branch(node, min(wanted, key=int.bit_count))
        elif node.day > self.day_cap:
            self.hasten(node, others)
        else:
            chosen = frozenset(self.order[list(bits(node.kit))].tolist())
            load = self.check(chosen)
            if load is not None:
                self.keep(chosen, load, node.mass)
            self.branch(node, others if load is None else others & self.weightless if self.every else 0)

    def keep(self, kit: frozenset[int], load: Workload, mass: int) -> None:
        """Keep a kit that is as light as any so far."""
        if self.found.mass is None or mass < self.found.mass:
            self.found.kits, self.found.mass = [], mass
        if all(kit != one for one, _ in self.found.kits):
            self.found.kits.append((kit, load))
        self.limit = mass if self.every else mass - 1

    def hasten(self, node: Node, others: Mask) -> None:
        """Meet the kits beyond one that does everything, but too slowly: one of the tools that are quicker goes.

        Without firewood, what these save adds up to no more than the sum of what each saves alone: so the time still
        missing costs at least the grams of the best savers, the last of them in part. (A saw and a maul may open a
        class of wood together that neither opens alone.)
        """
        tools = self.tools(others)
        tools = tools[(self.times[:, tools] < node.times[:, None]).any(axis=0)]
        quicker = np.zeros(self.case.tools, dtype=bool)
        quicker[tools] = True
        if self.classes or not len(tools):
            self.branch(node, self.packed(quicker))
            return
        saved = node.day - self.day(np.minimum(node.times[:, None], self.times[:, tools]))
        best = np.argsort(self.masses[tools] / saved)
        price = Price(np.append(0.0, saved[best].cumsum()), np.append(0.0, self.masses[tools[best]].cumsum()))
        self.branch(node, self.packed(quicker), price=price)

    def branch(self, node: Node, wanted: Mask, *, price: Price | None = None) -> None:
        """Meet the kits beyond one that carry a tool of those wanted, by the lightest of these that they carry.

        Args:
            node: the kit.
            wanted: tools of which one has to go.
            price: what time beyond the work limit still costs at least.
        """
        if not wanted:
            return
        tools = self.tools(wanted)
        times = np.minimum(node.times[:, None], self.times[:, tools])
        days = self.day(times)
        for place in np.flatnonzero(self.in_time(node, tools, times, days, price)).tolist():
            tool = int(tools[place])
            mass, kit = node.mass + self.mass[tool], node.kit | 1 << tool
            if mass > self.limit:
                return
            if self.allowed(kit):
                before = wanted & (1 << tool) - 1
                reduced = node.reduced + float(self.reduced[tool])
                self.descend(Node(kit, node.out | before, mass, times[:, place], float(days[place]), reduced))

    def in_time(self, node: Node, tools: Ints, times: Floats, days: Floats, price: Price | None) -> Bools:
        """Tell of each tool whether it can lead to a light kit with a day within the work limit, by bounds.

        After it, the tools that are light enough to go as well can bring each job to the least of their times.
        """
        if self.case.work_cap is None:
            return np.ones(len(tools), dtype=bool)
        room = self.limit - node.mass
        light = self.tools(self.light(room) & ~node.kit & ~node.out)
        ahead = np.minimum.accumulate(np.minimum(node.times[:, None], self.times[:, light]), axis=1)
        after = np.searchsorted(self.masses[light], room - self.masses[tools], side="right")
        best = np.where(after > 0, np.minimum(times, ahead[:, after - 1]), times)
        fit: Bools = self.day(best) <= self.day_cap
        fit &= (self.base + node.reduced + self.reduced[tools]) * (1 - ROUNDING) <= self.limit
        if price is not None:
            fit &= self.masses[tools] + price.of(days - self.day_cap) * (1 - ROUNDING) <= room
        return fit

    def day(self, times: Floats) -> Any:
        """Return the least time of a day [ms] from the least time of each job; a column each, where there are some."""
        if self.case.work_cap is None:
            return np.zeros(times.shape[1:])
        if not self.classes:
            return times.sum(axis=0)
        firewood = self.case.firewood
        assert firewood is not None
        sums = self.sums @ times
        cost = (sums[1:].T + firewood.gather).T
        reach = self.reach[cost.argsort(axis=0)]
        taken = np.maximum(np.minimum(firewood.demand_kg - (reach.cumsum(axis=0) - reach), reach), 0.0)
        return sums[0] + (taken * np.sort(cost, axis=0)).sum(axis=0)
