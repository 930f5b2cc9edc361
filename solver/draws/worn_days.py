"""The least work of one kit in many draws in which its tools may wear out, most of them proven several at once.

Each such draw is a linear program. Floats solve a few of them; which shares are above 0 and which lives are used up
there is then tried on all other draws. Where it gives a feasible point, its time is reached; with prices of lives no
day takes less than the Lagrangean bound (see `solver.model.wear`). Both are held with what floats may be off by, and
where they leave but one whole number of milliseconds, that is the work. All other draws are solved exactly.
"""

from dataclasses import dataclass
from math import inf

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import FIXED, NEVER, PARTS, present_workers
from solver.model.day_work import life_of, workload
from solver.needs.case_axis import CaseAxis
from solver.programs.engine import Rerun
from solver.programs.linear_model import Model

_CELLS = 200_000  # judged: ways of working in the draws that are looked at together
_UNDONE = 1e3  # judged: days that a job left undone counts
_SEEN = 1e-7  # judged: shares and lives by floats that count as none
_EPS = 2.0**-48  # derived: sixteen roundings of a float
_SUM_TRUST = 1e-12  # far above what a sum of floats is off by, as a part of its terms


def worn_work(axis: CaseAxis, kit: frozenset[int], places: Ints, *, effort: Effort) -> Ints:
    """Return the least work of a kit in some cases [ms], rounded up; -1 where its tools wear out before all is done.

    Args:
        axis: the cases.
        kit: tools that do all jobs in these cases if none wears out.
        places: of the cases, ascending.
        effort: what it may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    work = np.full(len(places), -1)
    if not len(places):
        return work
    ways = _Ways(axis, kit, places)
    bases: list[_Base] = []
    size = max(1, _CELLS // max(1, ways.cells))
    for first in range(0, len(places), size):
        part = places[first : first + size]
        work[first : first + size] = _in_block(ways.at(part), part, bases, axis, kit, effort)
    return work


def _in_block(
    days: "_Days", places: Ints, bases: list["_Base"], axis: CaseAxis, kit: frozenset[int], effort: Effort
) -> Ints:
    """Return the work in some cases, and add to the bases those that were found."""
    work, left = np.full(len(places), -1), np.ones(len(places), dtype=bool)

    def take(base: "_Base") -> None:
        open_now = np.flatnonzero(left)
        found, known = days.some(open_now).proven(base)
        work[open_now[known]] = found[known]
        left[open_now[known]] = False

    for base in bases:
        if left.any():
            take(base)
    while left.any():
        effort.go_on()
        place = int(np.flatnonzero(left)[0])
        proposed = days.some(np.array([place])).proposed()
        if proposed is not None:
            bases.append(proposed)
            take(proposed)
        if left[place]:
            load = workload(axis.case(int(places[place])), kit, effort=effort, shares=False)
            work[place], left[place] = -1 if load is None else load.work, False
    return work


@dataclass(frozen=True)
class _Base:
    """What a day's program comes to: the shares above 0, by job and way, and what is used up.

    Attributes:
        due: the jobs that are due, bool[J].
        shares: (job, way).
        classes: of firewood that are burnt.
        undone: jobs of a fixed amount not all done.
        short: whether firewood misses.
        ended: classes burnt as far as they reach.
        worn: lives used up.
    """

    due: Bools
    shares: tuple[tuple[int, int], ...]
    classes: tuple[int, ...]
    undone: tuple[int, ...]
    short: bool
    ended: tuple[int, ...]
    worn: tuple[int, ...]

    @property
    def fails(self) -> bool:
        """Whether not all was done."""
        return self.short or bool(self.undone)


class _Ways:
    """All ways of the workers of a kit at the rows of some cases of an axis."""

    def __init__(self, axis: CaseAxis, kit: frozenset[int], places: Ints) -> None:
        """Lay them out: a way is a worker's fastest, then its further ones, int[R + 1, V]; the last row has none."""
        self.axis, columns = axis, axis.columns
        rows = np.unique(axis.row[places])
        rows = rows[rows >= 0]
        self.row = np.full(columns.work.shape[1] + 1, len(rows))  # of each row of the axis
        self.row[rows] = np.arange(len(rows))
        workers = np.flatnonzero(present_workers(axis.like, kit))
        lives = [(tool, part, life_of(axis.like, kit, tool, part)) for tool in sorted(kit) for part in PARTS]
        lives = [one for one in lives if one[2] < inf]
        self.lives = len(lives)
        further = columns.further(workers)
        further = further.chosen(self.row[further.job] < len(rows))
        count = len(axis.like.workers)
        pair = further.job * count + further.worker
        order = np.argsort(pair, kind="stable")
        starts = np.searchsorted(pair[order], pair[order])
        rank = np.empty(len(pair), dtype=np.int64)
        rank[order] = np.arange(len(pair)) - starts + 1
        each = 1 + int(rank.max(initial=0))
        shape = len(rows) + 1, len(workers), each
        self.work, wear, part = np.full(shape, NEVER), np.zeros(shape), np.zeros(shape, dtype=np.int64)
        for found, each_row in ((self.work, columns.work), (wear, columns.wear), (part, columns.part)):
            found[:-1, :, 0] = each_row[workers[:, None], rows].T
        at = self.row[further.job], np.searchsorted(workers, further.worker), rank
        self.work[at], wear[at], part[at] = further.work, further.wear, further.part
        place = np.full((count, max(PARTS) + 1), self.lives)
        size = np.full((count, max(PARTS) + 1), inf)
        for number, (tool, one, life) in enumerate(lives):
            place[tool, one], size[tool, one] = number, life
        line = workers[:, None]
        flat = shape[0], shape[1] * each
        self.life, self.wear = place[line, part].reshape(flat), (wear / size[line, part]).reshape(flat)
        self.work = self.work.reshape(flat)
        self.cells = axis.row.shape[1] * flat[1]

    def at(self, places: Ints) -> "_Days":
        """Return the days of some cases."""
        axis, wood = self.axis, self.axis.firewood
        due = axis.row[places] >= 0
        row = self.row[axis.row[places]]
        classes = axis.asked.wood_class
        demand = wood.demand_g[places]
        amount = np.where(classes == FIXED, 1.0, demand[:, None] / GRAMS_PER_KG)
        able = self.work[row] < NEVER
        reach = np.divide(
            wood.reach_g[places],
            demand[:, None],
            where=demand[:, None] > 0,
            out=np.ones((len(row), wood.reach_g.shape[1])),
        )
        return _Days(
            classes,
            self.lives,
            due,
            np.where(able, self.work[row] * amount[:, :, None], inf),
            self.wear[row] * amount[:, :, None],
            self.life[row],
            np.minimum(reach, 1.0),
            wood.gather[places] * (demand / GRAMS_PER_KG)[:, None],
        )


