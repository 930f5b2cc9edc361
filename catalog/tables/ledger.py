"""Which assumptions an answer used, and values tried instead of the table's."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar, TypeVarTuple

from catalog.tables.assumption import Assumption, assumed, assumptions
from catalog.tables.number import N

_Given = TypeVarTuple("_Given")
_Outcome = TypeVar("_Outcome")


@dataclass(frozen=True)
class _Step:
    """A step of a reckoning: what it was given, the assumptions that it used, and what it came to."""

    given: tuple[object, ...]
    used: frozenset[str]
    outcome: Any


class Ledger(Generic[N]):
    """Reads assumptions, numbers or arrays of draws, and notes each one read."""

    def __init__(self, changed: Mapping[str, N] | None = None, *, before: "Ledger[N] | None" = None) -> None:
        """Begin with nothing read.

        Args:
            changed: values in place of the table's, by id, each a number or an array of draws.
            before: a ledger whose own changes hold here too, and some of whose steps may come to the same here.
        """
        self.moved = frozenset(changed or ())
        self.changed: dict[str, N] = {**({} if before is None else before.changed), **(changed or {})}
        self.used: set[str] = set()
        self.steps: dict[Callable[..., object], _Step] = {}
        self.before = {} if before is None else before.steps

    def __call__(self, name: str) -> N:
        """Return the value in force of an assumption.

        Raises:
            KeyError: no such assumption.
            RangeError: a changed value is outside its hard limits.
        """
        self.used.add(name)
        return assumed(name, self.changed)

    def as_given(self, name: str) -> N:
        """Return the value in force of an assumption that the interval of a figure does not count.

        Raises:
            KeyError: no such assumption.
            RangeError: a changed value is outside its hard limits.
        """
        return self(name)

    def note(self, names: Iterable[str]) -> None:
        """Note assumptions that a formula of the catalog read itself."""
        self.used.update(names)

    def step(self, reckon: Callable[[*_Given, "Ledger[N]"], _Outcome], *given: *_Given) -> _Outcome:
        """Return what a function of a reckoning comes to, which reads assumptions from a ledger, its last argument.

        What it came to in the ledger before serves again where it was given the same things and used nothing that has
        changed since.
        """
        step = self.before.get(reckon)
        if step is None or step.used & self.moved or not _same(step.given, given):
            own = Ledger(self.changed)
            outcome = reckon(*given, own)
            step = _Step(given, frozenset(own.used), outcome)
        self.steps[reckon] = step
        self.used |= step.used
        found: _Outcome = step.outcome
        return found

    def listed(self) -> list[Assumption]:
        """Return the assumptions used, in the order of the table."""
        return [row for name, row in assumptions().items() if name in self.used]


def _same(some: tuple[object, ...], others: tuple[object, ...]) -> bool:
    """Tell whether these are the very same things."""
    return all(one is other for one, other in zip(some, others, strict=True))
