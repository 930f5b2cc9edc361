"""Which assumptions an answer used, and values tried instead of the table's."""

from collections.abc import Iterable, Mapping
from typing import Generic

from catalog.tables.assumption import Assumption, assumed, assumptions
from catalog.tables.number import N


class Ledger(Generic[N]):
    """Reads assumptions, numbers or arrays of draws, and notes each one read."""

    def __init__(self, changed: Mapping[str, N] | None = None) -> None:
        """Begin with nothing read.

        Args:
            changed: values in place of the table's, by id, each a number or an array of draws.
        """
        self.changed: dict[str, N] = dict(changed or {})
        self.used: set[str] = set()

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

    def listed(self) -> list[Assumption]:
        """Return the assumptions used, in the order of the table."""
        return [row for name, row in assumptions().items() if name in self.used]
