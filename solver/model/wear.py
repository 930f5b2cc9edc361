"""Kits that wear rules out, proven in whole numbers by prices of lives, and what the prices tell of larger kits.

Let a life of a part of a tool have a price. A way of working then costs its time and the price of what it wears; the
work of a day costs at least that of its cheapest ways, less the price of the lives that there are. Whatever the prices,
a kit takes no less time than that (Lagrangean relaxation; Geoffrion 1974). A linear program in floats only proposes
prices; they are rounded to whole numbers, and the bound is summed up exactly.
"""

from collections.abc import Mapping, Sequence
from math import inf

import numpy as np

from catalog.tables.number import Bools, Floats, Ints, Places
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import LIFE, NEVER, PARTS, Case, amount_cap, present_workers
from solver.model.day_work import life_of, sharing
from solver.model.time_price import WearShortfall
from solver.programs.engine import Rerun
from solver.programs.linear_model import Model

_KEPT = 8  # judged: prices tried on each kit before a program is asked for others
_UNDONE = 1e3  # judged: days that a job left undone counts; where very little is, the day is worked out anew
_STEPS = 2**10  # prices are whole numbers of these parts of a millisecond for a life
_UNIT = _STEPS * LIFE  # of a millisecond, in which costs are whole
_MOST_PRICE = 2.0**62  # judged: far above what any life is worth; floats may propose no end
_SUM_TRUST = 1e-12  # far above what the difference of two floats is off by, as a part of the larger
_UNTIL_WHOLE = 4  # judged: kits for which programs of their own tools are quicker made than one of all tools
_UNTIL_ALL = 16  # judged: kits ruled out before it pays to look at all tools together
_MANY = 100_000  # judged: times of tools at jobs, of which one program takes longer than those of many kits
_TRUST = 1e-9  # far above what sums of floats are off by

_Worn = tuple[int, int]  # a tool and its part
_Way = tuple[int, _Worn, int, int]  # a job done by a part: its time [units], and what it wears [millionths of a life]
LifePrices = dict[_Worn, int]  # what a life of each is worth


class NothingLasts(Exception):
    """No tools of a case, nor all of them together, do the work in time before they wear out."""


class _Proposer:
    """The program of some workers; a kit of theirs only sets bounds."""

    def __init__(self, case: Case, has: Bools, worn: Sequence[_Worn], work_cap: int) -> None:
        """Make the program.

        Args:
            case: the trip's choice as numbers.
            has: the workers.
            worn: whose lives have prices, as far as they are there.
            work_cap: the limit on a day's work [ms], 1 or more.
        """
        program, self.worn = sharing(case, has, elastic=True), [one for one in worn if has[one[0]]]
        model = Model()
        for _ in range(program.width):
            model.column(high=None)
        for row in program.rows:
            model.row(row.terms, low=float(row.side) if row.exact else None, high=float(row.side))
        cost = {column: time / (GRAMS_PER_KG * work_cap) for column, time in program.minutes.items()}
        cost |= dict.fromkeys(program.undone, _UNDONE)
        if program.grams:
            cost[program.undone[0]] = _UNDONE / GRAMS_PER_KG
        self.columns = np.array(list(program.amounts.values()), dtype=np.int64)
        self.worker = np.array([worker for _, worker, _ in program.amounts], dtype=np.int64)  # of each of those columns
        first = len(model.rows)
        for one in self.worn:
            terms = program.wear.get(one, ())
            model.row((column, spent / (GRAMS_PER_KG * LIFE)) for column, spent in terms)
        self.rows = np.arange(first, len(model.rows))
        self.program = Rerun(model, cost)

    def prices(self, has: Bools, lives: Mapping[_Worn, float]) -> Floats | None:
        """Return what a life of each part is worth [days of the work limit], or None where no program says."""
        highest = np.array([lives.get(worn, inf) / LIFE for worn in self.worn])
        least = self.program.least(self.columns, np.where(has[self.worker], inf, 0.0), self.rows, highest)
        return None if least is None else self.program.prices()[1][self.rows]