@dataclass(frozen=True)
class _Days:
    """Days of a kit in D cases as programs whose amounts are parts of a job, or of the firewood of the day.

    Attributes:
        classes: the class of firewood of each job, or that it is of a fixed amount, int[J].
        lives: how many parts of tools can wear out.
        due: which jobs are, bool[D, J].
        time: of the whole of a job in a way [ms], without end where it can't be done so, float[D, J, V].
        wear: that it takes of a life, float[D, J, V].
        life: the life that it takes it of, int[D, J, V]; the number of lives where none.
        reach: the most of each class of firewood, float[D, C].
        gather: the time of gathering all of it in a class [ms], float[D, C].
    """

    classes: Ints
    lives: int
    due: Bools
    time: Floats
    wear: Floats
    life: Ints
    reach: Floats
    gather: Floats

    def __len__(self) -> int:
        """Return the number of cases."""
        return len(self.due)

    def some(self, which: Ints) -> "_Days":
        """Return those of some cases (places)."""
        return _Days(
            self.classes,
            self.lives,
            self.due[which],
            self.time[which],
            self.wear[which],
            self.life[which],
            self.reach[which],
            self.gather[which],
        )

    def proposed(self) -> _Base | None:
        """Return what the only day comes to by floats, None where they can't tell."""
        able = np.isfinite(self.time[0]) & self.due[0][:, None]
        shares = [(int(job), int(way)) for job, way in np.argwhere(able)]
        jobs, classes = np.flatnonzero(self.due[0]).tolist(), range(self.reach.shape[1])
        fixed = [job for job in jobs if self.classes[job] == FIXED]
        model, most = Model(), max(1.0, float(self.time[0][able].sum() + self.gather[0].sum()))
        share = {one: model.column(high=None) for one in shares}
        grams = {one: model.column(high=None) for one in classes}
        undone = {job: model.column(high=None) for job in fixed}
        short = model.column(high=None)
        cost = {column: float(self.time[0][one]) / most for one, column in share.items()}
        cost |= {grams[one]: float(self.gather[0, one]) / most for one in classes}
        cost |= dict.fromkeys([*undone.values(), short], _UNDONE)
        for job in jobs:
            own = [(column, 1.0) for one, column in share.items() if one[0] == job]
            other = (undone[job], 1.0) if job in undone else (grams[int(self.classes[job])], -1.0)
            side = 1.0 if job in undone else 0.0
            model.row([*own, other], low=side, high=side)
        if grams:
            model.row([(column, 1.0) for column in (*grams.values(), short)], low=1.0, high=1.0)
        for one, column in grams.items():
            model.row([(column, 1.0)], high=float(self.reach[0, one]))
        first, taken = len(model.rows), list[list[tuple[int, float]]]()
        for number in range(self.lives):
            terms = [(column, float(self.wear[0][one])) for one, column in share.items() if self.life[0][one] == number]
            taken.append(terms)
            model.row(terms)
        program = Rerun(model, cost)
        columns, rows = np.array(list(share.values()), dtype=np.int64), np.arange(first, len(model.rows))
        if program.least(columns, np.full(len(columns), inf), rows, np.ones(len(rows))) is None:
            return None
        x = program.point()
        burnt = tuple(one for one, column in grams.items() if x[column] > _SEEN)
        worked = {FIXED, *burnt}
        return _Base(
            self.due[0],
            tuple(one for one, column in share.items() if x[column] > _SEEN and self.classes[one[0]] in worked),
            burnt,
            tuple(job for job, column in undone.items() if x[column] > _SEEN),
            bool(grams) and bool(x[short] > _SEEN),
            tuple(one for one in burnt if self.reach[0, one] < 1 and x[grams[one]] > self.reach[0, one] - _SEEN),
            tuple(n for n, terms in enumerate(taken) if sum(wear * x[column] for column, wear in terms) > 1 - _SEEN),
        )

    def proven(self, base: _Base) -> tuple[Ints, Bools]:
        """Return the work of each day [ms], -1 where lives end first, and where that is proven by a base."""
        work, known = np.full(len(self), -1), np.zeros(len(self), dtype=bool)
        here = np.flatnonzero((self.due == base.due).all(axis=1) & self._able(base))
        days = self.some(here)
        matrix, sides, cost = days._equations(base)
        if matrix.shape[1] != matrix.shape[2] or not len(here):
            return work, known
        regular = np.linalg.slogdet(matrix)[0] != 0
        here, days = here[regular], days.some(np.flatnonzero(regular))
        matrix, sides, cost = matrix[regular], sides[regular], cost[regular]
        inverse = np.linalg.inv(matrix)
        first = matrix.shape[1] - len(base.worn)
        prices = np.zeros((len(days), days.lives + 1))
        # of rows that are no more than their side, in a program that is minimised
        prices[:, list(base.worn)] = np.maximum(-np.einsum("dc,dcr->dr", cost, inverse)[:, first:], 0.0)
        if base.fails:
            known[here] = days._least(prices, timed=False) > 0
            return work, known
        low = np.ceil(days._least(prices, timed=True))
        high = np.ceil(days._reached(base, matrix, inverse, sides, cost))
        met = (low == high) & np.isfinite(high)
        work[here[met]], known[here[met]] = high[met].astype(np.int64), True
        return work, known

    def _able(self, base: _Base) -> Bools:
        """Tell in which days all ways of a base can be gone."""
        jobs, ways = np.array(base.shares, dtype=np.int64).reshape(-1, 2).T
        return np.asarray(np.isfinite(self.time[:, jobs, ways]).all(axis=1))

    def _equations(self, base: _Base) -> tuple[Floats, Floats, Floats]:
        """Return the rows that a base meets as equations in its columns, their sides, and what columns cost.

        Rows are jobs, the firewood of the day, classes that end, then lives that end.
        """
        jobs = [
            job
            for job in np.flatnonzero(base.due).tolist()
            if self.classes[job] == FIXED or self.classes[job] in base.classes
        ]
        wood = [None] if self.reach.shape[1] else []
        rows = [*(("job", job) for job in jobs), *(("wood", one) for one in wood)]
        rows += [*(("class", one) for one in base.ended), *(("life", one) for one in base.worn)]
        place = {row: number for number, row in enumerate(rows)}
        width = len(base.shares) + len(base.classes) + len(base.undone) + base.short
        matrix = np.zeros((len(self), len(rows), width))
        sides, cost = np.ones((len(self), len(rows))), np.zeros((len(self), width))
        for column, (job, way) in enumerate(base.shares):
            matrix[:, place["job", job], column] = 1.0
            for one in base.worn:
                matrix[:, place["life", one], column] = np.where(
                    self.life[:, job, way] == one, self.wear[:, job, way], 0.0
                )
            cost[:, column] = 0.0 if base.fails else self.time[:, job, way]
        column = len(base.shares)
        for one in base.classes:
            for job in jobs:
                if self.classes[job] == one:
                    matrix[:, place["job", job], column] = -1.0
                    sides[:, place["job", job]] = 0.0
            matrix[:, place["wood", None], column] = 1.0
            if one in base.ended:
                matrix[:, place["class", one], column] = 1.0
                sides[:, place["class", one]] = self.reach[:, one]
            cost[:, column] = 0.0 if base.fails else self.gather[:, one]
            column += 1
        for row in [*(("job", job) for job in base.undone), *([("wood", None)] if base.short else [])]:
            matrix[:, place[row], column] = cost[:, column] = 1.0
            column += 1
        return matrix, sides, cost

    def _reached(self, base: _Base, matrix: Floats, inverse: Floats, sides: Floats, cost: Floats) -> Floats:
        """Return the time of the point of a base [ms] or a little more, without end where it is not surely feasible."""
        x = np.einsum("dcr,dr->dc", inverse, sides)
        size = matrix.shape[1]
        largest, entries = np.abs(inverse).sum(axis=2).max(axis=1), np.abs(matrix)
        rounding = size * _EPS * (np.einsum("drc,dc->dr", entries, np.abs(x)) + sides).max(axis=1)
        rest = np.abs(sides - np.einsum("drc,dc->dr", matrix, x)).max(axis=1) + rounding
        unlike = np.abs(inverse @ matrix - np.eye(size)).sum(axis=2).max(axis=1)
        unlike += largest * size * _EPS * entries.sum(axis=2).max(axis=1)
        sound = unlike < 1 / 2
        off, x = np.where(sound, 2 * largest * rest, 0.0), np.where(sound[:, None], x, 0.0)
        feasible = sound & (x > off[:, None]).all(axis=1)
        each = np.arange(len(self))
        spent = np.zeros((len(self), self.lives + 1))
        for column, (job, way) in enumerate(base.shares):
            spent[each, self.life[:, job, way]] += self.wear[:, job, way] * (x[:, column] + off)
        spent[:, [*base.worn, self.lives]] = 0.0
        feasible &= (spent < 1 - _SUM_TRUST).all(axis=1)
        for column, one in enumerate(base.classes, start=len(base.shares)):
            if one not in base.ended:
                reach = self.reach[:, one]
                feasible &= (reach >= 1) | (x[:, column] + off < reach * (1 - _SUM_TRUST))
        time = ((x + off[:, None]) * cost).sum(axis=1) * (1 + _SUM_TRUST)
        return np.where(feasible, time, inf)

    def _least(self, prices: Floats, *, timed: bool) -> Floats:
        """Return what days cost at least by prices of lives, a little less than summed up: time and lives, or lives.

        Where lives alone cost more than there are, no day is possible.

        Args:
            prices: of each life, 0 or more, and 0 where none is taken, float[D, L + 1].
            timed: whether time costs.
        """
        each = np.arange(len(self))[:, None, None]
        cost = np.where(
            np.isfinite(self.time), (self.time if timed else 0.0) + self.wear * prices[each, self.life], inf
        )
        least = np.where(self.due, cost.min(axis=2, initial=inf), 0.0)
        total = least[:, self.classes == FIXED].sum(axis=1)
        if self.reach.shape[1]:
            price = (self.gather if timed else 0.0) + np.stack(
                [least[:, self.classes == one].sum(axis=1) for one in range(self.reach.shape[1])], axis=1
            )
            order = price.argsort(axis=1, kind="stable")
            reach = np.take_along_axis(self.reach, order, axis=1)
            taken = np.clip(1.0 - (reach.cumsum(axis=1) - reach), 0.0, reach)
            total += (np.where(taken > 0, np.take_along_axis(price, order, axis=1), 0.0) * taken).sum(axis=1)
        lives = prices.sum(axis=1)
        sure = np.isfinite(total)
        total = np.where(sure, total, 0.0)
        return np.where(sure, total - lives - _SUM_TRUST * (total + lives), -inf)
