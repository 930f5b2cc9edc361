"""How far scores err together: shares of the variance of what was judged over physics, by greatest likelihood.

Of each family at a task these errors are one normal vector: a part in common, a part whose correlation falls with the
distance between two tools (`likeness`), and a part of each tool's own. All groups have the same shares and the same
spread, by scipy's minimiser. The error of a reference tool is known to be 0, and the others are given that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from residual_fit import Known
from scipy.optimize import minimize
from scipy.stats import multivariate_normal, norm

from catalog.equipment.kind import family_of
from catalog.equipment.toolset import judged_tools
from catalog.maths.near_field import likeness
from catalog.scores.score_spread import reference_tools, score_place

_STARTS = ([-2.0, -2.0, -2.0], [-1.0, -3.0, -2.0], [-3.0, -1.0, -3.0])
_LEAST = 1e-8  # keeps a matrix of alike tools regular
_Group = tuple[np.ndarray, np.ndarray, bool]


def _groups(rows: Sequence[Known]) -> list[_Group]:
    """Of each family and task the errors, and how alike its tools are; last a reference tool, if there is one."""
    tools = {tool.id: tool for tool in judged_tools()}
    found: dict[tuple[str, str], list[Known]] = {}
    for one in rows:
        if one.column.endswith("_score") and one.judged > 0:
            found.setdefault((family_of(tools[one.tool]), one.column.removesuffix("_score")), []).append(one)
    groups = []
    for (family, task), some in found.items():
        places = [score_place(tools[one.tool], task) for one in some]
        errors = [one.gap for one in some]
        reference = reference_tools().get((family, task))
        if reference is not None:
            places.append(score_place(reference, task))
            errors.append(0.0)
        alike = np.array([[likeness(one, other) for other in places] for one in places])
        groups.append((np.array(errors), alike, reference is not None))
    return groups


def _surprise(groups: Sequence[_Group], common: float, near: float, own: float) -> float:
    """Less the logarithm of the likelihood, given that errors of reference tools are 0."""
    own += _LEAST
    alone = float(norm.logpdf(0.0, scale=math.sqrt(common + near + own)))
    return sum(
        alone * given - multivariate_normal(cov=common + near * alike + own * np.eye(len(gaps))).logpdf(gaps)
        for gaps, alike, given in groups
    )


def shared_parts(rows: Sequence[Known]) -> tuple[float, float, float, float]:
    """The share in common to a family, that of nearness, each tool's own; and what sharing gains in ln likelihood."""
    groups = _groups(rows)

    def found(start: list[float], with_parts: tuple[int, int]) -> tuple[float, tuple[float, float, float]]:
        def surprise(logs: np.ndarray) -> float:
            parts = [math.exp(2 * float(log)) for log in logs]
            return _surprise(groups, with_parts[0] * parts[0], with_parts[1] * parts[1], parts[2])

        end = minimize(surprise, np.array(start), method="Nelder-Mead", options={"maxiter": 2000})
        parts = [math.exp(2 * float(log)) for log in end.x]
        return float(end.fun), (parts[0], parts[1], parts[2])

    least, parts = min(found(start, (1, 1)) for start in _STARTS)
    alone, _ = min(found(start, (0, 0)) for start in _STARTS[:1])
    return parts[0] / sum(parts), parts[1] / sum(parts), parts[2] / sum(parts), alone - least
