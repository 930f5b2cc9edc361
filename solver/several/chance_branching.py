"""Tools of which every kit beyond one needs one: where a weight of cases is lacking, some of them must be served."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from catalog.tables.number import Bools, Ints
from solver.search.branching_data import ENDLESS, Mask
from solver.several.chance_bounds import ChanceBounds

_MOST_ROWS = 64  # judged: sets of tools weighed against each other


class ChanceBranching:
    """The choice of tools to branch on, for many cases at once."""

    def __init__(self, bounds: ChanceBounds, weights: NDArray[np.generic]) -> None:
        """Take up the times and the weight of each case."""
        self.bounds, self.laid, self.rules = bounds, bounds.laid, bounds.rules
        self.weights = weights

    def tools(self, kit: Mask, others: Mask, cases: Ints, refused: Mapping[int, Mask], *, spare: int) -> Mask:
        """Return tools, as few as going by weight, of which every kit beyond one needs one.

        Args:
            kit: the kit.
            others: the tools that may be added.
            cases: those that may be served beyond it.
            refused: cases in which a check refused it, each with the tools of which it needs one more.
            spare: the weight of cases that may stay unserved.
        """
        laid = self.laid
        now = self.bounds.times_of(kit, cases)
        late = laid.day(now, cases) > laid.cap[cases]
        tools = self.rules.tools(others)
        sets = np.zeros((len(tools), len(cases)), dtype=bool)  # [T, E], tools that each case may still ask for
        unmet = (now[: laid.fixed] >= ENDLESS) & late
        slow = np.flatnonzero(late & ~unmet.any(axis=0))
        if len(slow):
            sets[:, slow] = (laid.times[tools[:, None, None], laid.each_job, cases[slow]] < now[:, slow]).any(axis=1)
        asks = late.copy()
        if laid.backed:
            held = self.bounds.backed_by(kit, cases)
            for job, place in zip(*np.nonzero((held < laid.backup[:, cases]) & ~late), strict=True):
                sets[:, place], asks[place] = laid.able[tools, job, cases[place]], True
        for case, mask in refused.items():
            place = int(np.searchsorted(cases, case))
            if place < len(cases) and cases[place] == case and not asks[place]:
                sets[:, place], asks[place] = np.isin(tools, self.rules.tools(mask)), True
        weights = self.weights[cases]
        chosen, hit = self.rows(unmet, cases, weights, spare, others)
        weight = int(weights[hit].sum())
        if weight > spare:
            return chosen
        rest = np.flatnonzero(asks & ~hit & ~unmet.any(axis=0))
        has = np.zeros(laid.tools, dtype=bool)
        rest = rest[np.argsort(sets[:, rest].sum(axis=0), kind="stable")]
        enough = int(np.searchsorted(weights[rest].cumsum(), spare - weight, side="right")) + 1
        if enough > len(rest):
            return others
        has[tools] = sets[:, rest[:enough]].any(axis=1)
        return chosen | self.rules.packed(has)

    def rows(
        self, unmet: Bools, cases: Ints, weights: NDArray[np.generic], spare: int, others: Mask
    ) -> tuple[Mask, Bools]:
        """Return tools able at jobs that nobody does yet, for cases that weigh more than can be spared if there are.

        Args:
            unmet: the jobs, bool[J, E].
            cases: the cases.
            weights: theirs.
            spare: the weight that may stay unserved.
            others: the tools that may be added.

        Returns:
            The tools, and the cases that ask for one of them.
        """
        hit = np.zeros(len(cases), dtype=bool)
        job, at = np.nonzero(unmet)
        if not len(at):
            return 0, hit
        numbers, sets = self.laid.able_sets
        ids, place = np.unique(numbers[job, cases[at]], return_inverse=True)
        asks = np.zeros((len(ids), len(cases)), dtype=bool)
        asks[place, at] = True
        masks = [sets[one] & others for one in ids.tolist()]
        heavy = asks @ weights
        if len(ids) > _MOST_ROWS:
            order = np.argsort(-heavy.astype(float), kind="stable")[:_MOST_ROWS]
            asks, heavy, masks = asks[order], heavy[order], [masks[one] for one in order.tolist()]
        alone = [(mask.bit_count(), one) for one, mask in enumerate(masks) if heavy[one] > spare]
        if alone:
            return masks[min(alone)[1]], asks[min(alone)[1]]
        chosen: Mask = 0
        while int(weights[hit].sum()) <= spare:
            more = (asks & ~hit) @ weights
            worth = [float(gain) / ((mask & ~chosen).bit_count() + 0.1) for gain, mask in zip(more, masks, strict=True)]
            best = int(np.argmax(worth))
            if not more[best]:
                break
            chosen, hit = chosen | masks[best], hit | asks[best]
        return chosen, hit