class Wear:
    """The prices of lives for all kits of a case: it proves of kits that wear makes their day too long.

    Time is counted in days of the work limit in the program that proposes prices. What a kit can't do is left undone
    there, at UNDONE days for the whole of a job or a kilogram, so that there is always an optimum, and prices with it
    (the elastic form of a program; Brown, Graves 1975).
    """

    def __init__(self, case: Case, kept: list[LifePrices], *, ends: bool = False) -> None:
        """Begin with the prices of kits before.

        Args:
            case: the trip's choice as numbers.
            kept: prices, those that ruled the last kit out first; added to. Any are valid, of other cases too.
            ends: whether all tools together are looked at too, once some kits are ruled out.
        """
        self.case = case
        self.many = case.work.size > _MANY
        self.until_all = _UNTIL_ALL if ends and not self.many else 0
        self.asked: frozenset[int] = frozenset()  # the kit that it was asked for last
        self.excess = 0  # by what its day is too long at least, in thousandths of units
        self.prices: LifePrices = {}  # by which the last bound went
        self.kept = kept
        self.ways: dict[int, list[_Way]] = {}  # of each worker that was asked for
        self.least: list[int | None] = []  # what each job costs by the last bound [units]
        self.work_cap = self.longest() if case.work_cap is None else case.work_cap
        self.worn = [(tool, part) for part in PARTS for tool in np.flatnonzero(self.wearing(part)).tolist()]
        self.until_whole = _UNTIL_WHOLE
        self.whole: _Proposer | None = None

    def longest(self) -> int:
        """Return a time that no day's work that is done at all takes longer than [ms]."""
        case, wood = self.case, self.case.firewood
        slow = np.where(case.work < NEVER, case.work, 0).max(axis=1, initial=0)
        np.maximum.at(slow, case.slower.job, case.slower.work)
        most, slowest = amount_cap(case).tolist(), slow.tolist()
        gathering = 0 if wood is None else wood.demand_g * int(wood.gather.max(initial=0))
        worked = sum(amount * time for amount, time in zip(most, slowest, strict=True))
        return int(worked + gathering) // GRAMS_PER_KG + 1

    def wearing(self, part: int) -> Bools:
        """Tell of which tools a part can wear out, and wears in some way of working."""
        case, slower = self.case, self.case.slower
        worn = ((case.work < NEVER) & (case.wear > 0) & (case.part == part)).any(axis=0)
        worn[slower.worker[(slower.wear > 0) & (slower.part == part)]] = True
        return np.asarray(case.mortal_parts[part] & worn[: case.tools])

    def ways_of(self, has: Bools) -> list[_Way]:
        """Return the ways of working of some workers."""
        workers = np.flatnonzero(has).tolist()
        fresh = [worker for worker in workers if worker not in self.ways]
        if fresh:
            self.ways |= {worker: [] for worker in fresh}
            case, slower = self.case, self.case.slower
            job, at = np.nonzero(case.work[:, fresh] < NEVER)
            worker = np.array(fresh)[at]
            self.note(job, worker, *(each[job, worker] for each in (case.work, case.wear, case.part)))
            if len(slower):
                here = slower.chosen(np.isin(slower.worker, fresh))
                self.note(here.job, here.worker, here.work, here.wear, here.part)
        return [one for worker in workers for one in self.ways[worker]]

    def note(self, job: Ints, worker: Ints, work: Ints, wear: Ints, part: Places) -> None:
        """Note ways of working of workers."""
        for j, one, time, worn, of_part in np.array((job, worker, work, wear, part)).T.tolist():
            self.ways[one].append((j, (one, of_part), time * _UNIT, worn))

    def proposer(self, has: Bools) -> "_Proposer":
        """Return the program that proposes prices of these workers: of all, once it has been asked for some.

        Of many tools each kit has its own.
        """
        if self.until_whole or self.many:
            self.until_whole = max(0, self.until_whole - 1)
            return _Proposer(self.case, has, self.worn, max(1, self.work_cap))
        if self.whole is None:
            self.whole = _Proposer(self.case, np.ones(len(has), dtype=bool), self.worn, max(1, self.work_cap))
        return self.whole

    def rules_out(self, chosen: frozenset[int], has: Bools) -> bool:
        """Tell whether it is proven that a kit that breaks no other rule can't do its work in time for want of lives.

        Args:
            chosen: the tools of the kit.
            has: the workers that it has.

        Raises:
            NothingLasts: nor can all tools together; that is looked at once, if at all.
        """
        found = self.proves(chosen, has)
        if found and self.until_all:
            self.until_all -= 1
            if not self.until_all:
                every = frozenset(range(self.case.tools))
                if self.proves(every, present_workers(self.case, every)):
                    raise NothingLasts
                return self.proves(chosen, has)
        return found

    def proves(self, chosen: frozenset[int], has: Bools) -> bool:
        """Tell what `rules_out` does, of any tools together."""
        lives = {worn: life_of(self.case, chosen, *worn) for worn in self.worn if has[worn[0]]}
        self.asked, most = chosen, GRAMS_PER_KG * _UNIT * self.work_cap
        for place, prices in enumerate(self.kept):
            self.prices = prices
            self.excess = self.bound(has, lives) - most
            if self.excess > 0:
                self.kept.insert(0, self.kept.pop(place))
                return True
        self.excess = 0
        if self.propose(has, lives):
            self.kept[:] = [self.prices, *self.kept[: _KEPT - 1]]
            self.excess = self.bound(has, lives) - most
        return self.excess > 0

    def propose(self, has: Bools, lives: dict[_Worn, float]) -> bool:
        """Take the prices of a program in floats, as whole numbers; tell whether it had any."""
        proposer = self.proposer(has)
        per_life = proposer.prices(has, lives)
        if per_life is None:
            return False
        per_life = np.abs(per_life) * (self.work_cap * _STEPS)
        whole = np.rint(np.minimum(np.nan_to_num(per_life), _MOST_PRICE)).astype(np.int64).tolist()
        self.prices = {worn: price for worn, price in zip(proposer.worn, whole, strict=True) if price}
        return True

    def bound(self, has: Bools, lives: dict[_Worn, float]) -> int:
        """Return what a day of these workers takes at least [thousandths of units]; too much where they can't do it.

        Args:
            has: the workers.
            lives: of each part that can wear out.
        """
        case = self.case
        least_of: list[int | None] = [None] * len(case.work)
        prices = {worn: price for worn, price in self.prices.items() if lives.get(worn, inf) < inf}
        for job, worn, time, wear in self.ways_of(has):  # a life without end costs nothing
            cost, least = time + prices.get(worn, 0) * wear, least_of[job]
            if least is None or cost < least:
                least_of[job] = cost
        self.least = least_of
        total, too_long = 0, GRAMS_PER_KG * _UNIT * (self.work_cap + 1)
        for job in case.fixed.tolist():
            least = self.least[job]
            if least is None:
                return too_long
            total += GRAMS_PER_KG * least
        if case.firewood is not None:
            left = case.firewood.demand_g
            for each, wood_class in sorted(self.open_classes()):
                grams = min(case.grams_cap(wood_class), left)
                total, left = total + grams * each, left - grams
            if left:
                return too_long
        return total - GRAMS_PER_KG * sum(price * int(lives[worn]) for worn, price in prices.items())

    def open_classes(self) -> list[tuple[int, int]]:
        """Return each class of firewood whose every job has a worker, with what a kilogram costs at least [units]."""
        firewood, found = self.case.firewood, []
        assert firewood is not None
        for wood_class, gather in enumerate(firewood.gather.tolist()):
            costs = [self.least[job] for job in np.flatnonzero(self.case.wood_class == wood_class).tolist()]
            if None not in costs:
                found.append((gather * _UNIT + sum(each for each in costs if each is not None), wood_class))
        return found

    def relief(self, kit: frozenset[int]) -> WearShortfall | None:
        """Return what a kit lacks; None where it is not the one that was just ruled out.

        By the prices of its bound a tool takes off the day no more than what it would do more cheaply, all of that, and
        the worth of the life that it renews. What opens wood that the kit can't work may take off all.
        """
        if self.asked != kit or self.excess <= 0:
            return None
        case = self.case
        gain = self.gains(kit)
        saved = gain[: case.tools].copy()
        for group in case.groups:
            if group.dependent >= case.tools:
                saved[group.members] += gain[group.dependent]
        for renewal in case.renewals:
            price = self.prices.get((renewal.tool, renewal.part), 0)
            if price and renewal.tool in kit:
                saved[renewal.sharpeners] = inf
                for spare, life in renewal.spares.items():
                    saved[spare] += GRAMS_PER_KG * price * life
        return WearShortfall(self.excess * (1 - _TRUST), saved * (1 + _TRUST))

    def gains(self, kit: frozenset[int]) -> Floats:
        """Return by how much each worker that is no tool of a kit does jobs more cheaply [thousandths of units].

        All that can be due of each job counts; a job that the kit can't do counts without end.
        """
        case = self.case
        most = amount_cap(case)[:, None].astype(float)
        least = np.array([inf if each is None else each * (1 + _SUM_TRUST) for each in self.least])[:, None]
        saved = np.where((case.work < NEVER) & (most > 0), least - case.work * float(_UNIT), 0.0)
        gain: Floats = (np.maximum(saved, 0.0) * np.maximum(most, 1.0)).sum(axis=0)
        gain[list(kit)] = 0.0
        return gain
