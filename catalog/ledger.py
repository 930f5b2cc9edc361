"""Which assumptions an answer used, and values tried instead of the table's."""

from collections.abc import Iterable, Mapping

from catalog.assumption import Assumption, assumed, assumptions


class Ledger:
    """Reads assumptions and notes each one read."""

    def __init__(self, changed: Mapping[str, float] | None = None) -> None:
        self.changed = dict(changed or {})
        self.used: set[str] = set()

    def __call__(self, name: str) -> float:
        """Return the value in force of an assumption.

        Raises:
            KeyError: no such assumption.
            RangeError: a changed value is outside its band.
        """
        self.used.add(name)
        return assumed(name, self.changed)

    def note(self, names: Iterable[str]) -> None:
        """Note assumptions that a formula of the catalog read itself."""
        self.used.update(names)

    def listed(self) -> list[Assumption]:
        """Return the assumptions used, in the order of the table."""
        return [row for name, row in assumptions().items() if name in self.used]
