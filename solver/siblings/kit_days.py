"""Days of one kit as programs in which its tools may wear out, many at once."""

from dataclasses import dataclass
from math import inf

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.model.case import FIXED

SUM_TRUST = 1e-12  # far above what a sum of floats is off by, as a part of its terms


@dataclass(frozen=True)
class KitDays:
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

    def some(self, which: Ints) -> "KitDays":
        """Return those of some cases (places)."""
        return KitDays(
            self.classes,
            self.lives,
            self.due[which],
            self.time[which],
            self.wear[which],
            self.life[which],
            self.reach[which],
            self.gather[which],
        )

    def least(self, prices: Floats, *, timed: bool) -> Floats:
        """Return what days cost at least by prices of lives, a little less than summed up: time and lives, or lives.

        Where lives alone cost more than there are, no day is possible.

        Args:
            prices: of each life, 0 or more, and 0 where none is taken, float[D, L + 1].
            timed: whether time costs.
        """
        cost = self._priced(prices, timed=timed).min(axis=2, initial=inf)
        cost = np.where(self.due, cost, 0.0)
        total = cost[:, self.classes == FIXED].sum(axis=1)
        if self.reach.shape[1]:
            price = self._of_classes(cost) + (self.gather if timed else 0.0)
            taken = burnt_shares(price, self.reach, axis=1)
            total += (np.where(taken > 0, price, 0.0) * taken).sum(axis=1)
        return _less_lives(total, prices)

    def gone(self, prices: Floats) -> tuple["GoneDays", Floats]:
        """Return the days on which each job goes the way that costs least by prices of lives.

        Args:
            prices: of each life, 0 or more, and 0 where none is taken [ms], float[D, L + 1].

        Returns:
            They, and `least`.
        """
        priced = self._priced(prices, timed=True)
        way = priced.argmin(axis=2)[:, :, None]
        cost, time, wear = (np.take_along_axis(each, way, axis=2)[:, :, 0] for each in (priced, self.time, self.wear))
        life = np.take_along_axis(self.life, way, axis=2)[:, :, 0]
        share = self.due.astype(float)
        burnt = np.zeros(len(self))
        if self.reach.shape[1]:
            price = self._of_classes(np.where(self.due, cost, 0.0)) + self.gather
            taken = burnt_shares(price, self.reach, axis=1)
            wood = self.classes != FIXED
            share[:, wood] *= taken[:, self.classes[wood]]
            burnt = (taken * self.gather).sum(axis=1)
        there = share > 0
        time, wear, cost = (np.where(there, each, 0.0) * share for each in (time, wear, cost))
        place = np.arange(len(self))[:, None] * (self.lives + 1) + life
        spent = np.zeros((len(self), self.lives + 1))
        np.add.at(spent.reshape(-1), place, wear)
        return GoneDays(time.sum(axis=1) + burnt, spent[:, :-1]), _less_lives(cost.sum(axis=1) + burnt, prices)

    def _priced(self, prices: Floats, *, timed: bool) -> Floats:
        """Return what each way costs by prices of lives, without end where it can't be gone, float[D, J, V]."""
        each = np.arange(len(self))[:, None, None]
        cost = (self.time if timed else 0.0) + self.wear * prices[each, self.life]
        return np.where(np.isfinite(self.time), cost, inf)

    def _of_classes(self, cost: Floats) -> Floats:
        """Return what the jobs of each class of firewood cost together, float[D, C]."""
        return np.stack([cost[:, self.classes == one].sum(axis=1) for one in range(self.reach.shape[1])], axis=1)


@dataclass(frozen=True)
class GoneDays:
    """D days as they are gone.

    Attributes:
        time: what each takes [ms], without end where there is none, float[D].
        spent: what each takes of each life, float[D, L].
    """

    time: Floats
    spent: Floats

    def some(self, which: Ints) -> "GoneDays":
        """Return some of them (places)."""
        return GoneDays(self.time[which], self.spent[which])

    def replaced(self, where: Bools, others: "GoneDays") -> "GoneDays":
        """Return them with those of others in some places."""
        return GoneDays(np.where(where, others.time, self.time), np.where(where[:, None], others.spent, self.spent))


def burnt_shares(price: Floats, reach: Floats, *, axis: int) -> Floats:
    """Return the share of the firewood that is burnt of each class, those that cost least first, as wide as `reach`.

    Args:
        price: of all the firewood in each class.
        reach: the share that is within reach of each class.
        axis: that of the classes.
    """
    order = price.argsort(axis=axis, kind="stable")
    reach = np.take_along_axis(reach, order, axis=axis)
    found = np.empty_like(reach)
    np.put_along_axis(found, order, np.clip(1.0 - (reach.cumsum(axis=axis) - reach), 0.0, reach), axis=axis)
    return found


def _less_lives(total: Floats, prices: Floats) -> Floats:
    """Return sums of costs less all lives at their prices, a little less than summed up; -inf where there is no sum."""
    lives = prices.sum(axis=1)
    sure = np.isfinite(total)
    total = np.where(sure, total, 0.0)
    return np.where(sure, total - lives - SUM_TRUST * (total + lives), -inf)
