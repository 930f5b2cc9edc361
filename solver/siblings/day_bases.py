"""The least work of days in which a kit's tools may wear out, most of them proven several at once.

Each such day is a linear program. Floats solve a few of them; which shares are above 0 and which lives are used up
there is then tried on all other days. Where it gives a feasible point, its time is reached; with prices of lives no
day takes less than the Lagrangean bound (see `solver.model.wear`). Both are held with what floats may be off by, and
where they leave but one whole number of milliseconds, that is the work. All other days are solved exactly.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.model.case import FIXED
from solver.model.day_work import Workload
from solver.programs.engine import Rerun
from solver.programs.linear_model import Model
from solver.siblings.kit_days import SUM_TRUST, KitDays
from solver.siblings.one_life import one_life_work

_UNDONE = 1e3  # judged: days that a job left undone counts
_SEEN = 1e-7  # judged: shares and lives by floats that count as none
_MOST_TIME = 2.0**62  # derived: ms that fit a whole number
_EPS = 2.0**-48  # derived: sixteen roundings of a float


class DayBases:
    """The bases of days that were worked out, to be tried on others of the same jobs and ways."""

    def __init__(self) -> None:
        """Begin without any."""
        self.kept: list[_Base] = []

    def work(self, days: KitDays, exact: Callable[[int], Workload | None], *, effort: Effort) -> Ints:
        """Return the least work of some days [ms], rounded up; -1 where tools wear out before all is done.

        Args:
            days: on which all jobs are done if no tool wears out.
            exact: works out one of them (its place) exactly; None where not all is done.
            effort: what it may cost.

        Raises:
            Unfinished: the effort ran out.
        """
        work, left = np.full(len(days), -1), np.ones(len(days), dtype=bool)

        def take(base: "_Base") -> bool:
            proven, found = _proven(days, base, np.flatnonzero(left))
            work[proven], left[proven] = found, False
            return len(proven) > 0

        effort.go_on()
        told, found = one_life_work(days, effort=effort)
        work[told], left[told] = found, False
        for base in self.kept:
            if left.any():
                effort.go_on()
                take(base)
        while left.any():
            effort.go_on()
            place = int(np.flatnonzero(left)[0])
            proposed = _proposed(days.some(np.array([place])))
            if proposed is not None and take(proposed):
                self.kept.append(proposed)
            if left[place]:
                load = exact(place)
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

    @cached_property
    def jobs_and_ways(self) -> Ints:
        """The job of each share, and its way, int[2, S]."""
        return np.array(self.shares, dtype=np.int64).reshape(-1, 2).T

    @property
    def fails(self) -> bool:
        """Whether not all was done."""
        return self.short or bool(self.undone)


def _proposed(days: KitDays) -> _Base | None:
    """Return what the only day comes to by floats, None where they can't tell."""
    able = np.isfinite(days.time[0]) & days.due[0][:, None]
    shares = list(zip(*(each.tolist() for each in able.nonzero()), strict=True))
    jobs, classes = np.flatnonzero(days.due[0]).tolist(), range(days.reach.shape[1])
    time, wear, life, of_class = (
        each.tolist() for each in (days.time[0][able], days.wear[0][able], days.life[0][able], days.classes)
    )
    fixed = [job for job in jobs if of_class[job] == FIXED]
    model, most = Model(), max(1.0, float(days.time[0][able].sum() + days.gather[0].sum()))
    share = {one: model.column(high=None) for one in shares}
    grams = {one: model.column(high=None) for one in classes}
    undone = {job: model.column(high=None) for job in fixed}
    short = model.column(high=None)
    cost = {column: each / most for each, column in zip(time, share.values(), strict=True)}
    cost |= {grams[one]: float(days.gather[0, one]) / most for one in classes}
    cost |= dict.fromkeys([*undone.values(), short], _UNDONE)
    of_job: dict[int, list[tuple[int, float]]] = {job: [] for job in jobs}
    for (job, _), column in share.items():
        of_job[job].append((column, 1.0))
    for job, own in of_job.items():
        other = (undone[job], 1.0) if job in undone else (grams[of_class[job]], -1.0)
        side = 1.0 if job in undone else 0.0
        model.row([*own, other], low=side, high=side)
    if grams:
        model.row([(column, 1.0) for column in (*grams.values(), short)], low=1.0, high=1.0)
    for one, column in grams.items():
        model.row([(column, 1.0)], high=float(days.reach[0, one]))
    first, taken = len(model.rows), [list[tuple[int, float]]() for _ in range(days.lives + 1)]
    for part, column, spent in zip(life, share.values(), wear, strict=True):
        taken[part].append((column, spent))
    for terms in taken[:-1]:
        model.row(terms)
    program = Rerun(model, cost)
    columns, rows = np.array(list(share.values()), dtype=np.int64), np.arange(first, len(model.rows))
    if program.least(columns, np.full(len(columns), inf), rows, np.ones(len(rows))) is None:
        return None
    x = program.point()
    burnt = tuple(one for one, column in grams.items() if x[column] > _SEEN)
    worked = {FIXED, *burnt}
    return _Base(
        days.due[0],
        tuple(one for one, column in share.items() if x[column] > _SEEN and of_class[one[0]] in worked),
        burnt,
        tuple(job for job, column in undone.items() if x[column] > _SEEN),
        bool(grams) and bool(x[short] > _SEEN),
        tuple(one for one in burnt if days.reach[0, one] < 1 and x[grams[one]] > days.reach[0, one] - _SEEN),
        tuple(n for n, terms in enumerate(taken[:-1]) if sum(wear * x[column] for column, wear in terms) > 1 - _SEEN),
    )


