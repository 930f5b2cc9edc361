"""Cases laid out for branching: tools lightest first, sets of them as whole numbers, jobs as requirements.

The cases lie along one axis: they share tools and the rules between tools, and differ in jobs, times and firewood.
Their jobs are padded to one layout, [fixed jobs, then the jobs of each class of firewood], with jobs that take no time.
"""

from bisect import bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.limit import GRAMS, MEMBERS, SUMS
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import FIXED, NEVER, Case
from solver.model.case_blocks import padded_places
from solver.model.time_price import WearShortfall

Mask = int  # a set of tools: bit i is the i-th lightest
ENDLESS = 1e15  # ms, longer than any sum of times: a job that nobody does yet
_EXACT = 2.0**53  # up to here a float holds every whole number


@dataclass(frozen=True)
class Requirement:
    """What a kit must have: so many of some tools, or instead, by a field method, one of each of its groups."""

    tools: Mask
    methods: tuple[tuple[Mask, ...], ...] = ()
    number: int = 1

    @property
    def helpers(self) -> Mask:
        """The tools of which a kit that lacks it needs one, or more that are none too few."""
        found = self.tools
        for groups in self.methods:
            for group in groups:
                found |= group
        return found

    def lacking(self, kit: Mask) -> Mask | None:
        """Return the tools of which a kit needs one more, or None where it has enough."""
        if self.number > 1:
            return self.tools & ~kit if (kit & self.tools).bit_count() < self.number else None
        if kit & self.tools:
            return None
        wanted = self.tools
        for groups in self.methods:
            missing = [group for group in groups if not kit & group]
            if not missing:
                return None
            for group in missing:
                wanted |= group
        return wanted


