"""The next kits: lightest first, each really different from those before it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from catalog import TASKS, Tool
from solver.case import Bools, Case
from solver.choice import Choice, choose
from solver.engine import Effort


def next_kits(
    case: Case, first: Choice, tools: Sequence[Tool], *, number: int, aim: str, effort: Effort
) -> list[Choice]:
    """Return up to `number` further kits in order, whose cutting tools hold no listed kit's.

    Sharpeners and methods do not count: a kit is told by its cutting tools. A kit without any cutting tool
    excludes only itself.
    """
    cutting = cutting_tools(tools)
    found: list[Choice] = []
    listed = first
    for _ in range(number):
        case = excluding(case, listed.ids or (), cutting)
        listed = choose(case, aim=aim, effort=effort, near=listed.mass)
        if listed.ids is None:
            break
        found.append(listed)
    return found


def cutting_tools(tools: Sequence[Tool]) -> Bools:
    """Tell which tools cut at all."""
    return np.array([any(getattr(tool, f"{task}_score") > 0 for task in TASKS) for tool in tools], dtype=bool)


def excluding(case: Case, listed: Sequence[str], cutting: Bools) -> Case:
    """Return the case without kits that hold all cutting tools of a listed kit."""
    kit = frozenset(tool for tool in case.kit(listed) if cutting[tool])
    if kit:
        return replace(case, forbidden=(*case.forbidden, kit))
    return replace(case, some_of=(*case.some_of, cutting))
