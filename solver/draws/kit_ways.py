"""The ways of working of one kit in many cases of an axis, in which its tools may wear out."""

from math import inf

import numpy as np

from catalog.tables.number import Ints
from solver.forms.quantity import GRAMS_PER_KG
from solver.model.case import FIXED, NEVER, PARTS, present_workers
from solver.model.day_work import life_of
from solver.needs.case_axis import CaseAxis
from solver.siblings.kit_days import KitDays


class KitWays:
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
        rank = further.ranks()
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

    def at(self, places: Ints) -> KitDays:
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
        return KitDays(
            classes,
            self.lives,
            due,
            np.where(able, self.work[row] * amount[:, :, None], inf),
            self.wear[row] * amount[:, :, None],
            self.life[row],
            np.minimum(reach, 1.0),
            wood.gather[places] * (demand / GRAMS_PER_KG)[:, None],
        )
