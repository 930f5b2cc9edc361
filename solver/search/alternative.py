"""The next kits: lightest first, each really different from those before it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from catalog import TASKS, Tool
from solver.forms.aim import AIMS
from solver.forms.effort import Effort
from solver.model.case import Bools, Case
from solver.model.reduction import reduce
from solver.search.choice import Choice, choose


def next_kits(
    case: Case, first: Choice, tools: Sequence[Tool], *, number: int, aim: str, effort: Effort
) -> list[Choice]:
    """Return up to `number` further kits in order, whose cutting tools hold no listed kit's.

    Sharpeners and methods do not count: a kit is told by its cutting tools. A kit without any cutting tool
    excludes only itself.
    """
    cutting, by_effort = cutting_tools(tools), AIMS[aim].by_kcal
    small = reduce(case, by_effort=by_effort, spare=number)
    found: list[Choice] = []
    listed = first
    for _ in range(number):
        ids = listed.ids or ()
        case = excluding(case, ids, cutting)
        if any(cutting[tool] for tool in case.kit(ids)):
            small = excluding(small, ids, cutting[[case.place[name] for name in small.ids]])
        else:  # a tool that cuts, if only badly, may be asked for now
            small = reduce(case, by_effort=by_effort, spare=number)
        listed = choose(small, aim=aim, effort=effort, near=listed.mass, reduced=False)
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
