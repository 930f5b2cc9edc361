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
    most: Callable[[frozenset[int]], int],
    trim: Callable[[frozenset[int]], frozenset[int]],
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
        most: tells sooner a weight that it does not go beyond.
        trim: returns a kit without tools that others make needless in it.
        must: tools that go in any case.
        effort: what it may cost.
    """
    looks = 0

    def weight_of(kit: frozenset[int]) -> int | None:
        nonlocal looks
        looks += 1
        return None if looks > _MOST_LOOKS or effort.spent() else weigh(kit)

    def serves(kit: frozenset[int]) -> bool:
        return looks <= _MOST_LOOKS and not effort.spent() and most(kit) >= quota and (weight_of(kit) or 0) >= quota

    kit = trim(start | must)
    weight = weight_of(kit)
    for _ in range(_MOST_STEPS):
        if weight is None or weight >= quota:
            break

        def worth(tool: int, reached: int, now: int = weight) -> float:
            return (min(reached, quota) - now) / max(masses[tool], 1)

        free = [tool for tool in range(len(masses)) if tool not in kit]
        hopes = [] if effort.spent() else [(worth(tool, most(trim(kit | {tool}))), -tool) for tool in free]
        best: tuple[float, int, int] | None = None
        for hope, tool in sorted(hopes, reverse=True):
            if hope <= 0 or (best is not None and hope < best[0]):
                break
            reached = weight_of(trim(kit | {-tool})) or 0
            if reached > weight:
                best = max(best or (0.0, 0, 0), (worth(-tool, reached), tool, reached))
        if best is None:
            return None
        kit, weight = trim(kit | {-best[1]}), best[2]
    if weight is None or weight < quota:
        return None
    lighter: frozenset[int] | None = kit
    while lighter is not None:
        kit = lighter
        lighter = next((one for one in _lighter(kit, must, masses) if serves(one)), None)
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
