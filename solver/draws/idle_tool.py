"""Tools that a kit holds only in case its others turn out poor: all that they can do, others do as fast as assumed."""

from collections.abc import Sequence

import numpy as np

from solver.model.case import NEVER, Case


def idle_tools(case: Case, kit: frozenset[int], families: Sequence[str]) -> list[int]:
    """Return the tools of a kit that are idle by themselves, ascending.

    A tool is idle if the kit holds another of its family, and if at every job that it can do another tool of the kit
    that can't wear out is at least as fast. One that must go, or that a backup or a companion asks for, is not idle.

    Args:
        case: as assumed.
        kit: its tools.
        families: of the tools of the case, in their order; an empty one is none.
    """
    return [tool for tool in sorted(kit - case.must) if _idle(case, tool, sorted(kit - {tool}), families)]


def _idle(case: Case, tool: int, others: Sequence[int], families: Sequence[str]) -> bool:
    """Tell whether a tool is idle beside the others of its kit."""
    if not families[tool] or families[tool] not in {families[other] for other in others}:
        return False
    theirs = np.where(case.mortal[others], NEVER, case.work[:, others])
    jobs = case.work[:, tool] < NEVER
    if not jobs.any() or (theirs[jobs].min(axis=1) > case.work[jobs, tool]).any():
        return False
    asked = case.able[:, tool] & (case.backup > 0)
    if (case.able[asked][:, others].sum(axis=1) < case.backup[asked]).any():
        return False
    return all(group.members[others].any() for group in case.groups if group.members[tool])
