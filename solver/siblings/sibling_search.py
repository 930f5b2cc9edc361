"""The lightest kits of many cases of the same tools side by side: kits of all cases stand as rows, met level by level.

Each row branches on what its kit still lacks, as in `search/tree.py`, and by the same bounds; here the children of a
whole level are looked at in one step. A case leaves as soon as nothing within its mass limit is left, and its limit
rises until it holds a kit. Kits that do everything in time are checked by the rules themselves.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isqrt

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort, Unfinished
from solver.model.case import Case
from solver.model.case_blocks import kept_alike
from solver.model.reduction import kept_together
from solver.search.branching_data import BranchingData, bits
from solver.search.choice import Choice, Found, Search, first_met, least_mass
from solver.search.goal import Met
from solver.siblings.lacked_sets import LackedSets

_MOST_ROWS = 5_000  # judged: kits met in all; by then each case fares better by itself
_MOST_EACH = 200  # judged: kits met for each case, and as many for all as fall to five
_BLOCK = 80_000  # judged: times looked at together, of rows, jobs and tools
_FEW = 2  # judged: fewer cases fare better each by itself
_MOST_TIMES = 5_000_000  # judged: times of all cases that are searched at once, some 150 MB with all else
_MOST_CELLS = 50_000_000  # judged: of the kits looked at next, a byte or two each
_AT_ONCE = 20_000  # judged: times looked at at once, where fewer calls gain more than more figures cost
_STEP = 1.3  # judged: how much more mass is allowed next


@dataclass
class _Rows:
    """Kits on their way, N of them.

    Attributes:
        case: along the axis, int[N].
        kit: their tools, bool[N, T], the lightest tool first.
        free: the tools that may still go, bool[N, T].
        mass: what they weigh [0.01 g], int[N].
        times: the least time of each job, float[N, J].
        late: whether they do everything, but too slowly, bool[N].
    """

    case: Ints
    kit: Bools
    free: Bools
    mass: Ints
    times: Floats
    late: Bools

    def of(self, rows: Bools | Ints) -> "_Rows":
        """Return some of them."""
        return _Rows(
            self.case[rows], self.kit[rows], self.free[rows], self.mass[rows], self.times[rows], self.late[rows]
        )


class _SiblingSearch:
    """Cases on their way to their lightest kits."""

    def __init__(self, cases: Sequence[Case], searches: Sequence[Search], near: int, *, effort: Effort) -> None:
        """Lay the cases out.

        Args:
            cases: cases of the same tools and rules between tools.
            searches: what checks their kits.
            near: a mass that their lightest kits are thought to have [0.01 g], which only saves time.
            effort: what all may cost.
        """
        self.laid = laid = BranchingData(cases, timed=True)
        laid.lay_out_times()
        self.alone = np.ascontiguousarray(laid.times.transpose(0, 2, 1))  # [E, T, J]
        none = np.full((len(cases), 1, laid.jobs), np.inf)
        self.lighter = np.minimum.accumulate(np.concatenate([none, self.alone], axis=1), axis=1)
        self.parts = max(1, isqrt(laid.case.tools + 1))
        self.coarse = np.ascontiguousarray(self.lighter[:, :: self.parts].transpose(0, 2, 1))  # [E, J, K]
        self.searches, self.effort = searches, effort
        self.tools = np.arange(laid.case.tools)
        whole = sum(laid.mass)
        most = [whole if case.mass_cap is None else min(case.mass_cap, whole) for case in cases]
        self.most = np.array(most, dtype=np.int64)
        self.found = [Met() for _ in cases]
        self.left = min(_MOST_ROWS, _MOST_EACH * (len(cases) + 5))
        self.rules, self.weightless = LackedSets(laid), laid.masses == 0
        self.lowest = self.lowest_masses()
        self.limit = np.zeros_like(self.most)
        self.rise(max(1, near))

    def lowest_masses(self) -> Floats:
        """Return a mass that no kit of each case is below [0.01 g], float[E]; without end where no tools do enough.

        The tools up to it do all the work in time, as far as bounds tell, and no fewer of them.
        """
        start, cases = self.laid.start, np.arange(len(self.most))
        every = np.full(len(cases), len(self.tools))
        does = self.in_time(np.minimum(start, self.lighter[:, -1]), cases)
        heaviest = np.append(0, self.laid.masses)[self.enough(start, cases, every)]
        return np.where(does, heaviest, np.inf)

    def enough(self, times: Floats, cases: Ints, most: Ints) -> Ints:
        """Return how many of the lightest tools make a day in time with some times of jobs, int[N]; else the most.

        Args:
            times: of kits, float[N, J].
            cases: of each kit the place of its case, int[N].
            most: tools that are light enough, int[N].
        """
        if times.size * self.parts <= _AT_ONCE:
            return self.enough_at_once(times, cases, most)
        low, high = np.zeros_like(most), most
        while (low < high).any():
            middle = (low + high) // 2
            does = self.in_time(np.minimum(times, self.lighter[cases, middle]), cases)
            low, high = np.where(does, low, np.minimum(middle + 1, high)), np.where(does, middle, high)
        return low

    def enough_at_once(self, times: Floats, cases: Ints, most: Ints) -> Ints:
        """Return what `enough` does, by looking at many numbers of tools at once: few calls, more figures."""
        found, caps = times[:, :, None], self.laid.day_cap[cases, None]
        coarse = self.laid.day(np.minimum(found, self.coarse[cases]), cases) <= caps
        low = self.parts * (~coarse[:, 1:]).sum(axis=1)  # none of these numbers does, up to the last of them
        near = np.minimum(low[:, None] + np.arange(1, self.parts), len(self.tools))
        fine = self.lighter[cases[:, None], near].transpose(0, 2, 1)
        more = 1 + (self.laid.day(np.minimum(found, fine), cases) > caps).sum(axis=1)
        return np.minimum(np.where(coarse[:, 0], 0, low + more), most)

    def rise(self, least: Ints | int) -> None:
        """Let kits up to a mass count, and some more [0.01 g]; of each case or of all."""
        limit = np.maximum(np.multiply(least, _STEP), np.minimum(self.lowest, self.most))
        self.limit = np.minimum(self.most, limit).astype(np.int64)

    def run(self) -> list[bool]:
        """Return of each case whether all its kits that can count were met.

        Raises:
            Cancelled: nobody waits for them.
        """
        ended = self.lowest > self.most
        open_cases = (~ended).nonzero()[0]
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
        rows = _Rows(cases, kit, ~kit, mass, laid.times_of(must.tolist())[cases], np.zeros(len(cases), dtype=bool))
        rows = rows.of(self.allowed(rows.kit))
        while len(rows.case):
            self.effort.go_on()
            self.left -= len(rows.case)
            if self.left < 0:
                raise _TooManyRows
            rows = rows.of(rows.mass <= self.limit[rows.case])
            rows, wanted = self.wanted(rows)
            if int(wanted.sum()) * tools > _MOST_CELLS:
                raise _TooManyRows
            size = max(1, _BLOCK // max(1, tools * self.laid.jobs))
            children = [
                self.children(rows.of(np.arange(at, min(at + size, len(wanted)))), wanted[at : at + size])
                for at in range(0, len(wanted), size)
            ]
            rows = _joined(children) if children else rows.of(np.zeros(0, dtype=np.int64))

    def wanted(self, rows: _Rows) -> tuple[_Rows, Bools]:
        """Return the kits that need more, with the tools of which each needs one; those that need none are found."""
        laid, limit = self.laid, self.limit[rows.case]
        may = rows.free & (laid.masses <= (limit - rows.mass)[:, None])
        wanted, lacking = self.rules.wanted(rows.kit, rows.case, may, limit - rows.mass)
        rest = (~lacking).nonzero()[0]
        if len(rest):
            days = laid.day(rows.times[rest][:, :, None], rows.case[rest])[:, 0]
            in_time = days <= laid.day_cap[rows.case[rest]]
            late = rest[~in_time]
            wanted[late] = True
            rows.late[late] = True
            self.check(rows, rest[in_time], wanted)
        wanted &= may
        self.narrow(rows, wanted, may, limit - rows.mass)
        going: Bools = np.asarray(wanted.any(axis=1))
        return rows.of(going), wanted[going]

    def narrow(self, rows: _Rows, wanted: Bools, may: Bools, room: Ints) -> None:
        """Want instead one of the heavy tools where all lighter ones together do too little, and these are fewer.

        Args:
            rows: kits.
            wanted: the tools of which each needs one, changed in place, bool[N, T].
            may: the tools that may still go, bool[N, T].
            room: what they may weigh together [0.01 g], int[N].
        """
        going = np.flatnonzero(wanted.sum(axis=1) > 1)
        if not len(going):
            return
        low = self.enough(rows.times[going], rows.case[going], self.within(room[going]))
        heavy = may[going] & (self.tools >= low[:, None] - 1)
        fewer = heavy.sum(axis=1) < wanted[going].sum(axis=1)
        wanted[going[fewer]] = heavy[fewer]

    def check(self, rows: _Rows, ready: Ints, wanted: Bools) -> None:
        """Keep the kits that keep every rule, the lightest first; those that don't last want any other tool.

        Raises:
            Unfinished: the effort ran out.
        """
        for row in ready[np.argsort(rows.mass[ready], kind="stable")].tolist():
            case, mass = int(rows.case[row]), int(rows.mass[row])
            if mass > self.limit[case]:
                continue
            self.effort.go_on()
            kit = frozenset(self.laid.order[np.flatnonzero(rows.kit[row])].tolist())
            load = self.searches[case].checked(kit)
            if load is None:
                wanted[row] = True
                relief = self.searches[case].relief(kit)
                if relief is not None:
                    others = self.laid.packed(rows.free[row])
                    relieving = self.laid.relieving(relief, others, int(self.limit[case]) - mass)
                    wanted[row] = self.rules.members([relieving])[0]
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
        row, tool = np.nonzero(wanted & (room >= 0))
        now = rows.times[row]  # [M, J]
        times = np.minimum(now, self.alone[rows.case[row], tool])
        quick = ~rows.late[row] | (times < now).any(axis=1)
        if not quick.all():
            wanted[row[~quick], tool[~quick]] = False
            row, tool, times = row[quick], tool[quick], times[quick]
        cases = rows.case[row]
        fit = self.in_time(np.minimum(times, self.lighter[cases, self.within(room[row, tool])]), cases)
        row, tool, times = row[fit], tool[fit], times[fit]
        kit = rows.kit[row]
        kit[np.arange(len(row)), tool] = True
        before = self.tools <= tool[:, None]
        free_after = rows.free[row] & ~(wanted[row] & before)
        found = _Rows(
            rows.case[row], kit, free_after, rows.mass[row] + laid.masses[tool], times, np.zeros(len(row), dtype=bool)
        )
        return found.of(self.allowed(kit))

    def within(self, room: Ints) -> Ints:
        """Return how many tools are no heavier than some masses."""
        return np.searchsorted(self.laid.masses, room, side="right")

    def in_time(self, times: Floats, cases: Ints) -> Bools:
        """Tell of some times of jobs, float[M, J], whether they make a day within the limit of their cases."""
        return np.asarray(self.laid.day(times[:, :, None], cases)[:, 0] <= self.laid.day_cap[cases])

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
        *(
            np.concatenate([getattr(one, name) for one in several])
            for name in ("case", "kit", "free", "mass", "times", "late")
        )
    )


def lightest_of(cases: Sequence[Case], near: int, *, effort: Effort) -> list[Choice | None]:
    """Return the lightest kit of each of some cases, or None for one that is not settled so.

    Args:
        cases: cases of the same tools and rules between tools.
        near: a mass that their lightest kits are thought to have [0.01 g], which only saves time.
        effort: what all may cost.

    Raises:
        Cancelled: nobody waits for them.
    """
    searches = [Search(case, effort=effort, solver=None) for case in cases]
    for search in searches:
        search.prices = searches[0].prices
    walk = _SiblingSearch(cases, searches, near, effort=effort)
    ended = walk.run()
    return [
        _outcome(case, first_met(met)) if over else None
        for case, met, over in zip(cases, walk.found, ended, strict=True)
    ]


def _outcome(case: Case, found: Found) -> Choice:
    """Return the outcome of a case, of whose aims nobody asks for more than the mass."""
    ids = None if found.kit is None else tuple(sorted(case.ids[tool] for tool in found.kit))
    mass = found.bound or 0
    bound = None if ids is None else mass
    return Choice(found.status, ids, mass, mass, bound, case.tools, 0, 0, prover="enumeration")


def least_masses(cases: Sequence[Case], near: int, *, effort: Effort, reduced: bool) -> list[int | None]:
    """Return the mass of the lightest kit of each of some cases [0.01 g], None where there is no kit.

    Args:
        cases: cases of the same tools and rules between tools.
        near: a mass that their lightest kits are thought to have [0.01 g], which only saves time.
        effort: what each may cost.
        reduced: whether no tool need be set aside.

    Raises:
        Unfinished: the effort ran out.
    """
    if len(cases) < _FEW:
        return [least_mass(case, effort=effort, near=near, reduced=not reduced) for case in cases]
    kept = None if reduced else kept_together(cases)
    small = cases if kept is None else kept_alike(cases, kept)
    size = max(1, _MOST_TIMES // max(1, max(case.work.size for case in small)))
    blocks = [lightest_of(small[at : at + size], near, effort=effort) for at in range(0, len(small), size)]
    found = [one for block in blocks for one in block]
    return [
        least_mass(case, effort=effort, near=near, reduced=False)
        if one is None
        else None
        if one.ids is None
        else one.mass
        for case, one in zip(small, found, strict=True)
    ]
