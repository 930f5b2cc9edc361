"""Kits that wear rules out: one program for all kits of a case, and what its prices tell of larger kits."""

from math import inf

import numpy as np

from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import LIFE, Bools, Case
from solver.model.day_work import life_of, sharing
from solver.model.engine import Rerun
from solver.model.time_price import WearShortfall

_NEAR = 1e-3  # judged: of a day, far above what a solver's tolerance makes of it
_UNDONE = 1e3  # judged: days that a job left undone counts; where very little is, the day is worked out anew
_TRACE = 1e-9  # judged: of a day; a price below this is the solver's tolerance


class Wear:
    """The program that shares the jobs of a case out over any kit, made once: it tells kits that wear rules out.

    Time is counted in days of the work limit. What a kit can't do is left undone, at UNDONE days for the whole of a
    job or a kilogram, so that there is always an optimum, and prices with it (the elastic form of a program; Brown,
    Graves 1975).
    """

    def __init__(self, case: Case, work_cap: int) -> None:
        """Make the program of all workers; a kit then only sets bounds."""
        self.case = case
        self.asked: frozenset[int] = frozenset()  # the kit that it was asked for last
        self.excess = 0.0  # days too many that it takes
        program = sharing(case, np.ones(len(case.workers), dtype=bool), elastic=True)
        model, each = program.model, GRAMS_PER_KG * max(1, work_cap)
        cost = dict.fromkeys(range(len(model.columns)), _UNDONE)
        if program.grams:
            cost[max(program.grams.values()) + 1] = _UNDONE / GRAMS_PER_KG  # the grams that are missing
        cost |= {column: time / each for column, time in program.minutes.items()}
        self.columns = np.array(list(program.amounts.values()), dtype=np.int64)
        self.worker = np.array([worker for _, worker, _ in program.amounts], dtype=np.int64)  # of each of those columns
        self.most = np.array([model.columns[column].high for column in self.columns.tolist()])  # of each of those
        self.worn: list[tuple[int, int]] = []  # tools and parts
        first = len(model.rows)
        for worn, terms in program.spendings():
            self.worn.append(worn)
            model.row((column, spent / (GRAMS_PER_KG * LIFE)) for column, spent in terms)
        self.rows = np.arange(first, len(model.rows))
        self.program = Rerun(model, cost)

    def rules_out(self, chosen: frozenset[int], has: Bools) -> bool:
        """Tell whether a kit that breaks no other rule can't do its work within lives and the work limit.

        What a tolerance could decide is left to be worked out anew.

        Args:
            chosen: the tools of the kit.
            has: the workers that it has.
        """
        lives = np.array([life_of(self.case, chosen, *worn) if has[worn[0]] else inf for worn in self.worn])
        upper = np.where(has[self.worker], inf, 0.0)
        least = self.program.least(self.columns, upper, self.rows, lives / LIFE)
        self.excess = 0.0 if least is None else least - 1 - _NEAR
        self.asked = chosen
        return self.excess > 0

    def relief(self, kit: frozenset[int]) -> WearShortfall | None:
        """Return what a kit lacks; None where it is not the one that was just ruled out.

        By the prices of its program a tool takes off the day no more than what it would do more cheaply, all of that,
        and the worth of the life that it renews: else the dual solution would give a better bound.
        """
        if self.asked != kit or self.excess <= 0:
            return None
        case = self.case
        reduced, price = self.program.prices()
        gain = np.zeros(len(case.workers))
        np.add.at(gain, self.worker, np.maximum(-reduced[self.columns] - _TRACE, 0.0) * self.most)
        saved = gain[: case.tools].copy()
        for group in case.groups:
            if group.dependent >= case.tools:
                saved[group.members] += gain[group.dependent]
        worth = dict(zip(self.worn, np.abs(price[self.rows]).tolist(), strict=True))
        for renewal in case.renewals:
            life = worth.get((renewal.tool, renewal.part), 0.0)
            if life > _TRACE:
                saved[renewal.sharpeners] = inf
                for spare, share in renewal.spares.items():
                    saved[spare] += share / LIFE * life
        return WearShortfall(self.excess, saved)
