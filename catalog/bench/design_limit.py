"""The limits that every design of a sweep keeps, unless they are loosened by name."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping

from catalog.bench.feasibility import LIMIT_NAMES, LimitName
from catalog.bench.variation import Candidate

Looser = Mapping[LimitName, float]


def loosened(names: Iterable[LimitName]) -> Looser:
    """Return limits that are left out, each by an endless number of its steps."""
    return dict.fromkeys(names, math.inf)


def keeps_limits(candidate: Candidate, looser: Looser) -> bool:
    """Tell whether a design keeps every limit, some of them looser by so many of their steps."""
    return not _left_out_by(candidate, looser)


def _left_out_by(candidate: Candidate, looser: Looser) -> set[LimitName]:
    """Return the limits that a design does not keep."""
    found = set()
    for check in candidate.rating.checks:
        steps = looser.get(check.limit, 0)
        if steps < math.inf and not check.within_steps(steps):
            found.add(check.limit)
    return found


def left_out(candidates: Iterable[Candidate], looser: Looser) -> dict[LimitName, int]:
    """Return how many designs each limit leaves out, the strictest first; one may leave out what another does."""
    counted = Counter(name for one in candidates for name in _left_out_by(one, looser))
    return dict(sorted(counted.items(), key=lambda pair: (-pair[1], LIMIT_NAMES.index(pair[0]))))


def step_words(candidates: Iterable[Candidate], name: LimitName) -> str:
    """Return what a step of a limit means."""
    steps = {
        check.quantity: check.step_text for one in candidates for check in one.rating.checks if check.limit == name
    }
    return ", ".join(steps.values())
