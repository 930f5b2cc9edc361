"""The parts of an answer one after the other, each within its share of the time that is left, and what was not settled.

The kit comes first. A part that its time or its nodes don't let end is named in the answer and told as far as it came.
"""

from collections.abc import Callable
from typing import TypeVar

from solver.forms.effort import Effort, Unfinished

_Result = TypeVar("_Result")


class Parts:
    """The parts of one answer on their way."""

    def __init__(self, names: list[str], *, effort: Effort) -> None:
        """Begin with none settled.

        Args:
            names: of the parts to come, as the answer tells them.
            effort: what all may cost.
        """
        self.effort = effort
        self.to_come = list(names)
        self.unsettled: list[str] = []

    def wants(self, name: str) -> bool:
        """Tell whether a part is still to come."""
        return name in self.to_come

    def settle(self, name: str, work: Callable[[Effort], _Result], otherwise: _Result) -> _Result:
        """Return what a part comes to, or what stands for it where it was not settled.

        A solve that was stopped is told to its caller as one that found nothing: so a part whose time was over at its
        end counts as not settled too.
        """
        effort = self.effort.portion(1 / len(self.to_come))
        self.to_come.remove(name)
        try:
            found = work(effort)
        except Unfinished:
            self.unsettled.append(name)
            return otherwise
        if effort.over:
            self.unsettled.append(name)
        return found

    def settle_in_time(self, name: str, work: Callable[[Effort], _Result], otherwise: _Result) -> _Result:
        """Return what `settle` does; where the time is over already, the part is not begun."""
        if self.effort.spent():
            self.leave(name)
            return otherwise
        return self.settle(name, work, otherwise)

    def leave(self, name: str) -> None:
        """Leave a part unsettled that rests on another which is not settled."""
        self.to_come.remove(name)
        self.unsettled.append(name)
