"""A guess at the least mass of a case from a kit that the lightest is thought to be near; it only saves time."""

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from solver.model.copies import original_of
from solver.search.branching_data import ENDLESS, BranchingData, Mask

_FEWER = 2  # judged: tools left home in a guess
_MOST_KITS = 32  # judged: ways to leave some home that are worth a look
_MOST_LOOKS = 8  # judged: kits whose rules are looked at, of one way to leave some home


def _homes_of(sorts: Sequence[str]) -> list[tuple[int, ...]]:
    """Return the tools of a kit (places) that may stay home: none, each, each two; of one sort any of them.

    Args:
        sorts: of each tool what it is, whichever of several alike.
    """
    found: dict[tuple[str, ...], tuple[int, ...]] = {}
    for number in range(min(_FEWER, len(sorts)) + 1):
        for home in combinations(range(len(sorts)), number):
            found.setdefault(tuple(sorted(sorts[place] for place in home)), home)
    return list(found.values())


def guessed_mass(laid: BranchingData, ids: Sequence[str]) -> int | None:
    """Return the mass of the lightest kit that comes of one by leaving up to two tools home and taking one besides.

    As far as bounds tell [0.01 g]; None where none of these does the work of the only case. Wear is left out.
    """
    case = laid.case
    kit = sorted({int(laid.rank[case.place[name]]) for name in ids if name in case.place})
    must = frozenset(laid.rank[sorted(case.must)].tolist())
    free = [tool for tool in kit if tool not in must]
    if len(free) > _MOST_KITS:
        return None
    homes = _homes_of([original_of(case.ids[laid.order[tool]]) for tool in free])
    if len(homes) > _MOST_KITS:
        return None
    laid.lay_out_times()
    most, found = min(float(laid.day_cap[0]), ENDLESS), None
    for home in homes:
        stay = {free[place] for place in home}
        kept = [tool for tool in kit if tool not in stay]
        mask, mass = sum(1 << tool for tool in kept), sum(laid.mass[tool] for tool in kept)
        does = laid.day(np.minimum(laid.times_of(kept)[:, :, None], laid.times), None)[0] <= most
        for tool in does.nonzero()[0][:_MOST_LOOKS].tolist():
            more = mask | 1 << tool
            heavier = mass if more == mask else mass + laid.mass[tool]
            if found is not None and heavier >= found:
                break
            if _keeps(laid, more):
                found = heavier
                break
    return found


def _keeps(laid: BranchingData, kit: Mask) -> bool:
    """Tell whether a kit keeps the rules, as far as branching looks at them."""
    wood = laid.lacks_wood(kit) if laid.classes else None
    return wood is None and not laid.unmet(kit) and not laid.lacks_for_rules(kit) and laid.allowed(kit)
