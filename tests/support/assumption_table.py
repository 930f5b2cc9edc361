"""Another table of assumptions put in force, and one that notes what is read."""

from collections.abc import Iterator
from contextlib import contextmanager

from catalog import Assumption, assumptions
from catalog.tables import assumption
from catalog.tables.remembered import forget

# Of the maker's bench: the table has them last, and tests/catalog/bench/test_design_assumptions.py looks after them.
OF_THE_BENCH = list(assumptions())[list(assumptions()).index("steel_density_kg_m3") :]


class Read(dict[str, Assumption]):
    """The table of assumptions, with a note of what was read."""

    def __init__(self, rows: dict[str, Assumption]) -> None:
        super().__init__(rows)
        self.names: set[str] = set()

    def __getitem__(self, name: str) -> Assumption:
        self.names.add(name)
        return super().__getitem__(name)


@contextmanager
def table(rows: dict[str, Assumption]) -> Iterator[None]:
    """Put another table of assumptions in force."""
    usual = assumption.assumptions
    assumption.assumptions = lambda: rows  # type: ignore[assignment]
    forget()
    try:
        yield
    finally:
        assumption.assumptions = usual
        forget()
