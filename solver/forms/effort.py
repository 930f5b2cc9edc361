"""What a solve may cost, and how it is ended from outside."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from threading import Event
from time import monotonic
from typing import Any, Literal, get_args

import numpy as np

from catalog.tables.python_form import misuse, shown
from solver.forms.answer import EarlyAnswer

_GRACE = 0.05  # judged: of the seconds of an answer, with which the rest of its longest time is not used up
_MOST_GRACE_S = 60.0  # judged: an answer that may take hours need not take minutes more
_MOST_NODES = 2**31 - 1  # the solvers count them in 32 bits
SolverName = Literal["highs", "cbc"]


def _seconds(value: Any) -> float:
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
    """What one solve may cost: branch-and-bound nodes first, then seconds; and what an answer may take in all.

    `cancelled` ends it, and all that follow; `on_solve` is called after each solve, in the thread that solves, and
    `on_early` there once, where a plan has more to tell: with its answer before the ends of assumptions are tried.
    A question starts the clock of its answer (`begun`). From then on every loop that works for it looks at `go_on`:
    one that has something in hand returns that where the time is over, and says that it is not all.

    Attributes:
        nodes: branch-and-bound nodes, 1 or more.
        seconds: seconds, above 0.
        cancelled: set from outside, it ends the solve with `Cancelled`.
        on_solve: called after each solve.
        on_early: called with the answer to a trip as far as it stands early.
        solver: highs or cbc proposes a kit to start from in every integer program, and no search over kits comes first;
            None is the usual way, that search and then highs.
        answer_seconds: seconds for a whole answer with all its solves, above 0.
        clock: tells seconds that only go up.
        until: when by that clock the answer must be there; `begun` sets it.

    Raises:
        TypeError: an argument of another kind.
        ValueError: another solver, or no effort at all.
    """

    nodes: int = 200_000
    seconds: float = 30.0
    cancelled: Event | None = None
    on_solve: Callable[[], None] | None = None
    on_early: Callable[[EarlyAnswer], None] | None = None
    solver: SolverName | None = None
    answer_seconds: float = inf
    clock: Callable[[], float] = monotonic
    until: float = inf

    def __post_init__(self) -> None:
        """Check what was given, before any solve."""
        if self.solver is not None:
            names = " or ".join(get_args(SolverName))
            if not isinstance(self.solver, str):
                raise misuse("solver", self.solver, f"{names}, or None")
            if self.solver not in get_args(SolverName):
                raise ValueError(f"solver is {shown(self.solver)}; it can be {names}, or None")
        if isinstance(self.nodes, bool) or not isinstance(self.nodes, int | np.integer):
            raise misuse("nodes", self.nodes, "a whole number")
        for name in ("seconds", "answer_seconds", "until"):
            value = getattr(self, name)
            if isinstance(value, bool) or not isinstance(value, int | float | np.integer | np.floating):
                raise misuse(name, value, "a number")
            object.__setattr__(self, name, _seconds(value))
        if self.cancelled is not None and not callable(getattr(self.cancelled, "is_set", None)):
            raise misuse("cancelled", self.cancelled, "a threading.Event, or None")
        if self.on_solve is not None and not callable(self.on_solve):
            raise misuse("on_solve", self.on_solve, "a function without arguments, or None")
        if self.on_early is not None and not callable(self.on_early):
            raise misuse("on_early", self.on_early, "a function of one argument, or None")
        if not callable(self.clock):
            raise misuse("clock", self.clock, "a function without arguments")
        object.__setattr__(self, "nodes", min(int(self.nodes), _MOST_NODES))  # the solver's own options take no others
        if not self.nodes >= 1:
            raise ValueError(f"nodes is {self.nodes!r}; it can be 1 or more")
        for name in ("seconds", "answer_seconds"):
            if not getattr(self, name) > 0:
                raise ValueError(f"{name} is {getattr(self, name)!r}; it can be anything above 0")

    @property
    def program_solver(self) -> SolverName:
        """The solver of integer programs: the one asked for, or highs."""
        return self.solver or "highs"

    def begun(self) -> "Effort":
        """Return the effort with the clock of its answer started, or as it is where that runs already."""
        if self.until < inf or self.answer_seconds == inf:
            return self
        return self._ending(self.clock() + self.answer_seconds)

    def portion(self, share: float) -> "Effort":
        """Return the effort for a part of the answer that may take this share of the time left."""
        if self.until == inf:
            return self
        left = self.until - (now := self.clock())
        return self if left <= 0 else self._ending(now + left * share)

    def _ending(self, until: float) -> "Effort":
        """Return the effort that must end by another time; what was checked once is not checked again."""
        found = object.__new__(Effort)
        found.__dict__.update(self.__dict__, until=until)
        return found

    def quiet(self) -> "Effort":
        """Return the effort for solves that nobody is told of."""
        if self.on_solve is None:
            return self
        return replace(self, on_solve=None)

    def grace(self) -> "Effort":
        """Return the effort for what still finds something to tell at the end: a little longer, where the time is over.

        What goes on after it must not ask for more.
        """
        if self.until == inf:
            return self
        return replace(self, until=max(self.until, self.clock() + _GRACE * min(self.answer_seconds, _MOST_GRACE_S)))

    def closing(self) -> "Effort":
        """Return the effort for a short piece of work without which nothing can be told, whatever the time."""
        return replace(self, seconds=inf, until=inf)

    @property
    def over(self) -> bool:
        """Whether the time of the answer is over."""
        return self.until < inf and self.clock() >= self.until

    @property
    def solve_until(self) -> float:
        """When by the clock a solve that begins now must end."""
        return min(self.clock() + self.seconds, self.until)

    @property
    def solve_seconds(self) -> float:
        """How long a solve that begins now may take [s], 0 where the time of the answer is over."""
        return self.seconds if self.until == inf else max(min(self.seconds, self.until - self.clock()), 0.0)

    def heed(self) -> None:
        """Go on, whatever the time, unless it was cancelled.

        Raises:
            Cancelled: nobody waits for it.
        """
        if self.cancelled is not None and self.cancelled.is_set():
            raise Cancelled

    def spent(self) -> bool:
        """Tell whether the time of the answer is over, for work that can end where it is.

        Raises:
            Cancelled: nobody waits for it.
        """
        self.heed()
        return self.over

    def go_on(self) -> None:
        """Go on unless it was cancelled, or the time of the answer is over.

        Raises:
            Cancelled: nobody waits for it.
            Unfinished: the time of the answer is over.
        """
        self.heed()
        if self.over:
            raise Unfinished


def heed(effort: Effort | None) -> None:
    """Go on, whatever the time, unless an effort was cancelled; where there is none, go on.

    Raises:
        Cancelled: nobody waits for it.
    """
    if effort is not None:
        effort.heed()
