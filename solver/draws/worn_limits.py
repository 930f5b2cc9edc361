"""Whether one kit keeps a limit on its work in draws in which its tools may wear out, most of them told by prices.

With a price on each life, every job goes the way that costs least, and a day costs no less than that comes to without
the price of whole lives (Lagrangean relaxation; see `solver.model.wear`): above the limit, no day keeps it. A day that
spends no life beyond its end, or a mixture of two days that together don't, is possible: within the limit, it keeps it.
Prices follow the subgradient in steps that aim just above the limit (Polyak 1969, from memory) until one of the two
tells; what they leave open is solved exactly.
"""

import numpy as np

from catalog.tables.number import Bools, Floats, Ints
from solver.draws.kit_ways import KitWays
from solver.draws.worn_days import worn_work
from solver.forms.effort import Effort
from solver.needs.case_axis import CaseAxis
from solver.siblings.kit_days import GoneDays, KitDays

_CELLS = 200_000  # judged: ways of working in the draws that are looked at together
_MOST_PRICES = 8  # judged: prices that are tried; few draws are still open then
_TARGET = 1.02  # judged: of the bound, as a part of the limit
_DEAR = 10.0  # judged: of every life where lives are spared before time, as a part of the limit
_TRUST = 1e-9  # judged: far above what sums of floats are off by, as a part of them


def worn_at_a_look(axis: CaseAxis, kit: frozenset[int], places: Ints, *, effort: Effort) -> tuple[Bools, Bools]:
    """Tell in which of some cases a kit does its work within the limit, and none of its tools wears out before.

    Args:
        axis: the cases.
        kit: tools that do all jobs in these cases if none wears out.
        places: of the cases, ascending.
        effort: what it may cost.

    Returns:
        Where it does as far as prices tell it, bool; and where they do, bool.

    Raises:
        Unfinished: the effort ran out.
    """
    caps = axis.work_caps[places]
    held, known = np.zeros(len(places), dtype=bool), np.zeros(len(places), dtype=bool)
    if len(places):
        ways = KitWays(axis, kit, places)
        size = max(1, _CELLS // max(1, ways.cells))
        for first in range(0, len(places), size):
            effort.go_on()
            part = slice(first, first + size)
            held[part], known[part] = _told(ways.at(places[part]), caps[part])
    return held, known


def worn_exactly(axis: CaseAxis, kit: frozenset[int], places: Ints, *, effort: Effort) -> Bools:
    """Tell the same of cases that a look leaves open, by the least work of each day."""
    work = worn_work(axis, kit, places, effort=effort)
    return np.asarray((work >= 0) & (work <= axis.work_caps[places]))


def _told(days: KitDays, caps: Floats) -> tuple[Bools, Bools]:
    """Return which days keep their limits [ms], and of which that is told; limits without end are left open."""
    held, known = np.zeros(len(days), dtype=bool), np.zeros(len(days), dtype=bool)
    here = np.flatnonzero(np.isfinite(caps))
    open_, caps = days.some(here), caps[here]
    prices = np.zeros((len(here), days.lives))
    # a day that spends too much of some life, and the best that doesn't: first one that spares all lives
    far = near = GoneDays(np.full(len(here), np.inf), np.zeros_like(prices))
    if len(here):
        gone, _ = open_.gone(np.full((len(here), days.lives + 1), _DEAR * caps[:, None]) * _each_life(days))
        near = near.replaced(np.asarray((gone.spent <= 1 - _TRUST).all(axis=1)), gone)
    for _ in range(_MOST_PRICES):
        if not len(here):
            break
        gone, least = open_.gone(np.append(prices, np.zeros((len(here), 1)), axis=1))
        fits: Bools = np.asarray(~(gone.spent > 1 - _TRUST).any(axis=1))
        near, far = near.replaced(fits & (gone.time < near.time), gone), far.replaced(~fits, gone)
        keeps = np.minimum(near.time, _mixed(far, near)) * (1 + _TRUST) <= caps
        settled = keeps | (least > caps)
        held[here[settled]], known[here[settled]] = keeps[settled], True
        slope = np.where((prices > 0) | (gone.spent > 1), gone.spent - 1, 0.0)
        norm = (slope * slope).sum(axis=1)
        moves = (norm > 0) & np.isfinite(least)
        step = np.divide(_TARGET * caps - least, norm, out=np.zeros_like(caps), where=moves)
        prices = np.maximum(prices + step[:, None] * slope, 0.0)
        stay = np.flatnonzero(~settled)
        if len(stay) < len(here):
            here, open_, caps = here[stay], open_.some(stay), caps[stay]
            prices, far, near = prices[stay], far.some(stay), near.some(stay)
    return held, known


def _each_life(days: KitDays) -> Floats:
    """Return 1 for each life and 0 for none, float[L + 1]."""
    return np.append(np.ones(days.lives), 0.0)


def _mixed(far: GoneDays, near: GoneDays) -> Floats:
    """Return the time of days with as much of others as lives ask for [ms], without end where one is not there.

    The others spend none beyond its end, so that the mixture doesn't.
    """
    both = np.isfinite(far.time) & np.isfinite(near.time)
    beyond = far.spent - (1 - _TRUST)
    less = far.spent - near.spent
    asked = np.divide(beyond, less, out=np.zeros_like(less), where=(beyond > 0) & (less > 0))
    share = np.minimum(asked.max(axis=1, initial=0.0) + _TRUST, 1.0)
    first, second = np.where(both, far.time, 0.0), np.where(both, near.time, 0.0)
    return np.where(both, first + share * (second - first), np.inf)
