"""The least work of days on which one life of a kit's tools binds and the others last, many at once.

The day's program with a price on that life falls apart: each job goes the way that costs least (`KitDays.gone`), and
what it comes to bounds the day from below (Lagrangean relaxation; see `solver.model.wear`). As the price rises, that
bound is the least of straight lines, one for each way to go a day. Two of them are kept, the best that spends too much
of the life and the best that does not: where they cross is the next price, until no line lies below (Kelley 1960, from
memory). Of the two, the mixture that spends the life whole is a day that can be gone. Where bound and mixture leave but
one whole number of milliseconds, with what floats may be off by, that is the work.
"""

from dataclasses import dataclass
from math import inf

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.siblings.kit_days import SUM_TRUST, GoneDays, KitDays

_MOST_PRICES = 40  # judged: each price rules out a way to go the day; four to six are enough as a rule
_DEAR = 1e3  # judged: price of a life that is spared before all time, in times of the day
_MOST_TIME = 2.0**62  # derived: ms that fit a whole number


def one_life_work(days: KitDays, *, effort: Effort) -> tuple[Ints, Ints]:
    """Return the days (places) that are told by a price on one life, and their least work [ms]; -1 where it ends first.

    Args:
        days: on which all jobs are done if no tool wears out.
        effort: what it may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    work, told = np.full(len(days), -1), np.zeros(len(days), dtype=bool)
    if not days.lives:
        return np.flatnonzero(told), work[told]
    place, prices = np.arange(len(days)), np.zeros((len(days), days.lives + 1))
    over, low = days.gone(prices)
    life = over.spent.argmax(axis=1)  # that which is spent most, if nothing is spared
    prices[place, life] = _DEAR * np.where(np.isfinite(over.time), over.time, 0.0)
    under, _ = days.gone(prices)
    each = place, life
    sure = np.isfinite(low) & np.isfinite(under.time) & (over.spent[each] > 1)
    sole = np.zeros_like(prices)
    sole[each] = 1.0
    ended = sure & (under.spent[each] > 1)
    told[ended] = days.least(sole, timed=False)[ended] > 0
    here = np.flatnonzero(sure & (under.spent[each] < 1 - SUM_TRUST))
    lines = _Lines(days.some(here), life[here], over.some(here), under.some(here), low[here], here >= 0)
    for _ in range(_MOST_PRICES):
        if not len(here):
            break
        effort.go_on()
        lines.cross()
        least, most = np.ceil(lines.low), np.ceil(lines.high())
        met = (least == most) & (most < _MOST_TIME)
        work[here[met]], told[here[met]] = most[met].astype(np.int64), True
        stay = np.flatnonzero(~met & lines.moved)
        here, lines = here[stay], lines.some(stay)
    return np.flatnonzero(told), work[told]


@dataclass
class _Lines:
    """Of each day the best ways to go it so far.

    Attributes:
        days: they.
        life: of each the one that binds.
        over: the best that spends too much of that life.
        under: the best that doesn't.
        low: what the day takes at least [ms].
        moved: whether the last price found a line below both.
    """

    days: KitDays
    life: Ints
    over: GoneDays
    under: GoneDays
    low: Floats
    moved: Bools

    def cross(self) -> None:
        """Try the price at which the two lines cross, and take what is gone at it in place of one of them."""
        each = np.arange(len(self.life)), self.life
        more, less = self.over.spent[each], self.under.spent[each]
        prices = np.zeros((len(self.life), self.days.lives + 1))
        prices[each] = price = np.maximum((self.under.time - self.over.time) / (more - less), 0.0)
        gone, low = self.days.gone(prices)
        self.low = np.maximum(self.low, low)
        spent = gone.spent[each]
        self.moved = (gone.time + price * spent) < (self.over.time + price * more)
        late = self.moved & (spent > 1)
        self.over = self.over.replaced(late, gone)
        self.under = self.under.replaced(self.moved & (spent < 1 - SUM_TRUST), gone)

    def high(self) -> Floats:
        """Return the time of the mixture that spends the life whole [ms] or a little more; see `KitDays.least`.

        Without end where another life does not last.
        """
        each = np.arange(len(self.life)), self.life
        more, less = self.over.spent[each], self.under.spent[each]
        share = np.clip((1 - SUM_TRUST * (1 + more) - less) / (more - less), 0.0, 1.0)
        spent = self.under.spent + share[:, None] * (self.over.spent - self.under.spent)
        spent[each] = 0.0
        time = self.under.time + share * (self.over.time - self.under.time)
        time += SUM_TRUST * (self.under.time + self.over.time)
        return np.where((spent < 1 - SUM_TRUST).all(axis=1), time, inf)

    def some(self, which: Ints) -> "_Lines":
        """Return some of them."""
        over, under = self.over.some(which), self.under.some(which)
        return _Lines(self.days.some(which), self.life[which], over, under, self.low[which], self.moved[which])
