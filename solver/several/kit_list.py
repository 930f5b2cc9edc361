"""Every kit of a trip that counts up to a limit, many at a time: a kit branches on what it still lacks.

A kit of which fewer tools do is not wanted, so a kit that keeps every rule is not enlarged. Kits stand as rows of one
array, and each step makes all their children, those of some thousand kits at once.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from catalog.tables.number import Bools, Ints
from solver.forms.effort import Effort
from solver.forms.limit import MEMBERS
from solver.model.case import NEVER, Case
from solver.search.choice import Search

_MOST_KITS = 60_000  # judged: kits on their way or told; more are too many to weigh against each other
_MOST_LOOKS = 3_000  # judged: days that are worked out kit by kit
_MOST_CELLS = 20_000_000  # judged: kits of one step by tools
_CELLS_AT_ONCE = 500_000  # judged: kits by tools between two looks at the clock, 4 MB in an array


@dataclass(frozen=True)
class Within:
    """What a kit may count: a figure of each tool and the most they add up to, and how many tools from outside.

    Attributes:
        figure: of each tool, whole numbers of any size.
        most: the largest sum of figures that counts.
        outside: tools that are limited in number and price.
        number: how many of them a kit may hold; None = any.
        money: what they may cost together [0.01]; None = any.
    """

    figure: Ints
    most: int
    outside: Bools
    number: int | None = None
    money: int | None = None


@dataclass
class _Rows:
    """Kits on their way: tools, tools that may still go, and what they count."""

    kit: Bools  # [n, T]
    free: Bools  # [n, T]
    sum: Ints  # [n]

    def take(self, rows: Bools | Ints | slice) -> "_Rows":
        """Return some of them."""
        return _Rows(self.kit[rows], self.free[rows], self.sum[rows])


class KitList:
    """The rules of a trip laid out for many kits at once."""

    def __init__(self, case: Case, *, effort: Effort) -> None:
        """Lay a case out.

        Args:
            case: the trip's case.
            effort: `cancelled` ends it.
        """
        self.case = case
        self.effort = effort
        self.search = Search(case, effort=effort, solver=None)
        self.looks = 0
        fixed = case.fixed
        least = np.minimum(case.work[fixed], NEVER)
        self.times = least[:, : case.tools].copy()  # [J, T], the least that a tool can bring a job to
        gated: dict[int, list[Bools]] = {}
        for group in case.groups:
            if group.dependent >= case.tools:
                gated.setdefault(group.dependent, []).append(group.members)
        # A day is the sum of least times but for firewood, wear, and methods that ask for several companions at once.
        # Whether members can carry their shares is told kit by kit too.
        dealt = case.members is not None and MEMBERS.field in case.caps
        self.plain = not dealt and case.firewood is None and all(len(groups) == 1 for groups in gated.values())
        for method, groups in gated.items():
            for members in groups:
                self.times[:, members] = np.minimum(self.times[:, members], least[:, method, None])
        methods = [m for m in range(case.tools, len(case.workers)) if m not in gated]
        self.start = least[:, methods].min(axis=1, initial=NEVER)  # [J], by methods that need nothing
        self.cap = NEVER - 1 if case.work_cap is None else case.work_cap
        lacking = self.start >= NEVER
        wanted = [(self.times[job] < NEVER, 1) for job in np.flatnonzero(lacking)]
        wanted += [(case.able[job, : case.tools], int(n)) for job, n in enumerate(case.backup) if n > 0]
        wanted += [(one, 1) for one in case.some_of]
        companions = [group for group in case.groups if group.dependent < case.tools]
        self.dependents = np.array([group.dependent for group in companions], dtype=np.int64)
        sets = [able for able, _ in wanted] + [group.members for group in companions]
        self.sets = np.array(sets, dtype=bool).reshape(len(sets), case.tools)
        self.counts = np.array([number for _, number in wanted], dtype=np.int64)

    def least_mass(self) -> int:
        """Return a mass that no kit can be below [0.01 g]."""
        mass = self.case.mass
        must = int(mass[sorted(self.case.must)].sum())
        able = self.sets[: len(self.counts)]
        return max(must, *(int(mass[one].min(initial=int(mass.sum()))) for one in able)) if len(able) else must

    def kits(self, within: Within) -> list[Ints] | None:
        """Return every kit that keeps the rules and of which no fewer tools do, as far as it counts.

        Some may be such as fewer tools of theirs do too. None where there are too many to look at.

        Args:
            within: what counts.

        Raises:
            Cancelled: nobody waits any more.
        """
        case, self.looks = self.case, 0
        kit = np.zeros((1, case.tools), dtype=bool)
        kit[0, sorted(case.must)] = True
        rows = _Rows(kit, ~kit, (within.figure * kit).sum(axis=1))
        rows = rows.take(self._allowed(rows, within))
        found: list[Ints] = []
        while len(rows.kit):
            self.effort.go_on()
            if len(rows.kit) + len(found) > _MOST_KITS or rows.kit.size > _MOST_CELLS or self.looks > _MOST_LOOKS:
                return None
            children = self._next(rows, found, within)
            if children is None:
                return None
            rows = children
        return None if self.looks > _MOST_LOOKS else found

    def _next(self, rows: _Rows, found: list[Ints], within: Within) -> _Rows | None:
        """Return the children of all kits, the whole ones noted as found; None where they are too many."""
        each, made = max(1, _CELLS_AT_ONCE // max(1, self.case.tools)), 0
        children = [rows.take(slice(0))]
        for first in range(0, len(rows.kit), each):
            for part, wanted in self._wanted(rows.take(slice(first, first + each)), found):
                self.effort.go_on()
                some = self._children(part, wanted, within, room=_MOST_CELLS - made)
                if some is None:
                    return None
                made += some.kit.size
                children.append(some)
        return _Rows(
            np.concatenate([one.kit for one in children]),
            np.concatenate([one.free for one in children]),
            np.concatenate([one.sum for one in children]),
        )

    def _wanted(self, rows: _Rows, found: list[Ints]) -> Iterator[tuple[_Rows, Bools]]:
        """Yield kits with the tools of which each needs one more; those that lack nothing are noted as found."""
        lacks, needed = self._lacks(rows)
        some: Bools = np.asarray(lacks.any(axis=1))
        open_ = rows.take(some)
        if len(open_.kit):
            options = open_.free.astype(np.float32) @ self.sets.T.astype(np.float32)
            short, needed = lacks[some], needed[some]
            alive: Bools = np.asarray(~(short & (options < needed)).any(axis=1))
            tightest = np.where(short, options - needed, np.inf).argmin(axis=1)
            yield open_.take(alive), self.sets[tightest[alive]] & open_.free[alive]
        whole = rows.take(~some)
        if not len(whole.kit):
            return
        best = self._best(whole)
        holds = best.sum(axis=1, dtype=np.float64) <= self.cap  # no sum of milliseconds that counts is above 2**53
        holds &= self._lasting(whole, holds)
        found += [np.flatnonzero(one) for one in whole.kit[holds]]
        late = whole.take(~holds)
        yield late, late.free & self._helps(late, best[~holds])

    def _lacks(self, rows: _Rows) -> tuple[Bools, Ints]:
        """Tell which sets each kit needs more tools of, bool[n, sets], and how many more."""
        have = np.rint(rows.kit.astype(np.float32) @ self.sets.T.astype(np.float32)).astype(np.int64)
        wanted = np.concatenate(
            [np.broadcast_to(self.counts, (len(have), len(self.counts))), rows.kit[:, self.dependents]], axis=1
        )
        return have < wanted, wanted - have

    def _best(self, rows: _Rows) -> Ints:
        """Return the least time of each job by each kit [ms], int[n, J]."""
        best = np.broadcast_to(self.start, (len(rows.kit), len(self.start))).copy()
        for job, times in enumerate(self.times):
            best[:, job] = np.minimum(best[:, job], np.where(rows.kit, times, NEVER).min(axis=1, initial=NEVER))
        return best

    def _lasting(self, rows: _Rows, holds: Bools) -> Bools:
        """Tell which kits do the day's work within the limit where their tools wear out, or gather firewood."""
        every = not self.plain or self.case.members is not None  # what members carry is told kit by kit
        doubtful = holds if every else holds & (rows.kit & self.case.mortal).any(axis=1)
        kept = ~doubtful
        for row in np.flatnonzero(doubtful).tolist():
            self.effort.go_on()
            self.looks += 1
            if self.looks > _MOST_LOOKS:
                break
            kit = frozenset(np.flatnonzero(rows.kit[row]).tolist())
            kept[row] = self.search.checked(kit) is not None
        return kept

    def _helps(self, rows: _Rows, best: Ints) -> Bools:
        """Tell which tools can help kits whose day is too long; none where all of them together could not."""
        if not self.plain or (rows.kit & self.case.mortal).any() or self.case.mortal.any():
            return np.ones_like(rows.kit)
        helps = np.zeros_like(rows.kit)
        least = best.copy()
        for job, times in enumerate(self.times):
            quicker = rows.free & (times[None, :] < best[:, job, None])
            helps |= quicker
            least[:, job] = np.where(quicker, times, best[:, job, None]).min(axis=1, initial=NEVER)
        helps[least.sum(axis=1, dtype=np.float64) > self.cap] = False
        return helps

    def _children(self, rows: _Rows, wanted: Bools, within: Within, *, room: int) -> _Rows | None:
        """Return kits with one more of the tools wanted; a later child of a kit does without those of the earlier.

        None where they are more than there is room for, kits by tools.
        """
        sums = rows.sum[:, None] + within.figure[None, :]
        row, tool = np.nonzero(wanted & np.asarray(sums <= within.most, dtype=bool))
        if len(row) * self.case.tools > room:
            return None
        kit = rows.kit[row]
        kit[np.arange(len(row)), tool] = True
        before = np.arange(self.case.tools)[None, :] <= tool[:, None]
        children = _Rows(kit, rows.free[row] & ~(wanted[row] & before), sums[row, tool])
        return children.take(self._allowed(children, within))

    def _allowed(self, rows: _Rows, within: Within) -> Bools:
        """Tell which kits keep the rules that more tools only break."""
        case, kit = self.case, rows.kit
        kept = np.asarray(rows.sum <= within.most, dtype=bool)
        for cap, each in case.sums:
            kept &= kit @ each <= cap
        for one in case.forbidden:
            kept &= ~kit[:, sorted(one)].all(axis=1)
        for some in case.one_of:
            kept &= kit[:, some].sum(axis=1) <= 1
        outside = kit & within.outside
        if within.number is not None:
            kept &= outside.sum(axis=1) <= within.number
        if within.money is not None:
            kept &= outside @ case.price <= within.money
        return kept
