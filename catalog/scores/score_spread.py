"""How wide a score is: log-normal, with its median in the row and its 90 % interval there or as judged scores have."""

import math
from collections.abc import Mapping
from statistics import NormalDist

import numpy as np

from catalog.equipment.tool import Tool
from catalog.maths.stratified import fresh_normal_draws, normal_draws
from catalog.tables.assumption import assumed
from catalog.tables.number import Floats

DRAWN_SOURCE = "geometry model"  # source of the scores of a row that comes from a drawing
# derived: the ends of a 90 % interval leave 5 % on either side
_Z = NormalDist().inv_cdf(19 / 20)


def score_interval(tool: Tool, task: str, *, changed: Mapping[str, float] | None = None) -> tuple[float, float]:
    """Return the 90 % interval of a tool's score at a task; an end that its row does not give is a judged one's.

    A score of 0 is exact.

    Args:
        tool: its row.
        task: split, saw, carve or chop.
        changed: assumptions in place of the table's, by id.
    """
    score = float(getattr(tool, f"{task}_score"))
    low, high = getattr(tool, f"{task}_score_low"), getattr(tool, f"{task}_score_high")
    factor = assumed(f"judged_spread_{task}", changed)
    return score / factor if low is None else low, score * factor if high is None else high


def score_factors(tool: Tool, task: str, *, name: str, count: int, seed: int, fresh: bool = False) -> Floats:
    """Return draws of a score over its median [-], float[count].

    Between the median and each end of the interval the logarithm is normal, with a spread of that side. What physics
    and the residual get wrong of one drawing they get wrong of all: in each draw the drawn scores at a task lie equally
    far out in their intervals, or the luckiest of many designs would win.

    Args:
        tool: its row, with a score above 0 at the task.
        task: split, saw, carve or chop.
        name: its draws go by, unless it is drawn; copies of a tool have the one of their original.
        count: how many draws.
        seed: any whole number.
        fresh: whether they are plain pseudorandom ones, of another stream, not stratified.
    """
    score = float(getattr(tool, f"{task}_score"))
    low, high = score_interval(tool, task)
    whose = "residual" if tool.score_source == DRAWN_SOURCE else name
    draws = (fresh_normal_draws if fresh else normal_draws)(name=f"{whose}.{task}_score", count=count, seed=seed)
    side = np.where(draws < 0, math.log(score / low), math.log(high / score))
    factors: Floats = np.exp(draws / _Z * side)
    return factors
