"""A case laid out for branching: tools lightest first, sets of them as whole numbers, jobs as posts to fill."""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import islice
from typing import Any

import numpy as np

from catalog.tables.number import Floats
from solver.forms.limit import GRAMS, MEMBERS, SUMS
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import FIXED, NEVER, Bools, Case, Ints
from solver.model.time_price import ROUNDING, WearShortfall
from solver.search.requirement import Mask, Requirement, bits

ENDLESS = 1e15  # ms, longer than any sum of times: a job that nobody does yet


class BranchingData:
    """What a kit of a case still lacks, how long its day is at least, and which rules it breaks for good."""

    def __init__(self, case: Case) -> None:
        """Lay a case out."""
        self.case = case
        self.order = np.argsort(case.mass, kind="stable")
        self.rank = np.argsort(self.order, kind="stable")
        self.masses = case.mass[self.order]
        self.mass: list[int] = self.masses.tolist()
        self.width = case.tools // 8 + 1  # bytes of a mask
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
        # Limit, then what each tool adds to it; the search itself holds the limit on grams.
        self.sums_held: list[tuple[int, list[int]]] = [
            (case.caps[limit.field], each(case)[self.order].tolist())
            for limit, each in SUMS
            if limit is not GRAMS and limit.field in case.caps
        ]

        self.members = case.members if MEMBERS.field in case.caps else None
        self.packed_mass: list[int] = case.packed_mass[self.order].tolist() if self.members is not None else []

    def lay_out_jobs(self) -> None:
        """Lay out who does which job, and where the work limit counts, in what time."""
        case = self.case
        can = case.work < NEVER
        posts = [self.post(can[job]) for job in range(len(can))]
        self.fixed = [posts[job] for job in case.fixed.tolist()]
        self.classes: list[Ints] = []
        if case.firewood is not None:
            self.classes = [np.flatnonzero(case.wood_class == c) for c in range(len(case.firewood.reach_g))]
        self.wood = [[posts[job] for job in jobs.tolist()] for jobs in self.classes]
        self.reach = np.array([case.grams_cap(c) for c in range(len(self.classes))], dtype=np.int64)
        # [1 + C, J], the jobs that add up: of a fixed amount, and of each class of firewood
        self.sums = np.array([case.wood_class == c for c in (FIXED, *range(len(self.classes)))], dtype=float)
        self.day_cap = np.inf
        self.times = np.zeros((0, case.tools))  # [J, T], the least that a tool can bring to a job
        self.start = np.zeros(0)  # [J], by methods that need nothing
        if case.work_cap is not None:
            self.day_cap = case.work_cap * (1 + ROUNDING)
            self.times, self.start = self.least_times(case.work)

    def least_times(self, work: Ints) -> tuple[Floats, Floats]:
        """Return the least that each tool can bring a job to, and what methods bring it to that need nothing [ms].

        Args:
            work: of the case laid out, or of one of the same tools and rules.
        """
        case, least = self.case, np.minimum(work, ENDLESS).astype(float)
        free = [m for m in range(case.tools, len(case.workers)) if m not in self.gates]
        times = least[:, self.order]
        for group in case.groups:
            if group.dependent >= case.tools:
                members = np.flatnonzero(group.members[self.order])
                times[:, members] = np.minimum(times[:, members], least[:, group.dependent, None])
        return times, least[:, free].min(axis=1, initial=ENDLESS)

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
        return np.unpackbits(packed, bitorder="little").nonzero()[0]

    def relieving(self, relief: WearShortfall, others: Mask, room: int, kept: Ints | None = None) -> Mask:
        """Return the tools of others that can lead to enough relief within a mass [0.01 g].

        Args:
            relief: what is lacking, told of the tools of the case, or of more of which `kept` are those of the case.
            others: the tools that could go too.
            room: the mass that is left.
            kept: the place of each tool of the case among those of the relief.
        """
        tools = self.tools(others)
        place = self.order[tools] if kept is None else kept[self.order[tools]]
        found = np.zeros(self.case.tools, dtype=bool)
        found[tools] = relief.fits(place, self.masses[tools], room)
        return self.packed(found)

    def post(self, can: Bools) -> Requirement | None:
        """Return a job as a post, or None where a method that needs nothing does it."""
        methods = [self.case.tools + m for m in can[self.case.tools :].nonzero()[0].tolist()]
        if any(method not in self.gates for method in methods):
            return None
        return Requirement(self.mask(can[: self.case.tools]), tuple(tuple(self.gates[method]) for method in methods))

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

    def lacks(self, kit: Mask) -> list[Mask]:
        """Return the sets of which a kit needs one more tool, a set for each rule that it breaks."""
        return self.lacks_for_rules(kit) + (self.lacks_wood(kit) if self.classes else [])

    def lacks_for_rules(self, kit: Mask) -> list[Mask]:
        """Return the sets of which a kit needs one more tool, whatever firewood it opens."""
        lacking = [post.lacking(kit) for post in self.fixed if post is not None]
        wanted = [one for one in lacking if one is not None]
        wanted += [able & ~kit for able, number in self.backups if (able & kit).bit_count() < number]
        if self.companions:
            wanted += [group for tool in bits(kit) for group in self.companions.get(tool, ()) if not group & kit]
        return wanted + [one for one in self.some_of if not one & kit]

    def lacks_wood(self, kit: Mask) -> list[Mask]:
        """Return the tools of which one opens more firewood, or none where there is enough."""
        assert self.case.firewood is not None
        opened, wanted = self.opens(kit)
        return [wanted] if opened @ self.reach < self.case.firewood.demand_g else []

    def opens(self, kit: Mask) -> tuple[Bools, Mask]:
        """Tell which classes of firewood a kit opens, and return the tools of which one opens more."""
        opened, wanted = [], 0
        for posts in self.wood:
            lacking = [post.lacking(kit) for post in posts if post is not None]
            missing = [one for one in lacking if one is not None]
            opened.append(not missing)
            for one in missing:
                wanted |= one
        return np.array(opened), wanted

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
        """Return the least mass of the tools that a kit still lacks where a need asks for several."""
        return max((self.lightest(able & others, n - (able & kit).bit_count()) for able, n in self.backups), default=0)

    def lightest(self, mask: Mask, number: int) -> int:
        """Return the least mass of so many tools of a mask; above that of all where it has too few."""
        if number <= 0:
            return 0
        masses = [self.mass[tool] for tool in islice(bits(mask), number)]
        return sum(masses) if len(masses) == number else sum(self.mass) + 1

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
        taken = np.maximum(np.minimum(firewood.demand_g - (reach.cumsum(axis=0) - reach), reach), 0)
        return sums[0] + (taken / GRAMS_PER_KG * np.sort(cost, axis=0)).sum(axis=0)
