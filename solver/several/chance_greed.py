"""A kit for a weight of cases by greed and exchange, for an answer whose search ended first: never proven."""

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations

from solver.forms.effort import Effort

_MOST_STEPS = 40  # judged: tools added one by one; kits of more are not sought
_MOST_LOOKS = 6_000  # judged: kits that are weighed


def likely_by_greed(
    start: frozenset[int],
    quota: int,
    masses: Sequence[int],
    weigh: Callable[[frozenset[int]], int],
    *,
    must: frozenset[int],
    effort: Effort,
) -> frozenset[int] | None:
    """Return a kit that serves a weight of cases, or None where greed finds none.

    Tool after tool goes that serves most weight more for its grams; then tools stay home, or one or two change for a
    lighter one, as long as the weight is served.

    Args:
        start: a kit to set out from.
        quota: the weight asked for.
        masses: of the tools [0.01 g].
        weigh: tells the weight that a kit serves, 0 where it breaks a rule.
        must: tools that go in any case.
        effort: what it may cost.
    """
    looks = 0

    def weight_of(kit: frozenset[int]) -> int | None:
        nonlocal looks
        looks += 1
        return None if looks > _MOST_LOOKS or effort.spent() else weigh(kit)

    kit, weight = start | must, weight_of(start | must)
    for _ in range(_MOST_STEPS):
        if weight is None or weight >= quota:
            break
        best: tuple[float, int, int] | None = None
        for tool in range(len(masses)):
            gained = 0 if tool in kit else (weight_of(kit | {tool}) or 0) - weight
            if gained > 0:
                worth = min(gained, quota - weight) / max(masses[tool], 1)
                best = max(best or (0.0, 0, 0), (worth, -tool, gained))
        if best is None:
            return None
        kit, weight = kit | {-best[1]}, weight + best[2]
    if weight is None or weight < quota:
        return None
    lighter: frozenset[int] | None = kit
    while lighter is not None:
        kit = lighter
        tries = _lighter(kit, must, masses)
        lighter = next((one for one in tries if (weight_of(one) or 0) >= quota), None)
    return kit


def _lighter(kit: frozenset[int], must: frozenset[int], masses: Sequence[int]) -> Iterator[frozenset[int]]:
    """Yield the kits without one tool, then with a lighter one in the place of one or two; most saved first."""
    free = sorted(kit - must, key=lambda tool: (-masses[tool], tool))
    for tool in free:
        yield kit - {tool}
    outs = [(tool,) for tool in free] + list(combinations(free, 2))
    swaps = [
        (masses[other] - sum(masses[tool] for tool in out), out, other)
        for out in outs
        for other in range(len(masses))
        if other not in kit and masses[other] < sum(masses[tool] for tool in out)
    ]
    for _, out, other in sorted(swaps):
        yield kit.difference(out) | {other}