def bits(mask: Mask) -> Iterator[int]:
    """Return the tools of a mask, lightest first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


class BranchingData:
    """What a kit of some cases still lacks, how long its day is at least, and which rules it breaks for good."""

    def __init__(self, cases: Sequence[Case], *, timed: bool = False) -> None:
        """Lay the cases out; the rules between tools are those of the first.

        Args:
            cases: cases of the same tools.
            timed: whether days count even where no limit is set on them.
        """
        self.several = len(cases) > 1
        self.cases, self.timed = cases, timed or any(case.work_cap is not None for case in cases)
        self.case = case = cases[0]
        self.order = np.argsort(case.mass, kind="stable")
        self.rank = np.argsort(self.order, kind="stable")
        self.masses = case.mass[self.order]
        self.mass: list[int] = self.masses.tolist()
        self.width = case.tools // 8 + 1  # bytes of a mask
        gates = {id(one.groups): self.gates_of(one) for one in {id(one.groups): one for one in cases}.values()}
        self.gates = [gates[id(one.groups)] for one in cases]
        self.lay_out_rules()
        self.lay_out_jobs()
        self.lay_out_days()

    def gates_of(self, case: Case) -> dict[int, list[Mask]]:
        """Return the groups of tools of which each method of a case needs one each."""
        found: dict[int, list[Mask]] = {}
        for group in case.groups:
            if group.dependent >= case.tools:
                found.setdefault(group.dependent, []).append(self.mask(group.members))
        return found

    def lay_out_rules(self) -> None:
        """Lay out the rules between tools."""
        case = self.case
        self.companions: dict[int, list[Mask]] = {}
        for group in case.groups:
            if group.dependent < case.tools:
                members = self.mask(group.members)
                self.companions.setdefault(int(self.rank[group.dependent]), []).append(members)
        self.some_of = [self.mask(one) for one in case.some_of]
        self.one_of = [self.mask(one) for one in case.one_of]
        self.forbidden = [self.of(one) for one in case.forbidden]
        # Limit, then what each tool adds to it; the search itself holds the limit on grams.
        self.sums_held: list[tuple[int, list[int]]] = [
            (case.caps[limit.field], each(case)[self.order].tolist())
            for limit, each in SUMS
            if limit is not GRAMS and limit.field in case.caps
        ]
        self.members = case.members if MEMBERS.field in case.caps else None
        self.packed_mass: list[int] = case.packed_mass[self.order].tolist() if self.members is not None else []

    def lay_out_jobs(self) -> None:
        """Lay out who does which job: each requirement once, with the cases that ask for it."""
        asked: dict[Requirement, set[int]] = {}
        wood: dict[Requirement, set[tuple[int, int]]] = {}
        known: dict[tuple[object, ...], tuple[list[Requirement], list[tuple[Requirement, int]]]] = {}
        for e, case in enumerate(self.cases):
            can = case.work < NEVER
            figures = can, case.wood_class, case.backup, case.able if case.backup.any() else case.backup
            key = id(self.gates[e]), *(each.tobytes() for each in figures)
            if key not in known:  # most cases differ in nothing but times
                known[key] = self.asked_of(case, can, e)
            for post in known[key][0]:
                asked.setdefault(post, set()).add(e)
            for post, one in known[key][1]:
                wood.setdefault(post, set()).add((e, one))
        firewood = [case.firewood for case in self.cases if case.firewood is not None]
        self.classes = max((len(one.reach_g) for one in firewood), default=0)
        self.posts = list(asked)
        self.asks = np.ones((len(self.posts), len(self.cases)), dtype=bool)  # [U, E]
        for row, cases in enumerate(asked.values() if self.several else ()):
            self.asks[row] = False
            self.asks[row, sorted(cases)] = True
        self.wood = list(wood)
        if self.classes:
            self.lay_out_wood(list(wood.values()))

    def asked_of(self, case: Case, can: Bools, e: int) -> tuple[list[Requirement], list[tuple[Requirement, int]]]:
        """Return what a case (place e) asks of every kit by who can do its jobs, and what opens which firewood."""
        asked, wood = list[Requirement](), list[tuple[Requirement, int]]()
        for job, (one, backup) in enumerate(zip(case.wood_class.tolist(), case.backup.tolist(), strict=True)):
            if backup > 0:
                asked.append(Requirement(self.mask(case.able[job, : case.tools]), number=int(backup)))
            post = self.post(can[job], e)
            if post is not None and one == FIXED:
                asked.append(post)
            elif post is not None:
                wood.append((post, one))
        return asked, wood

    def lay_out_wood(self, opening: Sequence[Collection[tuple[int, int]]]) -> None:
        """Lay out the firewood of each case, and which of its classes each requirement opens."""
        self.opened_by = np.zeros((len(opening), len(self.cases), self.classes), dtype=bool)  # [V, E, C]
        for row, several in enumerate(opening):
            for e, one in several:
                self.opened_by[row, e, one] = True
        self.reach, self.gather = np.zeros((2, len(self.cases), self.classes))
        self.demand = np.zeros(len(self.cases))
        for e, case in enumerate(self.cases):
            if case.firewood is not None:
                size = len(case.firewood.reach_g)
                self.reach[e, :size] = [case.grams_cap(c) for c in range(size)]
                self.demand[e], self.gather[e, :size] = case.firewood.demand_g, case.firewood.gather

    def lay_out_days(self) -> None:
        """Lay out the work limits and where each job of a case stands in the padded layout."""
        self.per_ms = GRAMS_PER_KG if self.classes else 1
        self.lay_out_limits()
        self.fixed = max(len(case.fixed) for case in self.cases)
        self.in_class = 0
        if self.classes:
            counts = (np.bincount(case.wood_class[case.wood_class != FIXED], minlength=1) for case in self.cases)
            self.in_class = max(int(one.max()) for one in counts)
        self.jobs = self.fixed + self.classes * self.in_class
        alike: dict[tuple[int, bytes], list[int]] = {}  # cases of the same jobs and rules of methods
        for e, case in enumerate(self.cases):
            alike.setdefault((id(self.gates[e]), case.wood_class.tobytes()), []).append(e)
        self.alike = [
            (several, padded_places(self.cases[several[0]], self.fixed, self.classes, self.in_class))
            for several in alike.values()
        ]
        self.laid = False  # whether the times of the tools are laid out
        self.start = np.zeros((len(self.cases), self.jobs))
        self.times = np.zeros((len(self.cases), self.jobs, 0))  # [E, J, T], the least that a tool can bring to a job
        self.class_order = (np.arange(self.classes) / max(1, self.classes))[:, None, None]  # costs are whole
        self.each_case = np.arange(len(self.cases))

    def lay_out_limits(self) -> None:
        """Lay out the work limits."""
        whole = [np.inf if case.work_cap is None else float(case.work_cap * self.per_ms) for case in self.cases]
        self.day_cap = np.array([cap if cap < _EXACT else np.inf for cap in whole])

    def lay_out_times(self) -> None:
        """Lay out the times of all tools, once they are asked for."""
        if self.laid:
            return
        self.laid = True
        if not self.several and self.jobs == len(self.case.work):
            self.times, self.start = self.least_times([0], self.order)
            return
        self.times = np.zeros((len(self.cases), self.jobs, self.case.tools))
        for several, places in self.alike:
            at = np.array(several)[:, None], places
            self.times[at], self.start[at] = self.least_times(several, self.order)

    def lowest(self) -> int | None:
        """Return a mass that no kit of the only case is below [0.01 g]; None where all tools do too little, by bounds.

        The tools up to it do all the work in time, and no fewer of them.
        """
        self.lay_out_times()
        times = np.concatenate([self.start[:, :, None], self.times], axis=2)
        np.minimum.accumulate(times, axis=2, out=times)
        does = self.day(times, None)[0] <= min(self.day_cap[0], ENDLESS)
        first = int(does.argmax())
        return None if not does[first] else self.mass[first - 1] if first else 0

    def times_of(self, tools: Sequence[int]) -> Floats:
        """Return the least times of the jobs of each case by some tools together, float[E, J]."""
        if self.laid:
            together: Floats = np.minimum(self.start, self.times[:, :, tools].min(axis=2, initial=ENDLESS))
            return together
        found = np.zeros_like(self.start)
        for several, places in self.alike:
            times, start = self.least_times(several, self.order[list(tools)])
            found[np.array(several)[:, None], places] = np.minimum(start, times.min(axis=2, initial=ENDLESS))
        return found

    def least_times(self, several: Sequence[int], order: Ints) -> tuple[Floats, Floats]:
        """Return the least that tools can bring each job to, and what methods bring it to that need nothing [ms].

        Of K cases of the same jobs and rules of methods, float[K, J, T] and float[K, J].
        """
        first, work = self.cases[several[0]], np.array([self.cases[e].work for e in several])
        free = [m for m in range(first.tools, len(first.workers)) if m not in self.gates[several[0]]]
        times = np.minimum(work[:, :, order], ENDLESS).astype(float)
        for group in first.groups:
            if group.dependent >= first.tools:
                members = np.flatnonzero(group.members[order])
                times[:, :, members] = np.minimum(times[:, :, members], work[:, :, group.dependent, None])
        return times, np.minimum(work[:, :, free].min(axis=2, initial=NEVER), ENDLESS).astype(float)

    def at(self, tools: Ints) -> Floats:
        """Return the least times of tools at the jobs of each case, float[E, J, K]."""
        return self.times.take(tools, axis=2)

    def mask(self, members: Bools) -> Mask:
        """Return tools as a mask."""
        return self.packed(members[self.order])

    def packed(self, members: Bools) -> Mask:
        """Return tools as a mask, told lightest first."""
        return int.from_bytes(np.packbits(members, bitorder="little").tobytes(), "little")

    def of(self, tools: frozenset[int]) -> Mask:
        """Return tools as a mask."""
        return sum(1 << int(self.rank[tool]) for tool in tools)

    def kit(self, mask: Mask) -> frozenset[int]:
        """Return the tools of a mask by their places in the case."""
        return frozenset(self.order[list(bits(mask))].tolist())

    def light(self, room: int) -> Mask:
        """Return the tools that weigh no more than this."""
        return (1 << bisect_right(self.mass, room)) - 1

    def tools(self, mask: Mask) -> Ints:
        """Return the tools of a mask, lightest first."""
        packed = np.frombuffer(mask.to_bytes(self.width, "little"), dtype=np.uint8)
        return np.unpackbits(packed, bitorder="little").nonzero()[0]

    def relieving(self, relief: WearShortfall, others: Mask, room: int) -> Mask:
        """Return the tools of others that can lead to enough relief within a mass [0.01 g]."""
        tools = self.tools(others)
        found = np.zeros(self.case.tools, dtype=bool)
        found[tools] = relief.fits(self.order[tools], self.masses[tools], room)
        return self.packed(found)

    def post(self, can: Bools, e: int) -> Requirement | None:
        """Return a job of a case as a requirement, or None where a method that needs nothing does it."""
        gates = self.gates[e]
        methods = [self.case.tools + m for m in can[self.case.tools :].nonzero()[0].tolist()]
        if any(method not in gates for method in methods):
            return None
        return Requirement(self.mask(can[: self.case.tools]), tuple(tuple(gates[method]) for method in methods))

    def ask(self, requirement: Requirement) -> None:
        """Ask for something more in every case."""
        self.posts.append(requirement)
        self.asks = np.vstack([self.asks, np.ones((1, len(self.cases)), dtype=bool)])

    def allowed(self, kit: Mask) -> bool:
        """Tell whether a kit keeps the rules that more tools only break."""
        return (
            not any(kit & one == one for one in self.forbidden)
            and not any((kit & one).bit_count() > 1 for one in self.one_of)
            and (not self.sums_held or self.within_sums(kit))
            and (self.members is None or self.may_be_dealt(kit))
        )

    def may_be_dealt(self, kit: Mask) -> bool:
        """Tell whether the tools of a kit, and more besides, may be dealt out to the members of the party."""
        assert self.members is not None
        masses = [self.packed_mass[tool] for tool in bits(kit)]
        return self.members.may_carry(masses, more=self.case.caps[MEMBERS.field])

    def within_sums(self, kit: Mask) -> bool:
        """Tell whether a kit keeps the limits on what its tools add up to, that on grams aside."""
        tools = list(bits(kit))
        return all(sum(each[tool] for tool in tools) <= cap for cap, each in self.sums_held)

    def affordable(self, kit: Mask, one_of: Sequence[int] = ()) -> Mask:
        """Return the tools that the limits on what tools add up to leave a kit, each alone or beside one of some."""
        found = (1 << self.case.tools) - 1
        tools = list(bits(kit))
        for cap, each in self.sums_held:
            left = cap - sum(each[tool] for tool in tools) - min((each[tool] for tool in one_of), default=0)
            if left < max(each, default=0):
                found &= self.packed(np.array(each) <= left)
        return found

    def lacks_for_rules(self, kit: Mask) -> list[Mask]:
        """Return the sets of which a kit needs one more tool, a set for each rule between tools that it breaks."""
        wanted = [one for one in self.some_of if not one & kit]
        if self.companions:
            wanted += [group for tool in bits(kit) for group in self.companions.get(tool, ()) if not group & kit]
        return wanted

    def unmet(self, kit: Mask) -> list[Mask]:
        """Return of each requirement that a kit does not meet the tools of which it needs one more."""
        return [one for post in self.posts if (one := post.lacking(kit)) is not None]

    def lacks_wood(self, kit: Mask) -> Mask | None:
        """Return the tools of which one opens more firewood where a kit opens too little in the only case, or None."""
        closed = [(row, one) for row, post in enumerate(self.wood) if (one := post.lacking(kit)) is not None]
        shut = self.opened_by[[row for row, _ in closed], 0]  # [V, C]
        opened = np.add.reduce(self.reach[0] * ~np.logical_or.reduce(shut))
        if opened >= self.demand[0]:
            return None
        wanted = 0
        missing: list[bool] = np.logical_or.reduce(shut, axis=1).tolist()
        for (_, one), counts in zip(closed, missing, strict=True):
            wanted |= one if counts else 0
        return wanted

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

    def least_backed(self, kit: Mask, others: Mask) -> int:
        """Return the least mass of the tools that a kit of the only case still lacks where it asks for several."""
        return max(
            (
                self.lightest(post.tools & others, post.number - (post.tools & kit).bit_count())
                for post in self.posts
                if post.number > 1
            ),
            default=0,
        )

    def lightest(self, mask: Mask, number: int) -> int:
        """Return the least mass of so many tools of a mask; above that of all where it has too few."""
        if number <= 0:
            return 0
        masses = [self.mass[tool] for tool in islice(bits(mask), number)]
        return sum(masses) if len(masses) == number else sum(self.mass) + 1

    def day(self, times: Floats, cases: Ints | None) -> Floats:
        """Return the least time of a day in some cases, float[E, K], from those of their jobs [ms], float[E, J, K].

        In ms; with firewood in thousandths of a ms, so that it is whole: grams times ms per kilogram.
        """
        if not self.classes:
            found: Floats = np.add.reduce(times, axis=1)
            return found
        at = self.each_case if cases is None else cases
        job_first = np.ascontiguousarray(times.transpose(1, 0, 2))  # sums then run along the long axes
        reach = self.reach[at].T[:, :, None]
        shape = self.classes, self.in_class, *job_first.shape[1:]
        cost = np.add.reduce(job_first[self.fixed :].reshape(shape), axis=1)
        cost += self.gather[at].T[:, :, None]
        order = cost + self.class_order  # equal costs in the order of classes
        cheaper = np.add.reduce((order[:, None] > order) * reach, axis=1)
        cost *= np.maximum(np.minimum(self.demand[at][:, None] - cheaper, reach), 0.0)
        day: Floats = np.add.reduce(job_first[: self.fixed], axis=0) * GRAMS_PER_KG + np.add.reduce(cost, axis=0)
        return day
