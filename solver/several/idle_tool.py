"""Tools that a kit would hold only in case its others turn out poor: as assumed, others do all their work as fast.

In joint draws two near twins are a little surer than one, since either may turn out the better. Nobody carries both.
So kits chosen by draws hold none that is idle. More tools make no tool less idle: what is kept out stays kept out.
"""

import numpy as np

from solver.model.case import NEVER, Case
from solver.search.branching_data import BranchingData, Mask, bits

_Asked = tuple[Mask, int]  # tools, and how many of them a kit must hold


class IdleTools:
    """Which tools of a kit are idle.

    A tool is if at every job that it can do another tool of the kit that can't wear out is at least as fast. One that
    must go, that a backup or a companion asks for, or that does no job by itself, is not idle.
    """

    def __init__(self, case: Case, rules: BranchingData) -> None:
        """Lay it out.

        Args:
            case: what tools do if all is as assumed.
            rules: the rules between the same tools, by whose order kits are masks.
        """
        self._asked = {
            int(rules.rank[tool]): asked
            for tool in range(case.tools)
            if tool not in case.must and (asked := _asked_beside(case, rules, tool))
        }

    def in_kit(self, kit: Mask) -> list[int]:
        """Return the tools of a kit that are idle, lightest first."""
        return [tool for tool in bits(kit) if self._idle(kit, tool)]

    def without(self, kit: Mask) -> Mask:
        """Return a kit without tools that are idle, of which the heaviest goes first."""
        while idle := self.in_kit(kit):
            kit &= ~(1 << idle[-1])
        return kit

    def beside(self, kit: Mask, tools: Mask) -> Mask:
        """Return those of some tools that may join a kit of which none is idle, so that none is then."""
        for tool in bits(kit):
            if tool in self._asked and tools:
                spoiling = tools
                for some in self._missing(kit, tool):
                    spoiling &= some
                tools &= ~spoiling
        for tool in bits(tools):
            if self._idle(kit, tool):
                tools &= ~(1 << tool)
        return tools

    def _idle(self, kit: Mask, tool: int) -> bool:
        """Tell whether a kit holds all that makes a tool idle."""
        asked = self._asked.get(tool)
        return asked is not None and all((kit & some).bit_count() >= number for some, number in asked)

    def _missing(self, kit: Mask, tool: int) -> list[Mask]:
        """Return of each thing that makes a tool idle and that a kit lacks the tools of which one more may bring it."""
        return [
            some & ~kit if (kit & some).bit_count() == number - 1 else 0
            for some, number in self._asked[tool]
            if (kit & some).bit_count() < number
        ]


def _asked_beside(case: Case, rules: BranchingData, tool: int) -> tuple[_Asked, ...]:
    """Return what a kit must hold so that a tool is idle in it; nothing where it never is."""
    others, tools = np.arange(case.tools) != tool, slice(case.tools)
    jobs = case.work[:, tool] < NEVER
    as_fast = (case.work[jobs, tools] <= case.work[jobs, tool, None]) & others & ~case.mortal
    asked = {(rules.mask(row), 1) for row in as_fast}
    for job in np.flatnonzero(case.able[:, tool] & (case.backup > 0)).tolist():
        asked.add((rules.mask(case.able[job, tools] & others), int(case.backup[job])))
    for group in case.groups:
        # a spare blade does nothing itself, so no saw is wanted for it
        if group.members[tool] and (case.work[:, group.dependent] < NEVER).any():
            asked.add((rules.mask(group.members & others), 1))
    return tuple(sorted(asked)) if jobs.any() and all(some.bit_count() >= number for some, number in asked) else ()
