"""The lightest kits of many cases of the same tools side by side: kits of all cases stand as rows, met level by level.

Each row branches on what its kit still lacks, as in `search/tree.py`, and by the same bounds; here the children of a
whole level are looked at in one step. A case leaves as soon as nothing within its mass limit is left, and its limit
rises until it holds a kit. Kits that do everything in time are checked by the rules themselves.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort, Unfinished
from solver.model.case import Case
from solver.model.copies import original_of
from solver.model.reduction import kept_together
from solver.search.branching_data import ENDLESS, BranchingData, Requirement, bits
from solver.search.choice import Choice, Search, choice_of, first_met, least_mass
from solver.search.goal import Met

_MOST_ROWS = 5_000  # judged: kits met in all; by then each case fares better by itself
_MOST_EACH = 200  # judged: kits met for each case, and as many for all as fall to five
_BLOCK = 80_000  # judged: times looked at together, of rows, jobs and tools
_FEW = 2  # judged: fewer cases fare better each by itself
_FEWER = 2  # judged: tools left home in a guess
_STEP = 1.15  # judged: how much more mass is allowed next


@dataclass
class _Rows:
    """Kits on their way, N of them.

    Attributes:
        case: along the axis, int[N].
        kit: their tools, bool[N, T], the lightest tool first.
        free: the tools that may still go, bool[N, T].
        mass: what they weigh [0.01 g], int[N].
        times: the least time of each job, float[N, J].
    """

    case: Ints
    kit: Bools
    free: Bools
    mass: Ints
    times: Floats

    def of(self, rows: Bools | Ints) -> "_Rows":
        """Return some of them."""
        return _Rows(self.case[rows], self.kit[rows], self.free[rows], self.mass[rows], self.times[rows])


class _SiblingSearch:
    """Cases on their way to their lightest kits."""

    def __init__(
        self, cases: Sequence[Case], searches: Sequence[Search], near: frozenset[int], *, effort: Effort
    ) -> None:
        """Lay the cases out.

        Args:
            cases: cases of the same tools and rules between tools.
            searches: what checks their kits.
            near: a kit that the lightest of each is thought to be near, which only saves time.
            effort: what all may cost.
        """
        self.laid = laid = BranchingData(cases, timed=True)
        laid.lay_out_times()
        self.searches, self.effort = searches, effort
        self.tools = np.arange(laid.case.tools)
        whole = sum(laid.mass)
        most = [whole if case.mass_cap is None else min(case.mass_cap, whole) for case in cases]
        self.most = np.array(most, dtype=np.int64)
        self.guess = self.guessed(laid.rank[sorted(near)])
        self.limit = np.zeros_like(self.most)
        self.rise(max(1, int(cases[0].mass[sorted(near)].sum())))
        self.found = [Met() for _ in cases]
        self.left = min(_MOST_ROWS, _MOST_EACH * (len(cases) + 5))
        self.lay_out_sets()

    def guessed(self, near: Ints) -> Floats:
        """Return a mass that the lightest kit of each case is thought to have [0.01 g], float[E]; without end for none.

        The least of the kits that come of one by leaving up to two tools home and taking one besides, as far as bounds
        tell. Of several tools of one sort it does not matter which stay; what must go does not. Where the time is over
        it is the least of those looked at.
        """
        laid = self.laid
        found = np.full(len(self.most), np.inf)
        must = frozenset(laid.rank[sorted(laid.case.must)].tolist())
        sort = {tool: original_of(laid.case.ids[laid.order[tool]]) for tool in near.tolist() if tool not in must}
        for fewer in range(min(_FEWER, len(sort)) + 1):
            homes = {tuple(sorted(sort[tool] for tool in home)): home for home in combinations(sort, fewer)}
            for home in homes.values():
                if self.effort.spent():
                    return found
                kept = [tool for tool in near.tolist() if tool not in home]
                times = np.minimum(laid.times_of(kept)[:, :, None], laid.times)
                does = laid.day(times, None) <= np.minimum(laid.day_cap, ENDLESS)[:, None]  # [E, T]
                masses = int(laid.masses[kept].sum()) + np.where(np.isin(self.tools, kept), 0, laid.masses)
                found = np.minimum(found, np.where(does, masses, np.inf).min(axis=1))
        return found

    def rise(self, least: Ints | int) -> None:
        """Let kits up to a mass count, and some more, or up to what is guessed if that is less [0.01 g].

        Args:
            least: what counts at least, of each case or of all.
        """
        guess = np.where(self.guess < least, np.inf, self.guess)
        self.limit = np.minimum(self.most, np.minimum(guess, np.multiply(least, _STEP)).astype(np.int64))

    def lay_out_sets(self) -> None:
        """Lay out what kits may lack as sets of tools: for each job, each companion rule, each way to open firewood."""
        laid = self.laid
        self.groups = sorted({group for post in [*laid.posts, *laid.wood] for one in post.methods for group in one})
        companions = [(tool, group) for tool, groups in laid.companions.items() for group in groups]
        self.dependent = np.array([tool for tool, _ in companions], dtype=np.int64)
        self.group_of = self.members(self.groups)
        self.tools_of = self.members([post.tools for post in laid.posts])
        self.some_of = self.members(laid.some_of)
        self.weightless = laid.masses == 0
        self.wood_of = self.members([post.tools for post in laid.wood])
        self.companion_of = self.members([group for _, group in companions])
        self.post_sets = self.members([post.helpers for post in laid.posts])
        self.wood_sets = self.members([post.helpers for post in laid.wood])
        self.sets = np.concatenate([self.post_sets, self.companion_of, self.some_of])

    def members(self, masks: Sequence[int]) -> Floats:
        """Return sets of tools as rows of 0 and 1, float[S, T]."""
        found = np.zeros((len(masks), self.laid.case.tools))
        for row, mask in zip(found, masks, strict=True):
            row[list(bits(mask))] = 1.0
        return found

    def run(self) -> list[bool]:
        """Return of each case whether all its kits that can count were met.

        Raises:
            Cancelled: nobody waits for them.
        """
        open_cases = np.arange(len(self.most))
        ended = np.zeros(len(self.most), dtype=bool)
        try:
            while len(open_cases):
                self.meet(open_cases)
                settled = np.array([met.mass is not None for met in self.found]) | (self.limit >= self.most)
                ended[open_cases] = settled[open_cases]
                open_cases = open_cases[~settled[open_cases]]
                limit = self.limit
                self.rise(self.limit + 1)
                self.limit = np.where(settled, limit, self.limit)
        except (_TooManyRows, Unfinished):
            pass
        if self.effort.on_solve is not None:
            self.effort.on_solve()
        return [bool(one) for one in ended]

    def meet(self, cases: Ints) -> None:
        """Meet all kits of some cases within their limits.

        Raises:
            _TooManyRows: there are too many.
            Unfinished: the effort ran out.
        """
        laid, tools = self.laid, self.laid.case.tools
        must = laid.rank[sorted(laid.case.must)]
        kit = np.zeros((len(cases), tools), dtype=bool)
        kit[:, must] = True
        mass = np.full(len(cases), laid.masses[must].sum())
        rows = _Rows(cases, kit, ~kit, mass, laid.times_of(must.tolist())[cases])
        rows = rows.of(self.allowed(rows.kit))
        while len(rows.case):
            self.effort.go_on()
            self.left -= len(rows.case)
            if self.left < 0:
                raise _TooManyRows
            rows = rows.of(rows.mass <= self.limit[rows.case])
            rows, wanted = self.wanted(rows)
            size = max(1, _BLOCK // max(1, tools * self.laid.jobs))
            children = [
                self.children(rows.of(np.arange(at, min(at + size, len(wanted)))), wanted[at : at + size])
                for at in range(0, len(wanted), size)
            ]
            rows = _joined(children) if children else rows.of(np.zeros(0, dtype=np.int64))

    def wanted(self, rows: _Rows) -> tuple[_Rows, Bools]:
        """Return the kits that need more, with the tools of which each needs one; those that need none are found."""
        laid, kits = self.laid, rows.kit.astype(float)
        hit = kits @ self.group_of.T > 0
        lacks = np.concatenate(
            [
                self.lacking(laid.posts, kits @ self.tools_of.T, hit) & laid.asks[:, rows.case].T,
                rows.kit[:, self.dependent] & (kits @ self.companion_of.T == 0),
                kits @ self.some_of.T == 0,
            ],
            axis=1,
        )
        options = rows.free.astype(float) @ self.sets.T
        some: Bools = np.asarray(lacks.any(axis=1))
        wanted = np.zeros_like(rows.kit)
        if some.any():
            tightest = np.where(lacks, options, np.inf)[some].argmin(axis=1)
            wanted[some] = self.sets[tightest] > 0
            wanted[(lacks & (options == 0)).any(axis=1)] = False
        rest = np.flatnonzero(~some)
        if laid.classes and len(rest):
            closed = self.lacking(laid.wood, kits[rest] @ self.wood_of.T, hit[rest])
            shuts = closed[:, :, None] & laid.opened_by[:, rows.case[rest]].transpose(1, 0, 2)  # [N, V, C]
            opened = (laid.reach[rows.case[rest]] * ~shuts.any(axis=1)).sum(axis=1)
            short = opened < laid.demand[rows.case[rest]]
            wanted[rest[short]] = shuts[short].any(axis=2).astype(float) @ self.wood_sets > 0
            rest = rest[~short]
        if len(rest):
            days = laid.day(rows.times[rest][:, :, None], rows.case[rest])[:, 0]
            in_time = days <= laid.day_cap[rows.case[rest]]
            late = rest[~in_time]
            at = laid.times[rows.case[late]]
            wanted[late] = (at < rows.times[late][:, :, None]).any(axis=1)
            self.check(rows, rest[in_time], wanted)
        wanted &= rows.free
        going: Bools = np.asarray(wanted.any(axis=1))
        return rows.of(going), wanted[going]

    def lacking(self, posts: Sequence[Requirement], held: Floats, hit: Bools) -> Bools:
        """Tell which requirements kits do not meet, bool[N, U].

        Args:
            posts: the requirements.
            held: how many tools of each a kit has, float[N, U].
            hit: whether a kit has a tool of each group that methods need, bool[N, G].
        """
        lacks = held < [post.number for post in posts]
        for place, post in enumerate(posts):
            for groups in post.methods:
                lacks[:, place] &= ~hit[:, [self.groups.index(group) for group in groups]].all(axis=1)
        return lacks

    def check(self, rows: _Rows, ready: Ints, wanted: Bools) -> None:
        """Keep the kits that keep every rule, the lightest first; those that don't last want any other tool."""
        for row in ready[np.argsort(rows.mass[ready], kind="stable")].tolist():
            case, mass = int(rows.case[row]), int(rows.mass[row])
            if mass > self.limit[case]:
                continue
            kit = frozenset(self.laid.order[np.flatnonzero(rows.kit[row])].tolist())
            load = self.searches[case].checked(kit)
            if load is None:
                wanted[row] = True
                relief = self.searches[case].relief(kit)
                if relief is not None:
                    others = self.laid.packed(rows.free[row])
                    relieving = self.laid.relieving(relief, others, int(self.limit[case]) - mass)
                    wanted[row] = self.members([relieving])[0] > 0
            else:
                self.found[case].keep(kit, load, mass)
                self.limit[case] = mass
                wanted[row] = self.weightless

    def children(self, rows: _Rows, wanted: Bools) -> _Rows:
        """Return the kits with one more of the tools wanted that bounds let go on.

        A later child of a kit does without those of the earlier. After a child the tools that are light enough to go
        as well can bring each job to the least of their times.
        """
        laid = self.laid
        room = (self.limit[rows.case] - rows.mass)[:, None] - laid.masses  # [N, T]
        wanted &= room >= 0
        used = np.flatnonzero((rows.free & (room >= 0)).any(axis=0))
        at = laid.times[rows.case[:, None, None], laid.each_job, used]  # [N, J, K]
        free = rows.free[:, None, used]
        ahead = np.concatenate([rows.times[:, :, None], np.where(free, at, np.inf)], axis=2)
        np.minimum.accumulate(ahead, axis=2, out=ahead)
        row, place = np.nonzero(wanted[:, used])
        tool = used[place]
        times = np.minimum(rows.times[row], at[row, :, place])  # [M, J]
        after = np.searchsorted(laid.masses[used], room[row, tool], side="right")
        best = np.minimum(times, ahead[row, :, after])
        days = laid.day(best[:, :, None], rows.case[row])[:, 0]
        fit = days <= laid.day_cap[rows.case[row]]
        row, tool, times = row[fit], tool[fit], times[fit]
        kit = rows.kit[row]
        kit[np.arange(len(row)), tool] = True
        before = self.tools <= tool[:, None]
        free_after = rows.free[row] & ~(wanted[row] & before)
        found = _Rows(rows.case[row], kit, free_after, rows.mass[row] + laid.masses[tool], times)
        return found.of(self.allowed(kit))

    def allowed(self, kits: Bools) -> Bools:
        """Tell which kits keep the rules that more tools only break, bool[N]."""
        laid = self.laid
        kept = np.ones(len(kits), dtype=bool)
        for one in laid.forbidden:
            kept &= ~kits[:, list(bits(one))].all(axis=1)
        for one in laid.one_of:
            kept &= kits[:, list(bits(one))].sum(axis=1) <= 1
        for cap, each in laid.sums_held:
            kept &= kits @ np.array(each) <= cap
        if laid.members is not None:
            for row in np.flatnonzero(kept).tolist():
                kept[row] = laid.may_be_dealt(laid.packed(kits[row]))
        return kept