def _proven(days: KitDays, base: _Base, places: Ints) -> tuple[Ints, Ints]:
    """Return those of some days (places) that a base proves, and their work [ms], -1 where lives end first."""
    places = places[(days.due[places] == base.due).all(axis=1)]
    jobs, ways = base.jobs_and_ways
    places = places[np.isfinite(days.time[places[:, None], jobs, ways]).all(axis=1)]
    days = days.some(places)
    matrix, sides, cost = _equations(days, base)
    if matrix.shape[1] != matrix.shape[2] or not len(places):
        return places[:0], places[:0]
    regular = np.linalg.slogdet(matrix)[0] != 0
    if not regular.all():
        places, days = places[regular], days.some(np.flatnonzero(regular))
        matrix, sides, cost = _equations(days, base)
    inverse = np.asarray(np.linalg.inv(matrix), dtype=np.float64)
    first = matrix.shape[1] - len(base.worn)
    prices = np.zeros((len(days), days.lives + 1))
    # of rows that are no more than their side, in a program that is minimised
    prices[:, list(base.worn)] = np.maximum(-np.einsum("dc,dcr->dr", cost, inverse)[:, first:], 0.0)
    if base.fails:
        none = places[days.least(prices, timed=False) > 0]
        return none, np.full(len(none), -1)
    low = np.ceil(days.least(prices, timed=True))
    high = np.ceil(_reached(days, base, matrix, inverse, sides, cost))
    met = (low == high) & (high < _MOST_TIME)
    return places[met], high[met].astype(np.int64)


def _equations(days: KitDays, base: _Base) -> tuple[Floats, Floats, Floats]:
    """Return the rows that a base meets as equations in its columns, their sides, and what columns cost.

    Rows are jobs, the firewood of the day, classes that end, then lives that end.
    """
    jobs = [
        job
        for job in np.flatnonzero(base.due).tolist()
        if days.classes[job] == FIXED or days.classes[job] in base.classes
    ]
    wood = [None] if days.reach.shape[1] else []
    rows = [*(("job", job) for job in jobs), *(("wood", one) for one in wood)]
    rows += [*(("class", one) for one in base.ended), *(("life", one) for one in base.worn)]
    place = {row: number for number, row in enumerate(rows)}
    width = len(base.shares) + len(base.classes) + len(base.undone) + base.short
    matrix = np.zeros((len(days), len(rows), width))
    sides, cost = np.ones((len(days), len(rows))), np.zeros((len(days), width))
    row_of = np.full(days.lives + 1, -1)
    row_of[list(base.worn)] = [place["life", one] for one in base.worn]
    if base.shares:
        own, ways = base.jobs_and_ways
        matrix[:, [place["job", job] for job in own.tolist()], np.arange(len(own))] = 1.0
        spent = row_of[days.life[:, own, ways]]
        day, share = np.nonzero(spent >= 0)
        matrix[day, spent[day, share], share] = days.wear[day, own[share], ways[share]]
        cost[:, : len(own)] = 0.0 if base.fails else days.time[:, own, ways]
    column = len(base.shares)
    for one in base.classes:
        for job in jobs:
            if days.classes[job] == one:
                matrix[:, place["job", job], column] = -1.0
                sides[:, place["job", job]] = 0.0
        matrix[:, place["wood", None], column] = 1.0
        if one in base.ended:
            matrix[:, place["class", one], column] = 1.0
            sides[:, place["class", one]] = days.reach[:, one]
        cost[:, column] = 0.0 if base.fails else days.gather[:, one]
        column += 1
    for row in [*(("job", job) for job in base.undone), *([("wood", None)] if base.short else [])]:
        matrix[:, place[row], column] = cost[:, column] = 1.0
        column += 1
    return matrix, sides, cost


def _reached(days: KitDays, base: _Base, matrix: Floats, inverse: Floats, sides: Floats, cost: Floats) -> Floats:
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
    spent = np.zeros((len(days), days.lives + 1))
    own, ways = base.jobs_and_ways
    shares = x[:, : len(own)] + off[:, None]
    np.add.at(spent, (np.arange(len(days))[:, None], days.life[:, own, ways]), days.wear[:, own, ways] * shares)
    spent[:, [*base.worn, days.lives]] = 0.0
    feasible &= (spent < 1 - SUM_TRUST).all(axis=1)
    for column, one in enumerate(base.classes, start=len(base.shares)):
        if one not in base.ended:
            reach = days.reach[:, one]
            feasible &= (reach >= 1) | (x[:, column] + off < reach * (1 - SUM_TRUST))
    time = ((x + off[:, None]) * cost).sum(axis=1) * (1 + SUM_TRUST)
    return np.where(feasible, time, inf)
