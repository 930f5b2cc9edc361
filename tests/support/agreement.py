"""How well scores from geometry put tools in the order in which the judged scores put them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

STEP = 0.5  # judged scores come in steps of this size; a smaller difference is a tie


@dataclass(frozen=True, slots=True)
class Agreement:
    """Comparison for one task.

    Attributes:
        task: the task.
        tools: ids compared: judged above 0.
        pairs: pairs whose judged scores differ.
        same_order: of those, pairs that the model puts in the same order.
        swapped: the other pairs, better-judged tool first.
        differences: model score less judged score by tool.
    """

    task: str
    tools: tuple[str, ...]
    pairs: int
    same_order: int
    swapped: tuple[tuple[str, str], ...]
    differences: Mapping[str, float]

    @property
    def share(self) -> float:
        """Share of pairs in the same order; 1 when there is nothing to order."""
        return self.same_order / self.pairs if self.pairs else 1.0

    @property
    def tau(self) -> float:
        """Kendall's tau: pairs in the same order less the others, over all; pairs judged equal are left out."""
        return 2 * self.share - 1

    @property
    def mean_difference(self) -> float:
        """Mean absolute difference of the scores; 0 without tools."""
        sizes = [abs(d) for d in self.differences.values()]
        return sum(sizes) / len(sizes) if sizes else 0.0


def compare(task: str, *, model: Mapping[str, float], judged: Mapping[str, float], tools: Sequence[str]) -> Agreement:
    """Compare two sets of scores of one task.

    Args:
        task: the task, for the report.
        model: scores from geometry, by tool id, before rounding.
        judged: scores of the catalog, by tool id.
        tools: ids to compare; those missing from ``model`` or judged 0 are left out.
    """
    known = [t for t in tools if t in model and judged[t] > 0]
    swapped = []
    pairs = 0
    for first, second in combinations(known, 2):
        gap = judged[first] - judged[second]
        if abs(gap) < STEP:
            continue
        pairs += 1
        better, worse = (first, second) if gap > 0 else (second, first)
        if model[better] <= model[worse]:
            swapped.append((better, worse))
    return Agreement(
        task=task,
        tools=tuple(known),
        pairs=pairs,
        same_order=pairs - len(swapped),
        swapped=tuple(swapped),
        differences={t: model[t] - judged[t] for t in known},
    )
