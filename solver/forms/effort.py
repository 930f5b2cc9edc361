"""What a solve may cost, and how it is ended from outside."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from threading import Event
from typing import Literal, get_args

import numpy as np

from catalog.tables.python_form import misuse, shown

_MOST_NODES = 2**31 - 1  # the solvers count them in 32 bits
SolverName = Literal["highs", "cbc"]


def _seconds(value: float) -> float:
    """Return seconds as Python's float: without end where an int is too large for one."""
    try:
        return float(value)
    except OverflowError:
        return inf if value > 0 else -inf


class Cancelled(RuntimeError):
    """Nobody waits for the answer any more."""


class Unfinished(RuntimeError):
    """The effort ran out before the answer was known; nothing can be said of the trip."""

    def __init__(self) -> None:
        super().__init__("no kit was found within the allowed effort")


@dataclass(frozen=True)
class Effort:
    """What one solve may cost: branch-and-bound nodes first, then seconds.

    `cancelled` ends it, and all that follow; `on_solve` is called after each solve, in the thread that solves.

    Attributes:
        nodes: branch-and-bound nodes, 1 or more.
        seconds: seconds, above 0.
        cancelled: set from outside, it ends the solve with `Cancelled`.
        on_solve: called after each solve.
        solver: highs or cbc solves every integer program, and no enumeration comes before it; None is the usual way,
            enumeration and then highs.

    Raises:
        TypeError: an argument of another kind.
        ValueError: another solver, or no effort at all.
    """

    nodes: int = 200_000
    seconds: float = 30.0
    cancelled: Event | None = None
    on_solve: Callable[[], None] | None = None
    solver: SolverName | None = None

    def __post_init__(self) -> None:
        """Check what was given, before any solve."""
        names = " or ".join(get_args(SolverName))
        if self.solver is not None and not isinstance(self.solver, str):
            raise misuse("solver", self.solver, f"{names}, or None")
        if self.solver is not None and self.solver not in get_args(SolverName):
            raise ValueError(f"solver is {shown(self.solver)}; it can be {names}, or None")
        if isinstance(self.nodes, bool) or not isinstance(self.nodes, int | np.integer):
            raise misuse("nodes", self.nodes, "a whole number")
        if isinstance(self.seconds, bool) or not isinstance(self.seconds, int | float | np.integer | np.floating):
            raise misuse("seconds", self.seconds, "a number")
        if self.cancelled is not None and not callable(getattr(self.cancelled, "is_set", None)):
            raise misuse("cancelled", self.cancelled, "a threading.Event, or None")
        if self.on_solve is not None and not callable(self.on_solve):
            raise misuse("on_solve", self.on_solve, "a function without arguments, or None")
        object.__setattr__(self, "nodes", min(int(self.nodes), _MOST_NODES))  # the solver's own options take no others
        object.__setattr__(self, "seconds", _seconds(self.seconds))
        if not self.nodes >= 1:
            raise ValueError(f"nodes is {self.nodes!r}; it can be 1 or more")
        if not self.seconds > 0:
            raise ValueError(f"seconds is {self.seconds!r}; it can be anything above 0")

    @property
    def program_solver(self) -> SolverName:
        """The solver of integer programs: the one asked for, or highs."""
        return self.solver or "highs"

    def go_on(self) -> None:
        """Go on unless it was cancelled.

        Raises:
            Cancelled: it was.
        """
        if self.cancelled is not None and self.cancelled.is_set():
            raise Cancelled
