"""The case that is as easy as each of several, in every figure: a kit that it rules out is ruled out by all."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from solver.model.case import Case, Firewood
from solver.model.slower_ways import easiest_ways


def easiest(cases: Sequence[Case]) -> Case:
    """Return a case as easy as each of these, which ask for the same jobs, in every figure."""
    first = cases[0]
    wear = np.minimum.reduce([case.wear for case in cases])
    for case in cases[1:]:  # what wears another part somewhere, wears none
        wear = np.where(case.part == first.part, wear, 0)
    return replace(
        first,
        work=np.minimum.reduce([case.work for case in cases]),
        wear=wear,
        slower=easiest_ways([case.slower for case in cases]),
        able=np.logical_or.reduce([case.able for case in cases]),
        firewood=_easiest_firewood([case.firewood for case in cases if case.firewood is not None]),
    )


def _easiest_firewood(several: Sequence[Firewood]) -> Firewood | None:
    """Return firewood of which least is wanted, and most within reach at least cost."""
    if not several:
        return None
    return Firewood(
        demand_g=min(one.demand_g for one in several),
        reach_g=np.maximum.reduce([one.reach_g for one in several]),
        gather=np.minimum.reduce([one.gather for one in several]),
        gather_kcal=np.minimum.reduce([one.gather_kcal for one in several]),
    )