class _TooManyRows(Exception):
    """So many kits were met that each case fares better by itself."""


def _joined(several: Sequence[_Rows]) -> _Rows:
    """Return rows one after the other."""
    return _Rows(
        *(np.concatenate([getattr(one, name) for one in several]) for name in ("case", "kit", "free", "mass", "times"))
    )


def lightest_of(cases: Sequence[Case], near: Sequence[str], *, effort: Effort) -> list[Choice | None]:
    """Return the lightest kit of each of some cases, or None for one that is not settled so.

    Args:
        cases: cases of the same tools and rules between tools.
        near: the kit that the lightest of each is thought to be near, which only saves time.
        effort: what all may cost.

    Raises:
        Cancelled: nobody waits for them.
    """
    searches = [Search(case, effort=effort, solver=None) for case in cases]
    there = cases[0].place
    walk = _SiblingSearch(cases, searches, frozenset(there[name] for name in near if name in there), effort=effort)
    ended = walk.run()
    return [
        choice_of(case, search, first_met(met), "mass", prover="enumeration") if over else None
        for case, search, met, over in zip(cases, searches, walk.found, ended, strict=True)
    ]


def least_masses(
    cases: Sequence[Case], near: Sequence[str], mass: int, *, effort: Effort, reduced: bool
) -> list[int | None]:
    """Return the mass of the lightest kit of each of some cases [0.01 g], None where there is no kit.

    Args:
        cases: cases of the same tools and rules between tools.
        near: the kit that the lightest of each is thought to be near, which only saves time.
        mass: what it weighs [0.01 g].
        effort: what each may cost.
        reduced: whether no tool need be set aside.

    Raises:
        Unfinished: the effort ran out.
    """
    if len(cases) < _FEW:
        return [least_mass(case, effort=effort, near=mass, reduced=not reduced) for case in cases]
    kept = None if reduced else kept_together(cases)
    small = cases if kept is None else [case.keep(kept) for case in cases]
    found = lightest_of(small, near, effort=effort)
    return [
        least_mass(case, effort=effort, near=mass, reduced=False)
        if one is None
        else None
        if one.ids is None
        else one.mass
        for case, one in zip(small, found, strict=True)
    ]
